"""The title block along the foot, with the data fields of ISO 7200 that a set-up has: title,
number, sheet, date; and what it needs besides: stock, datum, material, machine, scale, projection.
"""

from __future__ import annotations

from gcodekit.job.model import Setup
from gcodekit.plot.letters import fitted, text_width, wrapped
from gcodekit.plot.line_types import CENTRE, NARROW
from gcodekit.plot.paper import (
    FINE,
    FRAME,
    INK,
    LARGE,
    PLAIN,
    SMALL,
    SOFT,
    TITLE,
    PaperBox,
    group,
    line,
    number,
    rectangle,
    tag,
    words,
)
from gcodekit.plot.scale import Scale, ratio, round_length, said, unit_name
from gcodekit.plot.sheet_facts import SheetFacts
from gcodekit.units import Units

# Left edges of the five columns; two rows of cells in each.
_COLUMNS = (TITLE.left, TITLE.left + 74, TITLE.left + 134, TITLE.left + 187, TITLE.left + 228)
_MIDDLE = TITLE.top + 12
_PAD = 2.2


def title_block(
    setup: Setup,
    title: str,
    units: Units,
    scale: Scale,
    facts: SheetFacts,
    *,
    file: str = "",
    metal: bool = True,
    note: str = "",
) -> str:
    """All cells, and the sheet's border."""
    parts = [
        *_rules(),
        *_cell(0, 0, "PART", title, LARGE),
        *_cell(0, 1, "SET-UP", setup.name or "dry run, no job given", PLAIN),
        *_cell(1, 0, "STOCK LEFT" if setup.cut_down else "STOCK", "", SMALL),
        *_lines(1, 0, stock_size(setup, units) if metal else ["not given"]),
        *_cell(1, 1, "PROGRAM ZERO", "", SMALL),
        *_lines(1, 1, wrapped(setup.zero_text or "not given", _width(1), SMALL, lines=2)),
        *_cell(2, 0, "MATERIAL", facts.material or "not given", SMALL, width=31.0),
        words(_COLUMNS[2] + 34.5, TITLE.top + 3.6, "CHECKED", size=FINE, fill=SOFT),
        *_cell(2, 1, "FILE", file or "–", SMALL),
        *_cell(3, 0, "MACHINE", facts.machine or "not given", SMALL),
        *_cell(3, 1, "DATE", facts.date or "–", SMALL, width=20.0),
        *_sheet(facts),
        *_cell(4, 0, f"SCALE {ratio(scale.factor)}", "", SMALL),
        _scale_bar(scale, units),
        *_cell(4, 1, f"UNIT {unit_name(units)}", "", SMALL),
    ]
    if note:
        x, y = _COLUMNS[4] + _PAD, TITLE.top + 10.9
        parts.append(words(x, y, fitted(note, _width(4), FINE), size=FINE, fill=INK))
    parts.append(_projection(TITLE.right - 13.5, _MIDDLE + 8.2))
    return group("title", *parts, rectangle(FRAME, stroke=INK, stroke_width=0.7))


def _rules() -> list[str]:
    parts = [line(TITLE.left, TITLE.top, TITLE.right, TITLE.top, stroke=INK, stroke_width=0.5)]
    parts.append(line(TITLE.left, _MIDDLE, TITLE.right, _MIDDLE, stroke=INK, stroke_width=NARROW))
    parts += [
        line(x, TITLE.top, x, TITLE.bottom, stroke=INK, stroke_width=NARROW) for x in _COLUMNS[1:]
    ]
    return parts


def _width(column: int) -> float:
    right = (*_COLUMNS, TITLE.right)[column + 1]
    return right - _COLUMNS[column] - 2 * _PAD


def _cell(
    column: int, row: int, head: str, text: str, size: float, width: float | None = None
) -> list[str]:
    """A heading, and under it what it is."""
    left, top = _COLUMNS[column] + _PAD, (TITLE.top, _MIDDLE)[row]
    parts = [words(left, top + 3.6, head, size=FINE, fill=SOFT)]
    if text:
        bold, room = size == LARGE, width or _width(column)
        # a long name is lettered smaller before any of it is left out
        fits = (s for s in (size, PLAIN, FINE) if text_width(text, s, bold=bold) <= room)
        size = min(size, next(fits, FINE))
        cell = fitted(text, room, size, bold=bold)
        weight = "bold" if bold else "normal"
        parts.append(words(left, top + 8.9, cell, size=size, fill=INK, font_weight=weight))
    return parts


def _lines(column: int, row: int, texts: list[str]) -> list[str]:
    """Two lines of a cell."""
    left, top = _COLUMNS[column] + _PAD, (TITLE.top, _MIDDLE)[row]
    return [
        words(left, top + 7.2 + 3.5 * n, fitted(t, _width(column), SMALL), size=SMALL, fill=INK)
        for n, t in enumerate(texts)
    ]


def _sheet(facts: SheetFacts) -> list[str]:
    left, top = _COLUMNS[3] + 23.5, _MIDDLE
    text = f"{facts.number} of {facts.count}"
    return [
        words(left, top + 3.6, "SHEET", size=FINE, fill=SOFT),
        words(left, top + 8.9, fitted(text, 16.0, SMALL), size=SMALL, fill=INK),
    ]


def stock_size(setup: Setup, units: Units) -> list[str]:
    """The stock's size, a stack's as its plates, and how it lies."""
    raw = setup.left
    size = [h - low for low, h in zip(raw.low, raw.high, strict=True)]
    unit = unit_name(units)
    texts = [said(s, units) for s in size]
    if raw.shape == "round":
        along = "xyz".index(raw.axis)
        across = texts[1 if along == 0 else 0]
        first = f"Ø{across} × {texts[along]} {unit}"
        return [first, f"bar, axis {raw.axis.upper()}, {setup.up} up"]
    plates = setup.raw.plates
    if plates > 1 and setup.up in ("top", "bottom") and not setup.cut_down:
        thick = said(size[2] / plates, units)
        stack = f"{plates} × {thick} {unit} stacked, {setup.up} up"
        return [f"{texts[0]} × {texts[1]} {unit}", stack]
    return [" × ".join(texts) + f" {unit}", f"block, {setup.up} up"]


def _scale_bar(scale: Scale, units: Units) -> str:
    """A bar of round length: whatever size the sheet is printed at, it tells the scale."""
    left, top = _COLUMNS[4] + _PAD, TITLE.top + 5.4
    length = round_length(16.0 / scale.factor, units)
    wide = length * scale.factor
    frame = rectangle(PaperBox(left, top, left + wide, top + 1.3), stroke=INK, stroke_width=0.2)
    black = rectangle(PaperBox(left, top, left + wide / 2, top + 1.3), fill=INK)
    text = f"{said(length, units)} {unit_name(units)}"
    return frame + black + words(left + wide + 1.2, top + 1.6, text, size=FINE, fill=INK)


def _projection(x: float, y: float) -> str:
    """The symbol of third angle projection (ISO 5456-2): a truncated cone, and left of it its view
    from the left, where the narrow end is seen before the wide one."""
    r, small, long = 2.2, 1.2, 4.0
    ink: dict[str, str | float] = {"stroke": INK, "stroke_width": 0.3}
    at = x + r + 1.8
    cone = (
        f"M{number(at)} {number(y - small)}L{number(at + long)} {number(y - r)}"
        f"V{number(y + r)}L{number(at)} {number(y + small)}Z"
    )
    axis = f"M{number(x - r - 1)} {number(y)}H{number(at + long + 1)}"
    axis += f"M{number(x)} {number(y - r - 1)}V{number(y + r + 1)}"
    text = words(_COLUMNS[4] + _PAD, _MIDDLE + 8.9, "3rd angle", size=FINE, fill=INK)
    return (
        tag("circle", cx=x, cy=y, r=r, **ink)
        + tag("circle", cx=x, cy=y, r=small, **ink)
        + tag("path", d=cone, **ink)
        + tag("path", d=axis, stroke=INK, stroke_width=0.15, stroke_dasharray=CENTRE)
        + text
    )
