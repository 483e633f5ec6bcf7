"""Labels that tell which curve of its source every edge of an engine's result lies on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from gcodekit.geometry.chain import Points
from gcodekit.geometry.curve import WholeCurve
from gcodekit.geometry.edge_sources import CORNER, LABEL_KINDS, LEFT, RIGHT, FlatSource, Ints
from gcodekit.geometry.tolerances import LABEL

Floats = NDArray[np.float64]
NO_LABEL = -1
# Edges looked at in one go: each may have hundreds of others near it, and the pairs fill memory.
LABELLED_AT_ONCE = 4_096


@dataclass(frozen=True, slots=True)
class Labelled:
    """Edges of a result with their labels and the angle each turns about its circle's centre."""

    curves: dict[int, WholeCurve]
    labels: Ints
    turns: Floats


def labelled(starts: Points, ends: Points, source: FlatSource) -> Labelled:
    """Label edges (m, 2) to (m, 2); an edge on no curve of the source gets NO_LABEL."""
    curves: dict[int, WholeCurve] = {}
    tree = source.tree()
    some = [slice(i, i + LABELLED_AT_ONCE) for i in range(0, len(starts), LABELLED_AT_ONCE)]
    labels = np.concatenate([_labels(starts[s], ends[s], source, tree, curves) for s in some])
    return Labelled(curves, labels, _turns(starts, ends, labels, source, curves))


def _labels(
    starts: Points,
    ends: Points,
    source: FlatSource,
    tree: shapely.STRtree,
    curves: dict[int, WholeCurve],
) -> Ints:
    near = _EdgesNear.of((starts + ends) / 2, source, tree)
    labels = near.nearest()
    off = _off(starts, ends, labels, source, curves)
    for i in np.flatnonzero(off > LABEL).tolist():
        labels[i] = _second_choice(starts[i], ends[i], near.all(i), source, curves)
    return labels


def _second_choice(
    start: Points,
    end: Points,
    choices: list[int],
    source: FlatSource,
    curves: dict[int, WholeCurve],
) -> int:
    """The best of several labels for an edge that the nearest does not fit: where a line runs
    smoothly into an arc about as small as the offset, an edge of one lies beside the other."""
    best, least = NO_LABEL, LABEL
    a, b = (float(start[0]), float(start[1])), (float(end[0]), float(end[1]))
    for label in choices:
        curve = curves.setdefault(label, source.curve(label))
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        off = max(curve.gap(a), curve.gap(b), curve.gap(middle))
        if off < least:
            best, least = label, off
    return best


def _rows(labels: Ints, source: FlatSource, curves: dict[int, WholeCurve]) -> Floats:
    """The curve's point, direction and radius for every label, (m, 5)."""
    found, index = np.unique(labels, return_inverse=True)
    for k in found.tolist():
        if k != NO_LABEL and k not in curves:
            curves[k] = source.curve(k)
    table = np.array([_row(curves.get(k)) for k in found.tolist()]).reshape(-1, 5)
    rows: Floats = table[index]
    return rows


def _off(
    starts: Points, ends: Points, labels: Ints, source: FlatSource, curves: dict[int, WholeCurve]
) -> Floats:
    rows = _rows(labels, source, curves)
    off: Floats = np.maximum(_gaps(starts, rows), _gaps(ends, rows))
    off[labels == NO_LABEL] = np.inf
    return off


def _turns(
    starts: Points, ends: Points, labels: Ints, source: FlatSource, curves: dict[int, WholeCurve]
) -> Floats:
    rows = _rows(labels, source, curves)
    a, b = starts - rows[:, :2], ends - rows[:, :2]
    turns = np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], (a * b).sum(axis=1))
    out: Floats = np.where(rows[:, 4] < 0, 0.0, turns)
    return out


def _row(curve: WholeCurve | None) -> tuple[float, ...]:
    if curve is None:
        return (0.0, 0.0, 1.0, 0.0, -1.0)
    return (*curve.at, *curve.along, curve.radius)


def _gaps(points: Points, rows: Floats) -> Floats:
    x, y = points[:, 0] - rows[:, 0], points[:, 1] - rows[:, 1]
    radius = rows[:, 4]
    straight = np.abs(x * rows[:, 3] - y * rows[:, 2])
    gaps: Floats = np.where(radius < 0, straight, np.abs(np.hypot(x, y) - radius))
    return gaps


@dataclass(frozen=True, slots=True)
class _EdgesNear:
    """Source edges within the offset's distance of points: pairs (point, edge), by point and gap.

    Everything within the distance of a point is asked for at once: nothing is nearer than about
    the distance, so few edges answer.
    """

    count: int
    which: Ints
    whole: Ints
    corner: Ints

    @staticmethod
    def of(points: Points, source: FlatSource, tree: shapely.STRtree) -> _EdgesNear:
        which, edge = tree.query(shapely.points(points), "dwithin", source.distance + LABEL)
        p, a = points[which], source.starts[edge]
        along = source.ends[edge] - a
        beside = p - a
        t = (beside * along).sum(axis=1) / np.maximum((along * along).sum(axis=1), 1e-30)
        gap = np.hypot(*(beside - np.clip(t, 0.0, 1.0)[:, None] * along).T)
        order = np.lexsort((gap, which))
        cross = along[:, 0] * beside[:, 1] - along[:, 1] * beside[:, 0]
        side = np.where((cross < 0) & (source.distance > 0), RIGHT, LEFT)
        corner = np.where(t <= 0, source.before[edge], np.where(t >= 1, source.after[edge], -1))
        whole = source.segment[edge] * LABEL_KINDS + side
        return _EdgesNear(len(points), which[order], whole[order], corner[order])

    def nearest(self) -> Ints:
        """The label of the nearest edge or corner of every point."""
        labels = np.full(self.count, NO_LABEL, dtype=np.int64)
        if len(self.which):
            first = np.r_[True, np.diff(self.which) > 0]
            whole, corner = self.whole[first], self.corner[first]
            labels[self.which[first]] = np.where(corner >= 0, corner * LABEL_KINDS + CORNER, whole)
        return labels

    def all(self, i: int) -> list[int]:
        """Every label near point `i`."""
        lo, hi = np.searchsorted(self.which, (i, i + 1))
        corners = self.corner[lo:hi]
        found = [
            *self.whole[lo:hi].tolist(),
            *(corners[corners >= 0] * LABEL_KINDS + CORNER).tolist(),
        ]
        return list(dict.fromkeys(found))
