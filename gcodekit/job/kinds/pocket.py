"""A pocket: all inside an outline cleared to a flat floor, but for islands."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Self

from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.region import Region, Shift
from gcodekit.geometry.tolerances import METAL_SAG
from gcodekit.job.feature import Feature, Rim, Wrong
from gcodekit.job.features.kind import AREA, DEPTH_WAYS, SIZE_WAYS, Build, Kind, Surroundings
from gcodekit.job.features.metal_checks import check_lines
from gcodekit.job.features.sizes import SIZE_KEYS, refuse_flush, sized_outline
from gcodekit.job.keys.keys import FINEST, Key
from gcodekit.job.keys.reading import Table
from gcodekit.job.measured import SizeAcross
from gcodekit.job.raw_stock import RawStock

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry


@dataclass(frozen=True, slots=True, kw_only=True)
class Pocket(Feature):
    """`outline` less `islands` cleared to a flat floor. `area` is that difference, as drawn."""

    outline: Region
    islands: tuple[Region, ...] = ()
    area: Region
    corner: float | None = None
    kind = "pocket"
    floor_finished = True

    def moved(self, shift: Shift) -> Self:
        """The same elsewhere."""
        return replace(
            self,
            outline=shift.region(self.outline),
            islands=tuple(map(shift.region, self.islands)),
            area=shift.region(self.area),
        )

    def lines(self, metal: BaseGeometry) -> tuple[Chain, ...]:
        """Its rim and those of the islands."""
        del metal
        return self.area.rings

    @property
    def weight(self) -> int:
        """Lines and arcs of its outlines."""
        return sum(map(len, (*self.outline.rings, *self.area.rings)))

    @property
    def keeps(self) -> tuple[Region, ...]:
        """Its islands."""
        return self.islands

    @property
    def axis(self) -> Point | None:
        """Of a round one."""
        return self.outline.centre

    def across(self) -> SizeAcross | Wrong:
        """Those of its outline."""
        from gcodekit.geometry.outline_widths import region_sizes

        return SizeAcross(region_sizes(self.outline), inside=True)

    def taken_area(self, metal: BaseGeometry, narrowest: float) -> BaseGeometry:
        """As drawn."""
        del metal, narrowest
        return self.all_round()

    def all_round(self) -> BaseGeometry:
        """As drawn."""
        from gcodekit.geometry.flattening import to_shapely

        return to_shapely(self.area, METAL_SAG)

    def rims(self, metal: BaseGeometry) -> tuple[Rim, ...]:
        """Its own and those of its islands."""
        del metal
        return (Rim(outline=self.area),)

    def check_in_metal(self, table: Table, raw: RawStock, key: str) -> None:
        """Its outlines."""
        check_lines(table, self, self.area.rings, raw, key)


def _read(table: Table, around: Surroundings) -> Build | None:
    outline = around.outlines.region(table, "outline") if table.has("outline") else None
    islands = _islands(table, around)
    corner = table.length("corner")
    if outline is None or islands is None:
        return None
    sized = sized_outline(table, outline, inside=True)
    rim, band = sized or (outline, None)
    if band is not None and band.wall > 0:
        refuse_flush(table, outline, islands)
    area: Region | None = rim
    if islands:
        area = around.outlines.combined(table, "islands", "minus", [rim, *islands])
    if area is None:
        return None
    if area.empty:
        table.error(
            "islands", "cover the whole outline, so nothing is left to clear", "make them smaller"
        )
        return None
    kept, clear = tuple(islands), area
    return lambda base: Pocket(
        outline=rim, islands=kept, area=clear, corner=corner, band=band, **base
    )


def _islands(table: Table, around: Surroundings) -> list[Region] | None:
    value = table.raw("islands")
    if value is None:
        return []
    if not isinstance(value, list):
        table.error("islands", "is not a list of outlines", "write islands = [...]")
        return None
    if table.many("islands", value):
        return None
    found = [around.outlines.region(table, ("islands", i)) for i in range(len(value))]
    return None if None in found else [r for r in found if r is not None]


KIND = Kind(
    rank=2,
    keys=(
        Key(name="outline", kind="outline", required=True, meaning="outline of the pocket"),
        Key(
            name="islands",
            kind="outlines",
            entries=500,
            meaning="outlines to leave standing in the pocket",
            unset="none",
        ),
        Key(
            name="corner",
            kind="length",
            least=FINEST,
            meaning="largest radius allowed in a sharp inside corner",
            unset="the finishing cutter's",
            text="A cutter with a larger radius is refused.",
        ),
        *SIZE_KEYS,
    ),
    text="""\
Clear an outline to a flat floor, except the islands. If the outline runs past the edge of the \
stock, the cutter may enter from outside. The finishing cutter must fit the drawn arcs; a sharp \
inside corner keeps the radius of the cutter, which is given in the report.""",
    example="""\
[[setup.feature]]
kind = "pocket"
outline = { rectangle = [68, 40], centre = [50, 30], round = 5 }
islands = [{ circle = 12, centre = [40, 30] }]
depth = 4""",
    see=("depth", "outline", "cutters"),
    read=_read,
    ways=AREA,
    until=True,
    one_of=(DEPTH_WAYS,),
    not_both=(SIZE_WAYS,),
)
