"""Long work: where along it there is something to be seen. What lies between may be left out of the
views, so that the rest can be drawn larger."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from gcodekit.geometry.chain import Point
from gcodekit.job.feature import Feature, Round
from gcodekit.job.model import Setup
from gcodekit.part.keep_out import keep_out
from gcodekit.part.setup_stock import metal, metal_levels, plan
from gcodekit.plot.backdrop import rings_of
from gcodekit.plot.scale import Span
from gcodekit.proof.chords import turning_points
from gcodekit.rs274.program_read import Move

# Work is long from so many times its width on. Common practice, no source.
_LONG = 4.0
# Spans are joined whenever so many are gathered: programs may have a million moves.
_GATHERED = 4096
# An edge of the work that runs along it, mm across.
_LEVEL = 1e-6


def long_axis(setup: Setup) -> int | None:
    """The axis that the work is long along, 0 or 1; None where it is not."""
    x, y = (setup.left.high[k] - setup.left.low[k] for k in (0, 1))
    if max(x, y) < _LONG * min(x, y):
        return None
    return 0 if x > y else 1


def taken_along(
    axis: int, moves: Sequence[Move], setup: Setup, widest: float, marks: Iterable[Point]
) -> tuple[Span, ...]:
    """The spans of the work along an axis where something is to be seen, ascending and apart:
    features, cuts,
    ends of rapids, holding, edges of the work that do not run along it, and `marks` such as
    problems. `widest` is the radius of the widest cutter."""
    found: list[Span] = [(setup.left.low[axis],) * 2, (setup.left.high[axis],) * 2]
    found += [(p[axis], p[axis]) for p in marks]
    for feature in setup.features:
        found += _feature_spans(feature, setup, axis)
    found += _body_spans(setup, axis)
    found += _edge_spans(setup, axis)
    for span in _move_spans(moves, axis, widest):
        found.append(span)
        if len(found) > _GATHERED:
            found = _joined(found)
    low, high = setup.left.low[axis], setup.left.high[axis]
    inside = [(min(max(a, low), high), min(max(b, low), high)) for a, b in found]
    return tuple(_joined(inside))


def _joined(spans: list[Span]) -> list[Span]:
    """Spans that meet, as one."""
    found: list[Span] = []
    for low, high in sorted(spans):
        if found and low <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], high))
        else:
            found.append((low, high))
    return found


def _move_spans(moves: Sequence[Move], axis: int, widest: float) -> Iterator[Span]:
    """Cuts as wide as the cutter; of rapids the ends, between which they are straight."""
    name = "XY"[axis]
    for move in moves:
        if name not in move.known:
            continue
        ends = [move.end[axis]] + ([move.start[axis]] if name in move.known_before else [])
        if move.kind == "rapid":
            yield from ((e, e) for e in ends)
            continue
        if move.curve is not None:
            ends += [p[axis] for p in turning_points(move)]
        yield min(ends) - widest, max(ends) + widest


def _feature_spans(feature: Feature, setup: Setup, axis: int) -> list[Span]:
    """What is drawn of it; all of the work where that has no lines."""
    more = feature.half_width
    lines = [[p[axis] for p in c.flattened(0.1)] for c in feature.lines(plan(setup))]
    spans = [(min(us) - more, max(us) + more) for us in lines if us]
    if isinstance(feature, Round):
        half = feature.widest / 2
        spans += [(p[axis] - half, p[axis] + half) for p in feature.places]
    if feature.axis is not None:
        spans.append((feature.axis[axis],) * 2)
    if feature.whole_top or not spans:
        return [(setup.left.low[axis], setup.left.high[axis])]
    return spans


def _body_spans(setup: Setup, axis: int) -> Iterator[Span]:
    """Jaws, clamps, parallels; not what lies under all of the work."""
    low, high = setup.left.low[axis], setup.left.high[axis]
    for body in keep_out(setup):
        if body.outline.is_empty:
            continue
        bounds = body.outline.bounds
        under = body.top <= setup.left.low[2] and bounds[axis] < low and bounds[axis + 2] > high
        if not under:
            yield bounds[axis], bounds[axis + 2]


def _edge_spans(setup: Setup, axis: int) -> Iterator[Span]:
    """Edges of the work, as earlier set-ups left it, that do not run along it."""
    levels = [setup.left.low[2], *metal_levels(setup), setup.left.high[2]]
    for below, above in pairwise(levels):
        for ring in rings_of(metal(setup, (below + above) / 2)):
            for a, b in pairwise(ring):
                if abs(a[1 - axis] - b[1 - axis]) > _LEVEL:
                    yield min(a[axis], b[axis]), max(a[axis], b[axis])
