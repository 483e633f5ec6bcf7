"""Which part of a circle lies in what a disc of the same radius has swept, exactly.

The circle crosses the edge of a swept line or arc where it meets the discs at its two ends and the
two lines, or circles, that run beside it at the disc's radius. Between two crossings it is all
inside or all outside, and one point says which.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from engagement.ways import Array, ClearedLinks, Indices

# A point counts as swept only when it lies deeper than this, mm: the circle coincides with the disc
# at the end of the move before.
TOUCH = 1e-9


def swept_parts(place: Array, swept: ClearedLinks, radius: float) -> tuple[Indices, Array, Array]:
    """Parts of circles about (n, 2) `place` that lie in what each of n `swept` has swept.

    Returns the row of each part, and the angles where it begins and ends, counter-clockwise.
    """
    crossings = np.sort(_crossings(place, swept, radius), axis=1)
    first = np.where(np.isnan(crossings[:, :1]), 0.0, crossings[:, :1])
    # what is missing repeats the first crossing a turn on, and has no width
    begin = np.where(np.isnan(crossings), first + math.tau, crossings)
    begin[:, :1] = first
    end = np.concatenate([begin[:, 1:], first + math.tau], axis=1)
    middle = (begin + end) / 2
    x = place[:, :1] + radius * np.cos(middle)
    y = place[:, 1:] + radius * np.sin(middle)
    inside = (distance(x, y, swept) < radius - TOUCH) & (end > begin)
    row, column = np.nonzero(inside)
    return row, begin[row, column], end[row, column]


def distance(x: Array, y: Array, ways: ClearedLinks) -> Array:
    """(n, k) from points to n lines and arcs, each row of points to its own."""
    found = np.empty_like(x)
    arc = ways.is_arc
    found[~arc] = _to_lines(x[~arc], y[~arc], ways.rows(~arc))
    found[arc] = _to_arcs(x[arc], y[arc], ways.rows(arc))
    return found


def _to_lines(x: Array, y: Array, lines: ClearedLinks) -> Array:
    dx, dy = (lines.end - lines.start).T[:, :, None]
    px, py = x - lines.start[:, :1], y - lines.start[:, 1:]
    square = dx * dx + dy * dy
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.where(square > 0, np.clip((px * dx + py * dy) / square, 0, 1), 0.0)
    return np.hypot(px - share * dx, py - share * dy)


def _to_arcs(x: Array, y: Array, arcs: ClearedLinks) -> Array:
    cx, cy = arcs.centre.T[:, :, None]
    arm = arcs.start - arcs.centre
    from_start = np.arctan2(y - cy, x - cx) - np.arctan2(arm[:, 1], arm[:, 0])[:, None]
    turned = np.mod(from_start * np.sign(arcs.sweep)[:, None], math.tau)
    beside = turned <= np.abs(arcs.sweep)[:, None]
    ends = np.minimum(
        np.hypot(x - arcs.start[:, :1], y - arcs.start[:, 1:]),
        np.hypot(x - arcs.end[:, :1], y - arcs.end[:, 1:]),
    )
    return np.where(beside, np.abs(np.hypot(x - cx, y - cy) - arcs.radius[:, None]), ends)


def _crossings(place: Array, swept: ClearedLinks, radius: float) -> Array:
    """(n, 8) angles from 0 to a turn, no number where there is none."""
    found = np.full((len(place), 8), math.nan)
    found[:, 0:2] = _on_circle(place, swept.start, np.full(len(place), radius), radius)
    found[:, 2:4] = _on_circle(place, swept.end, np.full(len(place), radius), radius)
    arc = swept.is_arc
    arcs = swept.rows(arc)
    found[arc, 4:6] = _on_circle(place[arc], arcs.centre, arcs.radius + radius, radius)
    found[arc, 6:8] = _on_circle(place[arc], arcs.centre, np.abs(arcs.radius - radius), radius)
    found[~arc, 4:8] = _beside_lines(place[~arc], swept.rows(~arc), radius)
    return np.mod(found, math.tau)


def _on_circle(place: Array, centre: Array, other: Array, radius: float) -> Array:
    """(n, 2) angles where circles about `place` cross those of radius `other` about `centre`."""
    away = centre - place
    gap = np.hypot(*away.T)
    with np.errstate(invalid="ignore", divide="ignore"):
        cosine = (radius**2 + gap**2 - other**2) / (2 * radius * gap)
        half = np.arccos(_to_touch(cosine))
    angle = np.arctan2(away[:, 1], away[:, 0])
    return np.stack([angle - half, angle + half], axis=1)


def _beside_lines(place: Array, lines: ClearedLinks, radius: float) -> Array:
    """(n, 4) angles where circles cross the lines at `radius` to both sides."""
    along = lines.end - lines.start
    angle = np.arctan2(along[:, 1], along[:, 0])
    off = place - lines.start
    beside = np.cos(angle) * off[:, 1] - np.sin(angle) * off[:, 0]
    with np.errstate(invalid="ignore"):
        left = np.arcsin(_to_touch(1 - beside / radius))
        right = np.arcsin(_to_touch(-1 - beside / radius))
    both = [angle + left, angle + math.pi - left, angle + right, angle + math.pi - right]
    return np.stack(both, axis=1)


def _to_touch(sine: Array) -> Array:
    """Where circle and edge all but touch, the place where they come nearest is a crossing too:
    one too many does no harm, and half way between two others it would say nothing of the rest."""
    return np.clip(sine, -1, 1)


def outside_parts(
    place: Array, boundary: ClearedLinks, pairs: tuple[Indices, Indices], radius: float, inside: Any
) -> tuple[Indices, Array, Array]:
    """Parts of circles about (n, 2) `place` that lie outside of an area.

    `boundary` : its edges as lines; `pairs` : which circle may cross which edge; `inside` : says of
    x and y whether they are in the area
    """
    row, edge = pairs
    angles = _with_edges(place[row], boundary.rows(edge), radius)
    rows = np.repeat(row, angles.shape[1])[np.isfinite(angles.ravel())]
    crossed = np.mod(angles.ravel()[np.isfinite(angles.ravel())], math.tau)
    every = np.arange(len(place))
    rows = np.concatenate([rows, every, every])
    crossed = np.concatenate([crossed, np.zeros(len(place)), np.full(len(place), math.tau)])
    order = np.lexsort((crossed, rows))
    rows, crossed = rows[order], crossed[order]
    same = rows[1:] == rows[:-1]
    row, begin, end = rows[:-1][same], crossed[:-1][same], crossed[1:][same]
    middle = (begin + end) / 2
    x = place[row, 0] + radius * np.cos(middle)
    y = place[row, 1] + radius * np.sin(middle)
    out: NDArray[np.bool_] = ~inside(x, y) & (end > begin)
    return row[out], begin[out], end[out]


def _with_edges(place: Array, edges: ClearedLinks, radius: float) -> Array:
    """(n, 2) angles where circles cross edges, no number where they do not."""
    along = edges.end - edges.start
    square = (along**2).sum(axis=1)
    off = edges.start - place
    half = (off * along).sum(axis=1)
    rest = half**2 - square * ((off**2).sum(axis=1) - radius**2)
    found = np.full((len(place), 2), math.nan)
    with np.errstate(invalid="ignore", divide="ignore"):
        for k, sign in enumerate((-1, 1)):
            share = (-half + sign * np.sqrt(rest)) / square
            at = off + along * share[:, None]
            on = (share >= 0) & (share <= 1)
            found[on, k] = np.arctan2(at[on, 1], at[on, 0])
    return found
