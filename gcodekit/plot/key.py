"""Beside and below the plan: what the strokes mean, the cutters, what is wrong, the title."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from gcodekit.job.model import Setup
from gcodekit.plot.depth_colours import DepthBand
from gcodekit.plot.marks import called, scale_bar, unit_name, zero_mark
from gcodekit.plot.paper import (
    BODY,
    FAINT,
    FRAME,
    INK,
    LARGE,
    LEGEND,
    METAL,
    PLAIN,
    SMALL,
    SOFT,
    SWEPT,
    TITLE,
    WARNING,
    PaperBox,
    fitted,
    line,
    rectangle,
    tag,
    words,
    wrapped,
)
from gcodekit.plot.scale import Scale, said
from gcodekit.plot.tab_marks import diamond, tab_sign
from gcodekit.rs274.program_read import Problem
from gcodekit.trade.cutter import Cutter
from gcodekit.units import Units

_LEFT = LEGEND.left + 4
_TEXT_LEFT = _LEFT + 14
_PROBLEM = _LEFT + 16.5
_ROOM = LEGEND.right - 3 - _TEXT_LEFT
_ROW_HEIGHT = 4.7


@dataclass(slots=True)
class _Column:
    """Writes downwards."""

    y: float
    parts: list[str]

    def head(self, text: str) -> None:
        """A small heading with a rule under it."""
        self.y += 3.4
        self.parts.append(
            words(_LEFT, self.y, text, size=SMALL, fill=INK, font_weight="bold", letter_spacing=0.3)
        )
        self.parts.append(
            line(_LEFT, self.y + 1.3, LEGEND.right - 3, self.y + 1.3, stroke=SOFT, stroke_width=0.2)
        )
        self.y += 5.6

    def row(self, sample: str, text: str, *, ink: str = INK, size: float = SMALL) -> None:
        """A sample and what it means."""
        said_text = fitted(text, _ROOM, size)
        self.parts += [sample, words(_TEXT_LEFT, self.y + 1.0, said_text, size=size, fill=ink)]
        self.y += _ROW_HEIGHT

    @property
    def room(self) -> int:
        """Rows left."""
        return int((LEGEND.bottom - 2 - self.y) / _ROW_HEIGHT)


def key(
    bands: Sequence[DepthBand],
    used: Sequence[int],
    cutters: Mapping[int, Cutter],
    problems: Sequence[Problem],
    units: Units,
    *,
    held: str = "",
    left_out: int = 0,
    drawn: bool = True,
    metal: str = "raw metal",
    tabs: bool = False,
    touches: bool = False,
    clearance: bool = True,
) -> str:
    """The column at the right."""
    column = _Column(LEGEND.top + 3, [])
    _depths(column, bands, units, left_out)
    _signs(column, held=held, drawn=drawn, metal=metal, clearance=clearance)
    _places(column, tabs=tabs, touches=touches)
    _cutters(column, used, cutters, units, rows=max(3, column.room - (9 if problems else 1)))
    _problems(column, problems)
    edge = line(LEGEND.left, LEGEND.top, LEGEND.left, LEGEND.bottom, stroke=INK, stroke_width=0.35)
    return tag("g", edge, *column.parts)


def _stroke(column: _Column, ink: str, width: float, dash: str = "none") -> str:
    y = column.y
    return line(_LEFT, y, _LEFT + 11, y, stroke=ink, stroke_width=width, stroke_dasharray=dash)


def _depths(column: _Column, bands: Sequence[DepthBand], units: Units, left_out: int) -> None:
    column.head(f"CUTS, BY LOWEST Z ({unit_name(units)})")
    for band in bands:
        high, low = said(band.high, units), said(band.low, units)
        text = high if high == low else f"{said(band.high, units, 2)} to {said(band.low, units, 2)}"
        column.row(_stroke(column, band.ink, band.stroke), text, size=PLAIN)
    if not bands:
        column.row("", "no cuts")
    if left_out:
        column.row("", f"{left_out} moves not drawn", ink=WARNING)


def _signs(column: _Column, *, held: str, drawn: bool, metal: str, clearance: bool) -> None:
    column.head("SIGNS")
    column.row(_stroke(column, SOFT, 0.25, RAPID_DASH), "rapid move")
    y = column.y
    swatch = PaperBox(_LEFT, y - 1.6, _LEFT + 11, y + 1.6)
    column.row(rectangle(swatch, fill=SWEPT), "under the cutter")
    if drawn:
        column.row(_stroke(column, FAINT, 0.25), "drawing")
    if metal:
        swatch = PaperBox(_LEFT, column.y - 1.5, _LEFT + 11, column.y + 1.5)
        column.row(rectangle(swatch, fill=METAL, stroke=INK, stroke_width=0.5), metal)
    if metal and clearance:
        column.row(_stroke(column, SOFT, 0.3, CLEARANCE_DASH), "clearance height")
    if held:
        swatch = PaperBox(_LEFT, column.y - 1.5, _LEFT + 11, column.y + 1.5)
        column.row(rectangle(swatch, fill=BODY, stroke=SOFT, stroke_width=0.25), held)
    column.row(zero_mark(_LEFT + 5.5, column.y, 1.7), "program zero")
    cross = tag(
        "path", d=f"M{_LEFT + 4.6:.2f} {column.y:.2f}h1.8m-.9-.9v1.8", stroke=INK, stroke_width=0.3
    )
    column.row(cross, "straight down")


def _places(column: _Column, *, tabs: bool, touches: bool) -> None:
    x, y = _LEFT + 5.5, column.y
    if tabs:
        column.row(tab_sign(f"M{x - 2.2:.2f} {y - 1.6:.2f}h4.4v3.2h-4.4Z"), "tab, to stay")
    if touches:
        column.row(diamond(x, column.y, 1.9), "touch off the cutter")


# Of rapids and of the clearance height, here and on the views.
RAPID_DASH = "1.6 1.1"
CLEARANCE_DASH = "5 1.2 1 1.2"


def _cutters(
    column: _Column, used: Sequence[int], cutters: Mapping[int, Cutter], units: Units, *, rows: int
) -> None:
    column.head("CUTTERS")
    shown = used if len(used) <= rows else used[: rows - 1]
    for n in shown:
        sign = words(
            _LEFT + 5.5,
            column.y + 1,
            str(n),
            size=PLAIN,
            fill=INK,
            text_anchor="middle",
            font_weight="bold",
        )
        cutter = cutters.get(n)
        column.row(sign, cutter.name if cutter else "not in the workshop")
    if len(shown) < len(used):
        column.row("", f"and {len(used) - len(shown)} more")


def _problems(column: _Column, problems: Sequence[Problem]) -> None:
    if not problems or column.room < 3:
        return
    column.head("PROBLEMS")
    most = 3 if len(problems) <= 5 else 2
    for i, (problem, where) in enumerate(zip(problems, called(problems), strict=True)):
        lines = wrapped(problem.text, LEGEND.right - 2 - _PROBLEM, lines=most)
        if (column.room < len(lines) + 1 and i < len(problems) - 1) or column.room < len(lines):
            column.row("", f"and {len(problems) - i} more: see the report", ink=WARNING)
            return
        column.parts.append(
            words(_LEFT, column.y + 1, where, size=SMALL, fill=WARNING, font_weight="bold")
        )
        for text in lines:
            column.parts.append(words(_PROBLEM, column.y + 1, text, size=SMALL, fill=INK))
            column.y += 3.9
        column.y += 1


def title_block(
    setup: Setup, title: str, units: Units, scale: Scale, *, file: str = "", metal: bool = True
) -> str:
    """Along the foot: what it is, how large, and to which scale."""
    size = [h - low for low, h in zip(setup.left.low, setup.left.high, strict=True)]
    sizes = " × ".join(said(s, units, 3) for s in size) + f" {unit_name(units)}"
    shape = "block" if setup.left.shape == "block" else f"round along {setup.left.axis}"
    top = TITLE.top
    columns = (TITLE.left, TITLE.left + 98, TITLE.left + 152, LEGEND.left)
    parts = [line(TITLE.left, top, TITLE.right, top, stroke=INK, stroke_width=0.35)]
    parts += [line(x, top, x, TITLE.bottom, stroke=INK, stroke_width=0.2) for x in columns[1:]]
    parts += _cell(columns[0], "", "", 0)
    name = fitted(title, columns[1] - columns[0] - 8, LARGE)
    parts.append(words(columns[0] + 4, top + 7.6, name, size=LARGE, fill=INK, font_weight="bold"))
    under = f"Set-up: {setup.name}" if setup.name else "Dry run"
    for y, text, type_size, ink in ((13.4, under, PLAIN, INK), (18.6, file, SMALL, SOFT)):
        said_text = fitted(text, columns[1] - columns[0] - 8, type_size)
        if said_text:
            parts.append(words(columns[0] + 4, top + y, said_text, size=type_size, fill=ink))
    parts += _cell(
        columns[1],
        "METAL LEFT" if setup.cut_down else "RAW METAL",
        sizes if metal else "not given",
        columns[2] - columns[1],
    )
    if metal:
        parts.append(
            words(columns[1] + 4, top + 17.6, f"{shape}, {setup.up} up", size=SMALL, fill=SOFT)
        )
    zero = wrapped(setup.zero_text or "not said", columns[3] - columns[2] - 6, lines=2)
    parts += _cell(columns[2], "PROGRAM ZERO", "", 0)
    parts += [
        words(columns[2] + 4, top + 11.4 + 4.4 * i, text, size=SMALL, fill=INK)
        for i, text in enumerate(zero)
    ]
    parts += _cell(columns[3], "SCALE", "", 0)
    parts.append(
        scale_bar(scale, units, PaperBox(columns[3] + 4, top + 9.5, TITLE.right - 18, TITLE.bottom))
    )
    parts.append(
        words(TITLE.right - 4, top + 5.4, _ratio(scale), size=SMALL, fill=SOFT, text_anchor="end")
    )
    border = rectangle(FRAME, stroke=INK, stroke_width=0.6)
    return tag("g", *parts, border)


def _cell(left: float, head: str, text: str, width: float) -> list[str]:
    top = TITLE.top
    parts = [words(left + 4, top + 5.4, head, size=SMALL, fill=SOFT)] if head else []
    if text:
        parts.append(words(left + 4, top + 11.8, fitted(text, width - 6), size=PLAIN, fill=INK))
    return parts


def _ratio(scale: Scale) -> str:
    if scale.factor >= 1:
        return f"{scale.factor:.3g} : 1 on A4"
    return f"1 : {1 / scale.factor:.3g} on A4"
