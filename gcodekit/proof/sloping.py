"""Heights between two levels at which a cut may leave the drawing, where the metal slopes.

Metal that changes between levels, as a lying bar does, may be gone where a cutter's point is widest
and be out of its reach where most of it stands: the worst lies in between.
"""

from __future__ import annotations

from gcodekit.geometry.overlay import joined, less, union
from gcodekit.proof.cutter_room import CutterRoom, free_round
from gcodekit.proof.findings import Blank, TargetSlices
from gcodekit.proof.sections import ProgramCut

# Sections whose areas differ by less, mm2, are the same.
SAME_AREA = 1e-3
# Heights of one pair of levels at most: a fault in more than so many is seen in these.
MOST_HEIGHTS = 200


class SlopingMetal:
    """A cut and the metal between levels, `near`: the tolerance, mm."""

    def __init__(self, cut: ProgramCut, target: TargetSlices, blank: Blank, near: float) -> None:
        # planes between levels go down again: the others' sections are not to start afresh
        self._cut = ProgramCut(cut.distinct)
        self._target, self._blank, self._near = target, blank, near

    def heights(self, low: float, high: float) -> list[float]:
        """Where to look between two heights, ascending."""
        if high - low <= self._near or self._same(low, high):
            return []
        found: list[float] = []
        waiting = [(low, high)]
        while waiting and len(found) < MOST_HEIGHTS:
            a, b = waiting.pop()
            if not self._suspect(a, b):
                continue
            middle = (a + b) / 2
            if b - a <= self._near:
                found.append(middle)
            else:
                waiting += [(middle, b), (a, middle)]
        return found

    def _same(self, low: float, high: float) -> bool:
        """Whether the metal does not change; nothing between them then is worse than at them."""
        areas = [self._blank.at(z).area for z in (low, high)]
        return abs(areas[0] - areas[1]) <= SAME_AREA

    def _suspect(self, low: float, high: float) -> bool:
        """Whether what is cut at either height would leave the drawing in the metal of both."""
        slices = [self._target.slice(z) for z in (low, high)]
        metal = union(less(self._blank.at(s.z), s.air) for s in slices)
        free = free_round(metal)
        for asked in slices:
            taken = joined(self._cut.by_owner(asked.z).values())
            if taken.is_empty:
                continue
            may = less(joined((asked.must, asked.may)), asked.stay)
            if CutterRoom(metal, joined((may, free))).gouge(taken).distance > self._near:
                return True
        return False
