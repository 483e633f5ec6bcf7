"""Bodies that a profile's roughing and leads may not reach into: what other features keep."""

from __future__ import annotations

import math

from shapely.geometry.base import BaseGeometry

from gcodekit.job.model import Feature, Pocket, Profile, Setup
from gcodekit.part.metal import plan
from gcodekit.part.plane import EMPTY, area_of, grown, less, line_of, union
from gcodekit.part.solids import Prism

# Outlines meant to coincide do to this, mm.
SAME_EDGE = 0.001
# What an inside profile keeps is taken to be the whole plate, this far beyond the metal, mm.
BEYOND = 10.0


def kept_from(profile: Profile, setup: Setup) -> tuple[Prism, ...]:
    """What the set-up's other features keep standing, as far as this profile is concerned.

    A profile with the cutter outside keeps its inside, less the windows cut out of it; one with
    the cutter inside keeps the plate round it from whatever is cut within its window; a pocket
    keeps its islands.
    """
    return tuple(
        body
        for other in setup.features
        if other.name != profile.name
        for body in _kept(other, profile, setup)
    )


def _kept(other: Feature, profile: Profile, setup: Setup) -> tuple[Prism, ...]:
    if isinstance(other, Pocket):
        islands = union(area_of(i) for i in other.islands)
        return () if islands.is_empty else (Prism(islands, other.depth.cut_to),)
    if not isinstance(other, Profile) or other.outline is None:
        return ()
    body = EMPTY
    if other.side == "outside":
        body = less(area_of(other.outline), _windows(other, setup))
    elif other.side == "inside" and _within(profile, area_of(other.outline)):
        body = less(grown(plan(setup).envelope, BEYOND), area_of(other.outline))
    return () if body.is_empty else (Prism(body, other.depth.cut_to, math.inf),)


def _windows(part: Profile, setup: Setup) -> BaseGeometry:
    """What other profiles cut out of a part's inside."""
    assert part.outline is not None
    area = area_of(part.outline)
    inside = (
        f.outline
        for f in setup.features
        if isinstance(f, Profile) and f.side == "inside" and f.outline is not None
    )
    return union(a for a in map(area_of, inside) if grown(area, SAME_EDGE).covers(a))


def _within(profile: Profile, window: BaseGeometry) -> bool:
    """Whether a profile's drawing lies in a window."""
    if profile.outline is not None:
        return bool(grown(window, SAME_EDGE).covers(area_of(profile.outline)))
    assert profile.path is not None  # the job gives one of both
    return bool(grown(window, SAME_EDGE).covers(line_of(profile.path)))
