"""Overall sizes beside the views, dimensioned as ISO 129-1 has it: narrow lines, filled arrowheads,
figures above the line and read from below or from the right. At the stock's edges stands how far
they lie from the datum, program zero."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gcodekit.geometry.chain import Point
from gcodekit.job.model import Setup
from gcodekit.plot.label_places import LabelPlaces, along
from gcodekit.plot.letters import text_width
from gcodekit.plot.line_types import ARROW, NARROW
from gcodekit.plot.paper import FINE, INK, SMALL, SOFT, PaperBox, haloed, line, number, tag
from gcodekit.plot.scale import Scale, said
from gcodekit.plot.views import Views
from gcodekit.units import Units

# From the view to the first dimension line, from one to the next, and how far an extension line
# goes on past it; mm on the paper.
_FIRST, _NEXT, _PAST = 4.5, 5.6, 1.2
# Sag of the chords that a part's size is taken from, mm: less than its figures show.
_SAG = 1e-5
# Between a figure and its line.
_ABOVE = 0.8
# What stands at an edge may stand so much lower, mm, where its place is taken.
_BESIDE = (0.0, 2.6, -2.6)
# A size shorter than so many arrowheads has them outside.
_SHORT = 3.0
# What an extension line weighs against lettering over it.
_EXTENSION = 4.0
_INK: dict[str, str | float] = {"stroke": INK, "stroke_width": NARROW * 0.7}


@dataclass(frozen=True, slots=True)
class _Size:
    """One size from `low` to `high`, program coordinates; `ends`: where its ends lie from zero is
    said too; `sign`: Ø of what is round."""

    low: float
    high: float
    ends: bool
    sign: str = ""


def sizes(setup: Setup, views: Views, units: Units, places: LabelPlaces) -> str:
    """Length, width and height of the stock, and of a part cut out of it."""
    own = _sizes(setup)
    plan, other = views.plan, views.front
    along, up = views.axis, _stock_size(setup, 2)
    parts = [_level(plan, own[0], setup.left.low[1], units, places, "X")]
    parts.append(_upright(plan, own[1], setup.left.low[0], units, places, "Y"))
    if along == 0:
        parts.append(_upright(other, [up], setup.left.low[0], units, places, "Z"))
    else:
        parts.append(_level(other, [up], setup.left.low[1], units, places, "Z"))
    return "".join(parts)


def _stock_size(setup: Setup, axis: int) -> _Size:
    """The stock's along an axis, a bar's across it as a diameter."""
    raw = setup.left
    round_ = raw.shape == "round" and raw.axis != "xyz"[axis]
    return _Size(raw.low[axis], raw.high[axis], ends=True, sign="Ø" if round_ else "")


def _sizes(setup: Setup) -> list[list[_Size]]:
    """Of x and of y: the part's, if it is one that is cut free, and the stock's."""
    found: list[list[_Size]] = []
    free = [f.freed.area for f in setup.features if f.freed is not None and not f.freed.slug]
    for axis in range(2):
        rows = [_stock_size(setup, axis)]
        if len(free) == 1:
            across = [p[axis] for ring in free[0].rings for p in ring.flattened(_SAG)]
            rows.insert(0, _Size(min(across), max(across), ends=False))
        found.append(rows)
    return found


def _level(
    scale: Scale, rows: list[_Size], beside: float, units: Units, places: LabelPlaces, name: str
) -> str:
    """Sizes under a view; `beside`: where extension lines begin, the other coordinate."""
    parts, drawn, y = [], list[PaperBox](), scale.box.bottom + _FIRST
    for size in rows:
        turned = scale.turned
        a, b = (scale.point(beside, v) if turned else scale.point(v, beside)
                for v in (size.low, size.high))  # fmt: skip
        left, right = min(a[0], b[0]), max(a[0], b[0])
        start = max(a[1], b[1]) + 0.8
        for x in (left, right):
            parts.append(line(x, start, x, y + _PAST, **_INK))
            places.weigh(along([(x, start), (x, y + _PAST)]), _EXTENSION)
        parts.append(_arrows(left, y, right, y))
        drawn.append(PaperBox(left, y - 0.4, right, y + 0.4))
        text = size.sign + said(size.high - size.low, units)
        parts.append(_level_text(_along(left, right, y, text), text, places, "middle"))
        if size.ends:
            ends = (size.high, size.low) if turned else (size.low, size.high)
            # past the arrowheads where those of a short size stand outside it
            off = 1.0 + (2 * ARROW[0] if right - left < _SHORT * ARROW[0] else 0.0)
            for x, value, anchor in ((left - off, ends[0], "end"), (right + off, ends[1], "start")):
                end = f"{name} {said(value, units)}"
                tries = [(x, y + 1.0 + off) for off in _BESIDE]
                parts.append(_level_text(tries, end, places, anchor))
        y += _NEXT
    _take(drawn, places)
    return "".join(parts)


def _along(left: float, right: float, y: float, text: str) -> list[Point]:
    """Where a figure may stand over its level line: in the middle, nearer an end, past an end."""
    wide, long = text_width(text, SMALL), right - left
    shares = (0.5, 0.35, 0.65, 0.2, 0.8) if long > 2 * wide else (0.5,)
    over = [(left + share * long, y - _ABOVE) for share in shares]
    off = wide / 2 + 1.0
    past = [(x, y - _ABOVE + down) for down in _BESIDE for x in (left - off, right + off)]
    return over + past


def _level_text(
    tries: Sequence[Point], text: str, places: LabelPlaces, anchor: str, *, ink: str = SOFT
) -> str:
    """A figure at the first of these places that is free; where there is no room for it none
    stands."""
    size = _figure(anchor)
    wide = text_width(text, size)
    for x, y in tries:
        left = x - {"middle": wide / 2, "end": wide, "start": 0.0}[anchor]
        box = PaperBox(left, y - size * 0.8, left + wide, y + 0.4)
        if places.free(box):
            places.take(box)
            ink = INK if anchor == "middle" else ink
            return haloed(x, y, text, ink, size, text_anchor=anchor)
    return ""


def _figure(anchor: str) -> float:
    return SMALL if anchor == "middle" else FINE


def _upright(
    scale: Scale, rows: list[_Size], beside: float, units: Units, places: LabelPlaces, name: str
) -> str:
    """Sizes at the left of a view."""
    parts, drawn, x = [], list[PaperBox](), scale.box.left - _FIRST
    for size in rows:
        a, b = (scale.point(beside, v) for v in (size.low, size.high))
        top, bottom = min(a[1], b[1]), max(a[1], b[1])
        for y in (top, bottom):
            parts.append(line(a[0] - 0.8, y, x - _PAST, y, **_INK))
            places.weigh(along([(a[0] - 0.8, y), (x - _PAST, y)]), _EXTENSION)
        parts.append(_arrows(x, bottom, x, top))
        drawn.append(PaperBox(x - 0.4, top, x + 0.4, bottom))
        text = size.sign + said(size.high - size.low, units)
        parts.append(_upright_text(x - _ABOVE, top, bottom, text, places))
        if size.ends:
            # beside the arrowheads where those of a short size stand outside it
            at = x - 1.0 if bottom - top < _SHORT * ARROW[0] else x + _PAST + 1.6
            for y, value in ((top - 0.9, size.high), (bottom + FINE * 0.8 + 0.7, size.low)):
                tries = [(u, y + off) for off in _BESIDE for u in (at, x - 1.0)]
                end = f"{name} {said(value, units)}"
                parts.append(_level_text(tries, end, places, "end"))
        x -= _NEXT
    _take(drawn, places)
    return "".join(parts)


def _take(lines: list[PaperBox], places: LabelPlaces) -> None:
    """Dimension lines have their room once their own figures stand over them."""
    for box in lines:
        places.take(box)


def _upright_text(x: float, top: float, bottom: float, text: str, places: LabelPlaces) -> str:
    """A figure read from the right; level where the size is shorter than the figure."""
    wide, middle = text_width(text, SMALL), (top + bottom) / 2
    shares = (0.5, 0.35, 0.65, 0.2, 0.8) if bottom - top > 2 * wide else (0.5,)
    for y in (top + share * (bottom - top) for share in shares if wide <= bottom - top):
        box = PaperBox(x - SMALL * 0.8, y - wide / 2, x + 0.4, y + wide / 2)
        if places.free(box):
            places.take(box)
            turn = f"rotate(-90 {number(x)} {number(y)})"
            return haloed(x, y, text, size=SMALL, text_anchor="middle", transform=turn)
    tries = [(x - 0.4, y + 0.36 * SMALL) for y in (middle, top - SMALL, bottom + SMALL)]
    return _level_text(tries, text, places, "end", ink=INK)


def _arrows(x0: float, y0: float, x1: float, y1: float) -> str:
    """A dimension line with both its arrowheads; on a short one they point at it from outside."""
    length, half = ARROW
    level = y0 == y1
    span = abs(x1 - x0) if level else abs(y1 - y0)
    inward = 1.0 if span >= _SHORT * length else -1.0
    heads = []
    for (x, y), way in (((x0, y0), 1.0), ((x1, y1), -1.0)):
        away = way * inward * length
        u, v = (x + away, y - half) if level else (x - half, y - away)
        side = f"{'v' if level else 'h'}{number(2 * half)}"
        heads.append(f"M{number(x)} {number(y)}L{number(u)} {number(v)}{side}Z")
    more = 0.0 if inward > 0 else 2 * length
    ends = (x0 - more, y0, x1 + more, y1) if level else (x0, y0 + more, x1, y1 - more)
    return line(ends[0], ends[1], ends[2], ends[3], **_INK) + tag(
        "path", d="".join(heads), fill=INK
    )
