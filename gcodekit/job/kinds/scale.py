"""A scale: graduations on a circle or a line, with numbers."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Self, cast

from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.region import Shift
from gcodekit.job.features.engraved import (
    LINE_WAYS,
    LINE_WIDTH,
    MEANINGLESS,
    Engraved,
    line_depth,
    read_line_width,
)
from gcodekit.job.features.graduation import MOST_MARKS, CircleBase, Graduated, read_graduated
from gcodekit.job.features.kind import Base, Build, Kind, Surroundings
from gcodekit.job.features.lettering import HEIGHT, Lettering, Tops
from gcodekit.job.keys.keys import SHORTEST, Key, KeyTable
from gcodekit.job.keys.reading import Table

# Numbers stand this far off the longest mark, in heights. Common practice, no source.
USUAL_GAP = 0.5
# Numbers have so many decimals at the most: what is beyond them is rounding.
DECIMALS = 9


def _marks(name: str) -> KeyTable:
    return KeyTable(
        name,
        (
            Key(
                name="length",
                kind="length",
                least=SHORTEST,
                required=True,
                meaning=f"length of a {name} mark",
            ),
            Key(
                name="every",
                kind="count",
                least=1,
                most=MOST_MARKS,
                required=True,
                meaning=f"which marks are {name}: 5 for every fifth, counted from the first",
            ),
        ),
        "[[setup.feature]]",
    )


LONG, MIDDLE = _marks("long"), _marks("middle")
NUMBERS = KeyTable(
    "numbers",
    (
        Key(
            name="every",
            kind="count",
            least=1,
            most=MOST_MARKS,
            required=True,
            meaning="which marks have a number: 10 for every tenth, counted from the first",
        ),
        Key(name="first", kind="number", default=0.0, meaning="number at the first mark"),
        Key(
            name="step",
            kind="number",
            meaning="difference from one number to the next",
            unset="the same as every",
        ),
        replace(HEIGHT, required=True, meaning="height of the numbers"),
        Key(
            name="gap",
            kind="length",
            least=0,
            meaning="gap between the longest mark and the numbers",
            unset="half the height of the numbers",
        ),
        Key(
            name="tops",
            kind="choice",
            choices=("outward", "inward"),
            meaning="side that the tops of the numbers are on",
            unset="outward from the centre; of a line so that they read from its start to its end",
        ),
    ),
    "[[setup.feature]]",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Marks:
    """Marks of a length, mm: every so many of all."""

    length: float
    every: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbers:
    """Numbers at every so many marks, from `first` by `step`, `gap` off the longest mark. `tops`:
    away from the circle's centre or the line, or towards it."""

    every: int
    first: float
    step: float
    height: float
    gap: float
    tops: Tops


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleMarks(Engraved):
    """A scale of `count` marks along `base`. `lengths`: the longest first; every mark has the first
    whose turn it is."""

    base: Graduated
    count: int
    lengths: tuple[Marks, ...]
    numbers: Numbers | None = None
    kind = "scale"

    def moved(self, shift: Shift) -> Self:
        """The same elsewhere: numbers are moved, never mirrored."""
        return replace(self, base=self.base.moved(shift))

    def size_words(self, say: Callable[[float], str]) -> str:
        """How many marks, and their line."""
        return f"{self.count} marks, {self.line_words(say)}"

    @property
    def stroke_chains(self) -> tuple[Chain, ...]:
        """Its marks, then the letters of its numbers."""
        numbers = (stroke for line in self._lettering() for stroke in line.laid_out())
        return (*map(self._mark, range(self.count)), *numbers)

    def _mark(self, number: int) -> Chain:
        (x, y), (dx, dy) = self.base.foot(number)
        long = next(m.length for m in self.lengths if number % m.every == 0)
        return Chain.of_points([(x, y), (x + long * dx, y + long * dy)], closed=False)

    def _lettering(self) -> list[Lettering]:
        numbers = self.numbers
        if numbers is None:
            return []
        off = max(m.length for m in self.lengths) + numbers.gap + numbers.height / 2
        found = []
        for turn, mark in enumerate(range(0, self.count, numbers.every)):
            foot, way = self.base.foot(mark)
            text = number_text(numbers.first + turn * numbers.step)
            found.append(self._line(text, foot, way, off, numbers))
        return found

    def _line(self, text: str, foot: Point, way: Point, off: float, numbers: Numbers) -> Lettering:
        """A number off the end of its mark, read with its top outward or inward."""
        inside = isinstance(self.base, CircleBase) and not self.base.outside
        up = 1.0 if (numbers.tops == "outward") != inside else -1.0
        return Lettering(
            text=text,
            height=numbers.height,
            at=(foot[0] + off * way[0], foot[1] + off * way[1]),
            angle=math.atan2(-up * way[0], up * way[1]),
            align="centre",
        )


def number_text(value: float) -> str:
    """A number as it is engraved.

    Examples
    --------
    >>> number_text(0.1 * 3), number_text(350.0), number_text(-0.0)
    ('0.3', '350', '0')
    """
    return f"{round(value, DECIMALS) + 0.0:.10g}"


def _read(table: Table, around: Surroundings) -> Build | None:
    lined, width = read_line_width(table)
    graduated, lengths = read_graduated(table), _lengths(table)
    numbers = _numbers(table, graduated[0] if graduated else None)
    if graduated is None or lengths is None or not lined:
        return None
    if numbers is None and table.has("numbers"):
        return None
    base, count = graduated
    if not _fits(table, base, lengths, numbers) or not _apart(table, base, count, width):
        return None

    def build(basis: Base) -> ScaleMarks:
        basis["depth"] = line_depth(basis, width, around)
        return ScaleMarks(
            base=base, count=count, lengths=lengths, numbers=numbers, line_width=width, **basis
        )

    return build


def _lengths(table: Table) -> tuple[Marks, ...] | None:
    """The lengths of its marks, the longest first."""
    short = table.length("short")
    found = [None if short is None else Marks(length=short, every=1)]
    for key, keys in (("middle", MIDDLE), ("long", LONG)):
        if table.has(key):
            entry = table.table(key, keys)
            length, every = (entry.length("length"), entry.count("every")) if entry else (None,) * 2
            wrong = length is None or every is None
            found.append(None if wrong else Marks(length=length, every=every))  # type: ignore[arg-type]  # wrong says none is None
    known = [m for m in found if m is not None]
    for shorter, longer in pairwise(known):
        if longer.length <= shorter.length or longer.every <= shorter.every:
            key = "long" if longer is known[-1] and table.has("long") else "middle"
            hint = "give a longer one at a larger number of marks"
            table.error(key, "its marks are no longer and rarer than the shorter ones", hint)
            return None
    return tuple(reversed(known)) if len(known) == len(found) else None


def _numbers(table: Table, base: Graduated | None) -> Numbers | None:
    entry = table.table("numbers", NUMBERS)
    if entry is None:
        return None
    every, first, height = entry.count("every"), entry.number("first"), entry.length("height")
    step, gap, tops = entry.number("step"), entry.length("gap"), entry.choice("tops")
    if every is None or first is None or height is None:
        return None
    given = {"step": step, "gap": gap, "tops": tops}
    if any(entry.has(key) and value is None for key, value in given.items()):
        return None
    on_right = base is not None and not isinstance(base, CircleBase) and not base.left
    return Numbers(
        every=every,
        first=first,
        step=float(every) if step is None else step,
        height=height,
        gap=USUAL_GAP * height if gap is None else gap,
        tops=cast("Tops", tops or ("inward" if on_right else "outward")),
    )


def _fits(
    table: Table, base: Graduated, lengths: tuple[Marks, ...], numbers: Numbers | None
) -> bool:
    """Tell whether what goes inward from a circle stays short of its centre."""
    if not isinstance(base, CircleBase) or base.outside:
        return True
    deep = max(m.length for m in lengths) + (numbers.gap + numbers.height if numbers else 0.0)
    if deep < base.radius:
        return True
    say = table.source.say
    text = f"marks and numbers reach {say(deep)} inward, past the centre"
    table.error("radius", text, "use a larger radius, or shorter marks")
    return False


def _apart(table: Table, base: Graduated, count: int, width: float | None) -> bool:
    """Tell whether the feet of marks are farther apart than their lines are wide."""
    gap = abs(base.pitch) * (base.radius if isinstance(base, CircleBase) else 1.0)
    if width is None or count < 2 or gap > width:
        return True
    say = table.source.say
    text = f"its lines are {say(width)} wide, and {say(round(gap, 4))} apart"
    table.error("line_width", text, "use a finer line, or fewer divisions")
    return False


KIND = Kind(
    rank=12,
    keys=(
        Key(name="centre", kind="point", meaning="centre of the circle"),
        Key(
            name="radius",
            kind="length",
            least=SHORTEST,
            meaning="radius of the circle that the marks start from",
        ),
        Key(name="start", kind="angle", default=90.0, meaning="angle of the first mark"),
        Key(
            name="end",
            kind="angle",
            meaning="angle where the scale ends",
            unset="a full circle",
        ),
        Key(
            name="turn",
            kind="choice",
            choices=("ccw", "cw"),
            default="ccw",
            meaning="direction in which the marks are counted round the circle",
        ),
        Key(name="from", kind="point", meaning="foot of the first mark on a straight line"),
        Key(name="to", kind="point", meaning="end of the straight line"),
        Key(
            name="side",
            kind="choice",
            choices=("outside", "inside", "left", "right"),
            meaning="side of the circle or line that the marks are on",
            unset="outside of a circle, left of a line seen from its start",
        ),
        Key(
            name="divisions",
            kind="count",
            least=1,
            most=MOST_MARKS,
            meaning="number of divisions of the circle or line",
        ),
        Key(
            name="spacing",
            kind="length",
            least=SHORTEST,
            meaning="distance from mark to mark on a line, instead of divisions",
        ),
        Key(
            name="spacing_angle",
            kind="angle",
            over=0,
            most=360,
            meaning="angle from mark to mark on a circle, instead of divisions",
        ),
        Key(
            name="short",
            kind="length",
            least=SHORTEST,
            required=True,
            meaning="length of the marks that are neither middle nor long",
        ),
        Key(name="middle", kind="table", meaning="middle marks", unset="none"),
        Key(name="long", kind="table", meaning="long marks", unset="none"),
        Key(name="numbers", kind="table", meaning="numbers at the marks", unset="none"),
        LINE_WIDTH,
    ),
    tables=(LONG, MIDDLE, NUMBERS),
    text="""\
Graduations on a circle, a part of one, or a straight line, cut as those of kind = "engrave". \
Marks are counted from the first, which is number 0: every tenth can be long, every fifth middle. \
The last mark of a full circle is the first, and is cut once. Any number of divisions is exact: \
each mark is worked out from the first, not from the one before. In a mirrored copy the marks are \
mirrored; the numbers read as before.""",
    example="""\
[[setup.feature]]
kind = "scale"
centre = [50, 30]
radius = 18
divisions = 72
short = 1.5
middle = { length = 2, every = 2 }
long = { length = 3, every = 6 }
numbers = { every = 6, step = 30, height = 1.8 }
line_width = 0.2

[[setup.feature]]
kind = "scale"
from = [10, 4]
to = [90, 4]
spacing = 1
short = 1
long = { length = 2, every = 10 }
line_width = 0.2""",
    see=("line_width", "numbers", "engrave", "tip_diameter"),
    read=_read,
    meaningless=MEANINGLESS,
    without_depth="none",
    one_of=(
        (("centre", "radius"), ("from", "to")),
        (("divisions",), ("spacing",), ("spacing_angle",)),
        LINE_WAYS,
    ),
    words_with={
        "radius": ("side", ("outside", "inside")),
        "from": ("side", ("left", "right")),
    },
)
