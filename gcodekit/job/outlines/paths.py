"""The points and segments of a path, as a job writes them, to a chain."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, cast

from gcodekit.geometry.chain import Point
from gcodekit.job.keys import outline_keys
from gcodekit.job.keys.reading import Path, Table

Turn = Literal["ccw", "cw"]
MOST_ENTRIES = 20_000


@dataclass(frozen=True, slots=True, kw_only=True)
class PathEntry:
    """One entry of a path: where the segment to it ends, how it gets there, and its corner."""

    to: Point
    centre: Point | None = None
    radius: float | None = None
    via: Point | None = None
    turn: Turn | None = None
    large: bool = False
    round: float | None = None
    bevel: float | None = None


def read_entries(table: Table, path: Path) -> list[PathEntry] | None:
    """Every entry of the list at `path` below the table; None where one is at fault."""
    raw = _value_at(table, path)
    if not isinstance(raw, list) or len(raw) < 2:
        table.error(path, "is not a list of two or more points", "write [[x, y], [x, y], ...]")
        return None
    if len(raw) > MOST_ENTRIES:
        table.error(path, f"has {len(raw)} entries", f"use at most {MOST_ENTRIES}")
        return None
    found = [_entry(table, (*path, i), value, first=i == 0) for i, value in enumerate(raw)]
    return None if None in found else [e for e in found if e is not None]


def _value_at(table: Table, path: Path) -> object:
    value: object = table.data
    for step in path:
        value = value[step]  # type: ignore[index]  # the path was walked before
    return value


def _entry(table: Table, path: Path, value: object, *, first: bool) -> PathEntry | None:
    if isinstance(value, list):
        point = table.source.point(table.below(path), value)
        return None if point is None else PathEntry(to=point)
    if not isinstance(value, dict):
        table.error(path, "is not a point or a segment", "write [x, y] or { to = [x, y] }")
        return None
    entry = table.entry(path, value, outline_keys.PATH_ENTRY)
    return None if entry is None or not _well_formed(entry, first=first) else _segment(entry)


def _well_formed(entry: Table, *, first: bool) -> bool:
    """Tell whether the keys of an entry go together."""
    ways = entry.given("centre", "radius", "via")
    if first and (ways or entry.has("turn")):
        entry.error(
            (ways or ["turn"])[0],
            "the first entry is the start of the path",
            "begin with a point [x, y]",
        )
        return False
    if len(ways) > 1:
        entry.error(ways[1], f"{' and '.join(ways)} are both given", "remove one of them")
        return False
    if ways in (["centre"], ["radius"]) and not entry.has("turn"):
        entry.error("turn", "is missing", 'add turn = "ccw" or "cw"')
        return False
    if entry.has("turn") and ways not in (["centre"], ["radius"]):
        entry.error("turn", "turn needs an arc with centre or radius", "give one of them")
        return False
    if entry.has("large") and ways != ["radius"]:
        entry.error("large", "large is only for an arc with a radius", "remove it")
        return False
    if entry.has("round") and entry.has("bevel"):
        entry.error("bevel", "round and bevel are both given", "remove one of them")
        return False
    return True


def _segment(entry: Table) -> PathEntry | None:
    to, centre, via = entry.point("to"), entry.point("centre"), entry.point("via")
    radius, turn = entry.length("radius"), cast("Turn | None", entry.choice("turn"))
    corner, bevel, large = entry.length("round"), entry.length("bevel"), entry.flag("large")
    values = {"centre": centre, "radius": radius, "via": via, "turn": turn}
    values |= {"round": corner, "bevel": bevel}
    if to is None or any(entry.has(k) and v is None for k, v in values.items()):
        return None
    return PathEntry(
        to=to,
        centre=centre,
        radius=radius,
        via=via,
        turn=turn,
        large=large,
        round=corner,
        bevel=bevel,
    )
