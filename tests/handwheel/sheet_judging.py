"""Cuts read from a handwheel sheet held against what the drawing asks at every level."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
import shapely
from manifold3d import CrossSection, FillRule, JoinType
from shapely.geometry.base import BaseGeometry
from sheet_reading import ByHand, section

from gcodekit.target.target import Target
from gcodekit.trade.cutter import Cutter

# Chords of the sweeps and of the drawing, and areas no larger than a speck, mm and mm2.
CHORDS = 0.003
SPECK = 1e-4
# Beside levels, mm: further than depths are rounded, less than a pass is deep.
OFF_LEVEL = 0.04
# A place counts as at a straight wall if no other wall is this near, mm.
APART = 3.0


@dataclass(frozen=True)
class Judged:
    """The worst found: into the part, left at straight walls, and left at curves and slants, mm."""

    gouge: float
    straight: float
    curved: float
    problems: tuple[str, ...]


def judged(
    operations: Sequence[ByHand],
    target: Target,
    cutters: Mapping[int, Cutter],
    division: float,
) -> Judged:
    """Hold what the hands cut against the drawing."""
    filed = max((o.filed for o in operations), default=0.0)
    worst = [0.0, 0.0, 0.0]
    problems = []
    levels = sorted(target.levels)
    for low, high in pairwise(levels):
        if high - low < 3 * OFF_LEVEL:
            continue
        for z in (low + OFF_LEVEL, high - OFF_LEVEL):
            cut = shapely.union_all([section(o, cutters[o.cutter], z) for o in operations])
            gouge = _gouge(cut, _free(target, z))
            straight, curved = _uncut(cut, _required(target, z))
            worst = [max(a, b) for a, b in zip(worst, (gouge, straight, curved), strict=True)]
            if gouge > division + CHORDS:
                problems.append(f"z {z:.2f}: {gouge:.3f} into the part")
            if straight > division + CHORDS:
                problems.append(f"z {z:.2f}: {straight:.3f} left at a straight wall")
            if curved > max(filed, division) + CHORDS:
                problems.append(f"z {z:.2f}: {curved:.3f} left at a curve")
    return Judged(*worst, tuple(problems))


@lru_cache(maxsize=256)
def _free(target: Target, z: float) -> BaseGeometry:
    """Where cutters may be at a height."""
    asked = target.slice(z)
    free = shapely.union_all([asked.required, asked.allowed, asked.air])
    # what is only a hair between areas that meet is none
    free = free.buffer(CHORDS).buffer(-CHORDS)
    return free.difference(asked.kept)


@lru_cache(maxsize=256)
def _required(target: Target, z: float) -> tuple[BaseGeometry, ...]:
    """What each feature's cutters reach of what has to go at a height."""
    asked, found = target.slice(z), []
    free = shapely.union_all([asked.required, asked.allowed, asked.air]).difference(asked.kept)
    for feature in asked.features:
        required = feature.required.difference(asked.kept).difference(asked.air)
        if required.is_empty:
            continue
        reach = max(feature.reach - CHORDS, 0.0)
        if 0 < reach < float("inf"):
            near = free.intersection(shapely.box(*required.bounds).buffer(4 * reach))
            required = required.intersection(_opened(near, reach))
        found.append(required)
    return tuple(found)


def _gouge(cut: BaseGeometry, free: BaseGeometry) -> float:
    return _farthest(cut.difference(free), free)


def _uncut(cut: BaseGeometry, asked: Sequence[BaseGeometry]) -> tuple[float, float]:
    """How far what is left lies from what is cut, at straight walls and at others."""
    straight = curved = 0.0
    for required in asked:
        left = required.difference(cut)
        for piece in shapely.get_parts(left):
            if piece.area < SPECK:
                continue
            far, where = _farthest_place(piece, cut)
            if _at_straight(where, required):
                straight = max(straight, far)
            else:
                curved = max(curved, far)
    return straight, curved


@lru_cache(maxsize=256)
def _opened(area: BaseGeometry, radius: float) -> BaseGeometry:
    """What a disc reaches within an area, by another library than the one that plans."""
    rings = [
        shapely.get_coordinates(ring)[:-1]
        for p in shapely.get_parts(area)
        if p.geom_type == "Polygon"
        for ring in (p.exterior, *p.interiors)
    ]
    whole = CrossSection(rings, FillRule.EvenOdd)
    for by in (-radius, radius):
        whole = whole.offset(by, JoinType.Round, 2.0, 256)
    turned = [shapely.Polygon(ring) for ring in whole.to_polygons()]
    found = shapely.Polygon()
    for ring in turned:
        found = found.symmetric_difference(ring)
    return found


def _farthest(pieces: BaseGeometry, other: BaseGeometry) -> float:
    found = [_farthest_place(p, other)[0] for p in shapely.get_parts(pieces) if p.area >= SPECK]
    return max(found, default=0.0)


def _farthest_place(piece: BaseGeometry, other: BaseGeometry) -> tuple[float, shapely.Point]:
    """The place of a piece farthest from another area."""
    places = shapely.get_coordinates(shapely.segmentize(piece, 0.25))
    inner = shapely.get_coordinates(piece.representative_point())
    points = shapely.points(np.concatenate((places, inner)))
    if other.is_empty:
        return float("inf"), points[0]
    away = shapely.distance(points, other)
    return float(away.max()), points[int(away.argmax())]


def _at_straight(place: shapely.Point, area: BaseGeometry) -> bool:
    """Whether all edges near a place run along X or Y."""
    near = area.boundary.intersection(place.buffer(APART))
    for line in shapely.get_parts(near):
        if line.geom_type != "LineString":
            continue
        steps = np.abs(np.diff(shapely.get_coordinates(line), axis=0))
        if (steps.min(axis=1) > 1e-4).any():
            return False
    return True
