"""Centre lines (ISO 128-2, 04.1): crosses through what is round in plan, axes in the other view."""

from __future__ import annotations

from collections.abc import Iterator

from gcodekit.geometry.chain import Point
from gcodekit.job.feature import Feature, Round
from gcodekit.job.kinds.arc import Sector
from gcodekit.job.model import Setup
from gcodekit.part.setup_stock import plan
from gcodekit.plot.line_types import CENTRE, NARROW
from gcodekit.plot.paper import INK, number, tag
from gcodekit.plot.scale import Scale

# A centre line goes on past the edge by this, mm on the paper (ISO 128-3: just beyond it).
_BEYOND = 2.0
# A cross smaller than this, mm, has plain lines: no dash would have room (ISO 128-3).
_DASHED = 9.0
# So many in one picture.
_MOST = 600


def plan_centres(setup: Setup, scale: Scale) -> str:
    """Crosses through holes, bores and other round features, and through round stock."""
    crosses = list(_crosses(setup))[:_MOST]
    data: dict[bool, list[str]] = {True: [], False: []}
    for (x, y), radius in dict.fromkeys(crosses):
        px, py = scale.point(x, y)
        half = radius * scale.factor + _BEYOND
        cross = f"M{number(px - half)} {number(py)}H{number(px + half)}"
        cross += f"M{number(px)} {number(py - half)}V{number(py + half)}"
        data[2 * half >= _DASHED].append(cross)
    return _drawn("".join(data[True]), CENTRE) + _drawn("".join(data[False]), "none")


def _drawn(data: str, dash: str) -> str:
    if not data:
        return ""
    return tag("path", d=data, stroke=INK, stroke_width=NARROW * 0.7, stroke_dasharray=dash)


def _crosses(setup: Setup) -> Iterator[tuple[Point, float]]:
    """Centre and radius of what is round, mm."""
    raw = setup.left
    if raw.shape == "round" and raw.axis == "z":
        middle = ((raw.low[0] + raw.high[0]) / 2, (raw.low[1] + raw.high[1]) / 2)
        yield middle, (raw.high[0] - raw.low[0]) / 2
    for feature in setup.features:
        radius = _radius(feature, setup)
        places = feature.places if isinstance(feature, Round) else (feature.axis,)
        for place in places:
            if place is not None:
                yield place, radius


def _radius(feature: Feature, setup: Setup) -> float:
    """Half of what is drawn of it across."""
    if isinstance(feature, Round):
        return feature.widest / 2
    if isinstance(feature, Sector):
        # an arc's centre is marked where it is
        return 0.0
    xs = [p[0] for c in feature.lines(plan(setup)) for p in c.flattened(0.1)]
    return (max(xs) - min(xs)) / 2 if xs else 0.0


def front_centres(setup: Setup, scale: Scale, axis: int) -> str:
    """The axes of what is round, from above its top to below its floor."""
    more = _BEYOND / (scale.factor * scale.stretch)
    spans: dict[float, tuple[float, float]] = {}
    for feature in setup.features:
        places = feature.places if isinstance(feature, Round) else (feature.axis,)
        for place in places:
            if place is None or isinstance(feature, Sector):
                continue
            at = round(place[axis], 3)
            low, high = spans.get(at, (feature.depth.floor, feature.depth.top))
            spans[at] = min(low, feature.depth.floor), max(high, feature.depth.top)
    data = "".join(
        f"M{scale.to(u, high + more)}L{scale.to(u, low - more)}"
        for u, (low, high) in list(spans.items())[:_MOST]
    )
    return _drawn(data, CENTRE)
