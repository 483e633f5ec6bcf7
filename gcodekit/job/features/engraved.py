"""What is engraved: strokes cut along their middle, as deep as the drawing says or as makes their
line as wide as it says."""

from __future__ import annotations

import math
from abc import abstractmethod
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from gcodekit.geometry.chain import Chain
from gcodekit.job.feature import CutterKey, Depth, Feature, Wrong
from gcodekit.job.features.kind import Base, KeyWays, Surroundings
from gcodekit.job.features.metal_checks import PlanLimits, check_lines, metal_is
from gcodekit.job.keys.keys import SMALLEST, Key
from gcodekit.job.keys.reading import Table
from gcodekit.job.raw_stock import RawStock
from gcodekit.trade.cutter import Cutter

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

# Cutters with a point that engraves, the usual one first. A spot drill does not: the chisel edge in
# its middle cuts nothing sideways.
ENGRAVERS = ("engraving cutter", "chamfer mill")
# Mills whose line is as wide as they are.
PLAIN_ENGRAVERS = ("ball-nose end mill", "end mill", "bull-nose end mill")
# A line is no wider than its cutter up to this, mm.
SAME_LINE = 1e-6

LINE_WIDTH = Key(
    name="line_width",
    kind="length",
    least=SMALLEST,
    most=20,
    meaning="width of the line in the surface",
    text="""\
The depth that a pointed cutter needs for it follows from its tip_angle and tip_diameter. A \
ball-nose or flat end mill cuts a line of its own width: give its depth instead.""",
)
LINE_WAYS: KeyWays = (("line_width",), ("depth",), ("floor",))
MEANINGLESS = (
    "through",
    "until",
    "rough",
    "rough_with",
    "finish",
    "allowance",
    "stepover",
    "cut",
)
# What may draw it, for faults of its place.
_PLACES = ("at", "row", "grid", "pitch_circle", "polar", "places")
_DRAWN_BY = (*_PLACES, "arc", "path", "from", "centre")


@dataclass(frozen=True, slots=True, kw_only=True)
class Engraved(Feature):
    """Strokes in a surface at `depth.top`. `line_width`: of their lines there; with it `depth` goes
    as deep as any cutter of the rack would have to, without it as deep as they are."""

    line_width: float | None = None
    milled = False

    @property
    @abstractmethod
    def stroke_chains(self) -> tuple[Chain, ...]:
        """The middle of every line it cuts."""

    def lines(self, metal: BaseGeometry) -> tuple[Chain, ...]:
        """Its strokes."""
        del metal
        return self.stroke_chains

    @property
    def weight(self) -> int:
        """Lines and arcs of all strokes."""
        return sum(map(len, self.stroke_chains))

    def line_words(self, say: Callable[[float], str]) -> str:
        """Its line in a callout."""
        if self.line_width is not None:
            return f"line {say(self.line_width)}"
        return f"{say(self.depth.top - self.depth.floor)} deep"

    @property
    def half_width(self) -> float:
        """Half its line, where that is given."""
        return (self.line_width or 0.0) / 2

    @property
    def has_depth(self) -> bool:
        """It leaves no floor for others."""
        return False

    def depth_with(self, cutter: Cutter) -> float:
        """How deep a cutter goes for its line, mm."""
        if self.line_width is None:
            return self.depth.top - self.depth.cut_to
        return (self.line_width - cutter.tip_diameter) / 2 / math.tan(cutter.tip_angle / 2)

    def taken_area(self, metal: BaseGeometry, narrowest: float) -> BaseGeometry:
        """No area goes."""
        import shapely

        del metal, narrowest
        return shapely.Polygon()

    def check_in_metal(self, table: Table, raw: RawStock, key: str) -> None:
        """Its strokes: off the stock is an error, over its edge a warning."""
        where = key or next((k for k in _DRAWN_BY if table.has(k)), "kind")
        before = len(table.source.faults.errors)
        check_lines(table, self, self.stroke_chains, raw, where)
        inside = PlanLimits.of_metal(raw).holds(PlanLimits.of_chains(self.stroke_chains))
        if not inside and len(table.source.faults.errors) == before:
            table.warn(where, f"{self.name} runs past the edge of the stock", metal_is(table, raw))

    def bad_cutter(
        self, cutter: Cutter, key: CutterKey, say: Callable[[float], str]
    ) -> Wrong | None:
        """A point that makes the line, or a mill that goes as deep."""
        del key
        if cutter.kind in ENGRAVERS:
            return self._bad_point(cutter, say)
        if cutter.kind not in PLAIN_ENGRAVERS:
            return "cannot engrave", "name an engraving cutter"
        if self.line_width is not None:
            wrong = "has no point: its line is as wide as the cutter"
            return wrong, "give a depth instead of line_width, or name an engraving cutter"
        if not cutter.centre_cutting:
            return "does not cut at its centre", "name a centre-cutting one"
        deep = self.depth_with(cutter)
        if deep > max(cutter.flute_length, cutter.reach or 0.0) + SAME_LINE:
            return f"has flutes of {say(cutter.flute_length)}", "name a longer one"
        return None

    def _bad_point(self, cutter: Cutter, say: Callable[[float], str]) -> Wrong | None:
        wide, tip = self.line_width, cutter.tip_diameter
        if wide is not None and wide <= tip + SAME_LINE:
            return f"has a tip {say(tip)} wide", f"name one with a tip finer than {say(wide)}"
        if wide is not None and wide > cutter.diameter + SAME_LINE:
            return f"is narrower than a line of {say(wide)}", "name a larger one"
        if self.depth_with(cutter) > cutter.point_length + SAME_LINE:
            wrong = f"has a point of {say(cutter.point_length)}"
            return wrong, "name one with a longer point, or reduce the depth"
        return None


def read_line_width(table: Table) -> tuple[bool, float | None]:
    """Tell whether its depth or its line's width is given, and the latter; else the fault is
    noted."""
    given = table.given("line_width", "depth", "floor")
    if not given and not table.refused and not table.misspelt("line_width", "depth", "floor"):
        table.error("", "line width and depth are missing", "give line_width or depth")
    if len(given) > 1 and given[0] == "line_width":
        table.error(given[1], "line_width is given too", "remove one of them")
    width = table.length("line_width")
    return len(given) == 1 and (width is not None or given != ["line_width"]), width


def line_depth(base: Base, width: float | None, around: Surroundings) -> Depth:
    """The depth of lines so wide: the deepest that the cutter named, or any of the rack, would go.
    Only where a cutter is known it is known better."""
    depth, named = base["depth"], base["cutting"].cutter
    if width is None:
        return depth
    those: Iterable[Cutter] = [named] if named else around.workshop.cutters
    deep = [
        (width - c.tip_diameter) / 2 / math.tan(c.tip_angle / 2)
        for c in those
        if c.kind in ENGRAVERS and c.tip_diameter < width <= c.diameter
    ]
    low = depth.top - max(deep, default=width)
    return replace(depth, floor=low, cut_to=low)
