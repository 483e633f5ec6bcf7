"""Copies of features: moves, turns and mirror images, each a sibling of the original."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from gcodekit.geometry.chain import Chain, Point, distance
from gcodekit.geometry.region import Region
from gcodekit.job.keys import job_keys
from gcodekit.job.keys.job_keys import MOST_COPIES
from gcodekit.job.keys.keys import KeyTable
from gcodekit.job.keys.reading import Path, Table
from gcodekit.job.model import (
    Bore,
    Boss,
    Edge,
    Face,
    Feature,
    Hole,
    Pocket,
    Profile,
    Sector,
    Slot,
)

Side = Literal["outside", "inside", "on", "left", "right"]

# Features of one set-up, copies included: more than anyone makes in one go.
MOST_FEATURES = 1_000
# Places, lines and arcs of one feature's copies, or of a set-up's: likewise.
MOST_PARTS = 20_000


@dataclass(frozen=True, slots=True)
class Shift:
    """One copy: mirrored, then turned, both about `about`, then moved."""

    mirror: str | None = None
    angle: float = 0.0
    about: Point = (0.0, 0.0)
    move: Point = (0.0, 0.0)

    @property
    def still(self) -> bool:
        """Whether the copy would lie on the original."""
        return not self.mirror and not self.angle and distance(self.move, (0.0, 0.0)) == 0

    def chain(self, chain: Chain) -> Chain:
        """A chain, walked in the same order."""
        if self.mirror:
            chain = chain.mirrored(self.mirror, self.about)
        if self.angle:
            chain = chain.turned(self.angle, self.about)
        return chain.moved(*self.move)

    def region(self, region: Region) -> Region:
        """A region."""
        if self.mirror:
            region = region.mirrored(self.mirror, self.about)
        if self.angle:
            region = region.turned(self.angle, self.about)
        return region.moved(*self.move)

    def point(self, point: Point) -> Point:
        """A point."""
        return self.chain(Chain.of_points([point, point], closed=False)).start

    def direction(self, direction: Point) -> Point:
        """A unit vector."""
        dx, dy = direction
        if self.mirror:
            dx, dy = (dx, -dy) if self.mirror == "x" else (-dx, dy)
        c, s = math.cos(self.angle), math.sin(self.angle)
        return (c * dx - s * dy, s * dx + c * dy)

    def span(self, start: float, end: float) -> tuple[float, float]:
        """From which angle to which a counter-clockwise arc goes."""
        if self.mirror:
            half_turn = 0.0 if self.mirror == "x" else math.pi
            start, end = half_turn - end, half_turn - start
        return start + self.angle, end + self.angle


def read_copies(table: Table, name: str, keys: KeyTable) -> list[Shift]:
    """Every copy beyond the original that `copies` or `[[setup.copy]]` asks for."""
    value = table.raw(name)
    if value is None:
        return []
    if isinstance(value, Mapping):
        entries: list[tuple[Path, Any]] = [((name,), value)]
    elif table.many(name, value):
        return []
    elif isinstance(value, list):
        entries = [((name, i), entry) for i, entry in enumerate(value)]
    else:
        table.error(name, "is not a copy", "write [{ move = [x, y] }, ...]")
        return []
    shifts: list[Shift] = []
    for path, entry in entries:
        copy = table.entry(path, entry, keys)
        if copy is not None:
            shifts += _shifts(copy)
    if len(shifts) > MOST_COPIES:
        table.error(name, f"makes {len(shifts):,} copies", f"at most {MOST_COPIES:,}")
        return []
    return shifts


def _shifts(copy: Table) -> list[Shift]:
    """What one entry stands for: one copy, or with `count` a run of them."""
    move, angle, about = copy.point("move"), copy.angle("angle"), copy.point("about")
    shift = Shift(
        mirror=copy.choice("mirror"),
        angle=angle or 0.0,
        about=about or (0.0, 0.0),
        move=move or (0.0, 0.0),
    )
    if shift.still:
        if not copy.given("move", "angle", "mirror"):
            copy.error("", "the copy lies on the original", "give move, angle or mirror")
        elif not any(copy.has(k) and v is None for k, v in (("move", move), ("angle", angle))):
            copy.error("", "the copy lies on the original", "its move and angle are 0")
        return []
    if not copy.has("count"):
        return [shift]
    count = copy.count("count")
    if copy.has("mirror"):
        copy.error("mirror", "a counted run is not mirrored", "give each mirrored copy by itself")
    if count is None:
        return []
    return [_step(shift, n) for n in range(1, count)]


def _step(shift: Shift, n: int) -> Shift:
    """The n-th of a run of copies."""
    move = (shift.move[0] * n, shift.move[1] * n)
    return Shift(angle=shift.angle * n, about=shift.about, move=move)


def copied(feature: Feature, shift: Shift, name: str) -> Feature:
    """A copy of a feature: the metal side stays, so left and right change hands in a mirror."""
    if isinstance(feature, Hole | Bore):
        return replace(feature, name=name, places=tuple(map(shift.point, feature.places)))
    if isinstance(feature, Slot):
        return replace(feature, name=name, path=shift.chain(feature.path))
    if isinstance(feature, Pocket):
        return replace(
            feature,
            name=name,
            outline=shift.region(feature.outline),
            islands=tuple(map(shift.region, feature.islands)),
            area=shift.region(feature.area),
        )
    if isinstance(feature, Profile):
        return _profile(feature, shift, name)
    if isinstance(feature, Edge | Boss | Sector):
        return _wall(feature, shift, name)
    assert isinstance(feature, Face)
    outline = None if feature.outline is None else shift.region(feature.outline)
    return replace(feature, name=name, outline=outline)


def _profile(feature: Profile, shift: Shift, name: str) -> Profile:
    hands: dict[str, Side] = {"left": "right", "right": "left"} if shift.mirror else {}
    return replace(
        feature,
        name=name,
        outline=None if feature.outline is None else shift.region(feature.outline),
        path=None if feature.path is None else shift.chain(feature.path),
        side=hands.get(feature.side, feature.side),
        tabs=feature.tabs
        and replace(feature.tabs, at=tuple(shift.point(p) for p in feature.tabs.at)),
    )


def _wall(feature: Edge | Boss | Sector, shift: Shift, name: str) -> Feature:
    if isinstance(feature, Edge):
        point, away = shift.point(feature.point), shift.direction(feature.away)
        return replace(feature, name=name, point=point, away=away)
    if isinstance(feature, Boss):
        within = None if feature.within is None else shift.region(feature.within)
        return replace(feature, name=name, kept=shift.region(feature.kept), within=within)
    start, end = shift.span(feature.start, feature.end)
    return replace(feature, name=name, centre=shift.point(feature.centre), start=start, end=end)


def with_copies(feature: Feature, shifts: list[Shift]) -> list[Feature]:
    """A feature, then its copies.

    The whole top is faced once, whatever is copied.
    """
    if isinstance(feature, Face) and feature.outline is None:
        return [feature]
    copies = [copied(feature, s, f"{feature.name} copy {n}") for n, s in enumerate(shifts, 2)]
    return [feature, *(replace(c, copy_of=feature.name) for c in copies)]


def all_copied(features: list[Feature], shifts: list[Shift]) -> list[Feature]:
    """The features, then for each shift all of them again, with their own copies and with the
    order among them."""
    out = list(features)
    taken = {f.name for f in features}
    for n, shift in enumerate(shifts, 2):
        again = [f for f in features if not (isinstance(f, Face) and f.outline is None)]
        names = {f.name: _free_name(f.name, n, taken) for f in again}
        taken.update(names.values())
        for f in again:
            copy = copied(f, shift, names[f.name])
            after = names.get(f.after, f.after) if f.after else None
            out.append(replace(copy, after=after, copy_of=names.get(f.copy_of, "")))
    return out


def _free_name(name: str, n: int, taken: set[str]) -> str:
    """The n-th copy's name, or the next one that none of the feature's own copies has."""
    while f"{name} copy {n}" in taken:
        n += 1
    return f"{name} copy {n}"


def weight(feature: Feature) -> int:
    """How many places, or lines and arcs, a feature is made of."""
    if isinstance(feature, Hole | Bore):
        return len(feature.places)
    if isinstance(feature, Slot):
        return len(feature.path)
    if isinstance(feature, Pocket):
        return sum(map(len, (*feature.outline.rings, *feature.area.rings)))
    if isinstance(feature, Profile) and feature.path is not None:
        return len(feature.path)
    if isinstance(feature, Boss):
        return sum(map(len, feature.kept.rings))
    if isinstance(feature, Edge | Sector):
        return 1
    return 1 if feature.outline is None else sum(map(len, feature.outline.rings))


def too_many(table: Table, key: str, features: list[Feature], times: int) -> bool:
    """Whether that many copies are more than is made in one go; then the fault is noted."""
    made, parts = len(features) * times, sum(map(weight, features)) * times
    if made > MOST_FEATURES:
        table.error(key, f"makes {made:,} features", f"at most {MOST_FEATURES:,}")
    elif parts > MOST_PARTS:
        table.error(key, f"makes {parts:,} places, lines and arcs", f"at most {MOST_PARTS:,}")
    return made > MOST_FEATURES or parts > MOST_PARTS


def setup_copies(setup: Table) -> list[Shift]:
    """The copies of a whole set-up."""
    return read_copies(setup, "copy", job_keys.SETUP_COPY)
