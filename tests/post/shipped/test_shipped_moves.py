"""What every post must keep: the cuts that its text makes are those that were planned."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest

from gcodekit.toolpath.moves import ArcFeed, Feed, HoleCycle, Move, Rapid

UP = 15.0


def test_reads_back_clean(cases: list[Any]) -> None:
    for case in cases:
        assert case.reading.problems == ()
        assert case.reading.ended
        assert all(m.known_before == "XYZ" for m in case.reading.moves if m.kind != "rapid")
        said = [e.value for e in case.reading.events if e.kind == "tool change"]
        cutters = list(dict.fromkeys(o.cutter.number for o in case.operations))
        assert (said or [case.only]) == cutters


def test_cuts_what_was_planned(cases: list[Any], kit: Any) -> None:
    for case in cases:
        planned = [leg for o in case.operations for leg in kit.planned_legs(o.moves)]
        found = kit.read_legs(case.text, case.written.units)
        assert kit.strays(planned, found, case.near) == []
        assert kit.strays(found, planned, case.near) == []


def test_turns_as_far_as_was_planned(cases: list[Any], kit: Any) -> None:
    """Same length of cut: no arc goes the other way round, none is passed over or made twice."""
    for case in cases:
        if any(isinstance(m, HoleCycle) for o in case.operations for m in o.moves):
            continue
        planned = [leg for o in case.operations for leg in kit.planned_legs(o.moves)]
        found = kit.read_legs(case.text, case.written.units)
        length = sum(kit.length(leg) for leg in planned)
        # chords are shorter than their arcs, by two parts in a thousand for the smallest here
        assert sum(map(kit.length, found)) == pytest.approx(length, rel=0.004, abs=20 * case.count)


def test_goes_sideways_only_where_it_was_planned(cases: list[Any]) -> None:
    for case in cases:
        over = {(r.x, r.y): 0.0 for r in planned_rapids(case)}
        height = UP
        for operation in case.operations:
            for move in operation.moves:
                height = height_after(move, height)
                if isinstance(move, Rapid) and move.x is not None:
                    over[move.x, move.y] = height
        park = case.program.job.workshop.machine.park
        over |= {park: UP} if park else {}
        for move in case.reading.moves:
            if move.kind != "rapid" or move.start[:2] == move.end[:2]:
                continue
            assert move.start[2] == move.end[2]
            heights = [
                z
                for (x, y), z in over.items()
                if abs((x or 0.0) - move.end[0]) <= case.count
                and abs((y or 0.0) - move.end[1]) <= case.count
            ]
            assert heights
            assert move.end[2] >= min(heights) - case.count


def planned_rapids(case: Any) -> Iterator[Rapid]:
    every = (m for o in case.operations for m in o.moves)
    return (m for m in every if isinstance(m, Rapid) and m.x is not None)


def height_after(move: Move, before: float) -> float:
    match move:
        case Rapid(z=z):
            return before if z is None else z
        case HoleCycle(retract=retract):
            return retract
        case Feed(z=z) | ArcFeed(z=z):
            return z
    return before


def test_cuts_under_the_planned_conditions(cases: list[Any]) -> None:
    for case in cases:
        machine = case.program.job.workshop.machine
        cooled = {"flood": "f", "mist": "m", "none": ""}[machine.coolant]
        feeds = [m.feed for o in case.operations for m in o.moves if hasattr(m, "feed")]
        step = (25.4 if case.written.units == "inch" else 1.0) * 10.0 ** -case.post.feed_decimals[
            case.written.units == "inch"
        ]
        speeds = {(o.cutter.number, round(o.speed)) for o in case.operations}
        done = set()
        for move in case.reading.moves:
            if move.kind == "rapid" or move.start[2] >= UP - case.count:
                continue
            assert (move.spindle, move.coolant) == (1, cooled)
            done.add((move.cutter, round(move.speed)))
            slow_rise = not case.post.dwells and 0 < move.end[2] - move.start[2] < 0.02
            assert slow_rise or any(abs(move.feed - f) <= step for f in feeds)
        assert done == speeds


def test_waits_as_long_as_was_planned(cases: list[Any]) -> None:
    """By G4 or a cycle's P, or on the way up, never less."""
    for case in cases:
        holes = [m for o in case.operations for m in o.moves if isinstance(m, HoleCycle)]
        planned = sum(h.dwell for h in holes)
        start = case.program.job.workshop.machine.spindle.start_time
        starts = sum(bool(re.search(r"\bM0?3\b", b)) for b in case.blocks)
        planned += start * starts
        waited = sum(e.value for e in case.reading.events if e.kind == "dwell")
        if not case.post.dwells:
            assert waited == 0
            up = [m for m in case.reading.moves if m.kind == "line" and m.end[2] > m.start[2]]
            plain = [m for m in up if m.start[:2] == m.end[:2]]
            slow = [m for m in plain if m.length < 0.02 or m.start[2] >= UP - case.count]
            waited = sum(m.length / m.feed * 60 for m in slow)
            if starts and start:
                lines = [m for m in case.reading.moves if m.kind != "rapid"]
                assert lines[0].start[2] >= UP - case.count, "the first cut is before the wait"
        assert planned - 1e-3 <= waited <= planned * 1.5 + 1e-3


def test_a_reamer_leaves_its_hole_at_the_feed(cases: list[Any]) -> None:
    for case in cases:
        holes = [m for o in case.operations for m in o.moves if isinstance(m, HoleCycle)]
        if not holes or any(h.kind != "ream" for h in holes):
            continue
        out = [m for m in case.reading.moves if m.start[2] < 0 and m.end[2] > m.start[2] + 0.1]
        assert len(out) == len(holes)
        assert all(m.kind == "line" and abs(m.feed - 90.0) < 0.2 for m in out)


def test_ranges_name_every_cut(cases: list[Any]) -> None:
    for case in cases:
        ranges = case.written.ranges
        assert [(r.feature, r.label) for r in ranges] == [
            (o.feature, o.label) for o in case.operations
        ]
        for move in case.reading.moves:
            if move.kind != "rapid" and move.start[2] < UP - case.count:
                assert sum(r.first_line <= move.line <= r.last_line for r in ranges) == 1
