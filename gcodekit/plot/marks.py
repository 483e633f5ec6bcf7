"""Marks on the plan: program zero, axes, rulers, scale bar, places drilled, problems."""

from __future__ import annotations

import math
from collections.abc import Sequence

from gcodekit.geometry.chain import Point
from gcodekit.plot.depth_colours import DepthBand, band_at
from gcodekit.plot.paper import (
    INK,
    PAPER,
    SMALL,
    SOFT,
    WARNING,
    PaperBox,
    line,
    number,
    rectangle,
    tag,
    words,
)
from gcodekit.plot.scale import Scale, round_length, said
from gcodekit.rs274.program_read import Problem
from gcodekit.trade.cutter import Cutter
from gcodekit.units import Units

# Problems marked on the plan; the list beside it has the rest.
MOST_MARKS = 40
_ARROW = 13.0


def zero_mark(x: float, y: float, size: float = 2.1) -> str:
    """A circle in quarters, two of them black, on the paper at (x, y)."""
    r, top, right = number(size), number(y - size), number(x + size)
    low, left = number(y + size), number(x - size)
    at_x, at_y = number(x), number(y)
    quarters = (
        f"M{at_x} {at_y}L{at_x} {top}A{r} {r} 0 0 1 {right} {at_y}Z"
        f"M{at_x} {at_y}L{at_x} {low}A{r} {r} 0 0 1 {left} {at_y}Z"
    )
    return tag("circle", cx=x, cy=y, r=size, fill=PAPER, stroke=INK, stroke_width=0.3) + tag(
        "path", d=quarters, fill=INK
    )


def axes(scale: Scale, up: str = "Y") -> str:
    """Program zero with x and the axis that points up the paper from it."""
    x, y = scale.point(0, 0)
    high = _upwards(scale)
    ink: dict[str, str | float] = {"stroke": INK, "stroke_width": 0.35}
    tips = f"M{number(x + _ARROW - 2)} {number(y - 0.8)}l2 .8l-2 .8Z"
    tips += f"M{number(x - 0.8)} {number(y - high + 2)}l.8 -2l.8 2Z"
    return tag(
        "g",
        line(x, y, x + _ARROW, y, **ink),
        line(x, y, x, y - high, **ink),
        tag("path", d=tips, fill=INK, stroke=INK, stroke_width=0.2),
        haloed(x + _ARROW + 1, y + 1.1, "X"),
        haloed(x - 1.1, y - high - 1.2, up),
        zero_mark(x, y),
    )


def axes_room(scale: Scale) -> PaperBox:
    """Find what the axes take on the paper."""
    x, y = scale.point(0, 0)
    return PaperBox(x - 2.5, y - _upwards(scale) - 4, x + _ARROW + 4, y + 2.5)


def _upwards(scale: Scale) -> float:
    """The upward arrow, shorter where the view ends above it."""
    return min(_ARROW, max(5.5, scale.point(0, 0)[1] - scale.box.top - 3.5))


def haloed(x: float, y: float, text: str, ink: str = INK, size: float = SMALL) -> str:
    """Lettering that stays legible over strokes."""
    halo: dict[str, str | float] = {"stroke": PAPER, "stroke_width": 0.9, "paint_order": "stroke"}
    return words(x, y, text, size=size, fill=ink, font_weight="bold", **halo)


def rulers(scale: Scale, units: Units) -> str:
    """Coordinates along the left and the lower edge of a view."""
    box = scale.box
    rise = scale.factor * scale.stretch
    x0 = (box.left - scale.left) / scale.factor
    y0 = (scale.bottom - box.bottom) / rise
    strokes, figures = [], []
    for value in _steps(x0, x0 + box.width / scale.factor, _step(scale.factor, box.width, units)):
        x, _ = scale.point(value, 0)
        strokes.append(line(x, box.bottom + 2, x, box.bottom + 3.4))
        text = said(value, units)
        figures.append(words(x, box.bottom + 6.6, text, size=SMALL, text_anchor="middle"))
    for value in _steps(y0, y0 + box.height / rise, _step(rise, box.height, units)):
        _, y = scale.point(0, value)
        strokes.append(line(box.left - 2, y, box.left - 3.4, y))
        text = said(value, units)
        turn = f"rotate(-90 {number(box.left - 4.6)} {number(y)})"
        figures.append(
            words(box.left - 4.6, y, text, size=SMALL, text_anchor="middle", transform=turn)
        )
    edge = f"M{number(box.left - 2)} {number(box.top)}V{number(box.bottom + 2)}H{number(box.right)}"
    strokes.insert(0, tag("path", d=edge))
    return tag("g", *strokes, stroke=SOFT, stroke_width=0.2) + tag("g", *figures, fill=SOFT)


def _step(factor: float, room: float, units: Units) -> float:
    """Between figures: about 24 mm of paper, in a narrow view as near as their width allows."""
    return round_length(min(24.0, max(room / 2, 14.0)) / factor, units)


def _steps(low: float, high: float, step: float) -> list[float]:
    first = math.ceil(low / step - 1e-9)
    return [i * step for i in range(first, math.floor(high / step + 1e-9) + 1)]


def scale_bar(scale: Scale, units: Units, box: PaperBox) -> str:
    """A bar of round length, half of it black."""
    length = round_length(box.width / scale.factor, units)
    wide = length * scale.factor
    half = PaperBox(box.left, box.top, box.left + wide / 2, box.top + 1.4)
    whole = PaperBox(box.left, box.top, box.left + wide, box.top + 1.4)
    said_length = f"{said(length, units)} {unit_name(units)}"
    frame = rectangle(whole, stroke=INK, stroke_width=0.25)
    black = rectangle(half, fill=INK)
    text = words(box.left, box.top + 5, said_length, size=SMALL, fill=INK)
    return tag("g", frame, black, text)


def depth_labels(depths: Sequence[tuple[float, str]], scale: Scale, units: Units) -> str:
    """Depths beside a front view, each in its ink; left out where they would meet one above."""
    marks: list[str] = []
    x, last = scale.box.right + 1.5, -1e9
    digits = 1 if units == "mm" else 2
    for z, ink in depths:
        y = scale.point(0, z)[1]
        if not scale.box.top - 1 <= y <= scale.box.bottom + 1 or y - last < SMALL + 0.4:
            continue
        last = y
        marks.append(line(x, y, x + 1.6, y, stroke=ink, stroke_width=0.5))
        marks.append(words(x + 2.2, y + 1.05, said(z, units, digits), size=SMALL, fill=INK))
    return tag("g", *marks) if marks else ""


def caption(scale: Scale, text: str, note: str = "") -> str:
    """Over a view."""
    x, y = scale.box.left - 2, scale.box.top - 4.6
    head = words(x, y, text, size=SMALL, fill=SOFT, font_weight="bold", letter_spacing=0.3)
    if not note:
        return head
    after = x + len(text) * (SMALL * 0.72 + 0.3) + 3
    return head + words(after, y, note, size=SMALL, fill=WARNING)


def plunges(
    down: dict[tuple[int, float, float], float],
    bands: tuple[DepthBand, ...],
    cutters: dict[int, Cutter],
    scale: Scale,
    *,
    top: float,
) -> str:
    """Find where a cutter goes straight down: a cross, and how wide a drill opens the metal's
    top."""
    marks: dict[int, list[str]] = {}
    for (number_, x, y), z in down.items():
        band = band_at(bands, z)
        px, py = scale.point(x, y)
        data = marks.setdefault(band, [])
        data.append(f"M{number(px - 0.9)} {number(py)}h1.8M{number(px)} {number(py - 0.9)}v1.8")
        cutter = cutters.get(number_)
        if cutter is not None and cutter.kind in ("drill", "reamer", "spot drill"):
            radius = cutter.radius_at(max(0.0, top - z)) * scale.factor
            r, far = number(radius), number(2 * radius)
            data.append(f"M{number(px - radius)} {number(py)}a{r} {r} 0 1 0 {far} 0")
            data.append(f"a{r} {r} 0 1 0 -{far} 0")
    return "".join(
        tag("path", d="".join(data), stroke=bands[band].ink, stroke_width=0.3)
        for band, data in sorted(marks.items())
    )


def called(problems: Sequence[Problem]) -> list[str]:
    """Find what each is known by, on the views and in the list: its line, or where it has none a
    number of its own."""
    return [f"line {p.line}" if p.line else f"{p.severity} {n}" for n, p in enumerate(problems, 1)]


def problem_marks(
    places: Sequence[tuple[Problem, str, Point]], scale: Scale, taken: list[PaperBox]
) -> str:
    """A ring with ticks at each place in the view, what it is known by beside it, the lettering
    kept off other lettering and off the rings; where it stands is added to `taken`."""
    placed = [(p, name, _in_view(scale.point(*at), scale.box)) for p, name, at in places]
    placed = placed[:MOST_MARKS]
    taken += [PaperBox(x, y, x, y).grown(_RING) for _, _, (x, y) in placed]
    marks: list[str] = []
    for problem, name, (x, y) in placed:
        label = free_place(x, y, len(name) * SMALL * 0.6, taken, scale.box)
        taken.append(label)
        marks += [_ring(x, y, problem), haloed(label.left, label.bottom, name, WARNING)]
    return tag("g", *marks) if marks else ""


# Of a problem's mark, mm on the paper.
_RING = 2.2


def _in_view(point: Point, box: PaperBox) -> Point:
    x, y = point
    return min(max(x, box.left), box.right), min(max(y, box.top), box.bottom)


def _ring(x: float, y: float, problem: Problem) -> str:
    """Its ticks tell it from the circles of drills and bores, in print without colour too."""
    dash = "none" if problem.severity == "error" else "1 .8"
    ticks = "".join(
        f"M{number(x + a * _RING * 0.71)} {number(y + b * _RING * 0.71)}l{number(0.9 * a)} "
        f"{number(0.9 * b)}"
        for a in (-1, 1)
        for b in (-1, 1)
    )
    ring = {"cx": x, "cy": y, "r": _RING}
    return (
        tag("circle", **ring, stroke=PAPER, stroke_width=1.4)
        + tag("path", d=ticks, stroke=PAPER, stroke_width=1.4)
        + tag("path", d=ticks, stroke=WARNING, stroke_width=0.7)
        + tag("circle", **ring, stroke=WARNING, stroke_width=0.7, stroke_dasharray=dash)
    )


def free_place(x: float, y: float, wide: float, taken: list[PaperBox], view: PaperBox) -> PaperBox:
    """The first place round a mark where its lettering meets no other."""
    right, left = _RING + 1.1, -_RING - 1.1 - wide
    tries = [(dx, dy) for dy in (1, -2.6, 4.6, -6.2, 8.2, -9.8, 11.8) for dx in (right, left)]
    boxes = [PaperBox(x + dx, y + dy - SMALL, x + dx + wide, y + dy) for dx, dy in tries]
    within = [b for b in boxes if b.left > view.left and b.right < view.right] or boxes
    return next((b for b in within if not any(meets(b, t) for t in taken)), within[0])


def meets(a: PaperBox, b: PaperBox) -> bool:
    """Tell whether two boxes have room in common."""
    return a.left < b.right and b.left < a.right and a.top < b.bottom and b.top < a.bottom


def axes_fit(scale: Scale) -> bool:
    """Tell whether program zero lies in the view."""
    x, y = scale.point(0, 0)
    box = scale.box.grown(1.0)
    return box.left <= x <= box.right and box.top <= y <= box.bottom


def unit_name(units: Units) -> str:
    """As it is written beside a figure."""
    return "mm" if units == "mm" else "in"
