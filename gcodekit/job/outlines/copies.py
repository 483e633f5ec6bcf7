"""Copies of features: moves, turns and mirror images, each a sibling of the original."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from gcodekit.geometry.region import Shift
from gcodekit.job.feature import Feature
from gcodekit.job.keys import job_keys
from gcodekit.job.keys.job_keys import MOST_COPIES
from gcodekit.job.keys.keys import KeyTable
from gcodekit.job.keys.reading import Path, Table

# Features of one set-up, copies included: more than anyone makes in one go.
MOST_FEATURES = 1_000
# Places, lines and arcs of one feature's copies, or of a set-up's: likewise.
MOST_PARTS = 20_000


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
    """Find what one entry stands for: one copy, or with `count` a run of them."""
    move, angle, about = copy.point("move"), copy.angle("angle"), copy.point("about")
    shift = Shift(
        mirror=copy.choice("mirror"),
        angle=angle or 0.0,
        about=about or (0.0, 0.0),
        move=move or (0.0, 0.0),
    )
    if shift.still:
        if not copy.given("move", "angle", "mirror"):
            copy.error("", "the copy is on top of the original", "give move, angle or mirror")
        elif not any(copy.has(k) and v is None for k, v in (("move", move), ("angle", angle))):
            copy.error(
                "", "the copy is on top of the original: move and angle are 0", "change one of them"
            )
        return []
    if not copy.has("count"):
        return [shift]
    count = copy.count("count")
    if copy.has("mirror"):
        copy.error(
            "mirror",
            "a run of copies cannot be mirrored",
            "give each mirrored copy as an entry of its own",
        )
    if count is None:
        return []
    return [_step(shift, n) for n in range(1, count)]


def _step(shift: Shift, n: int) -> Shift:
    """The n-th of a run of copies."""
    move = (shift.move[0] * n, shift.move[1] * n)
    return Shift(angle=shift.angle * n, about=shift.about, move=move)


def with_copies(feature: Feature, shifts: list[Shift]) -> list[Feature]:
    """A feature, then its copies.

    The whole top is faced once, whatever is copied.
    """
    if feature.whole_top:
        return [feature]
    copies = [
        replace(feature.moved(s), name=f"{feature.name} copy {n}", copy_of=feature.name)
        for n, s in enumerate(shifts, 2)
    ]
    return [feature, *copies]


def all_copied(features: list[Feature], shifts: list[Shift]) -> list[Feature]:
    """The features, then for each shift all of them again, with their own copies and with the
    order among them."""
    out = list(features)
    taken = {f.name for f in features}
    for n, shift in enumerate(shifts, 2):
        again = [f for f in features if not f.whole_top]
        names = {f.name: _free_name(f.name, n, taken) for f in again}
        taken.update(names.values())
        for f in again:
            after = names.get(f.after, f.after) if f.after else None
            copy_of = names.get(f.copy_of, "")
            copy = replace(f.moved(shift), name=names[f.name], after=after, copy_of=copy_of)
            out.append(copy)
    return out


def _free_name(name: str, n: int, taken: set[str]) -> str:
    """The n-th copy's name, or the next one that none of the feature's own copies has."""
    while f"{name} copy {n}" in taken:
        n += 1
    return f"{name} copy {n}"


def too_many(table: Table, key: str, features: list[Feature], times: int) -> bool:
    """Tell whether that many copies are more than is made in one go; then the fault is noted."""
    made, parts = len(features) * times, sum(f.weight for f in features) * times
    if made > MOST_FEATURES:
        table.error(key, f"makes {made:,} features", f"at most {MOST_FEATURES:,}")
    elif parts > MOST_PARTS:
        table.error(key, f"makes {parts:,} places, lines and arcs", f"at most {MOST_PARTS:,}")
    return made > MOST_FEATURES or parts > MOST_PARTS


def setup_copies(setup: Table) -> list[Shift]:
    """The copies of a whole set-up."""
    return read_copies(setup, "copy", job_keys.SETUP_COPY)
