"""The height between two levels at which a cut may leave the drawing, where the metal slopes.

Metal that changes between levels, as a lying bar does, may be gone where a cutter's point is widest
and be out of its reach where most of it stands: the worst lies in between.
"""

from __future__ import annotations

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import joined, less, union
from gcodekit.proof.cutter_room import room_at, room_in
from gcodekit.proof.findings import Blank, TargetSlices
from gcodekit.proof.sections import ProgramCut

# Outlines whose points differ by less, mm, are the same.
SAME_OUTLINE = 1e-4
# What bulges out between two heights by no more, mm2, does not count.
LEAST_BULGE = 1e-3
# Between two levels the layers looked into are at the thinnest this share of what lies between.
MOST_LAYERS = 256


class SlopingMetal:
    """A cut and the metal between levels, `near`: the tolerance, mm."""

    def __init__(self, cut: ProgramCut, target: TargetSlices, blank: Blank, near: float) -> None:
        # planes between levels go down again: the others' sections are not to start afresh
        self._cut = ProgramCut(cut.distinct)
        self._target, self._blank, self._near = target, blank, near

    def worst(self, low: float, high: float) -> float | None:
        """The height between two at which the most is taken of what is to be kept, if any."""
        if high - low <= self._near or self._same(low, high):
            return None
        thin = max(self._near, (high - low) / MOST_LAYERS)
        found: list[tuple[float, float]] = []
        waiting = [(low, high)]
        while waiting:
            a, b = waiting.pop()
            middle, thick = (a + b) / 2, b - a > thin
            suspect = self._suspect(a, b)
            if suspect and not thick:
                found.append((self._gouge(middle), middle))
            elif thick and (suspect or self._bulges(a, middle, b)):
                waiting += [(middle, b), (a, middle)]
        distance, height = max(found, default=(0.0, 0.0))
        return height if distance > self._near else None

    def _gouge(self, z: float) -> float:
        return room_at(self._target.slice(z), self._blank).gouge(self._taken(z)).distance

    def _same(self, low: float, high: float) -> bool:
        """Tell whether the metal does not change; nothing between them then is worse than at
        them."""
        first, *others = (self._blank.at(z) for z in (low, (low + high) / 2, high))
        return all(first.equals_exact(other, SAME_OUTLINE) for other in others)

    def _bulges(self, low: float, middle: float, high: float) -> bool:
        """Tell whether metal stands in between where none does at either height."""
        beside = union((self._blank.at(low), self._blank.at(high)))
        return less(self._blank.at(middle), beside).area > LEAST_BULGE

    def _suspect(self, low: float, high: float) -> bool:
        """Tell whether what is cut at either height would leave the drawing in the metal of
        both."""
        slices = [self._target.slice(z) for z in (low, high)]
        metal = union(less(self._blank.at(s.z), s.air) for s in slices)
        cuts = ((s, self._taken(s.z)) for s in slices)
        found = (room_in(metal, s).gouge(taken) for s, taken in cuts if not taken.is_empty)
        return any(each.distance > self._near for each in found)

    def _taken(self, z: float) -> BaseGeometry:
        return joined(self._cut.by_owner(z).values())
