"""Contour-parallel rings that clear an area, as a tree from the wall inward.

`room` is where the cutter's centre may go: the area less the cutter's radius and the allowance
left on walls. Each ring of the tree is one ring of the area's offset at some distance; its children
lie inside it. Cut from the leaves outward, each ring widens what is already open.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.flattening import polygons_of, to_shapely
from gcodekit.geometry.offset import grow
from gcodekit.geometry.region import Part, Region

FLAT_SAG = 0.002  # mm; for planning tests only, walls are cut on true arcs
# Offsets of one area are made until nothing is left; a ring count beyond this means the stepover
# is absurd for the area, and the plan stops rather than run for ever.
MOST_RINGS = 2000
# How thin a strip between rings may be missed by the swept discs before the rings are set closer.
STRIP_MISSED = 0.01


@dataclass(frozen=True, slots=True)
class Node:
    """One connected piece of the offset at one distance, with what lies inside it."""

    rings: tuple[Chain, ...]
    shape: BaseGeometry
    inside: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Rings:
    """Everything a level of clearing needs. `room` is the centre region, `walls` its rings."""

    roots: tuple[Node, ...]
    room: BaseGeometry
    region: Region
    stepover: float

    @property
    def first_share(self) -> float:
        """The share of the way that has nothing cleared beside it: the innermost rings."""
        nodes = list(_nodes(self.roots))
        lengths = [sum(r.length for r in n.rings) for n in nodes]
        first = sum(length for n, length in zip(nodes, lengths, strict=True) if not n.inside)
        return first / max(sum(lengths), 1e-9)


def room_for(area: Region, distance: float, *, air: BaseGeometry | None = None) -> Region:
    """The area where a centre may go: `distance` inside the area. Pieces whose cutter would only
    turn in `air` are left out."""
    room = grow(area, -distance)
    if air is None or room.empty:
        return room
    kept = tuple(
        p
        for p in room.parts
        if to_shapely(Region((p,)), FLAT_SAG).buffer(distance).difference(air).area > 1e-6
    )
    return Region(kept)


def plan_rings(
    area: Region,
    *,
    radius: float,
    allowance: float,
    stepover: float,
    air: BaseGeometry | None = None,
) -> Rings:
    """Rings no more than `stepover` apart that leave nothing uncut inside the room's reach."""
    room = room_for(area, radius + allowance, air=air)
    flat = to_shapely(room, FLAT_SAG)
    wanted = flat.buffer(radius - STRIP_MISSED)
    for _ in range(8):
        roots = _tree(area, room, radius + allowance, stepover)
        swept = shapely.union_all([_swept(r, radius) for n in _nodes(roots) for r in n.rings])
        finer = 0.75 * stepover
        if (
            wanted.difference(swept).buffer(-STRIP_MISSED).is_empty
            or _across(flat) > MOST_RINGS * finer
        ):
            break
        stepover = finer
    return Rings(roots, flat, room, stepover)


def _across(room: BaseGeometry) -> float:
    """The shorter side of the box about it, mm: strokes across, and twice as many rings as lie one
    within the other, go into that."""
    x0, y0, x1, y1 = room.bounds if not room.is_empty else (0.0, 0.0, 0.0, 0.0)
    return float(min(x1 - x0, y1 - y0))


def entry_disc(node: Node) -> tuple[Point, float]:
    """The middle and radius of about the largest disc in a node's shape."""
    line = shapely.maximum_inscribed_circle(_polygon(node.shape), tolerance=0.05)
    return (line.coords[0][0], line.coords[0][1]), float(line.length)


def _polygon(shape: BaseGeometry) -> shapely.Polygon:
    """The shape; the largest piece where a neck exactly as wide as the cutter parts it."""
    if isinstance(shape, shapely.Polygon):
        return shape
    return max(polygons_of(shape), key=lambda p: float(p.area))


def _swept(ring: Chain, radius: float) -> BaseGeometry:
    return shapely.LineString(ring.flattened(FLAT_SAG)).buffer(radius, quad_segs=32)


def _nodes(roots: tuple[Node, ...]) -> Iterator[Node]:
    for node in roots:
        yield node
        yield from _nodes(node.inside)


def _tree(area: Region, room: Region, distance: float, stepover: float) -> tuple[Node, ...]:
    levels = [room]
    while not levels[-1].empty:
        if len(levels) > MOST_RINGS:
            raise RuntimeError(f"more than {MOST_RINGS} rings at {stepover} mm")
        levels.append(grow(area, -(distance + stepover * len(levels))))
    below: list[Node] = []
    for level in reversed(levels):
        below = [_node(part, below) for part in level.parts]
    return tuple(below)


def _node(part: Part, below: list[Node]) -> Node:
    shape = to_shapely(Region((part,)), FLAT_SAG)
    fence = shape.buffer(FLAT_SAG)
    inside = tuple(n for n in below if fence.covers(n.shape.representative_point()))
    return Node((part.outer, *part.holes), shape, inside)
