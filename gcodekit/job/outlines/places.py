"""Where holes and bores are: single places, rows, grids, pitch circles, polar lists."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from gcodekit.geometry.chain import Point, distance
from gcodekit.job.keys import outline_keys
from gcodekit.job.keys.feature_keys import MOST_PLACES
from gcodekit.job.keys.keys import KeyTable
from gcodekit.job.keys.reading import Table

# Of its diameter, how near one hole may come to the next. Common practice, no source: holes drilled
# in a chain overlap by far less.
NEAREST_HOLES = 0.1
PLACE_KEYS_NAMED = ("at", "row", "grid", "pitch_circle", "polar")


def read_places(feature: Table) -> tuple[Point, ...] | None:
    """Every place of a feature, mm, in the order they are written or counted."""
    way = feature.one_of(*PLACE_KEYS_NAMED, what="its place")
    if way is None:
        return None
    if way == "at":
        found = feature.points("at")
        return None if found is None else _distinct(feature, way, found)
    keys, read = _READERS[way]
    table = feature.table(way, keys)
    places = read(table) if table is not None else None
    if table is None or places is None:
        return None
    kept = _without_skipped(table, places)
    return None if kept is None else _distinct(feature, way, kept)


def _row(table: Table) -> list[Point] | None:
    """Evenly along a line, from its start or about its middle."""
    from_ = table.one_of("start", "centre", what="the place of the row")
    pitch, count, angle = table.length("pitch"), table.count("count"), table.angle("angle")
    origin = table.point(from_) if from_ else None
    if origin is None or pitch is None or count is None or angle is None:
        return None
    first = 0.0 if from_ == "start" else -(count - 1) / 2
    steps = [(first + i) * pitch for i in range(count)]
    c, s = math.cos(angle), math.sin(angle)
    return [(origin[0] + t * c, origin[1] + t * s) for t in steps]


def _grid(table: Table) -> list[Point] | None:
    """Rows from the lower left, each from left to right."""
    start, pitch, count = table.point("start"), table.lengths("pitch", 2), table.counts("count", 2)
    angle = table.angle("angle")
    if start is None or pitch is None or count is None or angle is None:
        return None
    if count[0] * count[1] > MOST_PLACES:
        table.error("count", f"makes {count[0] * count[1]:,} places", f"at most {MOST_PLACES:,}")
        return None
    c, s = math.cos(angle), math.sin(angle)
    steps = [(i * pitch[0], j * pitch[1]) for j in range(count[1]) for i in range(count[0])]
    return [(start[0] + u * c - v * s, start[1] + u * s + v * c) for u, v in steps]


def _pitch_circle(table: Table) -> list[Point] | None:
    """Round a circle: a full turn is shared out, a part of one is spanned end to end."""
    centre, diameter, count = table.point("centre"), table.length("diameter"), table.count("count")
    start, sweep = table.angle("start"), table.angle("sweep")
    if centre is None or diameter is None or count is None or start is None or sweep is None:
        return None
    if abs(sweep) < 1e-9 or abs(sweep) > math.tau + 1e-9:
        table.error("sweep", f"{math.degrees(sweep):g} degrees", "it must be within 360, not 0")
        return None
    full = math.isclose(abs(sweep), math.tau)
    step = sweep / (count if full else max(1, count - 1))
    return [_polar_point(centre, diameter / 2, start + i * step) for i in range(count)]


def _polar(table: Table) -> list[Point] | None:
    """Radius and angle of each place."""
    centre, raw = table.point("centre"), table.raw("points")
    if not isinstance(raw, list) or not raw:
        table.error("points", "is not a list of radii and angles", "write [[r, angle], ...]")
        return None
    if table.many("points", raw):
        return None
    key = outline_keys.POLAR.keys[0]
    found: list[Point | None] = []
    for i, pair in enumerate(raw):
        path = table.below(("points", i))
        if not isinstance(pair, list) or len(pair) != 2:
            table.source.error(path, "is not a radius and an angle", "write [r, angle]")
            found.append(None)
            continue
        radius = table.source.amount((*path, 0), pair[0], key, "length")
        angle = table.source.amount((*path, 1), pair[1], key, "angle")
        bad = radius is None or angle is None or centre is None
        found.append(None if bad else _polar_point(centre, radius, angle))  # type: ignore[arg-type]  # bad says none is None
    return None if None in found else [p for p in found if p is not None]


def _polar_point(centre: Point, radius: float, angle: float) -> Point:
    return (centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle))


def _without_skipped(table: Table, places: Sequence[Point]) -> list[Point] | None:
    """The places less those that `skip` counts, from 1."""
    if not table.has("skip"):
        return list(places)
    skip = table.counts("skip")
    if skip is None:
        return None
    beyond = [n for n in skip if n > len(places)]
    if beyond:
        table.error("skip", f"there is no place {beyond[0]}", f"they are 1 to {len(places)}")
        return None
    left_out = set(skip)
    kept = [p for n, p in enumerate(places, 1) if n not in left_out]
    if not kept:
        table.error("skip", "leaves no place", "leave the feature out")
        return None
    return kept


def _distinct(feature: Table, way: str, places: Sequence[Point]) -> tuple[Point, ...]:
    """The places, with a warning where one is given twice."""
    seen: dict[tuple[int, int], int] = {}
    kept: list[Point] = []
    for n, p in enumerate(places, 1):
        cell = (round(p[0] * 1e4), round(p[1] * 1e4))
        if cell in seen and distance(p, places[seen[cell] - 1]) < 1e-3:
            where = feature.source.say_point(p)
            feature.warn(way, f"places {seen[cell]} and {n} are both at {where}", "it is cut once")
        else:
            seen[cell] = n
            kept.append(p)
    return tuple(kept)


def check_apart(feature: Table, places: Sequence[Point], diameter: float) -> None:
    """Refuse round holes so near one another that each is all but cut by the one before."""
    import shapely

    if len(places) < 2:
        return
    points = shapely.points(places)
    pairs, gaps = shapely.STRtree(points).query_nearest(
        points, exclusive=True, all_matches=False, return_distance=True
    )
    if gaps.min() < NEAREST_HOLES * diameter:
        one, other = sorted(int(i) + 1 for i in pairs[:, gaps.argmin()])
        say = feature.source.say
        gap = say(float(gaps.min()))
        text = f"places {one} and {other} are {gap} apart, and each is {say(diameter)} wide"
        way = next(way for way in PLACE_KEYS_NAMED if feature.has(way))
        feature.error(way, text, 'set them farther apart, or cut a slot: kind = "slot"')


_READERS: dict[str, tuple[KeyTable, Callable[[Table], list[Point] | None]]] = {
    "row": (outline_keys.ROW, _row),
    "grid": (outline_keys.GRID, _grid),
    "pitch_circle": (outline_keys.PITCH_CIRCLE, _pitch_circle),
    "polar": (outline_keys.POLAR, _polar),
}
