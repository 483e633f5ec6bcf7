"""Drawn paths: arcs from the ways a drawing gives them, corners rounded or bevelled."""

from __future__ import annotations

import math
from collections.abc import Sequence

from gcodekit.geometry.chain import Arc, Chain, Line, Point, Segment, distance, same
from gcodekit.geometry.flat import nearest
from gcodekit.geometry.recover import Curve, OnCircle, OnLine, crossings
from gcodekit.geometry.tolerances import ARC_MISMATCH

# Neighbours that turn less than this at a corner already run into each other.
SMOOTH = 1e-6


class MisdrawnError(Exception):
    """A drawn path that cannot be: `message` says what, `hint` what would be right."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__(message)
        self.message, self.hint = message, hint


def arc_about(start: Point, end: Point, centre: Point, *, ccw: bool) -> Arc:
    """The arc about a given centre; its ends must be equally far from it."""
    r0, r1 = distance(centre, start), distance(centre, end)
    if abs(r0 - r1) > ARC_MISMATCH or r0 == 0:
        raise MisdrawnError(
            f"the arc's start is {r0:.4f} mm from its centre, its end {r1:.4f} mm",
            "both must be one radius",
        )
    if not same(start, end):
        # Rounded drawing figures: the centre is moved onto the middle line between both ends.
        mx, my = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
        dx, dy = (
            (end[0] - start[0]) / distance(start, end),
            (end[1] - start[1]) / distance(start, end),
        )
        along = (centre[0] - mx) * dx + (centre[1] - my) * dy
        centre = (centre[0] - along * dx, centre[1] - along * dy)
    return Arc(start, end, centre, ccw)


def arc_of_radius(start: Point, end: Point, radius: float, *, ccw: bool, large: bool) -> Arc:
    """The arc of a radius from one point to another, the smaller one unless `large`."""
    chord = distance(start, end)
    if chord < 1e-9:
        raise MisdrawnError("the arc ends where it starts", "a full circle needs its centre")
    if radius < chord / 2 - ARC_MISMATCH:
        raise MisdrawnError(
            f"a radius of {radius:.4f} mm does not reach over {chord:.4f} mm",
            f"at least {chord / 2:.4f} mm",
        )
    h = math.sqrt(max(0.0, radius**2 - chord**2 / 4))
    ux, uy = (end[0] - start[0]) / chord, (end[1] - start[1]) / chord
    side = 1.0 if ccw != large else -1.0
    mx, my = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
    return Arc(start, end, (mx - side * h * uy, my + side * h * ux), ccw)


def arc_through(start: Point, via: Point, end: Point) -> Arc:
    """The arc from one point through another to a third."""
    (ax, ay), (bx, by), (cx, cy) = start, via, end
    det = 2 * ((bx - ax) * (cy - ay) - (by - ay) * (cx - ax))
    if abs(det) < 1e-9 * max(1.0, distance(start, end) ** 2):
        raise MisdrawnError("the arc's three points lie in one line", "move `via` off the line")
    b2, c2 = (bx - ax) ** 2 + (by - ay) ** 2, (cx - ax) ** 2 + (cy - ay) ** 2
    ox = ax + ((cy - ay) * b2 - (by - ay) * c2) / det
    oy = ay + ((bx - ax) * c2 - (cx - ax) * b2) / det
    return Arc(start, end, (ox, oy), det > 0)


def with_corners(
    segments: Sequence[Segment], rounds: Sequence[tuple[float, float]], *, closed: bool
) -> Chain:
    """Segments with their corners treated: `rounds[i]` is (round, bevel) where segment i starts.

    Raises
    ------
    MisdrawnError
        A round or bevel that does not fit, with the largest that does.
    """
    out = list(segments)
    extra: dict[int, Segment] = {}
    for i, (radius, bevel) in enumerate(rounds):
        if not (radius or bevel) or (i == 0 and not closed):
            continue
        before, after = out[i - 1], out[i]
        made = _corner(before, after, radius, bevel)
        if made is None:
            size, word = (radius, "round") if radius else (bevel, "bevel")
            most = _largest(before, after, radius > 0, size)
            raise MisdrawnError(f"a {word} of {size:g} mm does not fit", f"at most {most:.3f} mm")
        out[i - 1], corner, out[i] = made
        extra[i] = corner
    chain: list[Segment] = []
    for i, segment in enumerate(out):
        if i in extra:
            chain.append(extra[i])
        if segment.length > 1e-7:
            chain.append(segment)
    return Chain(tuple(chain))


Corner = tuple[Segment, Segment, Segment]


def _corner(before: Segment, after: Segment, radius: float, bevel: float) -> Corner | None:
    tin, tout = before.tangent_at(before.length), after.tangent_at(0.0)
    turn = tin[0] * tout[1] - tin[1] * tout[0]
    if abs(turn) < SMOOTH:
        return None
    if bevel:
        if bevel > before.length + 1e-9 or bevel > after.length + 1e-9:
            return None
        cut_in = before.between(0.0, max(0.0, before.length - bevel))
        cut_out = after.between(min(bevel, after.length), after.length)
        return cut_in, Line(cut_in.end, cut_out.start), cut_out
    left = turn > 0
    corner = before.end
    centres = crossings(_beside(before, radius, left=left), _beside(after, radius, left=left))
    best: Corner | None = None
    for centre in sorted(centres, key=lambda c: distance(c, corner)):
        touch_in, touch_out = _touch(before, centre, radius), _touch(after, centre, radius)
        if touch_in is None or touch_out is None:
            continue
        cut_in, cut_out = before.between(0.0, touch_in), after.between(touch_out, after.length)
        best = (cut_in, Arc(cut_in.end, cut_out.start, centre, left), cut_out)
        break
    return best


def _touch(segment: Segment, centre: Point, radius: float) -> float | None:
    """How far along the segment a circle round `centre` touches it, if it does."""
    s, gap = nearest(Chain((segment,)), centre)
    return s if abs(gap - radius) < 1e-6 else None


def _beside(segment: Segment, by: float, *, left: bool) -> Curve:
    if isinstance(segment, Line):
        tx, ty = segment.tangent_at(0.0)
        side = by if left else -by
        return OnLine((segment.start[0] - side * ty, segment.start[1] + side * tx), (tx, ty))
    inward = segment.ccw == left
    return OnCircle(segment.centre, max(1e-9, segment.radius + (-by if inward else by)))


def _largest(before: Segment, after: Segment, rounded: bool, size: float) -> float:
    lo, hi = 0.0, size
    for _ in range(50):
        middle = (lo + hi) / 2
        fits = (
            _corner(before, after, middle, 0.0) if rounded else _corner(before, after, 0.0, middle)
        )
        lo, hi = (middle, hi) if fits else (lo, middle)
    return math.floor(lo * 1000) / 1000
