"""Single faults planted in the text of a program: one word, one line or two neighbours changed.

Which faults: those of hand editing, of a transmission that drops a character or a line, and of a
writer that has one thing wrong. Drawn from a seed: the same ones each time.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

# Added to lengths, mm.
NUDGES = (0.05, -0.05, 0.5, -0.5)
MM_PER_INCH = 25.4
_WORD = re.compile(r"([A-Z])\s*([-+]?(?:\d+\.?\d*|\.\d+))")
_REMARK = re.compile(r"\([^)]*\)|;.*")
_CYCLE = re.compile(r"G8[1-9]\b")
# Both ways, in one digit and in two.
_PAIRS = {"G90": "G91", "G20": "G21", "G17": "G18", "G94": "G93", "G40": "G41", "G54": "G55"}
_MODES = {**_PAIRS, **{b: a for a, b in _PAIRS.items()}, "G56": "G54"}


class Mutant(NamedTuple):
    """A program with one fault: what kind, what was done, and the first line it was done to,
    counted from 1."""

    kind: str
    what: str
    line: int
    lines: tuple[str, ...]


class Site(NamedTuple):
    """A place for a fault: lines `first` up to `last` (from 0, the last not counted) and what
    stands there instead."""

    first: int
    last: int
    instead: tuple[str, ...]


Sites = Iterator[Site]


def code(line: str) -> str:
    """A line without its comments; "" where nothing else is on it."""
    return _REMARK.sub("", line).strip().strip("%")


def _words(line: str) -> Iterator[re.Match[str]]:
    """The words of a line, none of those within comments."""
    return _WORD.finditer(_REMARK.sub(lambda m: " " * len(m[0]), line))


def _put(lines: Sequence[str], at: int, word: re.Match[str], instead: str) -> Site:
    line = lines[at]
    return Site(at, at + 1, (line[: word.start()] + instead + line[word.end() :],))


def _number(value: float, like: str) -> str:
    """As the program writes its numbers: with a point where it had one."""
    text = f"{value:.5f}".rstrip("0")
    return text if "." in like and text.endswith(".") else text.rstrip(".")


def _changed(number: str, nudges: Sequence[float]) -> Iterator[str]:
    """A length written wrongly: its sign, its decimal point, a little off."""
    value = float(number)
    if value:
        yield _number(-value, number)
        yield _number(value * 10, number)
        if number.rstrip("0").rstrip(".").count("."):
            yield number.replace(".", "")
    for nudge in nudges:
        yield _number(value + nudge, number)


def _lengths(letters: str) -> Callable[[Sequence[str], random.Random], Sites]:
    def sites(lines: Sequence[str], rng: random.Random) -> Sites:
        nudges = NUDGES
        if any(re.search(r"\bG20\b", code(line)) or line == "(units inch)" for line in lines):
            nudges = tuple(n / MM_PER_INCH for n in NUDGES)
        for at, line in enumerate(lines):
            for word in _words(line):
                if word[1] in letters:
                    number = rng.choice(list(_changed(word[2], nudges)))
                    yield _put(lines, at, word, word[1] + number)

    return sites


def _swapped_words(*pairs: tuple[str, str]) -> Callable[[Sequence[str], random.Random], Sites]:
    """One code for another, both ways."""
    other = {**dict(pairs), **{b: a for a, b in pairs}}

    def sites(lines: Sequence[str], rng: random.Random) -> Sites:
        for at, line in enumerate(lines):
            for word in _words(line):
                if word[0] in other:
                    yield _put(lines, at, word, other[word[0]])

    return sites


def _dropped(pattern: str) -> Callable[[Sequence[str], random.Random], Sites]:
    """A line that has nothing but these words is not there."""

    def sites(lines: Sequence[str], rng: random.Random) -> Sites:
        for at, line in enumerate(lines):
            if re.fullmatch(rf"(N\d+ )?{pattern}", code(line)):
                yield Site(at, at + 1, ())

    return sites


def _deleted(lines: Sequence[str], rng: random.Random) -> Sites:
    for at, line in enumerate(lines):
        if code(line):
            yield Site(at, at + 1, ())


def _neighbours(lines: Sequence[str], rng: random.Random) -> Sites:
    for at, (one, two) in enumerate(pairwise(lines)):
        if code(one) and code(two) and one != two:
            yield Site(at, at + 2, (two, one))


def _modes(lines: Sequence[str], rng: random.Random) -> Sites:
    for at, line in enumerate(lines):
        for word in _words(line):
            if word[0] in _MODES:
                yield _put(lines, at, word, _MODES[word[0]])


def _feeds(lines: Sequence[str], rng: random.Random) -> Sites:
    for at, line in enumerate(lines):
        for word in _words(line):
            if word[1] == "F":
                value = float(word[2])
                wrong = [_number(value * 10, word[2]), _number(value / 10, word[2])]
                wrong += [word[2].replace(".", "")] if not float(word[2]).is_integer() else []
                yield _put(lines, at, word, rng.choice(["", *("F" + w for w in wrong)]))


def _spindle(lines: Sequence[str], rng: random.Random) -> Sites:
    for at, line in enumerate(lines):
        for word in _words(line):
            if word[1] == "S":
                value = float(word[2])
                wrong = rng.choice((value * 10, value / 10, value / 2, value * 1.5))
                yield _put(lines, at, word, "S" + _number(round(wrong, 1), word[2]))
            elif word[0] in ("M3", "M03"):
                for other in ("4", "5"):
                    yield _put(lines, at, word, word[0][:-1] + other)


def _still_in_the_cut(lines: Sequence[str], rng: random.Random) -> Sites:
    """The spindle stopped a line early: before the way up, not after it."""
    for at, line in enumerate(lines):
        before = code(lines[at - 1]) if at else ""
        if re.search(r"\bM0?5\b", code(line)) and re.search(r"G0?0 Z", before):
            yield Site(at - 1, at + 1, (line, lines[at - 1]))


def _tools(lines: Sequence[str], rng: random.Random) -> Sites:
    numbers = sorted({w[2] for line in lines for w in _words(line) if w[1] == "T"})
    for at, line in enumerate(lines):
        for word in _words(line):
            if word[1] == "T":
                others = [n for n in numbers if n != word[2]]
                others += [str(int(word[2]) + 1), str(int(word[2]) * 10)]
                yield _put(lines, at, word, "T" + rng.choice(others))


def _offsets(lines: Sequence[str], rng: random.Random) -> Sites:
    for at, line in enumerate(lines):
        for word in _words(line):
            if word[1] == "H":
                other = rng.choice([int(word[2]) + 1, int(word[2]) * 10, max(int(word[2]) - 1, 1)])
                yield _put(lines, at, word, f"H{other}")
                yield Site(at, at + 1, ())


def _cycles(lines: Sequence[str], rng: random.Random) -> Sites:
    """The words of a canned cycle's first line, its code, where it returns to."""
    for at, line in enumerate(lines):
        if not _CYCLE.search(code(line)):
            continue
        for word in _words(line):
            if word[1] in "ZRQP":
                number = rng.choice(list(_changed(word[2], NUDGES)))
                yield _put(lines, at, word, word[1] + number)
            elif word[0] in ("G98", "G99"):
                yield _put(lines, at, word, "G99" if word[0] == "G98" else "G98")
            elif word[1] == "G":
                yield _put(
                    lines, at, word, rng.choice([f"G8{n}" for n in "1235" if n != word[2][1]])
                )


KINDS: dict[str, Callable[[Sequence[str], random.Random], Sites]] = {
    "z changed": _lengths("Z"),
    "x or y changed": _lengths("XY"),
    "arc centre changed": _lengths("IJ"),
    "arc the other way": _swapped_words(("G2", "G3"), ("G02", "G03")),
    "line deleted": _deleted,
    "lines swapped": _neighbours,
    "mode": _modes,
    "rapid or feed": _swapped_words(("G0", "G1"), ("G00", "G01")),
    "feed": _feeds,
    "spindle": _spindle,
    "spindle stopped early": _still_in_the_cut,
    "cutter": _tools,
    "length offset": _offsets,
    "cycle": _cycles,
    "cycle not ended": _dropped("G80"),
    "coolant": _swapped_words(("M7", "M8"), ("M07", "M08")),
    "coolant dropped": _dropped("M0?[789]"),
    "end dropped": _dropped("M(0?2|30)"),
    "dwell dropped": _dropped(r"G0?4 P[\d.]+"),
    "stop dropped": _dropped("M0?[01]|M00"),
}


def drawn(programs: Sequence[str], count: int, seed: str) -> Iterator[tuple[int, Mutant]]:
    """So many mutants, each with the index of its program: the kinds in turn, each on the programs
    that have a place for it in turn, places by lot. None is drawn twice."""
    texts = [p.splitlines() for p in programs]
    rng, seen = random.Random(seed), set[tuple[int, int, tuple[str, ...]]]()
    turns = {kind: rng.sample(range(len(texts)), len(texts)) for kind in KINDS}
    misses = 0
    while len(seen) < count and misses < 100 * len(KINDS):
        for kind, find in KINDS.items():
            for which in list(turns[kind]):
                turns[kind].append(turns[kind].pop(0))
                sites = list(find(texts[which], rng))
                if sites:
                    break
            else:
                continue
            site = rng.choice(sites)
            key = (which, site.first, site.instead)
            if key in seen or len(seen) >= count:
                misses += 1
                continue
            seen.add(key)
            yield which, _mutant(kind, texts[which], site)


def _mutant(kind: str, lines: Sequence[str], site: Site) -> Mutant:
    was = " | ".join(lines[site.first : site.last])
    what = f"{was!r} -> {' | '.join(site.instead)!r}"
    changed = (*lines[: site.first], *site.instead, *lines[site.last :])
    return Mutant(kind, what, site.first + 1, changed)
