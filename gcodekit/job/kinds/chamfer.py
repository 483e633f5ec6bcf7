"""A chamfer: the top edge along an outline broken."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, Self, cast

from gcodekit.geometry.chain import Chain
from gcodekit.geometry.region import Region, Shift
from gcodekit.job.feature import CutterKey, Feature, Wrong
from gcodekit.job.features.kind import Base, Build, Kind, Surroundings
from gcodekit.job.features.metal_checks import check_lines
from gcodekit.job.keys.keys import FINEST, Key
from gcodekit.job.keys.reading import Table
from gcodekit.job.raw_stock import RawStock
from gcodekit.trade.cutter import Cutter

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

# Cutters with a point that cuts with its flank.
FLANK_CUTTERS = ("chamfer mill", "engraving cutter")
# A cutter's point may differ from the chamfer's angle by this, radians (0.1 degree).
SAME_SLOPE = math.radians(0.1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chamfer(Feature):
    """Along a closed `outline`, the cutter on its `side`: the metal on the other loses its top edge
    by `width` in plan. `slope`: of its face to the spindle's axis, radians. Its `depth.top` is the
    edge's height, its floor where the chamfer ends on the wall."""

    outline: Region
    side: Literal["outside", "inside"]
    width: float
    slope: float
    kind = "chamfer"
    milled = False

    def moved(self, shift: Shift) -> Self:
        """The same elsewhere."""
        return replace(self, outline=shift.region(self.outline))

    def lines(self, metal: BaseGeometry) -> tuple[Chain, ...]:
        """The edge."""
        del metal
        return self.outline.rings

    @property
    def weight(self) -> int:
        """Lines and arcs of its outline."""
        return sum(map(len, self.outline.rings))

    @property
    def has_depth(self) -> bool:
        """It goes by its width."""
        return False

    def taken_area(self, metal: BaseGeometry, narrowest: float) -> BaseGeometry:
        """Nothing is sure to go down to its floor: it slopes."""
        import shapely

        del metal, narrowest
        return shapely.Polygon()

    def check_in_metal(self, table: Table, raw: RawStock, key: str) -> None:
        """Its outline."""
        check_lines(table, self, self.outline.rings, raw, key, reach=self.width)

    def bad_cutter(
        self, cutter: Cutter, key: CutterKey, say: Callable[[float], str]
    ) -> Wrong | None:
        """It needs a point of its angle, wide enough."""
        del key
        wanted = f"name a chamfer mill of {2 * math.degrees(self.slope):g} degrees"
        if cutter.kind not in FLANK_CUTTERS:
            return "has no point to cut a chamfer with", wanted
        if abs(cutter.tip_angle / 2 - self.slope) > SAME_SLOPE:
            return f"has a point of {math.degrees(cutter.tip_angle):g} degrees", wanted
        if cutter.radius <= self.width:
            return f"is too small for a chamfer of {say(self.width)}", "name a larger one"
        return None


def _read(table: Table, around: Surroundings) -> Build | None:
    outline = around.outlines.region(table, "outline") if table.has("outline") else None
    side, width, slope = table.choice("side"), table.length("width"), table.angle("angle")
    if outline is None or side is None or width is None or slope is None:
        return None
    rim, where = outline, cast("Literal['outside', 'inside']", side)

    def build(base: Base) -> Chamfer:
        depth, low = base["depth"], base["depth"].top - width / math.tan(slope)
        base["depth"] = replace(depth, floor=low, cut_to=low)
        return Chamfer(outline=rim, side=where, width=width, slope=slope, **base)

    return build


KIND = Kind(
    rank=10,
    keys=(
        Key(name="outline", kind="outline", required=True, meaning="edge to chamfer"),
        Key(
            name="side",
            kind="choice",
            choices=("outside", "inside"),
            required=True,
            meaning="side of the edge that the cutter is on",
        ),
        Key(
            name="width",
            kind="length",
            least=FINEST,
            required=True,
            meaning="width of the chamfer, seen from above",
        ),
        Key(
            name="angle",
            kind="angle",
            default=45,
            least=15,
            most=75,
            meaning="angle between its face and the spindle axis",
        ),
    ),
    text="""\
Chamfer the top edge along an outline: outside round a part, inside round a window or pocket. \
`top` is the height of the edge. The wall below it must be cut already, deeper than the chamfer: \
the tip of the cutter runs a tenth of its diameter away from the wall, in the air. It needs a \
chamfer mill or an engraving cutter with a point of twice the angle. Inside corners must be round \
enough for the cutter.""",
    example="""\
[[setup.feature]]
kind = "profile"
outline = { rectangle = [80, 40], centre = [50, 30], round = 6 }
side = "outside"
depth = 5

[[setup.feature]]
kind = "chamfer"
outline = { rectangle = [80, 40], centre = [50, 30], round = 6 }
side = "outside"
width = 0.5""",
    see=("depth", "outline"),
    read=_read,
    meaningless=(
        "depth",
        "floor",
        "through",
        "until",
        "rough",
        "rough_with",
        "finish",
        "allowance",
        "stepdown",
        "stepover",
    ),
    without_depth="none",
)
