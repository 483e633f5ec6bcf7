"""The sweep of cutters in several planes, at their flutes and above them.

A segment that lies below a plane by the length of the cutter's point sweeps the same in every plane
above. Those that become so, and pass out of the flutes' reach, at the same planes are joined once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import chain

import numpy as np
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import joined
from gcodekit.proof.chords import ONE_HEIGHT, Segments
from gcodekit.proof.sections import section
from gcodekit.trade.cutter import Cutter


class SweptSections:
    """The sweeps of a program's segments in some planes, given by their z."""

    def __init__(self, segments: Iterable[Segments], planes: Iterable[float]) -> None:
        self.planes = sorted(planes)
        self._groups = [_Banded(s, self.planes) for s in segments]

    def fluted(self, plane: int) -> BaseGeometry:
        """The sweep of the flutes of all cutters in a plane, but for those that leave stock between
        their grooves; planes count upwards."""
        own = (g for g in self._groups if not g.segments.cutter.leaves_ridges)
        return joined(chain.from_iterable(g.pieces(plane, fluted=True) for g in own))

    def above_flutes(self, plane: int, cutter: Cutter) -> BaseGeometry:
        """The sweep of one cutter above its flutes."""
        own = (g for g in self._groups if g.segments.cutter.number == cutter.number)
        return joined(chain.from_iterable(g.pieces(plane, fluted=False) for g in own))


class _Banded:
    """One group of segments; three planes for each, by number: the first that it comes down to,
    that it lies wholly below, and that its flutes no longer reach."""

    def __init__(self, segments: Segments, planes: Sequence[float]) -> None:
        self.segments, self._planes = segments, planes
        cutter, low, upright = segments.cutter, segments.low, segments.upright
        high = np.where(upright, low, segments.high) + cutter.point_length
        # what follows a hole has had its flutes all the way down before its shank comes there; a
        # shank that is wider than they are the virtual stock looks at
        follows = upright & (cutter.kind in ("reamer", "tap"))
        flutes_from = np.where(follows, segments.high, low)
        heights = np.array(planes)
        self._met = np.searchsorted(heights + ONE_HEIGHT, low)
        self._whole = np.searchsorted(heights + ONE_HEIGHT, high)
        self._bare = np.searchsorted(
            heights - cutter.flute_length - ONE_HEIGHT, flutes_from, side="right"
        )
        self._alike = self._whole * (len(planes) + 1) + self._bare
        self._joined: dict[int, BaseGeometry] = {}

    def pieces(self, plane: int, *, fluted: bool) -> list[BaseGeometry]:
        """Together what they sweep in a plane."""
        if self.segments.cutter.is_blade:
            # above its blade there is the arbor, which `blades.py` looks at
            return section(self.segments, self._planes[plane]) if fluted else []
        wanted = (self._bare > plane) == fluted
        whole = wanted & (self._whole <= plane)
        partly = wanted & (self._whole > plane) & (self._met <= plane)
        found = [self._together(int(alike)) for alike in np.unique(self._alike[whole])]
        return found + section(self.segments.rows(partly), self._planes[plane])

    def _together(self, alike: int) -> BaseGeometry:
        if alike not in self._joined:
            rows = self.segments.rows(self._alike == alike)
            plane = self._planes[alike // (len(self._planes) + 1)]
            self._joined[alike] = joined(section(rows, plane))
        return self._joined[alike]
