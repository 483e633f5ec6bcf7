"""Every shipped post, the example of a user's own and a control that has hardly anything, crossed
with programs that hold every kind of move."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any

import pytest

from gcodekit.job.workshop.machine import Spindle
from gcodekit.planning.program import Operation, Program
from gcodekit.post.contract import Post
from gcodekit.post.find import load_post, shipped
from gcodekit.post.writer import Written, write_program
from gcodekit.rs274 import read_program
from gcodekit.rs274.program_read import ReadProgram
from gcodekit.toolpath.moves import ArcFeed, Feed, HoleCycle, Move, OperatorStop, Rapid

UP = 15.0
EXAMPLE = Path(__file__).parents[1] / "example_post" / "shed_mill.py"
FILES = sorted([*shipped("postprocessors").glob("*.py"), EXAMPLE])
# A control that has hardly anything, beside those that are files.
BARE = Post(
    name="bare",
    description="",
    arcs=False,
    cycles=(),
    dwells=False,
    tool_change=False,
    one_cutter_a_file=True,
    decimals_mm=3,
    decimals_inch=4,
    comments="semicolon",
    length_offsets=False,
    start=(),
)
POSTS = {file.stem: load_post(file) for file in FILES} | {"bare": BARE}


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
GROUPS: dict[str, tuple[str, ...]] = {
    "paths": ("lines", "arcs", "circles", "helices"),
    "holes": tuple(HOLES),
    "machines": (*HABITS, "slow-drill"),
    "orders": ("stop", "speeds", "offset", "twice"),
}


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
    halt = (Rapid(1.0, 2.0), Rapid(z=UP), OperatorStop("turn the clamp"), Rapid(z=1.0))
    later = {
        "stop": kit.milling(*halt, Feed(5.0, 2.0, 1.0, 100.0), Rapid(z=UP)),
        "speeds": replace(rough, label="finish", speed=2400.0),
        "offset": rough,
        "twice": replace(rough, label="finish"),
    }[name]
    return kit.program(rough, later, units=units, setup_work_offset=3)  # type: ignore[no-any-return]


@dataclass(frozen=True, repr=False)
class Case:
    """A program in a post's dialect; of several files the one of cutter `only`."""

    post: Post
    program: Program
    only: int | None
    name: str = ""

    def __repr__(self) -> str:
        return f"<{self.post.name} {self.name}, cutter {self.only or 'any'}>"

    @cached_property
    def operations(self) -> tuple[Operation, ...]:
        return self.part.operations

    @cached_property
    def part(self) -> Program:
        mine = (o for o in self.program.operations if self.only in (None, o.cutter.number))
        return replace(self.program, operations=tuple(mine))

    @cached_property
    def written(self) -> Written:
        return write_program(self.part, self.post)

    @property
    def text(self) -> str:
        return self.written.text

    @cached_property
    def reading(self) -> ReadProgram:
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
    pytest.param((post, group, units), id=f"{post}-{group}-{units}")
    for post in POSTS
    for group in GROUPS
    for units in ("mm", "inch")
]


@pytest.fixture(scope="module", params=TABLE)
def cases(request: pytest.FixtureRequest, kit: Any) -> list[Case]:
    """Every file of every program of a group that a control of the kind can serve."""
    name, group, units = request.param
    post, found = POSTS[name], []
    for kind in GROUPS[group]:
        if serves(post, kind):
            program = make(kit, kind, units)
            files = [c.number for c in program.cutters] if post.one_cutter_a_file else [None]
            found += [Case(post, program, only, kind) for only in files]
    return found


@pytest.fixture(params=POSTS)
def post(request: pytest.FixtureRequest) -> Post:
    return POSTS[request.param]


@pytest.fixture(scope="session")
def case_of() -> type[Case]:
    return Case
