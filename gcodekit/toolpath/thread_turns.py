"""Helical turns of a thread mill, with the arcs by which it comes into its groove and leaves it.

Inside a bore it comes from the axis on a half circle: seen from the axis its direction turns
evenly, half as fast as on that circle, so rising a quarter of a lead it stays in its own groove all
the way. Round a boss it comes from outside on a quarter circle, rising as fast as the groove does
where it arrives.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from gcodekit.geometry.chain import Arc, Chain, Point
from gcodekit.toolpath.path import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadTurns:
    """Turns about `centre` at `orbit`, begun and ended at +X of it. `rise`: of one turn, mm,
    signed; `lead`: radius of the arcs outside, None inside a bore."""

    centre: Point
    orbit: float
    rise: float
    ccw: bool
    lead: float | None = None

    @property
    def start(self) -> Point:
        """The place to come down at."""
        return self.centre if self.lead is None else self._beside(-1.0)

    @property
    def climb_in(self) -> float:
        """What it rises on the way in, and on the way out, mm, signed."""
        return self.rise * (0.25 if self.lead is None else self.lead / (4 * self.orbit))

    def cut(self, path: Path, z: float, turns: int) -> None:
        """Go in from `start`, where the path is, lower or higher than `z` by the rise on the way,
        go round from `z`, and leave."""
        x, y = self.centre
        at = (x + self.orbit, y)
        path.follow(Chain((self._on(at),)), end_z=z)
        for n in range(1, turns + 1):
            path.follow(Chain((Arc(at, at, self.centre, self.ccw),)), end_z=z + n * self.rise)
        end = z + turns * self.rise
        path.follow(Chain((self._off(at),)), end_z=end + self.climb_in)

    def _on(self, at: Point) -> Arc:
        return Arc(self.start, at, self._middle(at), self.ccw == (self.lead is None))

    def _off(self, at: Point) -> Arc:
        end = self.centre if self.lead is None else self._beside(1.0)
        return Arc(at, end, self._middle(at), self.ccw == (self.lead is None))

    def _middle(self, at: Point) -> Point:
        """The middle of both arcs."""
        if self.lead is None:
            return (self.centre[0] + self.orbit / 2, self.centre[1])
        return (at[0] + self.lead, at[1])

    def _beside(self, onward: float) -> Point:
        """The far end of an arc outside, behind the way round or (1) ahead of it."""
        assert self.lead is not None
        side = onward if self.ccw else -onward
        x, y = self.centre
        return (x + self.orbit + self.lead, y + side * self.lead)


def lead_to(orbit: float, away: float) -> float:
    """The radius of a quarter circle that leaves an orbit outward and ends `away` from its centre,
    mm."""
    return (math.sqrt(2 * away * away - orbit * orbit) - orbit) / 2
