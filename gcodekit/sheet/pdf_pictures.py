"""A plot's picture in a PDF, as the lines and letters it is made of.

Only what the plot writes is read: lines, rectangles, circles, paths, text, groups, clips by one
shape, and a turn about a point.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Literal
from xml.etree import ElementTree

from gcodekit.sheet.pdf_faces import Faces

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

    from reportlab.pdfgen.canvas import Canvas
    from reportlab.pdfgen.pathobject import PDFPathObject

Attributes = Mapping[str, str]

# Attributes that hold for what they stand on, not for what is inside it (SVG 1.1, property index).
_OWN = frozenset({"clip-path", "transform", "id"})
# Of an element that says nothing else (SVG 1.1, property index).
_INITIAL = {"fill": "#000000", "stroke": "none", "stroke-width": "1", "font-size": "3.4"}
_CAPS = {"butt": 0, "round": 1, "square": 2}
_JOINS = {"miter": 0, "round": 1, "bevel": 2}
_TURN = re.compile(r"rotate\((\S+) (\S+) (\S+)\)")
_STROKED: Literal[1] = 1
_FILLED: Literal[0] = 0
# A quarter of a circle as one cubic curve: its handles' length for radius 1.
_HANDLE = 0.5522847498


def picture_size(svg: str) -> tuple[float, float]:
    """Width and height of the picture's own coordinates."""
    box = ElementTree.fromstring(svg).get("viewBox", "0 0 1 1").split()
    return float(box[2]), float(box[3])


def draw_picture(canvas: Canvas, svg: str, width: float, faces: Faces) -> None:
    """Draw a picture with its lower left corner at the origin, `width` points wide."""
    root = ElementTree.fromstring(svg)
    across, high = picture_size(svg)
    clips = {e.get("id", ""): e for e in root.iter() if _name(e) == "clipPath"}
    canvas.saveState()
    canvas.scale(width / across, -width / across)
    canvas.translate(0, -high)
    _Drawing(canvas, clips, faces).draw(root, _INITIAL)
    canvas.restoreState()


def letterings(svg: str) -> Iterator[str]:
    """Every text in a picture."""
    return (e.text or "" for e in ElementTree.fromstring(svg).iter() if _name(e) == "text")


def _name(element: Element) -> str:
    return element.tag.rpartition("}")[2]


class _Drawing:
    """Draws elements on a canvas, y downwards."""

    def __init__(self, canvas: Canvas, clips: Mapping[str, Element], faces: Faces) -> None:
        self.canvas, self.clips, self.faces = canvas, clips, faces

    def draw(self, element: Element, outer: Attributes) -> None:
        name = _name(element)
        if name in ("defs", "title"):
            return
        own = {**{k: v for k, v in outer.items() if k not in _OWN}, **element.attrib}
        self.canvas.saveState()
        self._place(own)
        if name in ("svg", "g"):
            for inside in element:
                self.draw(inside, own)
        elif name == "text":
            self._text(element.text or "", own)
        else:
            self._shape(name, own)
        self.canvas.restoreState()

    def _place(self, own: Attributes) -> None:
        """The clip and the turn of an element."""
        clip = self.clips.get(own.get("clip-path", "")[5:-1])
        if clip is not None:
            path = self.canvas.beginPath()
            for shape in clip:
                _trace(path, _name(shape), shape.attrib)
            self.canvas.clipPath(path, stroke=0, fill=0)
        turn = _TURN.fullmatch(own.get("transform", ""))
        if turn:
            angle, x, y = map(float, turn.groups())
            self.canvas.translate(x, y)
            self.canvas.rotate(angle)
            self.canvas.translate(-x, -y)

    def _ink(self, own: Attributes) -> tuple[bool, bool]:
        """Set inks; whether to fill, and whether to stroke."""
        filled, stroked = own["fill"] != "none", own["stroke"] != "none"
        if filled:
            self.canvas.setFillColor(own["fill"])
        if stroked:
            self.canvas.setStrokeColor(own["stroke"])
            self.canvas.setLineWidth(float(own["stroke-width"]))
            self.canvas.setLineCap(_CAPS[own.get("stroke-linecap", "butt")])
            self.canvas.setLineJoin(_JOINS[own.get("stroke-linejoin", "miter")])
            dashes = own.get("stroke-dasharray", "none")
            if dashes != "none":
                self.canvas.setDash([float(d) for d in re.split(r"[ ,]+", dashes)])
        return filled, stroked

    def _shape(self, name: str, own: Attributes) -> None:
        filled, stroked = self._ink(own)
        path = self.canvas.beginPath()
        _trace(path, name, own)
        even_odd = own.get("fill-rule") == "evenodd"
        self.canvas.drawPath(
            path, stroke=int(stroked), fill=int(filled), fillMode=0 if even_odd else 1
        )

    def _text(self, text: str, own: Attributes) -> None:
        from reportlab.pdfbase.pdfmetrics import stringWidth

        _, haloed = self._ink(own)
        text = self.faces.letters(text)
        face = self.faces.bold if own.get("font-weight") == "bold" else self.faces.plain
        size, spaced = float(own["font-size"]), float(own.get("letter-spacing", "0"))
        wide = stringWidth(text, face, size) + spaced * len(text)
        share = {"middle": 0.5, "end": 1.0}.get(own.get("text-anchor", "start"), 0.0)
        self.canvas.translate(float(own["x"]), float(own["y"]))
        self.canvas.scale(1, -1)
        # what stands out from the strokes under it is stroked in paper first, then filled in ink
        for mode in (_STROKED, _FILLED) if haloed else (_FILLED,):
            self.canvas.saveState()
            lettering = self.canvas.beginText(-share * wide, 0)
            lettering.setFont(face, size)
            lettering.setCharSpace(spaced)
            lettering.setTextRenderMode(mode)
            lettering.textOut(text)
            self.canvas.drawText(lettering)
            self.canvas.restoreState()


def _trace(path: PDFPathObject, name: str, own: Attributes) -> None:
    """Add an element's outline to a path."""

    def at(*keys: str) -> Iterator[float]:
        return (float(own.get(k, "0")) for k in keys)

    if name == "line":
        x1, y1, x2, y2 = at("x1", "y1", "x2", "y2")
        path.moveTo(x1, y1)
        path.lineTo(x2, y2)
    elif name == "rect":
        path.rect(*at("x", "y", "width", "height"))
    elif name == "circle":
        _circle(path, *at("cx", "cy", "r"))
    elif name == "path":
        from fontTools.svgLib.path import parse_path

        parse_path(own["d"], _Pen(path))
    else:
        raise ValueError(f"a picture has a {name}, which is not drawn in a PDF")


def _circle(path: PDFPathObject, x: float, y: float, r: float) -> None:
    k = _HANDLE * r
    path.moveTo(x + r, y)
    path.curveTo(x + r, y + k, x + k, y + r, x, y + r)
    path.curveTo(x - k, y + r, x - r, y + k, x - r, y)
    path.curveTo(x - r, y - k, x - k, y - r, x, y - r)
    path.curveTo(x + k, y - r, x + r, y - k, x + r, y)
    path.close()


Place = tuple[float, float]


class _Pen:
    """Draws path data into a PDF's path, as fontTools calls it."""

    def __init__(self, path: PDFPathObject) -> None:
        self.path = path

    def moveTo(self, at: Place) -> None:
        self.path.moveTo(*at)

    def lineTo(self, at: Place) -> None:
        self.path.lineTo(*at)

    def curveTo(self, first: Place, second: Place, end: Place) -> None:
        self.path.curveTo(*first, *second, *end)

    def closePath(self) -> None:
        self.path.close()

    def endPath(self) -> None:
        """Nothing: an open path ends where it ends."""
