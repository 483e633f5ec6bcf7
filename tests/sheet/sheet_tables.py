"""A sheet's text taken apart again, and programs read by nothing of the package."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

WIDTH = 260
Row = dict[str, str]


@dataclass
class PageText:
    """One page: its facts, the steps and paragraphs under each heading, and its tables."""

    title: str
    facts: dict[str, str] = field(default_factory=dict)
    lines: dict[str, list[str]] = field(default_factory=dict)
    tables: dict[str, list[Row]] = field(default_factory=dict)


def pages_of_text(text: str) -> list[PageText]:
    """The pages of a sheet that is `WIDTH` letters wide, so that no cell is broken."""
    rule = "=" * WIDTH
    parts = text.split(rule + "\n")
    titles, bodies = parts[1::2], parts[2::2]
    return [_page(t.strip(), b.splitlines()) for t, b in zip(titles, bodies, strict=True)]


def _page(title: str, lines: list[str]) -> PageText:
    page, under = PageText(title), ""
    page.lines[under] = []
    for n, line in enumerate(lines):
        if line and line == line.upper() and n and not lines[n - 1] and re.search("[A-Z]{3}", line):
            under = line
            page.lines[under] = []
        elif re.fullmatch(r"-+(  -+)+", line):
            rows = page.tables.setdefault(under, [])
            if not rows:
                spans = [m.span() for m in re.finditer("-+", line)]
                rows += list(_rows(lines, n, spans))
        elif not under and (found := re.fullmatch(r"([a-z ]+): (.+)", line)):
            page.facts[found[1]] = found[2]
        elif line:
            page.lines[under].append(line)
    return page


def _rows(lines: list[str], rule: int, spans: list[tuple[int, int]]) -> Iterator[Row]:
    top = rule
    while top and lines[top - 1] and lines[top - 1] != lines[top - 1].upper():
        top -= 1
    heads = [
        " ".join(filter(None, (line[a:b].strip() for line in lines[top:rule]))) for a, b in spans
    ]
    for line in lines[rule + 1 :]:
        if re.fullmatch(r"-+(  -+)+", line):
            continue
        if not line or not line.startswith("[ ]"):
            return
        cells = [line[a:b].strip() for a, b in spans]
        yield dict(zip(heads, cells, strict=True))


# -- programs ------------------------------------------------------------------------------------

_WORD = re.compile(r"([A-Z])(-?\d+\.?\d*|-?\.\d+)")


@dataclass
class ProgramOperation:
    """One operation as the program's own words have it."""

    name: str
    cutter: int
    speeds: set[float] = field(default_factory=set)
    feeds: set[float] = field(default_factory=set)
    lowest: float = 1e9


@dataclass
class ProgramWords:
    """What a program says: operations, cutters as they are loaded, messages between stops, and how
    often it stops."""

    operations: list[ProgramOperation] = field(default_factory=list)
    loaded: list[int] = field(default_factory=list)
    messages: list[str] = field(default_factory=list)
    header: list[str] = field(default_factory=list)
    stops: int = 0


def program_words(text: str, names: set[str]) -> ProgramWords:
    """Read a program of the plain dialect, all in its own units; `names`: of features."""
    found = ProgramWords()
    state = {"T": 0.0, "S": 0.0, "F": 0.0, "Z": 1e9, "G": 0.0}
    message = ""
    for line in text.splitlines():
        if comment := re.fullmatch(r"\((MSG, )?(.*)\)", line):
            message = _commented(found, comment, message, state, names)
            continue
        if message:
            found.messages.append(message)
            message = ""
        _moved(found, line, state)
    return found


def _commented(
    found: ProgramWords,
    comment: re.Match[str],
    message: str,
    state: dict[str, float],
    names: set[str],
) -> str:
    if comment[1]:
        return f"{message} {comment[2]}".strip()
    said = comment[2].removeprefix("note: ")
    if said.rpartition(": ")[0] in names:
        found.operations.append(ProgramOperation(said, int(state["T"])))
    elif not found.operations:
        found.header.append(said)
    return message


def _moved(found: ProgramWords, line: str, state: dict[str, float]) -> None:
    words = [(letter, float(value)) for letter, value in _WORD.findall(line)]
    for letter, value in words:
        if letter in "TSFZ":
            state[letter] = value
        elif letter == "G" and value in (0, 1, 2, 3, 73, 80, 81, 82, 83, 84, 85, 86, 89):
            state["G"] = value
    if ("M", 6.0) in words:
        found.loaded.append(int(state["T"]))
    if any(word in words for word in (("M", 0.0),)):
        found.stops += 1
    moves = any(letter in "XYZ" for letter, _ in words)
    if found.operations and moves and state["G"] not in (0, 80):
        operation = found.operations[-1]
        operation.feeds.add(state["F"])
        operation.speeds.add(state["S"])
        operation.lowest = min(operation.lowest, state["Z"])
