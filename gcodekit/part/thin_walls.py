"""Thin walls that a set-up leaves standing, found in sections of the finished work."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.flattening import polygons_of
from gcodekit.geometry.overlay import joined
from gcodekit.job.model import Setup
from gcodekit.job.stock.removed_stock import Slab
from gcodekit.part.setup_stock import heights, metal, metal_levels

# Slices thinner than this say nothing of a wall, mm; more of them than this are not looked at.
THINNEST_SLICE = 0.3
MOST_SLICES = 12
# A section's corners may move by this, mm.
COARSE_SECTION = 0.005
# What is nowhere wider than twice this, mm, is what chords leave.
CHORD_HAIR = 0.02
# Of the smaller area: what two slices have in common, where they are of one wall.
SHARED = 0.5
# A wall with a free end is a strip to this share; what is less so is a corner.
EVEN = 0.8
# A wall's end is where it comes this near to something thicker, mm.
TOUCHING = 0.05


@dataclass(frozen=True, slots=True)
class ThinWall:
    """A wall in plan, from `low` up to `top`; `thickness` and `length` in mm.
    `rooted`: it stands on stock; `ends`: how many places it runs into something thicker at;
    `closed`: it goes all round something."""

    area: Polygon
    low: float
    top: float
    thickness: float
    length: float
    rooted: bool
    ends: int
    closed: bool

    @property
    def height(self) -> float:
        """mm."""
        return self.top - self.low


@dataclass(slots=True)
class _Slice:
    area: Polygon
    thick: BaseGeometry
    low: float
    top: float


def thin_walls(setup: Setup, gone: Sequence[Slab], thinner: float) -> list[ThinWall]:
    """Walls thinner than that, mm, once a set-up's slabs have `gone`."""
    bottom, _ = heights(setup)
    open_: list[_Slice] = []
    found: list[ThinWall] = []
    for low, top in _slices(setup, gone):
        section = _section(setup, gone, (low + top) / 2)
        here, thick = _thin(section, thinner)
        still: list[_Slice] = []
        for wall in open_:
            below = next((p for p in here if _same(wall.area, p)), None)
            if below is None:
                found.append(_wall(wall, rooted=wall.area.intersects(section)))
            else:
                here.remove(below)
                still.append(_Slice(below, thick, low, wall.top))
        open_ = still + [_Slice(p, thick, low, top) for p in here]
    found += [_wall(w, rooted=w.low > bottom + THINNEST_SLICE) for w in open_]
    return [wall for wall in found if wall.ends > 1 or wall.closed or _even(wall)]


def _slices(setup: Setup, gone: Sequence[Slab]) -> list[tuple[float, float]]:
    """The tallest slices between heights where the section changes, from the top down."""
    bottom, top = heights(setup)
    levels = {bottom, top, *metal_levels(setup)}
    levels.update(z for s in gone if not s.step for z in (s.low, s.high) if bottom < z < top)
    every = [(a, b) for a, b in pairwise(sorted(levels)) if b - a >= THINNEST_SLICE]
    tallest = sorted(every, key=lambda s: s[0] - s[1])[:MOST_SLICES]
    return sorted(tallest, reverse=True)


def _section(setup: Setup, gone: Iterable[Slab], z: float) -> BaseGeometry:
    left = metal(setup, z).difference(joined(s.area for s in gone if s.low < z < s.high))
    return left.simplify(COARSE_SECTION)


def _thin(section: BaseGeometry, thinner: float) -> tuple[list[Polygon], BaseGeometry]:
    """The pieces of a section that are thinner than that, and the rest of it."""
    half = thinner / 2
    thick = section.buffer(-half).buffer(half + COARSE_SECTION)
    pieces = polygons_of(section.difference(thick))
    return [p for p in pieces if _is_wall(p)], thick


def _is_wall(piece: Polygon) -> bool:
    # what falls apart where it is thinnest is two corners that meet
    if len(polygons_of(piece.buffer(-CHORD_HAIR))) != 1:
        return False
    thickness, length = _sides(piece)
    return length > thickness


def _sides(piece: Polygon) -> tuple[float, float]:
    """Thickness, of the discs that just cover half of it, and length of as large a wall as thick
    all along: so neither a fillet at its end nor a neck counts for more than it is."""
    low, high = 0.0, _widest(piece) / 2
    while high - low > COARSE_SECTION / 2:
        middle = (low + high) / 2
        covered = piece.buffer(-middle).buffer(middle + COARSE_SECTION / 2).intersection(piece).area
        low, high = (middle, high) if covered > piece.area / 2 else (low, middle)
    return low + high, piece.area / (low + high)


def _widest(piece: Polygon) -> float:
    """Diameter of the largest disc within."""
    return 2 * float(shapely.maximum_inscribed_circle(piece, tolerance=COARSE_SECTION).length)


def _even(wall: ThinWall) -> bool:
    """Tell whether it is a strip, as long by its rim as by its area."""
    return wall.length >= EVEN * (wall.area.length / 2 - wall.thickness)


def _closed(piece: Polygon) -> bool:
    return len(piece.interiors) > 0


def _same(a: BaseGeometry, b: BaseGeometry) -> bool:
    return bool(a.intersection(b).area > SHARED * min(a.area, b.area))


def _wall(wall: _Slice, *, rooted: bool) -> ThinWall:
    thickness, length = _sides(wall.area)
    near = wall.area.buffer(TOUCHING).intersection(wall.thick)
    ends = len([p for p in shapely.get_parts(near) if p.area > 0])
    return ThinWall(
        wall.area, wall.low, wall.top, thickness, length, rooted, ends, _closed(wall.area)
    )
