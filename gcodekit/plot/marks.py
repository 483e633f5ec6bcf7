"""Marks on the views: program zero, axes, captions, places drilled, depths, problems, jaws."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import shapely

from gcodekit.geometry.chain import Point
from gcodekit.geometry.overlay import common
from gcodekit.job.model import Setup
from gcodekit.part.keep_out import keep_out
from gcodekit.plot.backdrop import on_paper
from gcodekit.plot.callouts import place_label
from gcodekit.plot.depth_colours import DepthBand, band_at
from gcodekit.plot.label_places import LabelPlaces
from gcodekit.plot.letters import text_width
from gcodekit.plot.paper import (
    FINE,
    INK,
    PAPER,
    SMALL,
    WARNING,
    PaperBox,
    haloed,
    line,
    number,
    tag,
    words,
)
from gcodekit.plot.scale import Scale
from gcodekit.rs274.program_read import Problem
from gcodekit.trade.cutter import Cutter

# Problems marked on a view; the list beside it has the rest.
MOST_MARKS = 40
_ARROW = 11.0
# Between a caption's letters, mm.
_SPACED = 0.3


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


def axes(scale: Scale, names: str, places: LabelPlaces) -> str:
    """Program zero, the datum, with both axes of a view from it: the first to the right and the
    second up; of a turned view the first up and the second to the left."""
    x, y = scale.point(0, 0)
    ink: dict[str, str | float] = {"stroke": INK, "stroke_width": 0.35}
    high, far = _upwards(scale), -_ARROW if scale.turned else _ARROW
    back = -2.0 if far > 0 else 2.0
    tips = f"M{number(x + far + back)} {number(y - 0.8)}l{number(-back)} .8l{number(back)} .8Z"
    tips += f"M{number(x - 0.8)} {number(y - high + 2)}l.8 -2l.8 2Z"
    level, up = (names[1], names[0]) if scale.turned else (names[0], names[1])
    beyond = x + far + (1.0 if far > 0 else -3.2)
    letters = (
        _letter([(beyond, y + 1.1), (beyond, y - 1.8), (beyond, y + 4.0)], level, places),
        _letter([(x - 1.1, y - high - 1.2), (x + 1.6, y - high + 1.8)], up, places),
    )
    for box in (PaperBox(x - 2.3, y - 2.3, x + 2.3, y + 2.3),
                PaperBox(min(x, x + far), y - 0.8, max(x, x + far), y + 0.8),
                PaperBox(x - 0.8, y - high, x + 0.8, y)):  # fmt: skip
        places.take(box)
    return tag(
        "g",
        line(x, y, x + far, y, **ink),
        line(x, y, x, y - high, **ink),
        tag("path", d=tips, fill=INK, stroke=INK, stroke_width=0.2),
        *letters,
        zero_mark(x, y),
    )


def _letter(tries: Sequence[Point], text: str, places: LabelPlaces) -> str:
    """An axis' name at the first of these places that is free; none where none is."""
    wide = text_width(text, SMALL, bold=True)
    for x, y in tries:
        box = PaperBox(x, y - SMALL * 0.75, x + wide, y + 0.2)
        if places.free(box):
            places.take(box)
            return haloed(x, y, text, font_weight="bold")
    return ""


def _upwards(scale: Scale) -> float:
    """The upward arrow, shorter where the view ends above it."""
    return min(_ARROW, max(5.5, scale.point(0, 0)[1] - scale.box.top - 3.5))


def caption(scale: Scale, text: str, note: str, places: LabelPlaces) -> str:
    """Over a view, at its left or where there is room."""
    head = text_width(text, SMALL, bold=True) + _SPACED * len(text)
    wide = head + (3 + text_width(note, SMALL) if note else 0.0)
    box, low = scale.box, scale.box.top - (10.0 if scale.turned else 2.5)
    lefts = (box.left, (box.left + box.right - wide) / 2, box.right - wide, box.left - wide - 1)
    tries = [PaperBox(x, y - SMALL, x + wide, y + 0.6) for y in (low, low - 4) for x in lefts]
    free = next((t for t in tries if places.free(t)), None)
    if free is None:
        return ""
    places.take(free.grown(1.0))
    x, y = free.left, free.bottom - 0.6
    drawn = words(x, y, text, size=SMALL, fill=INK, font_weight="bold", letter_spacing=_SPACED)
    return drawn + (words(x + head + 3, y, note, size=SMALL, fill=INK) if note else "")


def jaw_names(setup: Setup, scale: Scale, places: LabelPlaces) -> str:
    """On each jaw of a vise whether it is the fixed or the moving one; on the fixed one, where
    there is room, the finished face that goes against it."""
    if setup.hold.vise is None:
        return ""
    marks = []
    box = scale.box
    window = shapely.box(box.left, box.top, box.right, box.bottom)
    for body in keep_out(setup):
        text = next((f"{w.upper()} JAW" for w in ("fixed", "moving") if f"({w})" in body.name), "")
        seen = common(on_paper(body.outline, scale), window)
        if text and not seen.is_empty:
            jaw = PaperBox(*map(float, seen.bounds))
            faced = f"{text}: {setup.against}" if setup.against and "FIXED" in text else ""
            room = max(jaw.width, jaw.height) - 1.0
            fits = faced and text_width(faced, FINE, bold=True) <= room
            named = _jaw_name(faced, jaw, places) if fits else ""
            marks.append(named or _jaw_name(text, jaw, places))
    return "".join(marks)


def _jaw_name(text: str, jaw: PaperBox, places: LabelPlaces) -> str:
    """Along the jaw, in its middle or nearer an end."""
    wide = text_width(text, FINE, bold=True) + 0.6
    upright = jaw.height > jaw.width
    for share in (0.5, 0.2, 0.8, 0.35, 0.65):
        x = jaw.left + (0.5 if upright else share) * jaw.width
        y = jaw.top + (share if upright else 0.5) * jaw.height
        half = (FINE * 0.5, wide / 2) if upright else (wide / 2, FINE * 0.5)
        label = PaperBox(x - half[0], y - half[1], x + half[0], y + half[1])
        if not places.free(label):
            continue
        places.take(label)
        ink: dict[str, str] = {"text_anchor": "middle", "font_weight": "bold"}
        if upright:
            ink["transform"] = f"rotate(-90 {number(x + 0.9)} {number(y)})"
            return haloed(x + 0.9, y, text, INK, FINE, **ink)
        return haloed(x, y + 0.9, text, INK, FINE, **ink)
    return ""


def plunges(
    down: dict[tuple[int, float, float], float],
    bands: tuple[DepthBand, ...],
    cutters: Mapping[int, Cutter],
    scale: Scale,
    *,
    top: float,
) -> str:
    """Where a cutter goes straight down: a cross, and how wide a drill opens the metal's
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
    """What each is known by, on the views and in the list: its line, or where it has none a number
    of its own."""
    return [f"line {p.line}" if p.line else f"{p.severity} {n}" for n, p in enumerate(problems, 1)]


# Of a problem's mark, mm on the paper.
_RING = 2.2
# A problem's number stands no farther off than this, mm.
_NUMBER_NEAR = 30.0
# So many of them have one in a view: more would hide it.
_MOST_NAMES = 16


def problem_rings(places: Sequence[tuple[Problem, Point]], room: LabelPlaces) -> str:
    """A mark at each place on the paper; their room is taken."""
    marks = []
    for problem, (x, y) in places:
        room.take(PaperBox(x, y, x, y).grown(_RING + 0.4))
        marks.append(problem_sign(x, y, problem.severity))
    return "".join(marks)


def name_problems(places: Sequence[tuple[str, Point]], room: LabelPlaces) -> None:
    """Place what each is known by beside its mark, off other lettering."""
    for name, at in places[:_MOST_NAMES]:
        around = [(at[0] + a * _RING, at[1] + b * _RING) for a in (-1, 1) for b in (-1, 1)]
        place_label([name], around, room, bold=1, farthest=_NUMBER_NEAR, ink=WARNING)


def problem_sign(x: float, y: float, severity: str, size: float = _RING) -> str:
    """An error is a filled disc with a cross in it, a warning an open triangle: told apart without
    colour too."""
    if severity == "error":
        k = number(size * 0.45)
        cross = f"M{number(x)} {number(y)}m-{k} -{k}l{number(size * 0.9)} {number(size * 0.9)}"
        cross += f"m0 -{number(size * 0.9)}l-{number(size * 0.9)} {number(size * 0.9)}"
        disc = tag("circle", cx=x, cy=y, r=size, fill=WARNING, stroke=PAPER, stroke_width=0.5)
        return disc + tag("path", d=cross, stroke=PAPER, stroke_width=0.3 * size)
    top, low = number(y - size), number(y + 0.7 * size)
    corner = f"M{number(x)} {top}L{number(x + 0.95 * size)} {low}h-{number(1.9 * size)}Z"
    dot = f"M{number(x)} {number(y - 0.35 * size)}v{number(0.4 * size)}m0 {number(0.35 * size)}v.01"
    return tag("path", d=corner, fill=PAPER, stroke=WARNING, stroke_width=0.4) + tag(
        "path", d=dot, stroke=WARNING, stroke_width=0.2 * size
    )


def in_view(point: Point, box: PaperBox) -> Point:
    """The place in a view that is nearest to a point."""
    x, y = point
    return min(max(x, box.left), box.right), min(max(y, box.top), box.bottom)


def axes_fit(scale: Scale) -> bool:
    """Tell whether program zero lies in the view."""
    x, y = scale.point(0, 0)
    box = scale.box.grown(1.0)
    return box.left <= x <= box.right and box.top <= y <= box.bottom
