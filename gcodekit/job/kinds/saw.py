"""A saw cut: a kerf with its walls level, by a slitting saw that comes in from one side."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, Self, cast

from gcodekit.geometry.chain import SAME_POINT, Chain, Point, same
from gcodekit.geometry.region import Shift
from gcodekit.job.document.wording import one
from gcodekit.job.feature import CutterKey, Feature, Wrong
from gcodekit.job.features.depths import MetalHeights, read_height
from gcodekit.job.features.kind import NO_CLEARING, Base, Build, Kind, Surroundings
from gcodekit.job.features.metal_checks import check_lines
from gcodekit.job.keys.keys import Key
from gcodekit.job.keys.reading import Table
from gcodekit.job.raw_stock import RawStock
from gcodekit.trade.cutter import Cutter

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

SawSide = Literal["left", "right"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Saw(Feature):
    """A kerf from `depth.floor` up to `depth.top`, as thick as the blade. The rim of a blade of
    `diameter` reaches the line from `start` to `end`; the blade is on its `side`."""

    start: Point
    end: Point
    side: SawSide
    diameter: float
    kind = "saw"
    milled = False

    def moved(self, shift: Shift) -> Self:
        """The same elsewhere, the blade on the same side of the metal."""
        line = shift.chain(self.line)
        hands: dict[SawSide, SawSide] = {"left": "right", "right": "left"} if shift.mirror else {}
        return replace(self, start=line.start, end=line.end, side=hands.get(self.side, self.side))

    @property
    def line(self) -> Chain:
        """The line that its rim reaches."""
        return Chain.of_points([self.start, self.end], closed=False)

    @property
    def toward(self) -> Point:
        """The unit direction from its line toward the blade's axis."""
        (x0, y0), (x1, y1) = self.start, self.end
        long = math.dist(self.start, self.end)
        left = ((y0 - y1) / long, (x1 - x0) / long)
        return left if self.side == "left" else (-left[0], -left[1])

    def lines(self, metal: BaseGeometry) -> tuple[Chain, ...]:
        """The line that its rim reaches."""
        del metal
        return (self.line,)

    @property
    def has_depth(self) -> bool:
        """It lies between two heights."""
        return False

    @property
    def undercut(self) -> tuple[float, float]:
        """The kerf's bottom and top."""
        return (self.depth.floor, self.depth.top)

    def taken_area(self, metal: BaseGeometry, narrowest: float) -> BaseGeometry:
        """What the blade passes over from its line to beyond the metal."""
        import shapely

        from gcodekit.geometry.flattening import quarter_chords

        del narrowest
        (nx, ny), radius = self.toward, self.diameter / 2
        x0, y0, x1, y1 = metal.bounds
        far = radius + math.dist((x0, y0), (x1, y1)) + metal.distance(shapely.Point(self.start))
        ends = [(x + n * nx, y + n * ny) for n in (radius, far) for x, y in (self.start, self.end)]
        middles = shapely.MultiPoint(ends).convex_hull
        return middles.buffer(radius, quad_segs=quarter_chords(radius))

    def check_in_metal(self, table: Table, raw: RawStock, key: str) -> None:
        """Its line, and its kerf's heights."""
        check_lines(table, self, (self.line,), raw, key, reach=self.diameter)
        say, (low, high) = table.source.say, self.undercut
        if low < raw.low[2] - SAME_POINT or high > raw.high[2] + SAME_POINT:
            table.error(
                key or "z",
                f"the kerf, Z {say(low)} to {say(high)}, is not all within the stock, "
                f"Z {say(raw.low[2])} to {say(raw.high[2])}",
                "check z, and which side of it loses the kerf",
            )

    def bad_cutter(
        self, cutter: Cutter, key: CutterKey, say: Callable[[float], str]
    ) -> Wrong | None:
        """It needs a slitting saw."""
        del key, say
        if cutter.kind != "slitting saw":
            return f"is {one(cutter.kind)} and cannot saw", "name a slitting saw"
        return None


def _read(table: Table, around: Surroundings) -> Build | None:
    start, end = table.point("from"), table.point("to")
    side, loses = table.choice("side"), table.choice("loses")
    z = _kept_face(table, around.metal)
    usual = None if table.has("cutter") else _only_saw(table, around)
    if start is None or end is None or side is None or loses is None or z is None:
        return None
    if same(start, end):
        table.error("to", "is the same point as from", "move one of them")
        return None
    if usual is None and not table.has("cutter"):
        return None
    ends, where, kept = (start, end), cast("SawSide", side), z

    def build(base: Base) -> Saw:
        saw = base["cutting"].cutter or usual
        assert saw is not None  # a cutter that is named and not found is at fault before
        thick = saw.thickness or saw.flute_length
        low = kept if loses == "above" else kept - thick
        base["depth"] = replace(base["depth"], top=low + thick, floor=low, cut_to=low)
        base["cutting"] = replace(base["cutting"], cutter=saw)
        return Saw(start=ends[0], end=ends[1], side=where, diameter=saw.diameter, **base)

    return build


def _kept_face(table: Table, metal: MetalHeights) -> float | None:
    """Program z of the face that is kept."""
    return read_height(table, metal, "z") if table.has("z") else None


def _only_saw(table: Table, around: Surroundings) -> Cutter | None:
    """The rack's slitting saw where it has one: the kerf is as wide as the saw is thick."""
    saws = [c for c in around.workshop.cutters if c.kind == "slitting saw"]
    if len(saws) == 1:
        return saws[0]
    if not saws:
        table.error("kind", "the rack has no slitting saw", "add one to the workshop file")
        return None
    numbers = ", ".join(str(c.number) for c in saws)
    table.error(
        "cutter",
        f"the rack has {len(saws)} slitting saws, and the kerf is as wide as the saw is thick",
        f"name one of cutters {numbers}",
    )
    return None


KIND = Kind(
    rank=11,
    keys=(
        Key(
            name="from",
            kind="point",
            required=True,
            meaning="first end of the line that the rim of the blade reaches",
        ),
        Key(name="to", kind="point", required=True, meaning="last end of that line"),
        Key(
            name="side",
            kind="choice",
            choices=("left", "right"),
            required=True,
            meaning="side that the blade comes in from, walking from the first end to the last",
        ),
        Key(
            name="z",
            kind="expression",
            required=True,
            meaning="program Z of the face that is kept",
        ),
        Key(
            name="loses",
            kind="choice",
            choices=("above", "below"),
            required=True,
            meaning="side of that face that loses the kerf",
        ),
    ),
    text="""\
Saw into the work from one side with a slitting saw on its arbor: the spindle is upright, so the \
kerf is level, as high as the blade is thick. `from` and `to` are the line, seen from above, that \
the rim of the blade reaches at full depth; the blade comes in on `side`, in passes as deep as \
the saw stands. Draw the line past both edges of the work for a cut from edge to edge; where it \
ends in the work, the kerf keeps the round of the blade there. `z` is the face that is kept: the \
kerf is lost above it or below it. The cutter named, or the only slitting saw of the rack, gives \
the thickness.

The arbor must stay out of the work: a cut can be as deep as the blade stands out of its shank \
and nut. Saw from both sides for more. A cut right through parts the work: say in a later set-up \
which piece it takes.

Fit the guard. The teeth lead clockwise, seen from above. Conventional sawing feeds against the \
teeth and suits a machine with backlash.""",
    example="""\
[[setup.feature]]
kind = "saw"
from = [-5, 18]
to = [105, 18]
side = "right"
z = -2
loses = "below\"""",
    see=("slitting saw", "cutter", "cut"),
    read=_read,
    meaningless=(
        "top",
        "depth",
        "floor",
        "through",
        "until",
        *NO_CLEARING,
        "spring_passes",
        "plunge_feed",
    ),
    without_depth="own",
)
