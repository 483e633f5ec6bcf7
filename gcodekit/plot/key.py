"""The column at the right, under the verdict: what is wrong, the cutters, what strokes and signs
mean."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from gcodekit.plot.callouts import MOST_NUMBERED, balloon_sign
from gcodekit.plot.cutter_table import HEADINGS, CutterRow
from gcodekit.plot.depth_colours import DepthBand
from gcodekit.plot.key_signs import SAMPLE, Sample, stroke
from gcodekit.plot.letters import fitted, text_width, wrapped
from gcodekit.plot.line_types import NARROW
from gcodekit.plot.marks import called, problem_sign
from gcodekit.plot.paper import (
    FINE,
    INK,
    LEGEND,
    SOFT,
    WARNING,
    PaperBox,
    group,
    line,
    words,
)
from gcodekit.plot.scale import said, unit_name
from gcodekit.plot.sheet_facts import Stamp
from gcodekit.plot.verdict_stamp import STAMP
from gcodekit.rs274.program_read import Problem
from gcodekit.units import Units

_LEFT, _RIGHT = STAMP.left, STAMP.right
_HALF = (_RIGHT - _LEFT) / 2
# Rows of signs and of lettering; a heading with its rule, and the gap above it.
_SIGN_ROW, _ROW, _HEAD = 4.1, 3.5, 7.0
# Between two columns of the cutters, mm.
_COLUMN = 1.3
# Cutters that are shown; the rest is in the report.
_MOST_CUTTERS = 14
# The height that the part in space is worth drawing in, and the most it needs, mm.
_LEAST_VIEW, _MOST_VIEW = 32.0, 62.0
# Lines of a problem's text, with its remedy or without: the first that leave room for all problems;
# and their width, mm.
_LINES_EACH = ((8, True), (6, False), (3, False), (2, False), (1, False))
_WIDE = _RIGHT - _LEFT - 4


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyContents:
    """What the column explains; `signs` have a sample each and words, `left_out` moves are not
    drawn; `in_space` draws the part in its stock into a box, where there is room."""

    stamp: Stamp
    problems: Sequence[Problem]
    cutters: Sequence[CutterRow]
    bands: Sequence[DepthBand]
    features: Sequence[tuple[int, str]]
    signs: Sequence[tuple[Sample, str]]
    units: Units
    left_out: int = 0
    in_space: Callable[[PaperBox], str] | None = None

    @property
    def more(self) -> str:
        """Where what has no room here is found."""
        return "see the command's output" if self.stamp == "DRY RUN" else "see report.json"


@dataclass(slots=True)
class _Column:
    """Writes downwards."""

    y: float
    parts: list[str]

    def head(self, text: str) -> None:
        """A small heading with a rule under it."""
        self.y += 3.4
        self.parts.append(words(_LEFT, self.y, text, size=FINE, fill=INK, font_weight="bold"))
        ends = (_LEFT, self.y + 1.0, _RIGHT, self.y + 1.0)
        self.parts.append(line(*ends, stroke=SOFT, stroke_width=NARROW))
        self.y += _HEAD - 3.4

    def text(self, x: float, text: str, width: float, **attributes: str | float) -> None:
        """A cell of the row the column is at."""
        bold = attributes.get("font_weight") == "bold"
        cell = fitted(text, width, FINE, bold=bold)
        given = {"fill": INK, **attributes}
        self.parts.append(words(x, self.y, cell, size=FINE, **given))


def key(contents: KeyContents) -> str:
    """The column under the stamp; problems get all the room that the rest leaves."""
    column = _Column(STAMP.bottom + 1, [])
    rest = _rest_height(contents)
    _problems(column, contents, LEGEND.bottom - rest)
    _cutters(column, contents)
    _features(column, contents)
    _depths(column, contents)
    _signs(column, contents.signs)
    if contents.in_space is not None and LEGEND.bottom - column.y > _HEAD + _LEAST_VIEW:
        column.y += 2
        column.head("FINISHED PART IN ITS STOCK")
        room = PaperBox(_LEFT, column.y - 2, _RIGHT, min(LEGEND.bottom - 2, column.y + _MOST_VIEW))
        column.parts.append(contents.in_space(room))
    edge = line(LEGEND.left, LEGEND.top, LEGEND.left, LEGEND.bottom, stroke=INK, stroke_width=0.35)
    return group("key", edge, *column.parts)


def _rest_height(contents: KeyContents) -> float:
    """What all below the problems takes, mm."""
    cutters = min(len(contents.cutters), _MOST_CUTTERS + 1) + 1
    features = min(len(contents.features), MOST_NUMBERED + 1)
    depths = _pairs(max(1, len(contents.bands))) + bool(contents.left_out)
    return (
        _HEAD * (3 + bool(features))
        + _ROW * (cutters + features)
        + _SIGN_ROW * (depths + _pairs(len(contents.signs)))
        + 2.0
    )


def _pairs(count: int) -> int:
    return (count + 1) // 2


# -- what is wrong --------------------------------------------------------------------------------


def _problems(column: _Column, contents: KeyContents, bottom: float) -> None:
    """Errors first; as many as there is room for above `bottom`, and how many more there are."""
    problems = contents.problems
    if not problems:
        return
    column.head("PROBLEMS")
    rows = max(2, int((bottom - column.y) / _ROW))
    names = called(problems)
    texts = _that_fit(names, problems, rows)
    for n, (problem, lines) in enumerate(zip(problems, texts, strict=True)):
        # the last row is kept for how many more there are
        if len(lines) + (n < len(problems) - 1) > rows:
            text = f"and {len(problems) - n} more, {contents.more}"
            column.text(_LEFT, text, _RIGHT - _LEFT, fill=WARNING, font_weight="bold")
            column.y += _ROW
            return
        rows -= len(lines)
        column.parts.append(problem_sign(_LEFT + 1.4, column.y - 0.9, problem.severity, 1.3))
        head = _head(names[n], problem)
        column.text(_LEFT + 4, head, _WIDE, fill=WARNING, font_weight="bold")
        for k, text in enumerate(lines):
            column.text(_LEFT + 4 + (0.0 if k else _indent(head)), text, _WIDE)
            column.y += _ROW


def _that_fit(names: Sequence[str], problems: Sequence[Problem], rows: int) -> list[list[str]]:
    """The lines of each, as long as lets all have room; else one line each."""
    heads = [_head(n, p) for n, p in zip(names, problems, strict=True)]
    for most, remedy in _LINES_EACH:
        texts = [
            wrapped(p.full_text if remedy else p.text, _WIDE, FINE, lines=most, indent=_indent(h))
            for h, p in zip(heads, problems, strict=True)
        ]
        if sum(map(len, texts)) <= rows:
            break
    return texts


def _head(name: str, problem: Problem) -> str:
    """What it is known by, before its text."""
    return f"{name}:" if name.startswith(problem.severity) else f"{problem.severity}, {name}:"


def _indent(head: str) -> float:
    return text_width(head, FINE, bold=True) + 1.0


# -- tables --------------------------------------------------------------------------------------


def _cutters(column: _Column, contents: KeyContents) -> None:
    rows = contents.cutters
    column.head(f"CUTTERS, IN RUNNING ORDER (feed {unit_name(contents.units)}/min)")
    shown = rows if len(rows) <= _MOST_CUTTERS else rows[:_MOST_CUTTERS]
    cells = _cells([HEADINGS, *shown])
    _row(column, HEADINGS, cells, SOFT)
    for row in shown:
        _row(column, row, cells, INK)
    if len(shown) < len(rows):
        text = f"and {len(rows) - len(shown)} more, {contents.more}"
        column.text(_LEFT, text, _RIGHT - _LEFT)
        column.y += _ROW


def _cells(rows: Sequence[CutterRow]) -> tuple[float, ...]:
    """The middle of the numbers, the right edge of the diameters, the left one of the kinds, and
    the right ones of speeds, feeds and times: each as wide as it needs, the kinds what is left."""

    def wide(texts: Iterable[str], most: float) -> float:
        return min(max(text_width(t, FINE) for t in texts), most)

    number_ = wide((r.number for r in rows), 13.5)
    diameter = _LEFT + number_ + _COLUMN + wide((r.diameter for r in rows), 10.5)
    feed = _RIGHT - wide((r.time for r in rows), 8.7) - _COLUMN
    speed = feed - wide((r.feed for r in rows), 14.7) - _COLUMN
    return _LEFT + number_ / 2, diameter, diameter + _COLUMN, speed, feed, _RIGHT


def _row(column: _Column, row: CutterRow, cells: Sequence[float], ink: str) -> None:
    number_, diameter, kind, speed, feed, time = cells
    end: dict[str, str | float] = {"text_anchor": "end", "fill": ink}
    column.text(number_, row.number, 2 * (number_ - _LEFT), text_anchor="middle", fill=ink)
    column.text(diameter, row.diameter, 10.5, **end)
    column.text(time, row.time, time - feed - 0.8, **end)
    column.text(feed, row.feed, feed - speed - 0.8, **end)
    used = text_width(row.speed, FINE)
    column.text(speed, row.speed, 18.0, **end)
    column.text(kind, row.kind, speed - min(used, 18.0) - kind - 1.0, fill=ink)
    column.y += _ROW


def _features(column: _Column, contents: KeyContents) -> None:
    features = contents.features
    if not features:
        return
    column.head("FEATURES WITHOUT ROOM FOR A CALLOUT")
    for n, text in features[:MOST_NUMBERED]:
        column.parts.append(balloon_sign(_LEFT + 2, column.y - 0.9, n, 1.75))
        column.text(_LEFT + 5, text, _RIGHT - _LEFT - 5)
        column.y += _ROW
    if len(features) > MOST_NUMBERED:
        text = f"and {len(features) - MOST_NUMBERED} more in the job file"
        column.text(_LEFT, text, _RIGHT - _LEFT)
        column.y += _ROW


def _depths(column: _Column, contents: KeyContents) -> None:
    """Strokes by depth, in two columns."""
    units = contents.units
    column.head(f"CUTS, BY LOWEST Z ({unit_name(units)})")
    rows: list[tuple[Sample, str]] = [
        (stroke(b.ink, 2 * b.stroke, b.dash), _depth(b, units)) for b in contents.bands
    ]
    if not rows:
        rows = [(lambda _x, _y: "", "no cuts")]
    _two_columns(column, rows)
    if contents.left_out:
        text = f"{contents.left_out} moves not drawn"
        column.text(_LEFT, text, _RIGHT - _LEFT, fill=WARNING, font_weight="bold")
        column.y += _SIGN_ROW


def _depth(band: DepthBand, units: Units) -> str:
    """From the higher z to the lower."""
    digits = 2 if units == "mm" else 3
    high, low = said(band.high, units, digits), said(band.low, units, digits)
    return high if high == low else f"{high} to {low}"


def _two_columns(column: _Column, rows: Sequence[tuple[Sample, str]]) -> None:
    half = _pairs(len(rows))
    start = column.y
    for n, (sample, text) in enumerate(rows):
        x = _LEFT + (0.0 if n < half else _HALF)
        column.y = start + _SIGN_ROW * (n % half)
        column.parts.append(sample(x, column.y - 0.9))
        column.text(x + SAMPLE + 1.2, text, _HALF - SAMPLE - 1.8)
    column.y = start + _SIGN_ROW * half


def _signs(column: _Column, signs: Sequence[tuple[Sample, str]]) -> None:
    column.head("KEY")
    _two_columns(column, signs)
