"""The way from a flattened result back to lines and true arcs.

An offset or a boolean is made on finely flattened polygons, but every edge of its result lies on
a line or a circle known beforehand: a source segment, its offset, or the circle about a corner.
Edges are labelled with that curve, runs of one label become one segment, and the runs' ends are
put where the curves themselves meet.

    run     neighbouring edges of a ring on one curve
    joint   the point where one run ends and the next begins
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Arc, Chain, Line, Point, Points, Segment, distance
from gcodekit.geometry.curve import WholeCurve, meetings
from gcodekit.geometry.edge_sources import FlatSource, Ints
from gcodekit.geometry.flattening import polygons_of, thin
from gcodekit.geometry.labels import NO_LABEL, Floats, Labelled, labelled
from gcodekit.geometry.region import Part, Region
from gcodekit.geometry.tolerances import ENGINE_SAG, LABEL, POINT_RING, SAME_CURVE, SAME_POINT


@dataclass(slots=True)
class EdgeRun:
    """Neighbouring edges on one curve, between the result's vertices `first` and `last`.

    `turn` is the angle they sweep about the circle's centre, radians, 0 for a line.
    """

    label: int
    curve: WholeCurve
    first: Point
    last: Point
    turn: float


@dataclass(frozen=True, slots=True)
class Recovered:
    """A region's ring with the label of each of its segments."""

    chain: Chain
    labels: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class LabelledResult:
    """An engine's result with every edge labelled: `polygons` holds each polygon's rings."""

    polygons: list[list[Points]]
    marks: Labelled | None

    @staticmethod
    def of(shape: BaseGeometry, source: FlatSource) -> LabelledResult:
        """Label the edges of a polygonal result."""
        polygons = [_ways(p) for p in polygons_of(shape)]
        rings = [ring for group in polygons for ring in group]
        if not rings:
            return LabelledResult([], None)
        starts = np.concatenate([r[:-1] for r in rings])
        ends = np.concatenate([r[1:] for r in rings])
        return LabelledResult(polygons, labelled(starts, ends, source))

    @property
    def certain(self) -> bool:
        """Tell whether every edge lies on a curve of the source, and no part is all but a line."""
        if self.marks is None:
            return True
        strips = any(thin(shapely.Polygon(rings[0])) for rings in self.polygons if rings)
        return not strips and not bool((self.marks.labels == NO_LABEL).any())

    def parts(self) -> list[tuple[Recovered, list[Recovered]]]:
        """Each part's outer ring and holes, with the labels of their segments."""
        if self.marks is None:
            return []
        made = iter(_all_rings([r for group in self.polygons for r in group], self.marks))
        out: list[tuple[Recovered, list[Recovered]]] = []
        for group in self.polygons:
            found = [next(made) for _ in group]
            if found and found[0] is not None:
                out.append((found[0], [h for h in found[1:] if h is not None]))
        return out

    def region(self) -> Region:
        """The region, its edges put back onto the curves of its source."""
        return Region(
            tuple(Part(outer.chain, tuple(h.chain for h in holes)) for outer, holes in self.parts())
        )


def _ways(polygon: shapely.Polygon) -> list[Points]:
    """The rings of a polygon as a region walks them, slivers and points left out.

    The outer ring always comes first; without it there is nothing.
    """
    turned = shapely.geometry.polygon.orient(polygon)
    rings = [turned.exterior, *turned.interiors]
    if not _substantial(rings[0]):
        return []
    return [shapely.get_coordinates(r) for r in rings if _substantial(r)]


def _substantial(ring: shapely.LinearRing) -> bool:
    return bool(ring.length > POINT_RING)


def _all_rings(rings: Sequence[Points], marks: Labelled) -> list[Recovered | None]:
    out: list[Recovered | None] = []
    at = 0
    for points in rings:
        n = len(points) - 1
        out.append(_ring(points, marks.labels[at : at + n], marks.turns[at : at + n], marks.curves))
        at += n
    return out


def _ring(
    points: Points, labels: Ints, turns: Floats, curves: dict[int, WholeCurve]
) -> Recovered | None:
    runs = _joined(_runs(points, labels, turns, curves))
    while len(runs) >= 2:
        joints = [_joint(runs[i - 1], runs[i]) for i in range(len(runs))]
        bad = _backward(runs, joints)
        if bad is None:
            return _closed(runs, joints)
        runs = _joined(_without(runs, bad, joints))
    # all on one circle, from the first or once crumbs between its pieces are gone
    if len(runs) == 1 and runs[0].curve.radius >= SAME_CURVE and abs(runs[0].turn) > math.pi:
        start = runs[0].curve.nearest(runs[0].first)
        arc = Arc(start, start, runs[0].curve.at, runs[0].turn > 0)
        return Recovered(Chain((arc,)), (runs[0].label,))
    return None


def _without(runs: list[EdgeRun], i: int, joints: list[tuple[Point, Point]]) -> list[EdgeRun]:
    """The runs without one; if it shrank to a point, its neighbours meet in that point."""
    start, end = joints[i][1], joints[(i + 1) % len(runs)][0]
    if distance(start, end) <= 2 * SAME_POINT:
        runs[i - 1].last = start
        runs[(i + 1) % len(runs)].first = start
    return runs[:i] + runs[i + 1 :]


def _runs(
    points: Points, labels: Ints, turns: Floats, curves: dict[int, WholeCurve]
) -> list[EdgeRun]:
    """The runs of a ring, the first beginning at a change of label where there is one."""
    changes = np.flatnonzero((labels != np.roll(labels, 1)) | (labels == NO_LABEL))
    if not len(changes):
        curve = curves[int(labels[0])]
        p = _point(points[0])
        return [EdgeRun(int(labels[0]), curve, p, p, float(turns.sum()))]
    n = len(labels)
    total = np.concatenate([[0.0], np.cumsum(np.concatenate([turns, turns]))])
    out: list[EdgeRun] = []
    for i, begin in enumerate(changes.tolist()):
        stop = int(changes[i + 1]) if i + 1 < len(changes) else int(changes[0]) + n
        first, last = _point(points[begin]), _point(points[stop % n])
        label = int(labels[begin])
        curve = WholeCurve.line(first, last) if label == NO_LABEL else curves[label]
        turn = 0.0 if curve.straight else float(total[stop] - total[begin])
        out.append(EdgeRun(label, curve, first, last, turn))
    return out


def _point(row: Floats) -> Point:
    return (float(row[0]), float(row[1]))


def _joined(runs: list[EdgeRun]) -> list[EdgeRun]:
    """Neighbours on one curve made one run, round the ring's start too."""
    out: list[EdgeRun] = []
    for run in runs:
        if out and _one_curve(out[-1], run):
            out[-1] = _together(out[-1], run)
        else:
            out.append(run)
    if len(out) > 1 and _one_curve(out[-1], out[0]):
        out[0] = _together(out.pop(), out[0])
    return out


def _together(a: EdgeRun, b: EdgeRun) -> EdgeRun:
    longer = a if distance(a.first, a.last) >= distance(b.first, b.last) else b
    return EdgeRun(longer.label, longer.curve, a.first, b.last, a.turn + b.turn)


def _one_curve(a: EdgeRun, b: EdgeRun) -> bool:
    p, q = a.curve, b.curve
    if a.label == b.label != NO_LABEL:
        return p.straight or a.turn * b.turn > 0
    if p.straight != q.straight:
        return False
    if p.straight:
        far = (*q.ends, b.last, b.first)
        forward = p.along[0] * q.along[0] + p.along[1] * q.along[1]
        same_way = (_ahead(a) > 0) == (_ahead(b) * forward > 0)
        return same_way and all(p.gap(x) < SAME_CURVE for x in far)
    return p.same_circle(q) and a.turn * b.turn > 0


def _ahead(run: EdgeRun) -> float:
    """How far a straight run goes along its curve's own direction."""
    (ax, ay), (bx, by), (tx, ty) = run.first, run.last, run.curve.along
    return (bx - ax) * tx + (by - ay) * ty


def _joint(before: EdgeRun, after: EdgeRun) -> tuple[Point, Point]:
    """The point where one run ends and the next begins, or two points where the curves do not
    meet."""
    vertex = after.first
    p, q = before.curve, after.curve
    if p.same_circle(q):  # there and back along a neck of no width
        return (p.nearest(vertex),) * 2
    close = LABEL + 2 * math.sqrt(8 * ENGINE_SAG * max(p.radius, q.radius, 0.0))
    shared = [a for a in p.ends for b in q.ends if distance(a, b) <= SAME_POINT]
    for found in (shared, meetings(p, q)):
        point = min(found, key=lambda x: distance(x, vertex), default=None)
        if point is not None and _same_there(point, vertex, p, q, close):
            return (point, point)
    a, b = p.nearest(vertex), q.nearest(vertex)
    return (a, a) if distance(a, b) <= SAME_POINT else (a, b)


def _same_there(point: Point, vertex: Point, p: WholeCurve, q: WholeCurve, close: float) -> bool:
    """Tell whether a meeting is the one the vertex stands for: near it, or along curves that run so
    close together that the vertex may slide from one to the other."""
    if distance(point, vertex) <= close:
        return True
    if p.straight and q.straight:
        return False
    return (
        p.gap(point) < LABEL
        and q.gap(vertex) < LABEL
        and p.gap(vertex) < LABEL
        and (max(_between(p, point, vertex, q)) < LABEL)
    )


def _between(p: WholeCurve, a: Point, b: Point, q: WholeCurve) -> list[float]:
    """Gaps from `p` and `q` at points between two points on them."""
    points = [
        p.nearest((a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]))) for t in (0.25, 0.5, 0.75)
    ]
    return [q.gap(x) for x in points]


def _backward(runs: list[EdgeRun], joints: list[tuple[Point, Point]]) -> int | None:
    """The shortest run that its new joints would turn about or leave without length, if any."""
    worst: tuple[float, int] | None = None
    for i, run in enumerate(runs):
        start, end = joints[i][1], joints[(i + 1) % len(runs)][0]
        if not _kept(run, start, end):
            size = max(distance(run.first, run.last), abs(run.turn) * run.curve.radius)
            worst = min(worst, (size, i)) if worst else (size, i)
    return worst[1] if worst else None


def _kept(run: EdgeRun, start: Point, end: Point) -> bool:
    (ax, ay), (bx, by) = run.first, run.last
    if run.curve.straight:
        if distance(start, end) <= SAME_POINT:
            return False
        return (bx - ax) * (end[0] - start[0]) + (by - ay) * (end[1] - start[1]) > 0
    if run.curve.radius < SAME_CURVE:
        return False
    if distance(start, end) <= 2 * SAME_POINT:
        return abs(run.turn) > math.pi and distance(start, end) == 0
    sweep = Arc(start, end, run.curve.at, run.turn > 0).sweep
    # walked backward it is a whole turn off; of an arc smaller than the engine's own error the
    # run's ends may lie a third of a turn beyond its joints
    return abs(sweep - run.turn) < math.pi


def _closed(runs: list[EdgeRun], joints: list[tuple[Point, Point]]) -> Recovered | None:
    segments: list[Segment] = []
    labels: list[int] = []
    for i, run in enumerate(runs):
        if joints[i][0] != joints[i][1]:
            segments.append(Line(*joints[i]))
            labels.append(NO_LABEL)
        start, end = joints[i][1], joints[(i + 1) % len(runs)][0]
        if run.curve.straight:
            segments.append(Line(start, end))
        else:
            segments.append(Arc(start, end, run.curve.at, run.turn > 0))
        labels.append(run.label)
    chain = Chain(tuple(segments))
    return Recovered(chain, tuple(labels)) if chain.length > POINT_RING else None
