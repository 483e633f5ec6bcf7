"""Slots: the path swept by their width, straight on at open ends as far as there is metal."""

from __future__ import annotations

import math

import numpy as np
import shapely
from manifold3d import CrossSection, Manifold
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.overlay import less, union
from gcodekit.job.kinds.slot import Slot
from gcodekit.job.model import Setup
from gcodekit.target import planar
from gcodekit.target.bodies import Box, Upright
from gcodekit.target.demand import Demand, FeatureCutters
from gcodekit.target.drawn_areas import discs, grown, line_of, rectangle
from gcodekit.target.kind_target import RUN_OFF, KindTarget
from gcodekit.target.measured_walls import between_walls
from gcodekit.target.neighbours import Neighbours
from gcodekit.target.setup_metal import UNDER_LEVEL, SetupSoFar, bottom_of, top_of
from gcodekit.target.volumes import Extent, Finish, beyond_stock, upright

# Metal that only touches the slot's wall is not ahead of it: looked at so much narrower, mm.
NARROWER = 1e-4
# Pieces overlap by this, mm, to become one.
LAP = 1e-3
# At these shares of the height of the stock over its floor it is looked how far a slot runs on;
# what is farther than this beside its round end, mm, is other stock.
RUN_ON_SHARES, BESIDE_END = (0.02, 0.5, 0.98), 0.1


class SlotTarget(KindTarget[Slot]):
    """It runs on at its open ends until it is out of the metal."""

    def demand(
        self, feature: Slot, used: FeatureCutters, so_far: SetupSoFar, others: Neighbours
    ) -> Demand:
        """The sweep must go, and to the metal's edge at open ends; RUN_OFF more of those may."""
        del others
        moved = between_walls(feature)
        half, floor = feature.width / 2 + moved.wall, feature.depth.cut_to - moved.floor
        whole, past = _swept(feature, half, so_far)
        allowed = [Upright(p, floor) for p in (less(past, whole),) if not p.is_empty]
        if used.left or used.left_on_floor:
            allowed.append(Upright(whole, floor))
        required = grown(whole, -used.left) if used.left else whole
        return Demand(
            name=feature.name,
            reach=min(used.cutter.radius, half),
            required=(Upright(required, floor + used.left_on_floor),),
            allowed=tuple(allowed),
        )

    def drawn(self, feature: Slot, whole: Demand) -> list[Box]:
        """All it demands: past its open ends it goes on, aslant with a corner far beyond the
        metal."""
        del feature
        return [body.bounds for body in (*whole.required, *whole.allowed)]

    def in_plan(self, feature: Slot, setup: Setup, finish: Finish, extent: Extent) -> CrossSection:
        """Its sweep, at the most with its open ends run on as far as the stock goes."""
        del finish
        far = beyond_stock(feature.path.start, setup) if extent == "most" else 0.0
        return _run_on(feature, (far, far))

    def solid(
        self,
        feature: Slot,
        setup: Setup,
        finish: Finish,
        extent: Extent,
        stock: Manifold | None = None,
    ) -> Manifold:
        """The same to its floor, its open ends run on until they are out of the stock at hand."""
        if stock is None:
            return super().solid(feature, setup, finish, extent)
        area = _run_on(feature, _runs(feature, stock))
        return upright(area, feature.depth.cut_to, setup)


def _swept(slot: Slot, half: float, so_far: SetupSoFar) -> tuple[BaseGeometry, BaseGeometry]:
    """The area that a slot takes in plan as far as there is stock, `half` to either side of its
    line, and how far its open ends may run out."""
    pieces = [grown(line_of(slot.path), half, flat_ends=not slot.path.closed)]
    past: list[BaseGeometry] = []
    for end, out, kind in () if slot.path.closed else _ends(slot):
        if kind == "round":
            pieces.append(discs([end], half))
            continue
        metal_to = _metal_ahead(slot, end, out, so_far)
        pieces.append(rectangle(end, out, (-LAP, max(0.0, metal_to)), half))
        past.append(rectangle(end, out, (-LAP, metal_to + RUN_OFF), half))
    return union(pieces), union(past)


def _ends(slot: Slot) -> tuple[tuple[Point, Point, str], ...]:
    """Both: the point, the unit direction out of the slot, round or open."""
    path, (first, last) = slot.path, slot.ends
    back = path.tangent_at(0.0)
    on = path.tangent_at(path.length)
    return ((path.start, (-back[0], -back[1]), first), (path.end, on, last))


def _metal_ahead(slot: Slot, end: Point, out: Point, so_far: SetupSoFar) -> float:
    """The length of stock ahead of an open end, mm, up to the first gap of RUN_OFF; less than 0
    where the slot leaves the stock before its end."""
    setup = so_far.setup
    low, high = setup.left.low, setup.left.high
    far = math.dist(low, high) + math.hypot(*end)
    ahead = rectangle(end, out, (-RUN_OFF, far), slot.width / 2 - NARROWER)
    return _to_first_gap(_over_floor(ahead, slot, so_far), end, out)


def _over_floor(ahead: BaseGeometry, slot: Slot, so_far: SetupSoFar) -> BaseGeometry:
    """All that stands ahead anywhere over the slot's floor: other sides may have hollowed it out
    below, or cut it back above."""
    setup = so_far.setup
    lowest = max(slot.depth.cut_to, bottom_of(setup))
    axis = (bottom_of(setup) + top_of(setup)) / 2
    levels = [z for z in so_far.levels_over(ahead) if lowest < z < top_of(setup)]
    heights = {
        lowest + UNDER_LEVEL,
        max(lowest + UNDER_LEVEL, axis),
        *(z + UNDER_LEVEL for z in levels),
    }
    heights |= {z - UNDER_LEVEL for z in levels if z - UNDER_LEVEL > lowest}
    return union([so_far.metal_over(ahead, z) for z in sorted(heights)])


def _to_first_gap(standing: BaseGeometry, end: Point, out: Point) -> float:
    spans = []
    for piece in shapely.get_parts(standing):
        if not piece.is_empty:
            away = (shapely.get_coordinates(piece) - np.array(end)) @ np.array(out)
            spans.append((float(away.min()), float(away.max())))
    reached = -RUN_OFF
    for near, far in sorted(spans):
        if near > reached + RUN_OFF:
            break
        reached = max(reached, far)
    return reached


def _run_on(slot: Slot, runs: tuple[float, float]) -> CrossSection:
    """A slot in plan, its open ends run straight on, mm."""
    path = slot.path
    areas = [planar.swept(path, slot.width / 2)]
    for at, way, end, run in zip((0.0, path.length), (-1, 1), slot.ends, runs, strict=True):
        if end == "open" and run > 0:
            areas.append(_strip(path.point_at(at), path.tangent_at(at), way * run, slot.width))
    return planar.union(areas)


def _strip(point: Point, along: Point, run: float, width: float) -> CrossSection:
    """Straight on from a point, `run` mm along a unit vector (negative: against it)."""
    (x, y), (dx, dy) = point, along
    return planar.turned_box((x + dx * run / 2, y + dy * run / 2), along, abs(run), width)


def _runs(slot: Slot, stock: Manifold) -> tuple[float, float]:
    """How far each open end runs out until it is clear of the stock, mm."""
    path, box = slot.path, stock.bounding_box()
    low, high = max(slot.depth.cut_to, box[2]), box[5]
    solid = planar.union([stock.slice(low + (high - low) * share) for share in RUN_ON_SHARES])
    far, found = 2 * math.dist(box[:2], box[3:5]), [0.0, 0.0]
    for number, (at, way) in enumerate(((0.0, -1), (path.length, 1))):
        if slot.ends[number] != "open":
            continue
        (x, y), (dx, dy) = path.point_at(at), path.tangent_at(at)
        strip = _strip((x, y), (dx, dy), way * far, slot.width)
        near = planar.discs([(x, y)], slot.width / 2 + BESIDE_END)
        ahead = (p for p in (solid ^ strip).decompose() if (p ^ near).area() > 0)
        rims = (ring for piece in ahead for ring in piece.to_polygons())
        reach = (way * ((px - x) * dx + (py - y) * dy) for ring in rims for px, py in ring)
        found[number] = max((0.0, *reach))
    return (found[0], found[1])


TARGET: KindTarget[Slot] = SlotTarget()
