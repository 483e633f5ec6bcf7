"""From a flattened result back to lines and true arcs.

An offset or a boolean is made on finely flattened polygons. Every edge of its result lies on a line
or a circle known beforehand (a source segment, or its offset, or the circle round a corner), so the
result is labelled edge by edge, runs of one label become one segment, and the runs' ends are put
where the lines and circles themselves meet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Arc, Chain, Line, Point, Segment, distance
from gcodekit.geometry.region import Part, Region
from gcodekit.geometry.tolerances import LABEL, SLIVER_AREA

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
NO_LABEL = -1


@dataclass(frozen=True, slots=True)
class OnLine:
    """A candidate: the infinite line through `point` along the unit vector `along`."""

    point: Point
    along: Point


@dataclass(frozen=True, slots=True)
class OnCircle:
    """A candidate circle."""

    centre: Point
    radius: float


Curve = OnLine | OnCircle


class Candidates:
    """The curves a result may lie on, with arrays for quick labelling."""

    def __init__(self, pieces: Sequence[tuple[Curve, BaseGeometry]]) -> None:
        self.curves = [curve for curve, _ in pieces]
        self._tree = shapely.STRtree([shape for _, shape in pieces])

    def label(self, ring: Floats) -> list[int]:
        """For each edge of a closed ring (n+1 points) the candidate it lies on, or NO_LABEL."""
        a, b = ring[:-1], ring[1:]
        middles = shapely.points((a + b) / 2)
        edges, found = self._tree.query(middles, predicate="dwithin", distance=LABEL)
        fits: list[dict[int, float]] = [{} for _ in range(len(a))]
        for e, c in zip(edges.tolist(), found.tolist(), strict=True):
            off = self._off(self.curves[c], a[e], b[e])
            if off < LABEL:
                fits[e][c] = off
        return _longest_runs(fits)

    @staticmethod
    def _off(curve: Curve, a: Floats, b: Floats) -> float:
        """How far an edge leaves the curve at its ends (a chord's middle may sag)."""
        if isinstance(curve, OnLine):
            (px, py), (tx, ty) = curve.point, curve.along
            off = max(abs((p[0] - px) * ty - (p[1] - py) * tx) for p in (a, b))
            length = math.hypot(b[0] - a[0], b[1] - a[1])
            turn = abs((b[0] - a[0]) * ty - (b[1] - a[1]) * tx)
            return off if turn <= max(LABEL * length, 1e-6) or length < 1e-6 else math.inf
        cx, cy = curve.centre
        off = max(abs(math.hypot(p[0] - cx, p[1] - cy) - curve.radius) for p in (a, b))
        length = math.hypot(b[0] - a[0], b[1] - a[1])
        # A straight edge across a circle is no arc: its middle would be far inside.
        sag = curve.radius - math.sqrt(max(0.0, curve.radius**2 - length**2 / 4))
        return off + 0.05 * sag if sag < 0.1 * LABEL + 1e-9 or length < 2e-3 else math.inf


def _longest_runs(fits: list[dict[int, float]]) -> list[int]:
    """One label an edge, so that each run is as long as it can be: where a line runs tangent into
    an arc both fit for a while, and neighbours must not take turns."""
    n = len(fits)
    labels = [NO_LABEL] * n
    begin = next((i for i in range(n) if not fits[i].keys() & fits[i - 1].keys()), 0)
    i = 0
    while i < n:
        here = fits[(begin + i) % n]
        if not here:
            i += 1
            continue
        left, run, best = dict(here), 0, NO_LABEL
        while left and i + run < n:
            best = min(left, key=lambda c: left[c])
            run += 1
            ahead = fits[(begin + i + run) % n] if i + run < n else {}
            left = {c: max(off, ahead[c]) for c, off in left.items() if c in ahead}
        for k in range(run):
            labels[(begin + i + k) % n] = best
        i += run
    return labels


def recovered(shape: BaseGeometry, candidates: Candidates) -> Region:
    """The region of a polygonal result, its edges put back onto the candidate curves."""
    parts: list[Part] = []
    for polygon in shapely.get_parts(shape):
        if polygon.geom_type != "Polygon" or polygon.area < SLIVER_AREA:
            continue
        outer = _ring(shapely.get_coordinates(polygon.exterior), candidates)
        if outer is None:
            continue
        outer = outer if outer.area > 0 else outer.reversed()
        holes = []
        for interior in polygon.interiors:
            hole = _ring(shapely.get_coordinates(interior), candidates)
            if hole is not None:
                holes.append(hole if hole.area < 0 else hole.reversed())
        parts.append(Part(outer, tuple(holes)))
    return Region(tuple(parts))


def _ring(points: Floats, candidates: Candidates) -> Chain | None:
    if len(points) < 4:
        return None
    labels = candidates.label(points)
    runs = _runs(points, labels, candidates)
    if len(runs) == 1 and isinstance(runs[0].curve, OnCircle):
        return _circle(runs[0].curve, points)
    joined = [_joint(runs[i - 1], runs[i]) for i in range(len(runs))]
    segments: list[Segment] = []
    for i, run in enumerate(runs):
        segment = run.segment(joined[i], joined[(i + 1) % len(runs)])
        if segment is not None:
            segments.append(segment)
    segments = _closed_up(segments)
    chain = Chain(tuple(segments))
    return chain if segments and abs(chain.area) > SLIVER_AREA else None


@dataclass(slots=True)
class _Run:
    """Edges of one label in a row: first and last vertex, and one in the middle."""

    curve: Curve
    first: Point
    last: Point
    middle: Point
    ccw: bool
    edges: int
    length: float = 0.0

    @property
    def long(self) -> bool:
        """Whether its edges go round more than half its circle."""
        curve = self.curve
        return isinstance(curve, OnCircle) and self.length > math.pi * curve.radius

    def segment(self, start: Point, end: Point) -> Segment | None:
        """The run as one segment between its joints; None where nothing of it is left.

        Where curves touch, a run may be shorter than the shift of its joints: its arc would then
        go the long way round.
        """
        if isinstance(self.curve, OnLine):
            return Line(start, end) if distance(start, end) >= 1e-7 else None
        arc = Arc(start, end, self.curve.centre, self.ccw)
        whole = math.tau * self.curve.radius
        if arc.length > 0.75 * whole and not self.long:
            return None
        return arc


def _runs(points: Floats, labels: list[int], candidates: Candidates) -> list[_Run]:
    """Runs of equal labels round the ring, begun at a change of label."""
    n = len(labels)
    keys: list[int] = []
    free = NO_LABEL
    for i in range(n):
        if labels[i] == NO_LABEL:
            free -= 1  # an edge on nothing known is a line of its own
            keys.append(free)
        else:
            keys.append(labels[i])
    begin = next((i for i in range(n) if keys[i] != keys[i - 1]), 0)
    runs: list[_Run] = []
    i = 0
    while i < n:
        j = i
        while j + 1 < n and keys[(begin + j + 1) % n] == keys[(begin + i) % n]:
            j += 1
        runs.append(_run(points, begin + i, begin + j, keys[(begin + i) % n], candidates, n))
        i = j + 1
    return _merged(runs)


def _run(points: Floats, i: int, j: int, key: int, candidates: Candidates, n: int) -> _Run:
    def vertex(k: int) -> Point:
        return (float(points[k % n][0]), float(points[k % n][1]))

    first, last, middle = vertex(i), vertex(j + 1), vertex((i + j + 1) // 2)
    curve: Curve
    if key < NO_LABEL:
        length = distance(first, last) or 1.0
        curve = OnLine(first, ((last[0] - first[0]) / length, (last[1] - first[1]) / length))
        return _Run(curve, first, last, middle, True, 1)
    curve = candidates.curves[key]
    ccw = True
    if isinstance(curve, OnCircle):
        (ax, ay), (bx, by), (cx, cy) = first, vertex(i + 1), curve.centre
        ccw = (ax - cx) * (by - cy) - (ay - cy) * (bx - cx) > 0
    steps = np.diff(points[np.arange(i, j + 2) % n], axis=0)
    walked = float(np.hypot(steps[:, 0], steps[:, 1]).sum())
    return _Run(curve, first, last, middle, ccw, j - i + 1, walked)


def _merged(runs: list[_Run]) -> list[_Run]:
    """Neighbours on the same curve joined (equal candidates from different sources), and runs too
    short to be a segment dropped."""
    kept = [r for r in runs if distance(r.first, r.last) > 2e-4 or r.edges > 4]
    out: list[_Run] = []
    for run in kept or runs:
        if out and _same_curve(out[-1], run):
            previous = out[-1]
            out[-1] = _Run(
                previous.curve,
                previous.first,
                run.last,
                run.first,
                previous.ccw,
                previous.edges + run.edges,
                previous.length + run.length,
            )
        else:
            out.append(run)
    if len(out) > 2 and _same_curve(out[-1], out[0]):
        last = out.pop()
        head = out[0]
        out[0] = _Run(
            head.curve,
            last.first,
            head.last,
            head.first,
            head.ccw,
            head.edges + last.edges,
            head.length + last.length,
        )
    return out


def _same_curve(a: _Run, b: _Run) -> bool:
    if isinstance(a.curve, OnCircle) and isinstance(b.curve, OnCircle):
        near = distance(a.curve.centre, b.curve.centre) < 1e-6
        return near and abs(a.curve.radius - b.curve.radius) < 1e-6 and a.ccw == b.ccw
    if isinstance(a.curve, OnLine) and isinstance(b.curve, OnLine):
        (tx, ty), (ux, uy) = a.curve.along, b.curve.along
        dx, dy = b.curve.point[0] - a.curve.point[0], b.curve.point[1] - a.curve.point[1]
        return abs(tx * uy - ty * ux) < 1e-9 and abs(dx * ty - dy * tx) < 1e-6
    return False


def _joint(before: _Run, after: _Run) -> Point:
    """Where two neighbouring curves meet, nearest to the vertex between their runs."""
    vertex = (
        after.first
        if distance(before.last, after.first) < 1e-6
        else (
            (before.last[0] + after.first[0]) / 2,
            (before.last[1] + after.first[1]) / 2,
        )
    )
    meets = crossings(before.curve, after.curve)
    near = min(meets, key=lambda p: distance(p, vertex), default=None)
    # Along a tangent the label may run on as far as the curves stay within LABEL of each other.
    radius = max(
        (c.radius for c in (before.curve, after.curve) if isinstance(c, OnCircle)), default=0
    )
    if near is not None and distance(near, vertex) < 0.05 + 3 * math.sqrt(2 * radius * LABEL):
        return near
    return vertex


def crossings(a: Curve, b: Curve) -> list[Point]:
    """Where two curves meet; where they just miss each other (tangents), the nearest place."""
    if isinstance(a, OnLine) and isinstance(b, OnLine):
        (tx, ty), (ux, uy) = a.along, b.along
        det = tx * uy - ty * ux
        if abs(det) < 1e-9:
            return []
        dx, dy = b.point[0] - a.point[0], b.point[1] - a.point[1]
        s = (dx * uy - dy * ux) / det
        return [(a.point[0] + s * tx, a.point[1] + s * ty)]
    if isinstance(a, OnCircle) and isinstance(b, OnCircle):
        return _circles_meet(a, b)
    line, circle = (a, b) if isinstance(a, OnLine) else (b, a)
    assert isinstance(line, OnLine)
    assert isinstance(circle, OnCircle)
    (px, py), (tx, ty), (cx, cy) = line.point, line.along, circle.centre
    s = (cx - px) * tx + (cy - py) * ty
    foot = (px + s * tx, py + s * ty)
    h = distance(foot, circle.centre)
    if h > circle.radius - 1e-6:
        return [foot] if h < circle.radius + LABEL else []
    half = math.sqrt(circle.radius**2 - h**2)
    return [(foot[0] + k * half * tx, foot[1] + k * half * ty) for k in (-1.0, 1.0)]


def _circles_meet(a: OnCircle, b: OnCircle) -> list[Point]:
    d = distance(a.centre, b.centre)
    if d < 1e-9:
        return []
    ux, uy = (b.centre[0] - a.centre[0]) / d, (b.centre[1] - a.centre[1]) / d
    x = (d**2 + a.radius**2 - b.radius**2) / (2 * d)
    h2 = a.radius**2 - x**2
    foot = (a.centre[0] + x * ux, a.centre[1] + x * uy)
    if h2 <= 1e-9:
        if abs(h2) > 2 * a.radius * LABEL + 1e-6:
            return []
        side = math.copysign(a.radius, x)
        return [(a.centre[0] + side * ux, a.centre[1] + side * uy)]
    h = math.sqrt(h2)
    return [(foot[0] - k * h * uy, foot[1] + k * h * ux) for k in (-1.0, 1.0)]


def _closed_up(segments: list[Segment]) -> list[Segment]:
    """Ends put exactly onto the next segment's start."""
    out: list[Segment] = []
    for i, s in enumerate(segments):
        end = segments[(i + 1) % len(segments)].start
        out.append(
            Line(s.start, end) if isinstance(s, Line) else Arc(s.start, end, s.centre, s.ccw)
        )
    return out


def _circle(curve: OnCircle, points: Floats) -> Chain:
    area = float(np.sum(points[:-1, 0] * points[1:, 1] - points[1:, 0] * points[:-1, 1]))
    return Chain.circle(curve.centre, curve.radius, ccw=area > 0)
