"""The sheet with the finished part: shaded, with its sizes, material, mass and scale."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from gcodekit.plot.letters import fitted
from gcodekit.plot.paper import (
    FRAME,
    INK,
    LARGE,
    PLAIN,
    SMALL,
    SOFT,
    PaperBox,
    document,
    line,
    rectangle,
    tag,
    words,
)
from gcodekit.plot.part_view.body_view import Bounds, body_view
from gcodekit.plot.part_view.dimetric import Dimetric, MainFace, main_face
from gcodekit.plot.part_view.surface_mesh import SurfaceMesh
from gcodekit.plot.part_view.view_drawing import SHEET_LINES, Drawing, Placed, axes, free_corner
from gcodekit.units import MM_PER_INCH, Units

# ISO 5455: the scales recommended for technical drawings, to one; a scale to the next larger.
_STEPS = (1.0, 2.0, 5.0)
_SCALES = tuple(s * 10.0**p for p in range(-5, 4) for s in _STEPS)
# The strip with what is said of the part, and the air round the picture, mm.
_STRIP, _AIR = 20.0, 8.0
_TITLE = PaperBox(FRAME.left, FRAME.bottom - _STRIP, FRAME.right, FRAME.bottom)
_PICTURE = PaperBox(FRAME.left, FRAME.top, FRAME.right, _TITLE.top).grown(-_AIR)
# Air round a picture without a frame, mm.
_EDGE = 2.0
# Where the strip's cells begin, from its left edge, mm.
_CELLS = (0.0, 96.0, 160.0, 204.0, 240.0)
_GRAMS_PER_POUND = 453.59237


@dataclass(frozen=True, slots=True, kw_only=True)
class PartFacts:
    """The facts that the sheet gives of a part: `mass` in g, overall `size` along x, y, z in mm."""

    name: str
    material: str
    mass: float
    units: Units
    size: tuple[float, float, float]
    pieces: int = 1
    file: str = ""


def part_sheet(part: SurfaceMesh, facts: PartFacts) -> str:
    """The finished part in a dimetric view (ISO 5456-3), as SVG text: A4 across.

    Parameters
    ----------
    part : as `body_view.drawable` has it
    """
    main = main_face(part.high - part.low)
    view = Dimetric.of(main)
    drawing = Drawing(body_view(part, view))
    scale = iso_scale(drawing.view.bounds, _PICTURE)
    x, y = (_PICTURE.left + _PICTURE.right) / 2, (_PICTURE.top + _PICTURE.bottom) / 2
    placed = Placed.centred(drawing.view.bounds, x, y, scale)
    return document(
        f"{facts.name}: finished part",
        tag("g", drawing.shaded(placed, SHEET_LINES)),
        axes(view, *free_corner(view, _PICTURE, drawing.covered(placed))),
        _strip(facts, scale, main),
    )


def part_figure(part: SurfaceMesh, title: str, size: tuple[float, float]) -> str:
    """The same view alone, as SVG text of this width and height, mm."""
    view = Dimetric.of(main_face(part.high - part.low))
    drawing = Drawing(body_view(part, view))
    box = PaperBox(0, 0, *size).grown(-_EDGE)
    x0, y0, x1, y1 = drawing.view.bounds
    scale = min(box.width / max(x1 - x0, 1e-9), box.height / max(y1 - y0, 1e-9))
    placed = Placed.centred(drawing.view.bounds, size[0] / 2, size[1] / 2, scale)
    return document(
        title,
        tag("g", drawing.shaded(placed, SHEET_LINES)),
        axes(view, *free_corner(view, box, drawing.covered(placed))),
        size=size,
    )


def iso_scale(bounds: Bounds, box: PaperBox) -> float:
    """The largest of the recommended scales (ISO 5455) at which a picture is no larger than a
    box: mm of paper for a mm."""
    x0, y0, x1, y1 = bounds
    most = min(box.width / max(x1 - x0, 1e-9), box.height / max(y1 - y0, 1e-9))
    return max((s for s in _SCALES if s <= most * (1 + 1e-9)), default=_SCALES[0])


def ratio(scale: float) -> str:
    """A scale as ISO 5455 writes it.

    Examples
    --------
    >>> ratio(0.2), ratio(1), ratio(5)
    ('1:5', '1:1', '5:1')
    """
    return f"{scale:.3g}:1" if scale >= 1 else f"1:{1 / scale:.6g}"


def _strip(facts: PartFacts, scale: float, main: MainFace) -> str:
    top, lefts = _TITLE.top, [_TITLE.left + c for c in _CELLS]
    rights = [*lefts[1:], _TITLE.right]
    parts = [line(_TITLE.left, top, _TITLE.right, top, stroke=INK, stroke_width=0.35)]
    parts += [line(x, top, x, _TITLE.bottom, stroke=INK, stroke_width=0.2) for x in lefts[1:]]
    name = fitted(facts.name, rights[0] - lefts[0] - 8, LARGE)
    parts.append(words(lefts[0] + 4, top + 8.4, name, size=LARGE, fill=INK, font_weight="bold"))
    under = f"Finished part, {facts.file}" if facts.file else "Finished part"
    under = fitted(under, rights[0] - lefts[0] - 8, PLAIN)
    parts.append(words(lefts[0] + 4, top + 15.0, under, size=PLAIN, fill=INK))
    overall = "overall" if facts.pieces == 1 else f"overall, {facts.pieces} pieces"
    together = "" if facts.pieces == 1 else "together"
    rows = (
        ("SIZE X × Y × Z", sizes(facts.size, facts.units), overall),
        ("MATERIAL", facts.material, ""),
        ("MASS", mass_words(facts.mass, facts.units), together),
        ("SCALE", ratio(scale), "on A4"),
    )
    for left, right, (head, text, note) in zip(lefts[1:], rights[1:], rows, strict=True):
        room = right - left - 6
        parts.append(words(left + 4, top + 5.0, head, size=SMALL, fill=SOFT))
        parts.append(words(left + 4, top + 11.2, fitted(text, room, PLAIN), fill=INK))
        if note:
            parts.append(words(left + 4, top + 16.4, note, size=SMALL, fill=SOFT))
    halved = "Z" if main == "top" else "Y"
    said = f"dimetric view (ISO 5456-3), {halved} at half scale"
    parts.append(words(_TITLE.right - 4, top - 3.0, said, size=SMALL, fill=SOFT, text_anchor="end"))
    return tag("g", *parts, rectangle(FRAME, stroke=INK, stroke_width=0.6))


def sizes(size: Iterable[float], units: Units) -> str:
    """Overall sizes in the job's units, to a hundredth of a millimetre or a thousandth of an inch:
    round walls are chords, which are that near.

    Examples
    --------
    >>> sizes((60, 25.4, 6.354), "mm"), sizes((60, 25.4, 6.354), "inch")
    ('60 × 25.4 × 6.35 mm', '2.362 × 1 × 0.25 in')
    """
    per, places, unit = (1.0, 2, "mm") if units == "mm" else (MM_PER_INCH, 3, "in")
    texts = (f"{v / per:.{places}f}".rstrip("0").rstrip(".") for v in size)
    return " × ".join(texts) + f" {unit}"


def mass_words(grams: float, units: Units) -> str:
    """A mass to three figures or so, in the units that go with the lengths.

    Examples
    --------
    >>> mass_words(3.456, "mm"), mass_words(812.4, "mm"), mass_words(5120.0, "mm")
    ('3.5 g', '812 g', '5.12 kg')
    >>> mass_words(453.59237, "inch")
    '1.000 lb'
    """
    if units != "mm":
        return f"{grams / _GRAMS_PER_POUND:.3f} lb"
    if grams >= 1000:
        return f"{grams / 1000:.2f} kg"
    return f"{grams:.0f} g" if grams >= 100 else f"{grams:.1f} g"
