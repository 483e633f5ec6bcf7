"""What the set-ups before have cut, as the set-up at hand sees it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from gcodekit.job.model import Setup
from gcodekit.part.asked import Asked
from gcodekit.part.sitting import Seen


@dataclass(frozen=True, slots=True)
class Earlier:
    """An earlier set-up with the same face up, how it is seen from the one at hand, and what its
    features asked for, by their names."""

    setup: Setup
    seen: Seen
    asked: Mapping[str, Asked]

    def cut_at(self, z: float) -> list[BaseGeometry]:
        """All that was cut there, at a height of the coordinates at hand."""
        then = self.seen.own_z(z)
        shapes = (s for a in self.asked.values() for s in (a.must_at(then), a.may_at(then)))
        return [self.seen.area(s) for s in shapes]
