"""A boss: all round an outline cleared, the outline left standing."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, Self

from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.region import Region, Shift
from gcodekit.geometry.tolerances import METAL_SAG
from gcodekit.job.feature import Feature, Freed, Rim, Wrong
from gcodekit.job.features.kind import AREA, DEPTH_WAYS, SIZE_WAYS, Build, Kind, Surroundings
from gcodekit.job.features.metal_checks import PlanLimits, check_lines, metal_is, seen_from_above
from gcodekit.job.features.sizes import SIZE_KEYS, sized_outline
from gcodekit.job.keys.keys import Key
from gcodekit.job.keys.reading import Table
from gcodekit.job.measured import SizeAcross
from gcodekit.job.raw_stock import RawStock

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry


@dataclass(frozen=True, slots=True, kw_only=True)
class Boss(Feature):
    """`kept` is left standing, everything round it goes: as far as `within`, or None: to the edge
    of the metal."""

    kept: Region
    within: Region | None = None
    kind = "boss"
    floor_finished = True

    def moved(self, shift: Shift) -> Self:
        """The same elsewhere."""
        within = None if self.within is None else shift.region(self.within)
        return replace(self, kept=shift.region(self.kept), within=within)

    def lines(self, metal: BaseGeometry) -> tuple[Chain, ...]:
        """The outlines of what stays, and of what is cleared."""
        del metal
        return (*self.kept.rings, *(self.within.rings if self.within else ()))

    @property
    def weight(self) -> int:
        """Lines and arcs of what stays."""
        return sum(map(len, self.kept.rings))

    @property
    def keeps(self) -> tuple[Region, ...]:
        """Itself."""
        return (self.kept,)

    @property
    def spares(self) -> bool:
        """All but itself goes, not what else is to stand."""
        return True

    @property
    def axis(self) -> Point | None:
        """Of a round one."""
        return self.kept.centre

    @property
    def freed(self) -> Freed | None:
        """What stays, where all round it is cut right through."""
        through = self.within is not None and self.depth.through
        return Freed(self.kept, slug=False) if through else None

    def across(self) -> SizeAcross | Wrong:
        """Those of what stays."""
        from gcodekit.geometry.outline_widths import region_sizes

        return SizeAcross(region_sizes(self.kept), inside=False)

    def taken_area(self, metal: BaseGeometry, narrowest: float) -> BaseGeometry:
        """As drawn, or out to the edge of the metal."""
        from gcodekit.geometry.flattening import to_shapely
        from gcodekit.job.stock.drawn_removal import round_metal

        del narrowest
        rim = to_shapely(self.within, METAL_SAG) if self.within else round_metal(metal)
        return rim.difference(to_shapely(self.kept, METAL_SAG))

    def zero_lost(self, raw: RawStock, narrowest: float) -> Literal["x", "y"] | None:
        """Of any edge, where all is cleared out to them."""
        del narrowest
        return PlanLimits.of_metal(raw).zero_at(*PlanLimits.SIDES) if self.within is None else None

    def rims(self, metal: BaseGeometry) -> tuple[Rim, ...]:
        """Its own, and that of what it is cleared out to."""
        del metal
        round_it = () if self.within is None else (Rim(outline=self.within),)
        return (Rim(outline=self.kept, side="outside"), *round_it)

    def check_in_metal(self, table: Table, raw: RawStock, key: str) -> None:
        """Find what stays; there has to be metal round it."""
        from gcodekit.geometry.boolean import common, minus

        rings = self.kept.rings
        where = check_lines(table, self, rings, raw, key, round_part=True)
        if not PlanLimits.of_chains(rings).meets(PlanLimits.of_metal(raw)):
            return
        metal = seen_from_above(raw)
        round_it = metal if self.within is None else common([metal, self.within])
        if minus(round_it, self.kept).empty:
            what = f"{self.name} cuts nothing: it fills the stock"
            table.error(where, what, metal_is(table, raw))


def _read(table: Table, around: Surroundings) -> Build | None:
    way = table.one_of("outline", "outlines", what="the outline of the boss")
    kept = None if way is None else _kept(table, way, around)
    within = around.outlines.region(table, "within") if table.has("within") else None
    if kept is None or (table.has("within") and within is None):
        return None
    kept, band = sized_outline(table, kept, inside=False) or (kept, None)
    if within is not None:
        left = around.outlines.combined(table, "within", "minus", [within, kept])
        if left is None:
            return None
        if left.empty:
            table.error(
                "within",
                "lies inside the boss, so nothing is left to clear",
                "make it larger than the boss",
            )
            return None
    standing = kept
    return lambda base: Boss(kept=standing, within=within, band=band, **base)


def _kept(table: Table, way: str, around: Surroundings) -> Region | None:
    if way == "outline":
        return around.outlines.region(table, way)
    value = table.raw(way)
    if not isinstance(value, list) or not value:
        table.error(way, "is not a list of outlines", "write outlines = [...]")
        return None
    if table.many(way, value):
        return None
    found = [around.outlines.region(table, (way, i)) for i in range(len(value))]
    regions = [r for r in found if r is not None]
    if len(regions) < len(found):
        return None
    return around.outlines.combined(table, way, "union", regions)


KIND = Kind(
    rank=8,
    keys=(
        Key(name="outline", kind="outline", meaning="outline of the boss, left standing"),
        Key(
            name="outlines",
            kind="outlines",
            entries=500,
            meaning="outlines of several bosses, instead of outline",
        ),
        Key(
            name="within",
            kind="outline",
            meaning="outline to clear out to",
            unset="the edge of the stock",
        ),
        *SIZE_KEYS,
    ),
    text="""\
Clear round an outline and leave it standing: out to `within`, or to the edge of the stock and \
past it.""",
    example="""\
[[setup.feature]]
kind = "boss"
outline = { circle = 30, centre = [50, 30] }
depth = 4""",
    see=("depth", "outline", "pocket"),
    read=_read,
    ways=AREA,
    one_of=(DEPTH_WAYS, (("outline",), ("outlines",))),
    not_both=(SIZE_WAYS,),
)
