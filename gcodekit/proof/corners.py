"""Where a round cutter gets in plan: a corner keeps its radius."""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import less, union
from gcodekit.proof.sections import quarter_chords
from gcodekit.target.sweep import resized

# A slot exactly as wide as its cutter must count as reached: the opening disc is this much
# smaller than the cutter, mm, a little more than the chords sag. In a right-angled corner it moves
# the limit by 0.0002 mm; where a cutter only just gets in beside a curved wall, by much more.
OPENING_SLACK = 0.0005


def substance(region: BaseGeometry, crumb: float) -> BaseGeometry:
    """Its pieces that hold a circle of a radius: a cutter beside the metal bulges into the mouth of
    a gap that it does not go into."""
    pieces = shapely.get_parts(region)
    return shapely.MultiPolygon(list(pieces[~shapely.is_empty(shapely.buffer(pieces, -crumb))]))


def with_free(room: BaseGeometry, radius: float, metal: BaseGeometry) -> BaseGeometry:
    """Room for a cutter with the free space about it, or every corner at the metal's edge would be
    out of reach."""
    x0, y0, x1, y1 = room.bounds
    margin = 2 * radius + 1.0
    around = shapely.box(x0 - margin, y0 - margin, x1 + margin, y1 + margin)
    return room if metal.covers(around) else union((room, less(around, metal)))


def reachable(room: BaseGeometry, radius: float) -> BaseGeometry:
    """Where a finishing cutter can cut within room for it: a corner keeps the cutter's radius."""
    inner = max(0.0, radius - OPENING_SLACK)
    chords = quarter_chords(inner)
    return resized(resized(room, -inner, chords=chords), inner, chords=chords)
