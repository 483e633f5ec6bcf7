"""Callouts (ISO 129-1): a feature's name and size beside it, a leader to its edge; where the
drawing has no room for that a number, which the key explains."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from functools import partial

from gcodekit.geometry.chain import Point
from gcodekit.job.feature import Feature, Round
from gcodekit.job.model import Setup
from gcodekit.part.setup_stock import plan
from gcodekit.plot.backdrop import on_paper, on_stock, outline_points, rings_of
from gcodekit.plot.feature_sizes import size_of
from gcodekit.plot.label_places import LabelPlaces, along, foot
from gcodekit.plot.letters import fitted, text_width
from gcodekit.plot.line_types import ARROW, NARROW
from gcodekit.plot.paper import FINE, INK, PAPER, PaperBox, haloed, line, number, tag, words
from gcodekit.plot.scale import Scale
from gcodekit.units import Units

# The longest line of a callout, mm; how much of its height a line of it takes, in type sizes.
_LONGEST, _LINE = 58.0, 1.25
# A leader longer than this, mm, is a number in its place: nobody follows it.
_FARTHEST = 70.0
# Places on a feature's edge that a leader may point at.
_MOST_TIPS = 12
# Numbers that the key has room to explain; the circle round one, mm.
MOST_NUMBERED = 14
_BALLOON = 2.4
# Features beyond these are in the key alone: a sheet with more lettering shows no part.
_MOST_CALLOUTS = 45


def callouts(
    setup: Setup, scale: Scale, places: LabelPlaces, units: Units
) -> tuple[tuple[int, str], ...]:
    """Place a callout of every feature; return what the key is to explain, number and text of each
    feature that has none. Copies of one say only which they are: their size is its."""
    counted = _counted(setup)
    texts = {f.name: _lines(f, counted[f.name], units) for f in setup.features}
    tips = {f.name: _tips(f, setup, scale) for f in setup.features}
    # what has the least choice of places first
    order = sorted(setup.features, key=lambda f: _extent(tips[f.name]))
    without: set[str] = set()
    for count, feature in enumerate(order):
        name = feature.name
        if count >= _MOST_CALLOUTS or not _callout(texts[name], tips[name], places):
            without.add(name)
    numbered: list[tuple[int, str]] = []
    for name in (f.name for f in setup.features if f.name in without):
        numbered.append((len(numbered) + 1, ": ".join(texts[name])))
        if len(numbered) <= MOST_NUMBERED:
            _place_balloon(len(numbered), tips[name], places)
    return tuple(numbered)


def _counted(setup: Setup) -> Counter[str]:
    """How many places each feature has with its copies, by its name."""
    found: Counter[str] = Counter()
    for f in setup.features:
        found[f.copy_of or f.name] += len(f.places) if isinstance(f, Round) else 1
    return found


def _lines(feature: Feature, count: int, units: Units) -> list[str]:
    """Its name, and its size, which is that of its copies too."""
    size = "" if feature.copy_of else size_of(feature, units)
    if size and count > 1:
        size = f"{count}x {size}"
    return [feature.name, size] if size else [feature.name]


def _callout(lines: Sequence[str], tips: Sequence[Point], places: LabelPlaces) -> bool:
    """Its lines over one another, the name bold, underlined, with a leader."""
    texts = [fitted(text, _LONGEST, FINE, bold=not n) for n, text in enumerate(lines)]
    return place_label(texts, tips, places, bold=1, farthest=_FARTHEST)


def place_label(
    texts: Sequence[str],
    tips: Sequence[Point],
    places: LabelPlaces,
    *,
    bold: int = 0,
    farthest: float = _FARTHEST,
    ink: str = INK,
) -> bool:
    """Place lines of text, so many of them bold, with a leader to the nearest of `tips`; tell
    whether there is room."""
    wide = max(text_width(t, FINE, bold=n < bold) for n, t in enumerate(texts))
    found = places.place(wide + 0.6, len(texts) * FINE * _LINE + 0.9, tips, farthest)
    if found is not None:
        found.drawn = partial(_drawn_label, texts, bold, ink)
    return found is not None


def _drawn_label(
    texts: Sequence[str], bold: int, ink: str, box: PaperBox, tip: Point
) -> tuple[str, str]:
    parts = []
    for n, text in enumerate(texts):
        y = box.top + FINE * (0.85 + n * _LINE) + 0.2
        weight = "bold" if n < bold else "normal"
        parts.append(haloed(box.left + 0.3, y, text, ink, FINE, font_weight=weight))
    return leader(box, tip, ink), "".join(parts)


def leader(box: PaperBox, tip: Point, ink: str = INK) -> str:
    """The line under a label, and from its nearer end to an arrowhead on what it is of."""
    x, y = foot(box, tip)
    stroke: dict[str, str | float] = {"stroke": ink, "stroke_width": NARROW * 0.8}
    halo: dict[str, str | float] = {"stroke": PAPER, "stroke_width": 0.8}
    return (
        line(x, y, tip[0], tip[1], **halo)
        + line(box.left, box.bottom, box.right, box.bottom, **stroke)
        + line(x, y, tip[0], tip[1], **stroke)
        + _head((x, y), tip, ink)
    )


def _head(start: Point, tip: Point, ink: str) -> str:
    dx, dy = tip[0] - start[0], tip[1] - start[1]
    far = math.hypot(dx, dy)
    if far < 1e-6:
        return ""
    length, half = ARROW
    ux, uy = dx / far, dy / far
    bx, by = tip[0] - ux * length, tip[1] - uy * length
    data = (
        f"M{number(tip[0])} {number(tip[1])}L{number(bx - uy * half)} {number(by + ux * half)}"
        f"L{number(bx + uy * half)} {number(by - ux * half)}Z"
    )
    return tag("path", d=data, fill=ink)


def _place_balloon(count: int, tips: Sequence[Point], places: LabelPlaces) -> None:
    """A number in a circle at its feature."""
    found = places.place(2 * _BALLOON, 2 * _BALLOON, tips)
    if found is not None:
        found.drawn = partial(_drawn_balloon, count)


def _drawn_balloon(count: int, box: PaperBox, tip: Point) -> tuple[str, str]:
    x, y = (box.left + box.right) / 2, (box.top + box.bottom) / 2
    far = math.dist(tip, (x, y)) or 1.0
    edge = (x + (tip[0] - x) * _BALLOON / far, y + (tip[1] - y) * _BALLOON / far)
    leader_ = line(edge[0], edge[1], tip[0], tip[1], stroke=INK, stroke_width=NARROW * 0.8)
    return leader_ + _head(edge, tip, INK), balloon_sign(x, y, count)


def balloon_sign(x: float, y: float, count: int, size: float = _BALLOON) -> str:
    """The number itself."""
    ring = tag("circle", cx=x, cy=y, r=size, fill=PAPER, stroke=INK, stroke_width=NARROW)
    return ring + words(x, y + 0.9, str(count), size=FINE, fill=INK, text_anchor="middle")


def _tips(feature: Feature, setup: Setup, scale: Scale) -> list[Point]:
    """Places on its edge on the paper, in the view; of what is drawn by nothing on the stock's."""
    points = outline_points(feature, setup, scale)
    if not points:
        rings = rings_of(on_paper(plan(setup), scale))
        points = [p for ring in rings for p in along(ring, 4.0)]
    # what runs out of the stock ends there
    on = on_stock(points, setup, scale)
    points = [p for p, inside in zip(points, on, strict=True) if inside] or points
    box = scale.box
    seen = [p for p in points if box.left <= p[0] <= box.right and box.top <= p[1] <= box.bottom]
    seen = seen or [(min(max(x, box.left), box.right), min(max(y, box.top), box.bottom))
                    for x, y in points]  # fmt: skip
    step = max(1, len(seen) // _MOST_TIPS)
    return seen[::step]


def _extent(tips: Sequence[Point]) -> float:
    xs, ys = [p[0] for p in tips], [p[1] for p in tips]
    return max(xs) - min(xs) + max(ys) - min(ys)
