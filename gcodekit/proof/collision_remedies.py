"""Remedies for collisions: by how much a clamp must be moved, a grip lowered or a cutter stick out
further until nothing meets.

Every figure is worked out from all moves near the body, not from the worst alone, and is rounded
up: what it says is enough.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal, Protocol

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from gcodekit.job.stock.hold import BOARD_KEPT
from gcodekit.proof.chords import LEAST_TOUCH, Array, Segments
from gcodekit.trade.cutter import SIDE_MILLS, Cutter
from gcodekit.units import MM_PER_INCH, Units, format_size

# Part of what turns: "" is the cutter itself.
Part = Literal["", "shank", "holder", "nut"]
# A clamp is not moved farther than this, mm: it would hold another place of the work.
FARTHEST_MOVE = 100.0
# Of what a clamp covers of the work, so much must be left where it is moved to. Common practice, no
# source.
LEAST_HELD = 0.5
# Steps until a moved clamp is clear; each is at least as long as it is still in the way.
MOST_STEPS = 60
_WAYS = {"to the right": (1, 0), "to the left": (-1, 0), "to the back": (0, 1),
         "to the front": (0, -1)}  # fmt: skip

# Toward the jaw that a parallel stands against.
_JAWS = {"front": (0, -1), "back": (0, 1), "left": (-1, 0), "right": (1, 0)}


class KeepOutBody(Protocol):
    """An upright body: `outline` in plan, from `bottom` to `top`, program coordinates, mm."""

    @property
    def name(self) -> str:
        """The name the operator knows it by."""

    @property
    def outline(self) -> BaseGeometry:
        """In plan."""

    @property
    def bottom(self) -> float:
        """z."""

    @property
    def top(self) -> float:
        """z."""

    @property
    def remedy(self) -> str:
        """The change that gets it out of the way: "move", "grip", "board", "parallels", "thinner",
        "table", or "" for none."""

    @property
    def spare(self) -> float:
        """The most it can be lowered, mm."""


def rounded_up(mm: float, units: Units) -> float:
    """A remedy's figure, mm, rounded up to what is set by rule or dial: 0.1 mm or 0.005 inch.

    Examples
    --------
    >>> rounded_up(1.23, "mm"), round(rounded_up(1.23, "inch") / 25.4, 3)
    (1.3, 0.05)
    """
    step = 0.1 if units == "mm" else 0.005 * MM_PER_INCH
    return round(math.ceil(mm / step - 1e-6) * step, 6)


def longer_cutter(cutter: Cutter, part: Part, more: float) -> Cutter:
    """A cutter whose holder or shank begins so much higher, mm."""
    if part == "holder":
        return replace(cutter, stickout=cutter.stickout + more)
    reach = None if cutter.reach is None else cutter.reach + more
    return replace(
        cutter,
        flute_length=cutter.flute_length + more,
        reach=reach,
        stickout=cutter.stickout + more,
    )


def longer_hint(part: Part, more: float, units: Units) -> str:
    """The same as an instruction."""
    size = format_size(rounded_up(more, units), units)
    if part == "holder":
        return f"give {size} more stick-out"
    return f"use a cutter that is {size} longer below its shank"


@dataclass(frozen=True, slots=True)
class Clearing:
    """The ways to clear a body: `segments` are all moves that come below its top, `stock` the
    work in plan."""

    body: KeepOutBody
    segments: Sequence[Segments]
    stock: BaseGeometry

    def hint(self, entered: Segments, part: Part, *, rapids: bool, units: Units) -> str:
        """Return the remedy for moves of one cutter that enter the body with a part; `rapids`:
        all of them are."""
        ways = [*self._ways(entered, rapids, units), *self._longer(entered, part, units)]
        otherwise = "" if part and part != "nut" else self._otherwise(entered.cutter)
        return " or ".join(ways[:2]) or otherwise

    def _otherwise(self, cutter: Cutter) -> str:
        """The remedy where no figure would do."""
        if self.body.remedy == "move":
            return f"hold the work without {self.body.name} here, or move it at a stop"
        if cutter.kind in SIDE_MILLS:
            return "use a smaller cutter, or hold the work another way"
        return "hold the work another way, or move the feature"

    def _ways(self, entered: Segments, rapids: bool, units: Units) -> Iterator[str]:
        body = self.body
        own, every = (rounded_up(self._rise(s), units) for s in ([entered], self.segments))
        say = format_size(every, units)
        if rapids:
            yield f"retract {format_size(own, units)} higher"
        if body.remedy == "move":
            yield from self._moved(units)
        elif body.remedy == "grip" and every <= body.spare:
            yield f"lower the grip by {say}"
        elif body.remedy == "parallels":
            yield f"use parallels {say} higher"
        elif body.remedy == "thinner":
            yield from self._thinner(units)
        elif body.remedy == "board":
            yield f"use a spoil board {say} thicker"
        elif body.remedy == "table":
            thick = rounded_up(every + BOARD_KEPT, units)
            yield f"put a spoil board at least {format_size(thick, units)} thick under the work"
        flat = entered.cutter.is_blade
        if not rapids and not flat and body.remedy != "move" and entered.cutter.holder is None:
            yield f"cut {format_size(own, units)} less deep"

    def _rise(self, groups: Sequence[Segments]) -> float:
        """Return by how much the moves must be higher, or the body lower, mm."""
        most = 0.0
        for s in groups:
            gap = _gaps(s, self.body.outline)
            for base, end, radius in _parts(s.cutter):
                in_height = s.low + end > self.body.bottom + LEAST_TOUCH
                low = s.low[in_height & (gap < radius - LEAST_TOUCH)]
                if len(low):
                    most = max(most, self.body.top - float(low.min()) - base)
        return most

    def _moved(self, units: Units) -> Iterator[str]:
        """The shortest way to move the body clear of every cutter."""
        paths = [path for s in self.segments for path in self._in_height(s)]
        found = ((self._shift(step, paths, units), way) for way, step in _WAYS.items())
        least = min(((far, way) for far, way in found if far is not None), default=None)
        if least is not None:
            yield f"move {self.body.name} by {format_size(least[0], units)} {least[1]}"

    def _thinner(self, units: Units) -> Iterator[str]:
        """How thin a parallel must be, measured from the jaw that it stands against."""
        paths = [path for s in self.segments for path in self._in_height(s)]
        x0, y0, x1, y1 = self.body.outline.bounds
        side = next((way for side, way in _JAWS.items() if side in self.body.name), None)
        far = None if side is None else self._shift(side, paths, units)
        if side is not None and far is not None:
            thick = ((x1 - x0) if side[0] else (y1 - y0)) - far
            yield f"use parallels {format_size(thick, units)} thick or less"

    def _in_height(self, s: Segments) -> Iterator[tuple[float, BaseGeometry]]:
        """The paths in plan of each part of a cutter that is as low as the body, with its radius,
        mm."""
        for base, end, radius in _parts(s.cutter):
            low = s.low + base < self.body.top - LEAST_TOUCH
            low &= s.low + end > self.body.bottom + LEAST_TOUCH
            if low.any():
                path = shapely.MultiLineString(list(_ways_of(s.rows(low))))
                shapely.prepare(path)
                yield radius, path

    def _shift(
        self, step: tuple[int, int], paths: Sequence[tuple[float, BaseGeometry]], units: Units
    ) -> float | None:
        """Return how far it must be moved one way, mm; None where it would hold too little of the
        work, or where that is too far."""
        far, held = 0.0, self._held(self.body.outline)
        for _ in range(MOST_STEPS):
            outline = affinity.translate(self.body.outline, far * step[0], far * step[1])
            if far > FARTHEST_MOVE or self._held(outline) < LEAST_HELD * held:
                return None
            deep = max(radius - float(path.distance(outline)) for radius, path in paths)
            if deep <= LEAST_TOUCH:
                return far
            far = rounded_up(far + deep, units)
        return None

    def _held(self, outline: BaseGeometry) -> float:
        return float(outline.intersection(self.stock).area)

    def _longer(self, entered: Segments, part: Part, units: Units) -> Iterator[str]:
        """A longer stick-out or shank, where no other part of the cutter is in the way then."""
        cutter = entered.cutter
        if not part or (cutter.is_blade and part != "holder"):
            return
        begins = cutter.stickout if part == "holder" else _shank_begins(cutter)
        more = rounded_up(self.body.top - float(entered.low.min()) - begins, units)
        longer = longer_cutter(cutter, part, more)
        own = (replace(s, cutter=longer) for s in self.segments if s.cutter == cutter)
        if self._rise(list(own)) <= LEAST_TOUCH:
            yield longer_hint(part, more, units)


def _shank_begins(cutter: Cutter) -> float:
    """Height above the tip at which the full shank begins, mm."""
    return max(cutter.flute_length, cutter.reach or 0.0)


def _parts(cutter: Cutter) -> Iterator[tuple[float, float, float]]:
    """Lower and upper end above the tip, and radius, of the cutter and each part above it, mm."""
    begins = _shank_begins(cutter)
    if cutter.nut is not None:
        yield cutter.lowest, 0.0, cutter.nut.diameter / 2
    yield 0.0, cutter.flute_length, cutter.radius
    if begins > cutter.flute_length:
        yield cutter.flute_length, begins, min(cutter.shank / 2, cutter.radius)
    if cutter.holder is None:
        yield begins, math.inf, cutter.shank / 2
        return
    if cutter.stickout > begins:
        yield begins, cutter.stickout, cutter.shank / 2
    yield cutter.stickout, math.inf, cutter.holder.diameter / 2


def _ways_of(s: Segments) -> NDArray[np.object_]:
    return np.asarray(shapely.linestrings(np.stack((s.start[:, :2], s.end[:, :2]), axis=1)))


def _gaps(s: Segments, outline: BaseGeometry) -> Array:
    """(n,) from each move to an outline in plan, mm."""
    found: Array = np.asarray(shapely.distance(_ways_of(s), outline))
    return found
