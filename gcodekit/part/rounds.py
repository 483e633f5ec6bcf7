"""Drawn rounds a cutter has to roll into."""

from __future__ import annotations

import math
from collections.abc import Iterable

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Arc, Chain


def tightest_round(chains: Iterable[Chain], *, left: bool, within: BaseGeometry | None) -> float:
    """Radius of the smallest arc that a cutter on the left (or right) of the chains lies in, mm;
    infinite where there is none. Only those count whose middle is `within` the metal."""
    radii = [
        s.radius
        for chain in chains
        for s in chain
        if isinstance(s, Arc) and s.ccw == left and _in(s, within)
    ]
    return min(radii, default=math.inf)


def _in(arc: Arc, within: BaseGeometry | None) -> bool:
    return within is None or bool(within.covers(shapely.Point(arc.point_at(arc.length / 2))))
