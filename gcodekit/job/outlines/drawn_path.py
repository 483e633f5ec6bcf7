"""A drawn path: entries to sides, corners rounded and bevelled, to one chain."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from gcodekit.geometry.chain import SAME_POINT, Chain, Segment, same
from gcodekit.job.keys.reading import Path, Table
from gcodekit.job.outlines.path_arcs import segment_to
from gcodekit.job.outlines.path_corners import STRAIGHT_ON, PathCorner, bevelled, rounded, turn_at
from gcodekit.job.outlines.paths import PathEntry


@dataclass(frozen=True, slots=True)
class _Joint:
    """A corner to be cut: between which sides, what the entry asks for, where it stands."""

    before: int
    after: int
    key: str
    size: float
    at: Path


def build_path(table: Table, path: Path, entries: list[PathEntry], *, closed: bool) -> Chain | None:
    """The chain through the entries, starting on its first side; None where one is at fault."""
    if closed and not same(entries[0].to, entries[-1].to):
        entries = [*entries, PathEntry(to=entries[0].to)]
    built = _sides(table, path, entries)
    if built is None:
        return None
    sides, starts = built
    if not sides:
        table.error(path, "all its points are the same", "give two different points")
        return None
    joints = _joints(table, path, entries, starts, len(sides), closed=closed)
    return None if joints is None else _joined(table, sides, joints)


def _sides(
    table: Table, path: Path, entries: Sequence[PathEntry]
) -> tuple[list[Segment], list[int]] | None:
    """The sides, and for each entry the number of the side that leaves it."""
    sides: list[Segment] = []
    starts: list[int] = []
    sound = True
    for i, entry in enumerate(entries):
        found = segment_to(entries[i - 1].to, entry, table.source.say) if i else None
        if isinstance(found, tuple):
            key, message, hint = found
            table.error((*path, i, key), message, hint)
            sound = False
        elif found is not None:
            sides.append(found)
        starts.append(len(sides))
    return (sides, starts) if sound else None


def _joints(
    table: Table, path: Path, entries: list[PathEntry], starts: list[int], n: int, *, closed: bool
) -> list[_Joint] | None:
    """Every corner that an entry wants cut."""
    joints: list[_Joint] = []
    for i, entry in enumerate(entries):
        size = entry.round or entry.bevel
        if not size:
            continue
        key = "round" if entry.round else "bevel"
        if not closed and starts[i] in (0, n):
            table.error(
                (*path, i, key), "there is no corner at the end of an open path", "remove it"
            )
            return None
        after = starts[i] % n
        joint = _Joint((after - 1) % n, after, key, size, (*path, i, key))
        twin = next((j for j in joints if j.after == after), None)
        if twin is None:
            joints.append(joint)
        elif (twin.key, twin.size) != (key, size):
            table.error(joint.at, "this corner already has one", "remove one of them")
            return None
    return joints


def _joined(table: Table, sides: list[Segment], joints: list[_Joint]) -> Chain | None:
    """The sides, trimmed, with what stands at their corners between them."""
    cut = {j.after: _cut(sides, j, j.size) for j in joints}
    sound = [_fits(table, sides, joints, j, cut) for j in joints]
    if not all(sound):
        return None
    out: list[Segment] = []
    for i, side in enumerate(sides):
        at_start, at_end = cut.get(i), cut.get((i + 1) % len(sides))
        first = at_start.trim_after if at_start else 0.0
        last = side.length - (at_end.trim_before if at_end else 0.0)
        if at_start and i:
            out.append(at_start.segment)
        if last - first > SAME_POINT:
            out.append(side if (first, last) == (0.0, side.length) else side.between(first, last))
    if closing := cut.get(0):
        out.append(closing.segment)
    return Chain(tuple(_meeting(out)))


def _meeting(segments: list[Segment]) -> list[Segment]:
    """The segments, each starting exactly where the one before it ends."""
    out = segments[:1]
    for segment in segments[1:]:
        out.append(replace(segment, start=out[-1].end))
    return out


def _cut(sides: list[Segment], joint: _Joint, size: float) -> PathCorner | None:
    before, after = sides[joint.before], sides[joint.after]
    way = rounded if joint.key == "round" else bevelled
    return way(before, after, size)


def _fits(
    table: Table,
    sides: list[Segment],
    joints: list[_Joint],
    joint: _Joint,
    cut: dict[int, PathCorner | None],
) -> bool:
    """Tell whether a corner's round or bevel fits beside its neighbours'; else the fault is
    noted."""
    turn = abs(turn_at(sides[joint.before], sides[joint.after]))
    if turn < STRAIGHT_ON:
        table.error(joint.at, "there is no corner: the path goes straight on", "remove it")
        return False
    if turn > math.pi - STRAIGHT_ON:
        table.error(
            joint.at, "the path turns right back, so there is no corner to break", "remove it"
        )
        return False
    room = _room(sides, joint, cut)
    if _inside(cut[joint.after], room):
        return True
    most = _largest(sides, joint, room)
    say = table.source.say
    hint = f"use at most {say(table.source.rounded_down(most))}" if most > 1e-3 else "remove it"
    table.error(joint.at, f"{say(joint.size)} does not fit between its sides", hint)
    return False


def _room(
    sides: list[Segment], joint: _Joint, cut: dict[int, PathCorner | None]
) -> tuple[float, float]:
    """Find how much of each side the corners at their other ends leave."""
    n = len(sides)
    beyond, ahead = cut.get(joint.before), cut.get((joint.after + 1) % n)
    before, after = sides[joint.before].length, sides[joint.after].length
    if beyond is not None and n > 1:
        before -= beyond.trim_after
    if ahead is not None and n > 1:
        after -= ahead.trim_before
    return before, after


def _inside(corner: PathCorner | None, room: tuple[float, float]) -> bool:
    if corner is None:
        return False
    return corner.trim_before <= room[0] + SAME_POINT and corner.trim_after <= room[1] + SAME_POINT


def _largest(sides: list[Segment], joint: _Joint, room: tuple[float, float]) -> float:
    """The largest size that fits, by halving: what fits grows from nothing without a gap."""
    low, high = 0.0, joint.size
    for _ in range(50):
        middle = (low + high) / 2
        if _inside(_cut(sides, joint, middle), room):
            low = middle
        else:
            high = middle
    return low
