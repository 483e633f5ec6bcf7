"""Engraving: single-stroke letters, and lines along a path."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Self, cast

from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.region import Shift
from gcodekit.job.feature import Feature
from gcodekit.job.features.engraved import (
    LINE_WAYS,
    LINE_WIDTH,
    MEANINGLESS,
    Engraved,
    line_depth,
    read_line_width,
)
from gcodekit.job.features.kind import Base, Build, Kind, Surroundings
from gcodekit.job.features.lettering import (
    HEIGHT,
    Baseline,
    Lettering,
    Tops,
    align_of,
    check_text,
    standing_at,
)
from gcodekit.job.holdings import Hold
from gcodekit.job.keys.feature_keys import NAMED_PLACES, PLACE_KEYS, PLACE_WAYS
from gcodekit.job.keys.keys import SHORTEST, Key, KeyTable
from gcodekit.job.keys.reading import Table
from gcodekit.job.outlines.places import read_places

# Lines of all letters of one feature: more than anyone engraves. Common practice, no source.
MOST_LINES = 20_000
# A number that counts on: as many digits as it has n.
_COUNTED = re.compile(r"\{(n+)\}")
_OF_TEXT = ("height", "align", "angle", "first")

ARC = KeyTable(
    "arc",
    (
        Key(name="centre", kind="point", required=True, meaning="centre of the arc"),
        Key(
            name="radius",
            kind="length",
            least=SHORTEST,
            required=True,
            meaning="radius of the line that the letters stand on",
        ),
        Key(
            name="start",
            kind="angle",
            default=90.0,
            meaning="angle of the place that the text is aligned to",
        ),
        Key(
            name="tops",
            kind="choice",
            choices=("outward", "inward"),
            default="outward",
            meaning="side of the line that the tops of the letters are on",
        ),
    ),
    "[[setup.feature]]",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Engrave(Engraved):
    """Lines of letters, or a path. `written` as the job has it, one line of it for each place;
    `number`: of the first of them, where they count."""

    written: tuple[Lettering, ...] = ()
    number: int | None = None
    path: Chain | None = None
    kind = "engrave"

    def moved(self, shift: Shift) -> Self:
        """The same elsewhere: letters are moved, never mirrored."""
        path = None if self.path is None else shift.chain(self.path)
        return replace(self, written=tuple(w.moved(shift) for w in self.written), path=path)

    def among(self, features: Sequence[Feature], bottom: float, holds: Sequence[Hold]) -> Self:
        """Counting on from the copies before it."""
        del bottom, holds
        if self.number is None:
            return self
        family = [f.name for f in features if f.place == self.place]
        before = family.index(self.name) * len(self.written)
        return replace(self, number=self.number + before)

    def size_words(self, say: Callable[[float], str]) -> str:
        """The height of its letters, and its line."""
        line = self.line_words(say)
        return f"{say(self.written[0].height)} high, {line}" if self.written else line

    @property
    def texts(self) -> tuple[Lettering, ...]:
        """Every line of letters, its number filled in."""
        if self.number is None:
            return self.written
        return tuple(
            replace(line, text=numbered(line.text, n))
            for n, line in enumerate(self.written, self.number)
        )

    @property
    def stroke_chains(self) -> tuple[Chain, ...]:
        """Those of its letters, or its path."""
        if self.path is not None:
            return (self.path,)
        return tuple(stroke for line in self.texts for stroke in line.laid_out())


def numbered(text: str, number: int) -> str:
    """A text with a number in place of {n}, of three digits at least for {nnn}.

    Examples
    --------
    >>> numbered("No {nnn}", 7)
    'No 007'
    """
    return _COUNTED.sub(lambda found: f"{number:0{len(found[1])}}", text)


def _read(table: Table, around: Surroundings) -> Build | None:
    what = table.one_of("text", "path", what="what to engrave")
    lined, width = read_line_width(table)
    written: tuple[Lettering, ...] | None = ()
    path = None
    if what == "path":
        path = around.outlines.path(table, "path")
        for key in table.given(*_OF_TEXT, *(way for ways in PLACE_WAYS for way in ways), "arc"):
            table.error(key, "does not apply to a path", "remove it")
    elif what == "text":
        written = _written(table, around)
    number = _first(table)
    if what is None or not lined or (not written and path is None):
        return None
    lines, line = written or (), path

    def build(base: Base) -> Engrave:
        base["depth"] = line_depth(base, width, around)
        return Engrave(written=lines, number=number, path=line, line_width=width, **base)

    return build


def _written(table: Table, around: Surroundings) -> tuple[Lettering, ...] | None:
    """The text at each of its places."""
    text, height, align, angle = (
        table.text("text"),
        table.length("height"),
        align_of(table),
        table.angle("angle"),
    )
    if not table.has("height") and not table.misspelt("height"):
        table.error("height", "is missing", f"add it: {HEIGHT.meaning}")
    if table.has("arc"):
        for key in table.given("angle", *(way for ways in PLACE_WAYS for way in ways)):
            table.error(key, "arc is given too", "remove one of them")
        places: Sequence[Point] | None = ((0.0, 0.0),)
        arc = _arc(table)
    else:
        places, arc = read_places(table, around.outlines.places), None
    longest = numbered(text or "", _first(table) or 0)
    if text is None or not check_text(table, "text", longest):
        return None
    if places is None or height is None or align is None or angle is None:
        return None
    if arc is None and table.has("arc"):
        return None
    found = tuple(
        Lettering(
            text=text,
            height=height,
            at=standing_at(p, angle, height),
            angle=angle,
            align=align,
            arc=arc,
        )
        for p in places
    )
    return found if _fits(table, found, longest) else None


def _arc(table: Table) -> Baseline | None:
    entry = table.table("arc", ARC)
    if entry is None:
        return None
    centre, radius, start = entry.point("centre"), entry.length("radius"), entry.angle("start")
    tops = cast("Tops | None", entry.choice("tops"))
    if centre is None or radius is None or start is None or tops is None:
        return None
    return Baseline(centre=centre, radius=radius, start=start, tops=tops)


def _fits(table: Table, lines: tuple[Lettering, ...], text: str) -> bool:
    """Tell whether it goes round its arc, and is no more than anyone engraves."""
    first, say = replace(lines[0], text=text), table.source.say
    arc = first.arc
    if arc is not None and first.length > math.tau * arc.radius:
        table.error(
            "arc",
            f"the text is {say(first.length)} long and the arc {say(math.tau * arc.radius)} round",
            "use a larger radius, or a smaller height",
        )
        return False
    if arc is not None and arc.tops == "inward" and first.height >= arc.radius:
        table.error(
            "arc",
            f"the letters reach past the centre, {say(arc.radius)} away",
            'use a larger radius, or tops = "outward"',
        )
        return False
    many = len(lines) * sum(map(len, first.laid_out()))
    if many > MOST_LINES:
        table.error("text", f"makes {many:,} lines", f"use at most {MOST_LINES:,}")
    elif not many:
        table.error("text", "has no letters", "write what to engrave")
    return 0 < many <= MOST_LINES


def _first(table: Table) -> int | None:
    """The first number of a text that counts."""
    text, first = table.raw("text"), table.count("first")
    counts = isinstance(text, str) and _COUNTED.search(text) is not None
    if table.has("first") and table.has("text") and not counts:
        table.error("first", "the text has no number that counts", "write {n} in the text")
    return (1 if first is None else first) if counts else None


KIND = Kind(
    rank=11,
    noun="engraving",
    keys=(
        Key(
            name="text",
            kind="text",
            meaning="text to engrave, with {n} for a number that counts",
            text="""\
A number in place of {n} counts on from place to place and from copy to copy; {nnn} is one of \
three digits, such as 007. Letters are A to Z, a to z, with accents too, digits and signs, Ø ± ° \
× µ among them.""",
        ),
        Key(name="path", kind="path", meaning="line to engrave, instead of a text"),
        *PLACE_KEYS,
        NAMED_PLACES,
        Key(name="arc", kind="table", meaning="arc that the text runs along"),
        HEIGHT,
        Key(
            name="align",
            kind="choice",
            choices=("left", "centre", "right"),
            default="left",
            meaning="end or middle of the text that is at its place",
        ),
        Key(
            name="angle",
            kind="angle",
            default=0.0,
            meaning="direction of the text, counter-clockwise from +X",
        ),
        Key(
            name="first",
            kind="count",
            least=0,
            most=999_999,
            meaning="first number of a text that counts",
            unset="1",
        ),
        LINE_WIDTH,
    ),
    tables=(ARC,),
    text="""\
Single-stroke letters, or a line along a path, with a pointed cutter that goes as deep as makes \
the line so wide at `top`, the surface. A text stands on its place, or on an arc; in a mirrored \
copy it lies in the mirrored place and reads as before. It needs an engraving cutter or a \
chamfer mill. With a depth it may name a ball-nose or flat end mill too, whose line is as wide as \
that cuts.""",
    example="""\
[[setup.feature]]
kind = "engrave"
text = "M4 × 0.7  No {nnn}"
at = [20, 40]
height = 4
first = 12
line_width = 0.3

[[setup.feature]]
kind = "engrave"
text = "DECLINATION"
arc = { centre = [50, 20], radius = 14, start = 90 }
align = "centre"
height = 3
line_width = 0.3

[[setup.feature]]
kind = "engrave"
path = [[20, 10], [80, 10]]
depth = 0.2""",
    see=("line_width", "arc", "places", "tip_diameter"),
    read=_read,
    meaningless=MEANINGLESS,
    without_depth="none",
    one_of=((("text",), ("path",)), (*PLACE_WAYS, ("arc",), ("path",)), LINE_WAYS),
)
