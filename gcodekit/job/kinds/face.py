"""A face: the work milled flat, all of its top or within an outline."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Self

from gcodekit.geometry.chain import Chain
from gcodekit.geometry.region import Region, Shift
from gcodekit.geometry.tolerances import METAL_SAG
from gcodekit.job.feature import Feature, Rim, Wrong
from gcodekit.job.features.kind import AREA, DEPTH_WAYS, Build, Kind, Surroundings
from gcodekit.job.features.metal_checks import PlanLimits, check_lines
from gcodekit.job.keys.keys import Key
from gcodekit.job.keys.reading import Table
from gcodekit.job.raw_stock import RawStock

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry


@dataclass(frozen=True, slots=True, kw_only=True)
class Face(Feature):
    """Mill flat. `outline` None: the work's whole top."""

    outline: Region | None = None
    kind = "face"
    floor_finished = True
    faces = True

    def moved(self, shift: Shift) -> Self:
        """The same elsewhere; the whole top stays."""
        outline = None if self.outline is None else shift.region(self.outline)
        return replace(self, outline=outline)

    def lines(self, metal: BaseGeometry) -> tuple[Chain, ...]:
        """Its outline's; none for the whole top."""
        del metal
        return self.outline.rings if self.outline else ()

    @property
    def weight(self) -> int:
        """Lines and arcs of its outline."""
        return 1 if self.outline is None else sum(map(len, self.outline.rings))

    @property
    def whole_top(self) -> bool:
        """Without an outline."""
        return self.outline is None

    def clears_top(self, raw: RawStock) -> bool:
        """Without an outline, or within a rectangle round the metal."""
        if self.outline is None:
            return True
        if len(self.outline.rings) != 1:
            return False
        ring = self.outline.rings[0]
        box = PlanLimits.of_chains([ring])
        full = (box.right - box.left) * (box.back - box.front)
        rectangular = abs(abs(ring.area) - full) < 1e-6 * full
        return rectangular and box.grown(1e-6).holds(PlanLimits.of_metal(raw))

    def taken_area(self, metal: BaseGeometry, narrowest: float) -> BaseGeometry:
        """Within its outline, or all of the top."""
        from gcodekit.geometry.flattening import to_shapely
        from gcodekit.job.stock.drawn_removal import round_metal

        del narrowest
        return to_shapely(self.outline, METAL_SAG) if self.outline else round_metal(metal)

    def rims(self, metal: BaseGeometry) -> tuple[Rim, ...]:
        """Round its outline; the whole top has none."""
        del metal
        return () if self.outline is None else (Rim(outline=self.outline),)

    def check_in_metal(self, table: Table, raw: RawStock, key: str) -> None:
        """Its outline."""
        check_lines(table, self, self.outline.rings if self.outline else (), raw, key)


def _read(table: Table, around: Surroundings) -> Build | None:
    if not table.has("outline"):
        return lambda base: Face(**base)
    outline = around.outlines.region(table, "outline")
    return None if outline is None else lambda base: Face(outline=outline, **base)


def _faced_through(table: Table) -> Wrong | None:
    if table.has("outline"):
        return None
    return "facing the whole top right through leaves nothing", "give a depth"


KIND = Kind(
    rank=1,
    keys=(
        Key(
            name="outline",
            kind="outline",
            meaning="area to face",
            unset="the whole top of the work",
        ),
        Key(name="leave", kind="length", over=0, meaning="thickness to leave"),
    ),
    text="""\
Mill a flat surface. Without an outline the whole top of the work is faced, running past the \
stock by the radius of the cutter and 1 mm, but never over a clamp or a jaw.""",
    example="""\
[[setup.feature]]
kind = "face"
leave = 9.5""",
    see=("depth",),
    read=_read,
    ways=AREA,
    meaningless=("spring_passes",),
    through_fault=_faced_through,
    one_of=((*DEPTH_WAYS, ("leave",)),),
)
