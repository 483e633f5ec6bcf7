"""Simple drawn shapes as regions. Lengths in mm; turning is the caller's."""

from __future__ import annotations

import math

from gcodekit.geometry.chain import Arc, Chain, Line, Point, Segment
from gcodekit.geometry.region import Region

ORIGIN: Point = (0.0, 0.0)


def rectangle(width: float, height: float, *, centre: Point = ORIGIN, round: float = 0.0) -> Region:
    """An upright rectangle, its corners rounded by `round`.

    Examples
    --------
    >>> rectangle(4, 2).area
    8.0
    """
    (cx, cy), w, h, r = centre, width / 2, height / 2, round
    if r <= 0:
        corners = [(cx - w, cy - h), (cx + w, cy - h), (cx + w, cy + h), (cx - w, cy + h)]
        return Region.of(Chain.of_points(corners, closed=True))
    segments: list[Segment] = []
    # Quarter arcs round the four corner centres, from the lower right counter-clockwise.
    quarters = ((w - r, r - h, -90), (w - r, h - r, 0), (r - w, h - r, 90), (r - w, r - h, 180))
    for dx, dy, degrees in quarters:
        middle = (cx + dx, cy + dy)
        a = math.radians(degrees)
        start = (middle[0] + r * math.cos(a), middle[1] + r * math.sin(a))
        b = a + math.pi / 2
        end = (middle[0] + r * math.cos(b), middle[1] + r * math.sin(b))
        if segments and math.dist(segments[-1].end, start) > 1e-9:
            segments.append(Line(segments[-1].end, start))
        elif segments:
            start = segments[-1].end
        segments.append(Arc(start, end, middle, True))
    first = segments[0].start
    if math.dist(segments[-1].end, first) > 1e-9:
        segments.append(Line(segments[-1].end, first))
    return Region.of(Chain(tuple(segments)))


def circle(diameter: float, *, centre: Point = ORIGIN) -> Region:
    """A disc."""
    return Region.of(Chain.circle(centre, diameter / 2))


def obround(length: float, width: float, *, centre: Point = ORIGIN) -> Region:
    """A slot shape of overall `length` along x."""
    (cx, cy), r, half = centre, width / 2, (length - width) / 2
    if half <= 1e-9:
        return circle(width, centre=centre)
    a, b = (cx - half, cy - r), (cx + half, cy - r)
    c, d = (cx + half, cy + r), (cx - half, cy + r)
    return Region.of(
        Chain(
            (
                Line(a, b),
                Arc(b, c, (cx + half, cy), True),
                Line(c, d),
                Arc(d, a, (cx - half, cy), True),
            )
        )
    )


def polygon(
    sides: int,
    *,
    across_flats: float | None = None,
    across_corners: float | None = None,
    centre: Point = ORIGIN,
) -> Region:
    """A regular polygon, one flat at the bottom. `across_flats` is twice the inscribed radius."""
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
    return Region.of(Chain.of_points(corners, closed=True))
