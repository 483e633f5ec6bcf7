"""Features' names on the plan, where there is room for them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from gcodekit.geometry.chain import Point
from gcodekit.job.feature import Feature, Round
from gcodekit.job.model import Setup
from gcodekit.part.setup_stock import plan
from gcodekit.plot.marks import haloed, meets
from gcodekit.plot.paper import INK, SMALL, PaperBox, fitted, tag
from gcodekit.plot.scale import Scale, said
from gcodekit.units import Units

# Width of the bold lettering, in type sizes; the longest name, mm; room between name and edge, mm.
_BOLD_LETTER = 0.62
_LONGEST = 44.0
_NAME_GAP = 1.3


def feature_names(setup: Setup, scale: Scale, taken: Sequence[PaperBox], units: Units) -> str:
    """Each name, with its floor's z if there is room, beside its feature or in it; left out where
    it would meet another or lettering at `taken`. A face of the whole top has none: it is
    everywhere."""
    boxes = list(taken)
    marks = []
    for feature in setup.features:
        name = fitted(feature.name, _LONGEST, SMALL)
        for text in dict.fromkeys((f"{name}{_floor(feature, units)}", name)):
            wide = len(text) * SMALL * _BOLD_LETTER
            free = (
                b
                for b in _places(feature, setup, scale, wide)
                if _inside(b, scale.box) and not any(meets(b, other) for other in boxes)
            )
            if box := next(free, None):
                boxes.append(box)
                marks.append(haloed(box.left, box.bottom - 0.6, text, INK))
                break
    return tag("g", *marks) if marks else ""


def _floor(feature: Feature, units: Units) -> str:
    """Find how deep it goes, if not through."""
    return "" if feature.depth.through else f", z {said(feature.depth.floor, units)}"


def _places(feature: Feature, setup: Setup, scale: Scale, wide: float) -> Iterator[PaperBox]:
    """Find where the name may stand, the best first: over a small feature, under it, beside it; in
    a large one along its upper edge."""
    edge = _on_paper(feature, setup, scale)
    if edge is None:
        return
    middle = (edge.left + edge.right - wide) / 2
    high = SMALL + 0.6
    within = PaperBox(
        edge.left + 3, edge.top + _NAME_GAP, edge.left + 3 + wide, edge.top + _NAME_GAP + high
    )
    round_ = isinstance(feature, Round)
    if not round_ and edge.width > wide + 20 and edge.height > 4 * high:
        yield within
    for top in (edge.top - _NAME_GAP - high, edge.bottom + _NAME_GAP):
        yield PaperBox(middle, top, middle + wide, top + high)
    level = (edge.top + edge.bottom - high) / 2
    for left in (edge.right + _NAME_GAP, edge.left - _NAME_GAP - wide):
        yield PaperBox(left, level, left + wide, level + high)


def _on_paper(feature: Feature, setup: Setup, scale: Scale) -> PaperBox | None:
    """The box of what is drawn; of holes, of the first."""
    if isinstance(feature, Round):
        points, more = [feature.places[0]], feature.diameter / 2
    else:
        lines = feature.lines(plan(setup))
        points, more = [p for line in lines for p in line.flattened(0.1)], feature.half_width
    return _box([scale.point(*p) for p in points], more * scale.factor) if points else None


def _box(points: Sequence[Point], more: float) -> PaperBox:
    xs, ys = zip(*points, strict=True)
    return PaperBox(min(xs) - more, min(ys) - more, max(xs) + more, max(ys) + more)


def _inside(box: PaperBox, outer: PaperBox) -> bool:
    return (
        outer.left <= box.left
        and box.right <= outer.right
        and outer.top <= box.top
        and box.bottom <= outer.bottom
    )
