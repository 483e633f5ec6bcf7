"""A chamfer: a top edge broken, along an outline, a path, or round holes."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, Self, cast

from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.region import Region, Shift
from gcodekit.job.document.wording import listed
from gcodekit.job.feature import CutterKey, Feature, Wrong
from gcodekit.job.features.kind import NO_CLEARING, Base, Build, Kind, Surroundings
from gcodekit.job.features.metal_checks import check_lines, too_wide
from gcodekit.job.keys.feature_keys import NAMED_PLACES, PLACE_KEYS, PLACE_WAYS
from gcodekit.job.keys.keys import FINEST, SMALLEST, Key
from gcodekit.job.keys.reading import Table
from gcodekit.job.outlines.places import check_apart, read_places
from gcodekit.job.raw_stock import RawStock
from gcodekit.trade.cutter import Cutter

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

Side = Literal["outside", "inside", "left", "right"]
# Cutters with a point that cuts with its flank.
FLANK_CUTTERS = ("chamfer mill", "engraving cutter", "spot drill")
# A cutter's point may differ from the chamfer's angle by this, radians (0.1 degree).
SAME_SLOPE = math.radians(0.1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chamfer(Feature):
    """Along a closed `outline` or an open `path`, the cutter on its `side`, or round holes of a
    `diameter` at `places`, the cutter inside: the metal on the other side loses its top edge by
    `width` in plan. `slope`: of its face to the spindle's axis, radians. Its `depth.top` is the
    edge's height, its floor where the chamfer ends on the wall. `edge_of`: the feature whose edge
    it is, where the set-up breaks all its edges; else empty."""

    outline: Region | None = None
    path: Chain | None = None
    places: tuple[Point, ...] = ()
    diameter: float = 0.0
    side: Side = "inside"
    width: float
    slope: float
    edge_of: str = ""
    kind = "chamfer"
    milled = False

    def moved(self, shift: Shift) -> Self:
        """The same elsewhere, its cutter on the same side of the metal."""
        hands: dict[str, Side] = {"left": "right", "right": "left"} if shift.mirror else {}
        return replace(
            self,
            outline=None if self.outline is None else shift.region(self.outline),
            path=None if self.path is None else shift.chain(self.path),
            places=tuple(map(shift.point, self.places)),
            side=hands.get(self.side, self.side),
        )

    def lines(self, metal: BaseGeometry) -> tuple[Chain, ...]:
        """The edge."""
        del metal
        return self.edges

    @property
    def edges(self) -> tuple[Chain, ...]:
        """The rings of its outline, its path, or a circle at every place."""
        if self.outline is not None:
            return self.outline.rings
        if self.path is not None:
            return (self.path,)
        return tuple(Chain.circle(p, self.diameter / 2) for p in self.places)

    @property
    def weight(self) -> int:
        """Lines and arcs of its edge."""
        return sum(map(len, self.edges))

    @property
    def has_depth(self) -> bool:
        """It goes by its width."""
        return False

    @property
    def optional(self) -> bool:
        """As one of all the edges of a set-up."""
        return bool(self.edge_of)

    def taken_area(self, metal: BaseGeometry, narrowest: float) -> BaseGeometry:
        """Nothing is sure to go down to its floor: it slopes."""
        import shapely

        del metal, narrowest
        return shapely.Polygon()

    def check_in_metal(self, table: Table, raw: RawStock, key: str) -> None:
        """Its edge; a hole that is no wider than the metal is."""
        key = key or next((k for (k,) in PLACE_WAYS if table.has(k)), "")
        if not self.places or not too_wide(table, "diameter", self.diameter, raw):
            check_lines(table, self, self.edges, raw, key, reach=self.width)

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


_SIDES = {"outline": ("outside", "inside"), "path": ("left", "right")}
_CALLED = {"outline": "a closed outline", "path": "an open path"}


def _read(table: Table, around: Surroundings) -> Build | None:
    way = table.one_of("outline", "path", *(k for (k,) in PLACE_WAYS), what="its edge")
    width, slope = table.length("width"), table.angle("angle")
    side = _side(table, way)
    if way in _SIDES and table.has("diameter"):
        table.error("diameter", f"is only for holes, and {way} is given too", "remove one of them")
    outline = around.outlines.region(table, "outline") if way == "outline" else None
    path = around.outlines.path(table, "path", closed=False) if way == "path" else None
    holes = _holes(table, around) if way not in (None, "outline", "path") else None
    if side is None or width is None or slope is None:
        return None
    if outline is None and path is None and holes is None:
        return None
    places, diameter = holes or ((), 0.0)
    rim, line, where = outline, path, side

    def build(base: Base) -> Chamfer:
        depth, low = base["depth"], base["depth"].top - width / math.tan(slope)
        base["depth"] = replace(depth, floor=low, cut_to=low)
        return Chamfer(
            outline=rim,
            path=line,
            places=places,
            diameter=diameter,
            side=where,
            width=width,
            slope=slope,
            **base,
        )

    return build


def _side(table: Table, way: str | None) -> Side | None:
    """The side of the cutter, which goes with the way that the edge is given; None: at fault."""
    side = table.choice("side")
    if way is None or (side is None and table.has("side")):
        return None
    if way not in _SIDES:
        if side is None:
            return "inside"
        table.error("side", "the edge of a hole has one side only", "remove it")
        return None
    sides = _SIDES[way]
    if side is None:
        table.error("side", "is missing", "write " + " or ".join(f'side = "{s}"' for s in sides))
        return None
    if side not in sides:
        words = listed([f'"{s}"' for s in sides])
        table.error("side", f'"{side}" does not go with {_CALLED[way]}', f"use {words}")
        return None
    return cast("Side", side)


def _holes(table: Table, around: Surroundings) -> tuple[tuple[Point, ...], float] | None:
    """The places of holes and their diameter."""
    places, diameter = read_places(table, around.outlines.places), table.length("diameter")
    if diameter is None and not table.has("diameter"):
        table.error("diameter", "is missing", "add the diameter of the hole")
    if places is None or diameter is None:
        return None
    check_apart(table, places, diameter)
    return places, diameter


KIND = Kind(
    rank=10,
    keys=(
        Key(name="outline", kind="outline", meaning="closed edge to chamfer"),
        Key(name="path", kind="path", meaning="open edge to chamfer"),
        *PLACE_KEYS,
        NAMED_PLACES,
        Key(
            name="diameter",
            kind="length",
            least=SMALLEST,
            meaning="diameter of the holes whose edges to chamfer",
            unset="no holes",
        ),
        Key(
            name="side",
            kind="choice",
            choices=("outside", "inside", "left", "right"),
            meaning="side of the edge that the cutter is on",
            unset="inside, for holes; required with an outline or a path",
            text="outside or inside with an outline; left or right with a path, seen along it from "
            "its first point.",
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
Chamfer a top edge: along a closed outline (outside round a part, inside round a window or \
pocket), along an open path, or round holes at their places with the `diameter` of the hole. \
`top` is the height of the edge. The wall below it must be cut already, deeper than the chamfer: \
the tip of the cutter runs a tenth of its diameter away from the wall, in the air. It needs a \
chamfer mill, an engraving cutter or a spot drill with a point of twice the angle.

At the ends of a path the cutter runs off where nothing is in its way. A hole is chamfered in one \
plunge where the cutter is wider than the chamfer and its tip meets nothing in the hole; \
otherwise the cutter goes round in it. An inside corner keeps the radius of the cutter that made \
the wall; what the chamfer's own cutter does not reach in it is left, with a warning. \
`break_edges` of a set-up chamfers all its edges.""",
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
width = 0.5

[[setup.feature]]
kind = "hole"
diameter = 8
at = [[35, 30], [65, 30]]
through = true

[[setup.feature]]
kind = "chamfer"
diameter = 8
at = [[35, 30], [65, 30]]
width = 0.5""",
    see=("depth", "outline", "path", "places", "break_edges", "countersink"),
    read=_read,
    meaningless=(
        "depth",
        "floor",
        "through",
        "until",
        *NO_CLEARING,
        "stepdown",
    ),
    without_depth="none",
    one_of=((("outline", "side"), ("path", "side"), *((k, "diameter") for (k,) in PLACE_WAYS)),),
    words_with={"outline": ("side", _SIDES["outline"]), "path": ("side", _SIDES["path"])},
)
