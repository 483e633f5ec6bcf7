"""Simple drawn shapes as regions. Lengths in mm, angles in radians; each may be turned at once."""

from __future__ import annotations

import math

from gcodekit.geometry.chain import SAME_POINT, Arc, Chain, Line, Point, Segment, distance
from gcodekit.geometry.curve import on_circle
from gcodekit.geometry.region import GeometryError, Region

ORIGIN: Point = (0.0, 0.0)


def rectangle(
    width: float,
    height: float,
    *,
    centre: Point = ORIGIN,
    corner: Point | None = None,
    round: float = 0.0,
    angle: float = 0.0,
) -> Region:
    """A rectangle, its corners rounded by `round`; `corner` is its lower left corner, about which
    it is then turned, else it is turned about its centre.

    Raises
    ------
    GeometryError
        The round is more than half the shorter side.

    Examples
    --------
    >>> rectangle(4, 2).area
    8.0
    """
    if round > min(width, height) / 2:
        sizes = (round, min(width, height) / 2)
        raise GeometryError("a round of {0} does not fit", "use at most {1}", lengths=sizes)
    if corner is not None:
        upright = rectangle(
            width, height, centre=(corner[0] + width / 2, corner[1] + height / 2), round=round
        )
        return _turned(upright, angle, corner)
    ring = _upright(width / 2, height / 2, round).moved(*centre)
    return _turned(Region.of(ring), angle, centre)


def _upright(w: float, h: float, r: float) -> Chain:
    """A rectangle of half sides `w` and `h` about zero, from its lower side's left end."""
    if r <= 0:
        return Chain.of_points([(-w, -h), (w, -h), (w, h), (-w, h)], closed=True)
    x, y = w - r, h - r
    corners = [
        ((-x, -h), (x, -h), (x, -y)),
        ((w, -y), (w, y), (x, y)),
        ((x, h), (-x, h), (-x, y)),
        ((-w, y), (-w, -y), (-x, -y)),
    ]
    segments: list[Segment] = []
    for i, (start, end, middle) in enumerate(corners):
        if distance(start, end) > SAME_POINT:
            segments.append(Line(start, end))
        segments.append(Arc(end, corners[(i + 1) % 4][0], middle, True))
    return Chain(tuple(segments))


def _turned(region: Region, angle: float, about: Point) -> Region:
    return region.turned(angle, about) if angle else region


def circle(diameter: float, *, centre: Point = ORIGIN) -> Region:
    """A disc."""
    return Region.of(Chain.circle(centre, diameter / 2))


def obround(length: float, width: float, *, centre: Point = ORIGIN, angle: float = 0.0) -> Region:
    """A slot shape of overall `length`, along x at `angle` 0."""
    (cx, cy), r, half = centre, width / 2, (length - width) / 2
    if half <= 1e-9:
        return circle(width, centre=centre)
    a, b = (cx - half, cy - r), (cx + half, cy - r)
    c, d = (cx + half, cy + r), (cx - half, cy + r)
    right, left = (cx + half, cy), (cx - half, cy)
    ring = Chain((Line(a, b), Arc(b, c, right, True), Line(c, d), Arc(d, a, left, True)))
    return _turned(Region.of(ring), angle, centre)


def polygon(
    sides: int,
    *,
    across_flats: float | None = None,
    across_corners: float | None = None,
    centre: Point = ORIGIN,
    angle: float = 0.0,
) -> Region:
    """A regular polygon, one flat at the bottom and parallel to x at `angle` 0.

    `across_flats` is twice the inscribed radius, `across_corners` twice the circumscribed.
    """
    half = math.pi / sides
    radius = (across_corners or 0.0) / 2
    if across_flats is not None:
        radius = across_flats / 2 / math.cos(half)
    start = -math.pi / 2 - half
    corners = [
        (
            centre[0] + radius * math.cos(start + 2 * half * i),
            centre[1] + radius * math.sin(start + 2 * half * i),
        )
        for i in range(sides)
    ]
    return _turned(Region.of(Chain.of_points(corners, closed=True)), angle, centre)


def sector(
    inner: float, outer: float, *, start: float, end: float, centre: Point = ORIGIN
) -> Region:
    """The area between two radii (`inner` may be 0), counter-clockwise from angle `start` to `end`;
    a whole ring or disc when that is a full turn.

    Examples
    --------
    >>> round(sector(1, 2, start=0, end=math.pi / 2).area, 6)
    2.356194
    """
    if end - start > math.tau - 1e-9:
        holes = (Chain.circle(centre, inner),) if inner else ()
        return Region.of(Chain.circle(centre, outer), *holes)

    a, b = on_circle(centre, outer, start), on_circle(centre, outer, end)
    c, d = on_circle(centre, inner, end), on_circle(centre, inner, start)
    segments: list[Segment] = [Arc(a, b, centre, True), Line(b, c)]
    if inner:
        segments.append(Arc(c, d, centre, False))
    return Region.of(Chain((*segments, Line(d, a))))
