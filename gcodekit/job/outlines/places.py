"""Where holes and bores are: single places, rows, grids, pitch circles, polar lists."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from gcodekit.expr import nearest
from gcodekit.geometry.chain import Point, distance
from gcodekit.job.document.wording import listed, plain, quoted
from gcodekit.job.keys import outline_keys
from gcodekit.job.keys.feature_keys import MOST_PLACES, NAMED_PLACES, PLACE_KEYS
from gcodekit.job.keys.keys import KeyTable
from gcodekit.job.keys.reading import Table

# Of its diameter, how near one hole may come to the next. Common practice, no source: holes drilled
# in a chain overlap by far less.
NEAREST_HOLES = 0.1
_DRAWN = tuple(key.name for key in PLACE_KEYS)
_WAYS = (*_DRAWN, NAMED_PLACES.name)


@dataclass(frozen=True, slots=True)
class NamedPlaces:
    """The places of [places]; each name worked out once, when first used."""

    top: Table
    named: Mapping[str, object]
    done: dict[str, tuple[Point, ...] | None] = field(default_factory=dict)

    @staticmethod
    def of(top: Table) -> NamedPlaces:
        """The places that the job names."""
        named = top.raw("places")
        if named is not None and not isinstance(named, Mapping):
            top.error("places", "is not a table", "write [places] and names below it")
        return NamedPlaces(top, named if isinstance(named, Mapping) else {})

    def check_all(self) -> None:
        """Work out those that nothing has used, for their faults."""
        for name in self.named:
            self._of_name(name)

    def read(self, feature: Table) -> list[Point] | None:
        """The places of every name that a feature gives."""
        value = feature.raw("places")
        names = [value] if isinstance(value, str) else feature.texts("places")
        if names is None:
            return None
        found: list[Point] = []
        for i, name in enumerate(names):
            if name not in self.named:
                key = "places" if isinstance(value, str) else ("places", i)
                self._unknown(feature, key, name)
                return None
            places = self._of_name(name)
            if places is None:
                return None
            found += places
        return found

    def _unknown(self, feature: Table, key: str | tuple[str | int, ...], name: str) -> None:
        close = nearest(name, self.named)
        known = f"known names: {plain(listed(list(self.named), 'and'))}" if self.named else ""
        hint = f"did you mean {quoted(close)}?" if close else known or "write [places] first"
        feature.error(key, f"{quoted(name)} is not in [places]", hint)

    def _of_name(self, name: str) -> tuple[Point, ...] | None:
        if name not in self.done:
            table = self.top.entry(("places", name), self.named[name], outline_keys.PLACES)
            self.done[name] = None if table is None else _drawn_places(table, _DRAWN, None)
        return self.done[name]


def read_places(feature: Table, named: NamedPlaces) -> tuple[Point, ...] | None:
    """Every place of a feature, mm, in the order they are written or counted."""
    return _drawn_places(feature, _WAYS, named)


def _drawn_places(
    table: Table, ways: tuple[str, ...], named: NamedPlaces | None
) -> tuple[Point, ...] | None:
    """The places of a feature, or of a name, by the one way it gives."""
    way = table.one_of(*ways, what="its position")
    found: list[Point] | None = None
    if way == "at":
        found = table.points("at")
    elif way == NAMED_PLACES.name and named is not None:
        found = named.read(table)
    elif way is not None:
        keys, read = _READERS[way]
        pattern = table.table(way, keys)
        places = read(pattern) if pattern is not None else None
        if pattern is not None and places is not None:
            found = _without_skipped(pattern, places)
    return None if way is None or found is None else _distinct(table, way, found)


def _row(table: Table) -> list[Point] | None:
    """Evenly along a line, from its start or about its middle."""
    from_ = table.one_of("start", "centre", what="the position of the row")
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
        table.error("sweep", f"{math.degrees(sweep):g} degrees", "give up to 360, but not 0")
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
        table.error("skip", f"there is no point {beyond[0]}", f"use 1 to {len(places)}")
        return None
    left_out = set(skip)
    kept = [p for n, p in enumerate(places, 1) if n not in left_out]
    if not kept:
        table.error("skip", "skips every point", "keep one, or delete the feature")
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
            feature.warn(
                way,
                f"points {seen[cell]} and {n} are both at {where}",
                "remove one; it is cut once",
            )
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
        text = f"points {one} and {other} are {gap} apart, and each is {say(diameter)} wide"
        way = next(way for way in _WAYS if feature.has(way))
        feature.error(way, text, 'move them apart, or cut a slot: kind = "slot"')


_READERS: dict[str, tuple[KeyTable, Callable[[Table], list[Point] | None]]] = {
    "row": (outline_keys.ROW, _row),
    "grid": (outline_keys.GRID, _grid),
    "pitch_circle": (outline_keys.PITCH_CIRCLE, _pitch_circle),
    "polar": (outline_keys.POLAR, _polar),
}
