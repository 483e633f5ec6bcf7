"""What every post must keep, whatever its control can do: one table of checks for every shipped
post and the example of a user's own, in mm and inch, over programs that hold every kind of move.

A new post joins by its file alone, and by a row of `WORDS`: what its control understands.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any

import pytest

from gcodekit.job.model import Spindle
from gcodekit.planning.program import Operation, Program
from gcodekit.post.contract import Post
from gcodekit.post.find import load_post, shipped
from gcodekit.post.writer import Written, write_program
from gcodekit.rs274 import read_program
from gcodekit.rs274.moves import Reading
from gcodekit.toolpath.moves import ArcFeed, Feed, HoleCycle, Move, Rapid, Stop

UP = 15.0
EXAMPLE = Path(__file__).parent / "example_post" / "shed_mill.py"
FILES = sorted([*shipped("postprocessors").glob("*.py"), EXAMPLE])
POSTS = {file.stem: load_post(file) for file in FILES}

# G and M numbers, letters, and whether an arc may be a helix or a full turn. NISTIR 6556, tables
# 3, 5 and 7; ISO 6983-1's own words; what the other two say of themselves.
_NIST_G = "0 1 2 3 4 17 20 21 40 43 49 54 55 56 57 58 59 61 80 81 82 83 85 89 90 94 98 99"
_ISO_G = "0 1 2 3 4 17 20 21 40 54 55 56 57 58 59 80 81 82 83 90 94"
_SHED_G = "0 1 2 3 17 21 40 49 54 55 56 57 58 59 61 80 81 90 94 98 99"
WORDS: dict[str, tuple[str, str, str, str]] = {
    "rs274_full": (_NIST_G, "0 2 3 5 6 7 8 9", "GMXYZIJRQPFSTH", "helix, full turn"),
    "iso6983": (_ISO_G, "0 3 5 6 7 8 9 30", "NGMXYZIJRQPFST", ""),
    "motion_only": ("0 1 2 3", "0 2 3 5 7 8 9", "GMXYZIJFS", ""),
    "shed_mill": (_SHED_G, "0 3 5 6 7 8 9 30", "NGMXYZIJRFST", "full turn"),
}
# What the operator is asked to set where no word says it.
SETTINGS = {
    "G90": "absolute distances",
    "G17": "plane XY",
    "G94": "feed a minute",
    "G40": "no radius compensation",
    "G49": "no length offset",
    "G61": "exact path",
}


def at(x: float, y: float, *moves: Move) -> tuple[Move, ...]:
    """Down beside the path's start, the path, up."""
    return (Rapid(x, y), Rapid(z=2.0), Feed(x, y, -1.0, 60.0), *moves, Rapid(z=UP))


def row_of_holes(kind: Any, dwell: float) -> tuple[Move, ...]:
    def hole(x: float, bottom: float = -9.0) -> HoleCycle:
        return HoleCycle(kind, x, 5.0, 2.0, bottom, 90.0, peck=4.0, dwell=dwell)

    near = (Rapid(10.0, 5.0), Rapid(z=2.0), hole(10.0), Rapid(20.0, 5.0), hole(20.0))
    apart = (Rapid(z=UP), Rapid(30.0, 5.0), Rapid(z=2.0), hole(30.0), Rapid(z=UP))
    again = (Rapid(40.3333, 5.0), Rapid(z=2.0), hole(40.3333, -2.0), Rapid(z=UP))
    return (*near, *apart, *again)


LINES = at(
    1.0, 2.0, Feed(31.23456, 2.0, -1.0, 160.0), Feed(-7.1, -0.00004, -2.98765, 333.33),
    Feed(1.0, 2.0, -1.0, 0.5),
)  # fmt: skip
ARCS = at(
    10.0, 0.0,
    ArcFeed(0.0, 10.0, -1.0, 0.0, 0.0, True, 100.0),
    ArcFeed(10.0, 0.0, -1.0, 0.0, 0.0, True, 100.0),
    ArcFeed(0.0, 10.0, -1.0, 0.0, 0.0, False, 100.0),
    ArcFeed(0.0, 10.0003, -1.0, -0.3, 10.00015, False, 100.0),
)  # fmt: skip
CIRCLES = at(
    10.0, 0.0,
    ArcFeed(10.0, 0.0, -1.0, 3.3333, 0.0, True, 100.0),
    ArcFeed(10.0, 0.0, -1.0, 12.7, 1.1, False, 100.0),
    ArcFeed(10.0, 0.0, -1.0, 9.95, 0.0, False, 100.0),
)  # fmt: skip
HELICES = at(
    10.0, 0.0,
    ArcFeed(10.0, 0.0, -1.7, 8.0, 0.0, True, 80.0),
    ArcFeed(10.0, 0.0, -2.4, 8.0, 0.0, False, 80.0),
    ArcFeed(6.0, 0.0, -2.1, 8.0, 0.0, False, 80.0),
)  # fmt: skip
HOLES = {
    f"{kind}{'-dwell' if dwell else ''}": row_of_holes(kind, dwell)
    for kind in ("drill", "peck", "ream")
    for dwell in (0.0, 0.5)
}
PATHS = {"lines": LINES, "arcs": ARCS, "circles": CIRCLES, "helices": HELICES, **HOLES}
BY_HAND = Spindle(slowest=120, fastest=2000, steps=(1500.0, 2000.0), by_hand=True, start_time=3)
HABITS: dict[str, dict[str, Any]] = {
    "by-hand": {"spindle": BY_HAND},
    "coolant-and-park": {"coolant": "flood", "park": (0.0, 150.0)},
    "slow-to-start": {"spindle": Spindle(slowest=120, fastest=2800, start_time=2.5)},
    "changer": {"tool_change": "automatic", "coolant": "mist"},
    "table": {"tool_length": "table"},
}
NAMES = (*PATHS, *HABITS, "stop", "speeds", "offset", "twice", "slow-drill")


def make(kit: Any, name: str, units: str) -> Program:
    """The neutral program of that name."""
    if name in PATHS:
        return kit.program(kit.milling(*PATHS[name]), units=units)  # type: ignore[no-any-return]
    if name in HABITS:
        mill = kit.machine(**HABITS[name])
        touch = {2: "touch off on the vise jaw and set z to -8"}
        return kit.plate(mill, units=units, touch_off=touch)  # type: ignore[no-any-return]
    if name == "slow-drill":
        mill, work = kit.machine(spindle=BY_HAND), kit.milling(*HOLES["drill"])
        return kit.program(work, mill=mill, units=units)  # type: ignore[no-any-return]
    rough = kit.milling(*(at(1.0, 2.0, Feed(9.0, 2.0, -1.0, 60.0)) if name == "twice" else ARCS))
    halt = (Rapid(1.0, 2.0), Rapid(z=UP), Stop("turn the clamp"), Rapid(z=1.0))
    later = {
        "stop": kit.milling(*halt, Feed(5.0, 2.0, 1.0, 100.0), Rapid(z=UP)),
        "speeds": replace(rough, label="finish", speed=2400.0),
        "offset": rough,
        "twice": replace(rough, label="finish"),
    }[name]
    return kit.program(rough, later, units=units, setup_work_offset=3)  # type: ignore[no-any-return]


@dataclass(frozen=True)
class Case:
    """A program in a post's dialect; of several files the one of cutter `only`."""

    post: Post
    program: Program
    only: int | None

    @cached_property
    def operations(self) -> tuple[Operation, ...]:
        every = self.program.operations
        return tuple(o for o in every if self.only is None or o.cutter.number == self.only)

    @cached_property
    def written(self) -> Written:
        return write_program(self.program, self.post, only_cutter=self.only)

    @property
    def text(self) -> str:
        return self.written.text

    @cached_property
    def reading(self) -> Reading:
        w = self.written
        return read_program(w.text, "t.nc", cutter=self.only or 0, units=w.units)

    @cached_property
    def blocks(self) -> list[str]:
        """The lines of words, comments and numbers of blocks taken away."""
        bare = (re.sub(r"\(.*?\)|;.*|^N\d+ ", "", line).strip() for line in self.lines)
        return [b for b in bare if b]

    @property
    def lines(self) -> list[str]:
        return self.text.splitlines()

    @property
    def comments(self) -> str:
        """All words for people, run together."""
        return " ".join(re.findall(r"^(?:N\d+ )?[(;] ?([^)]*)", self.text, re.MULTILINE))

    @property
    def before_motion(self) -> list[str]:
        """Words before the first axis word, the G and M numbers without leading noughts."""
        first = next(i for i, b in enumerate(self.blocks) if re.search(r"[XYZ]", b))
        words = " ".join(self.blocks[:first]).split()
        return [re.sub(r"\b([GM])0(\d)", r"\1\2", w) for w in words]

    @property
    def count(self) -> float:
        """The last decimal in mm."""
        inch = self.written.units == "inch"
        return 25.4 * 10.0**-self.post.decimals_inch if inch else 10.0**-self.post.decimals_mm

    @property
    def near(self) -> float:
        """Rounding moves a point by half a count, an arc's far side by a few; chords are off."""
        return 6 * self.count + self.post.chord_error


def serves(post: Post, name: str) -> bool:
    """Whether a control of that kind can work on such a machine at all."""
    habit = HABITS.get(name, {})
    lengths = post.length_offsets or habit.get("tool_length") != "table"
    return lengths and (post.tool_change or habit.get("tool_change") != "automatic")


TABLE = [
    pytest.param((post, name, units), id=f"{post}-{name}-{units}")
    for post in POSTS
    for name in NAMES
    for units in ("mm", "inch")
    if serves(POSTS[post], name)
]


@pytest.fixture(scope="module", params=TABLE)
def cases(request: pytest.FixtureRequest, kit: Any) -> list[Case]:
    """Every file of one program."""
    name, kind, units = request.param
    post, program = POSTS[name], make(kit, kind, units)
    files = [c.number for c in program.cutters] if post.one_cutter_a_file else [None]
    return [Case(post, program, only) for only in files]


def test_reads_back_clean(cases: list[Case]) -> None:
    for case in cases:
        assert case.reading.problems == ()
        assert case.reading.ended
        assert all(m.known_before == "XYZ" for m in case.reading.moves if m.kind != "rapid")
        said = [e.value for e in case.reading.events if e.kind == "tool change"]
        cutters = list(dict.fromkeys(o.cutter.number for o in case.operations))
        assert (said or [case.only]) == cutters


def test_cuts_what_was_planned(cases: list[Case], kit: Any) -> None:
    for case in cases:
        planned = [leg for o in case.operations for leg in kit.planned_legs(o.moves)]
        found = kit.read_legs(case.text, case.written.units)
        assert kit.strays(planned, found, case.near) == []
        assert kit.strays(found, planned, case.near) == []


def test_turns_as_far_as_was_planned(cases: list[Case], kit: Any) -> None:
    """Same length of cut: no arc goes the other way round, none is passed over or made twice."""
    for case in cases:
        if any(isinstance(m, HoleCycle) for o in case.operations for m in o.moves):
            continue
        planned = [leg for o in case.operations for leg in kit.planned_legs(o.moves)]
        found = kit.read_legs(case.text, case.written.units)
        length = sum(kit.length(leg) for leg in planned)
        # chords are shorter than their arcs, by two parts in a thousand for the smallest here
        assert sum(map(kit.length, found)) == pytest.approx(length, rel=0.004, abs=20 * case.count)


def test_goes_sideways_only_where_it_was_planned(cases: list[Case]) -> None:
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


def planned_rapids(case: Case) -> Iterator[Rapid]:
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


def test_cuts_under_the_planned_conditions(cases: list[Case]) -> None:
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


def test_waits_as_long_as_was_planned(cases: list[Case]) -> None:
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


def test_every_run_of_cycles_is_ended(cases: list[Case]) -> None:
    """A control may repeat a cycle at any block until G80."""
    for case in cases:
        running = False
        for block in case.blocks:
            if re.search(r"\bG8[1-9]\b", block):
                running = True
            elif block == "G80":
                running = False
            else:
                assert not running or re.fullmatch(r"[XY]\S+( Y\S+)?", block)


def test_a_reamer_leaves_its_hole_at_the_feed(cases: list[Case]) -> None:
    for case in cases:
        holes = [m for o in case.operations for m in o.moves if isinstance(m, HoleCycle)]
        if not holes or any(h.kind != "ream" for h in holes):
            continue
        out = [m for m in case.reading.moves if m.start[2] < 0 and m.end[2] > m.start[2] + 0.1]
        assert len(out) == len(holes)
        assert all(m.kind == "line" and abs(m.feed - 90.0) < 0.2 for m in out)


def test_first_motion_is_z_alone_upwards(cases: list[Case]) -> None:
    for case in cases:
        first = next(b for b in case.blocks if re.search(r"[XYZ]", b))
        height = re.fullmatch(r"G0?0 Z([\d.]+)", first)
        assert height
        scale = 25.4 if case.written.units == "inch" else 1.0
        assert float(height[1]) * scale == pytest.approx(UP, abs=case.count)


def test_after_a_stop_nothing_is_left_unsaid(cases: list[Case]) -> None:
    """The operator may have moved every axis: Z alone first, then X with Y."""
    for case in cases:
        halts = [i for i, b in enumerate(case.blocks) if re.fullmatch(r"M0?0", b)]
        for i in halts:
            after = [b for b in case.blocks[i:] if re.search(r"[XYZ]", b)]
            assert re.fullmatch(r"G0?0 Z\S+", after[0])
            assert re.search(r"X\S+ Y", next(b for b in after if re.search(r"[XY]", b)))


def test_what_no_word_says_the_header_asks_for(cases: list[Case]) -> None:
    for case in cases:
        said, head = case.before_motion, case.comments
        unit_said = ("G20" in said) if case.written.units == "inch" else ("G21" in said)
        other = "G21" if case.written.units == "inch" else "G20"
        assert other not in said
        assert f"units {case.written.units}" in head
        assert unit_said != (f"set on the control: {case.written.units}" in head)
        for word, words in SETTINGS.items():
            asked = f"set on the control: {words}" in head
            assert asked != (word in said)
        offset = f"G{53 + case.program.setup.work_offset}"
        held = f"zero held in {offset}" in head
        assert held == (offset in said) != ("zero is set on the control itself" in head)


def test_header_has_what_the_operator_must_know(cases: list[Case]) -> None:
    for case in cases:
        head = case.comments
        for words in ("Polar axis plate: Top side", "plate.toml", "aluminium", "x left", "dry run"):
            assert words in head
        assert f"post {case.post.name}" in head
        for cutter in {o.cutter for o in case.operations}:
            assert f"cutter T{cutter.number}: {cutter.name}" in head
        waits = any(re.search(r"\bP\d", b) for b in case.blocks)
        assert not waits or "dwells P are in seconds" in head


def test_only_the_words_of_its_control(cases: list[Case]) -> None:
    for case in cases:
        assert case.post.name in WORDS, "say in WORDS what this post's control understands"
        g, m, letters, _ = WORDS[case.post.name]
        for line in case.lines:
            bare = re.sub(r"\(.*?\)|;.*", "", line).strip()
            if bare in ("", "%"):
                continue
            assert re.fullmatch(r"([A-Z]-?\d+(\.\d*)?)( [A-Z]-?\d+(\.\d*)?)*", bare)
            words = [(w[0], w[1:]) for w in bare.split()]
            assert {letter for letter, _ in words} <= set(letters)
            assert {float(n) for letter, n in words if letter == "G"} <= set(map(float, g.split()))
            assert {float(n) for letter, n in words if letter == "M"} <= set(map(float, m.split()))
            others = [letter for letter, _ in words if letter not in "GM"]
            assert len(others) == len(set(others))
            assert others.index("N") == 0 if "N" in others else not case.post.line_numbers


def test_only_the_arcs_of_its_control(cases: list[Case]) -> None:
    for case in cases:
        arcs = WORDS[case.post.name][3]
        for move in case.reading.moves:
            if move.kind == "arc":
                assert "helix" in arcs or move.start[2] == move.end[2]
                assert "full turn" in arcs or move.start[:2] != move.end[:2]


def test_two_digits_and_line_numbers(cases: list[Case]) -> None:
    for case in cases:
        short = any(re.search(r"\b[GM]\d\b", b) for b in case.blocks)
        assert short != case.post.two_digits
        numbers = [int(n) for n in re.findall(r"^N(\d+) ", case.text, re.MULTILINE)]
        step = case.post.line_numbers
        assert numbers == [
            i * step for i, line in enumerate(case.lines, 1) if step and re.match(r"N", line)
        ]


def test_coordinates_have_the_posts_decimals(cases: list[Case]) -> None:
    for case in cases:
        inch = case.written.units == "inch"
        most = case.post.decimals_inch if inch else case.post.decimals_mm
        words = re.findall(r"\b[XYZIJRQ](\S+)", " ".join(case.blocks))
        assert words
        for number in words:
            assert re.fullmatch(rf"-?\d+(\.\d{{0,{most}}})?", number)
            assert ("." in number) or not case.post.decimal_point
            assert number.rstrip("0").rstrip(".") != "-"
            assert not re.match(r"-0\.?0*$", number)


def test_plain_short_lines(cases: list[Case]) -> None:
    for case in cases:
        assert case.text.endswith("\n")
        assert not case.text.endswith("\n\n")
        for line in case.lines:
            assert re.fullmatch(r"[!-~]([ -~]*[!-~])?", line)
            assert len(line) <= case.post.longest_line
            assert re.fullmatch(r"[^()]*|\([^()]*\)", line)
            assert "%" not in line or line == "%"


def test_ends_up_and_off(cases: list[Case]) -> None:
    for case in cases:
        blocks = case.blocks
        assert sum(bool(re.search(r"\bM(0?2|30)\b", b)) for b in blocks) == 1
        while blocks[-1] == "%":
            blocks = blocks[:-1]
        assert re.fullmatch(r"M(0?2|30)", blocks[-1])
        tail = blocks[-5:]
        off = next(i for i, b in enumerate(tail) if re.fullmatch(r"M0?5", b))
        coolant = case.program.job.workshop.machine.coolant
        assert coolant == "none" or re.fullmatch(r"M0?9", tail[off - 1])
        last = case.reading.moves[-1]
        assert last.end[2] == pytest.approx(UP, abs=case.count)
        assert last.kind == "rapid"
        park = case.program.job.workshop.machine.park
        assert park is None or last.end[:2] == pytest.approx(park, abs=case.count)


def test_ranges_name_every_cut(cases: list[Case]) -> None:
    for case in cases:
        ranges = case.written.ranges
        assert [(r.feature, r.label) for r in ranges] == [
            (o.feature, o.label) for o in case.operations
        ]
        for move in case.reading.moves:
            if move.kind != "rapid" and move.start[2] < UP - case.count:
                assert sum(r.first_line <= move.line <= r.last_line for r in ranges) == 1


def test_each_operation_can_be_begun_at(cases: list[Case]) -> None:
    """Motion and feed are said anew, so that the program may be taken up again there."""
    for case in cases:
        for r in case.written.ranges:
            own = case.lines[r.first_line - 1 : r.last_line]
            bare = [re.sub(r"\(.*?\)|;.*|^N\d+ ", "", line).strip() for line in own]
            first = next(b for b in bare if re.search(r"[XYZ]", b))
            assert re.match(r"G\d", first)
            cut = next(b for b in bare if re.search(r"\bG(0?[123]|8[1-9])\b", b))
            assert re.search(r"\bF\d", cut)


EVIL = {
    "block": "a)\nG0 Z-50\n(b",
    "brackets": "(((",
    "percent": "50 % done\n%\nM30",
    "message": "MSG, press start",
    "semicolon": "a ; b\r\nM3 S9000",
    "long": "x" * 3000,
    "controls": "Träger № 5 ⌀12 \x00\x1b[2J\u202e \u2028G1 Z-9 \x85M3",
}


@pytest.mark.parametrize("text", [pytest.param(t, id=k) for k, t in EVIL.items()])
@pytest.mark.parametrize("style", ["brackets", "semicolon", "none"])
@pytest.mark.parametrize("name", POSTS)
def test_no_text_of_a_job_is_a_word_for_the_control(
    name: str, style: Any, text: str, kit: Any
) -> None:
    post = replace(POSTS[name], comments=style)
    calm = Case(post, kit.program(kit.milling(*kit.POCKET)), None)
    cutter = replace(kit.MILL, name=text)
    work = replace(kit.milling(*kit.POCKET), feature=text, label=text, cutter=cutter)
    job = {"name": text, "file": text, "setup_name": text, "setup_zero_text": text}
    mill = replace(kit.machine(), name=text)
    evil = Case(post, kit.program(work, mill=mill, touch_off={1: text}, **job), None)
    assert evil.blocks == calm.blocks
    test_plain_short_lines([evil])
    assert not re.search(r"[!?~]", evil.text)
    assert evil.text.count("%") == calm.text.count("%")
    orders = re.findall(r"(?im)^\(\s*M\s*S\s*G\s*,.*", evil.text)
    assert all(line.startswith("(MSG, ") for line in orders)
    assert bool(orders) == (post.messages and style == "brackets")


@pytest.mark.parametrize("name", POSTS)
@pytest.mark.parametrize("units", ["mm", "inch"])
def test_a_control_of_one_unit_gets_it_whatever_the_job_is_in(
    name: str, units: Any, kit: Any
) -> None:
    def texts(job: str) -> str:
        post = replace(POSTS[name], units=units)
        return "\n".join(Case(post, kit.plate(units=job), n).text for n in (1, 2))

    assert texts("mm") == texts("inch")
    assert f"units {units}" in texts("mm")


def test_the_three_dialects_are_shipped() -> None:
    assert {"rs274_full", "iso6983", "motion_only"} <= set(POSTS)


@pytest.mark.parametrize("file", FILES, ids=lambda f: f.stem)
def test_a_dialect_is_small(file: Path) -> None:
    most = 60 if file == EXAMPLE else 100
    assert len(file.read_text(encoding="utf-8").splitlines()) < most
