"""SVG files: shapes with every transform above them, y turned up, under the ids they stand in.

One px is 1/96 in. Zero is the page's lower left corner, or its upper left one where the page has
no size.
"""

from __future__ import annotations

from dataclasses import dataclass

from gcodekit.drawing.affine import Affine
from gcodekit.drawing.drawing_model import Drawing, GatheredPieces, refused
from gcodekit.drawing.svg_shapes import SVG_SHAPES
from gcodekit.drawing.svg_values import (
    BadValueError,
    Viewport,
    fitted_view,
    length,
    transform,
    view_box,
)
from gcodekit.drawing.svg_xml import Element, read_xml
from gcodekit.geometry.region import GeometryError

DEEPEST_USES = 30  # uses of symbols that use others
DEEPEST_OF_ALL = 200  # groups in groups, with those that are used
MOST_WALKED = 150_000  # elements, those used several times counted as often
_GROUPS = ("g", "a", "switch")
# What is no shape but would be seen: said. All else that draws nothing by itself is not.
_SEEN_NO_SHAPE = {"text": "text", "image": "image", "foreignObject": "foreignObject"}
_PX_PER_INCH = 96.0


def read_svg(raw: bytes, file: str) -> Drawing:
    """The drawing in an SVG file's bytes.

    Raises
    ------
    DrawingError
        one fault: it is no SVG, broken, or too large
    """
    if raw.startswith(b"\x1f\x8b"):
        raise refused(file, "is a compressed SVG", "save it as plain SVG")
    root = read_xml(raw, file)
    if root.tag != "svg":
        raise refused(
            file, "is not an SVG drawing", "its first element must be svg", line=root.line
        )
    try:
        page = _Page.of(root)
    except BadValueError as error:
        raise refused(file, f"svg: {error}", "save it again", line=root.line) from None
    reading = GatheredPieces(file)
    for element in root.everything():
        if name := element.get("id"):
            reading.names.setdefault(name)
    _SvgWalk(root, reading).run(page)
    return Drawing(
        file=file,
        sort="id",
        unit=page.unit,
        pieces=tuple(reading.pieces),
        names=tuple(reading.names),
        left_out=tuple(reading.left_out),
        wrong=tuple(reading.wrong),
        notes=page.notes,
    )


@dataclass(frozen=True, slots=True)
class _Page:
    """The root's size and the map from its user units to the drawing's, y up."""

    unit: float
    viewport: Viewport
    by: Affine
    notes: tuple[tuple[str, str], ...]

    @staticmethod
    def of(root: Element) -> _Page:
        box = view_box(root)
        sizes = [root.get(k) or "" for k in ("width", "height")]
        in_percent = any("%" in s for s in sizes)
        nowhere = Viewport(None, None)
        width, height = (
            length(root, k, nowhere) if s and s != "auto" and "%" not in s else None
            for k, s in zip(("width", "height"), sizes, strict=True)
        )
        notes: list[tuple[str, str]] = []
        if box is not None:
            if width is None and height is None:
                why = "its size is in percent" if in_percent else "it has no size"
                notes.append(
                    (f"{why}: one unit is read as 1 px = 1/96 in", "correct it with scale")
                )
            # a side that is left out keeps the other's scale
            share = width / box[2] if width else height / box[3] if height else 1.0
            width = box[2] * share if width is None else width
            height = box[3] * share if height is None else height
        if (width is not None and width <= 0) or (height is not None and height <= 0):
            raise BadValueError("the page has no size")
        unit = 25.4 if any(s.lower().endswith("in") for s in sizes) else 1.0
        per_px = 25.4 / _PX_PER_INCH / unit
        by = Affine(per_px, 0.0, 0.0, -per_px, 0.0, (height or 0.0) * per_px)
        if box is None:
            return _Page(unit, Viewport(width, height), by, tuple(notes))
        assert width is not None
        assert height is not None
        view = fitted_view(box, width, height, root.get("preserveAspectRatio"))
        return _Page(unit, Viewport(box[2], box[3]), by.after(view), tuple(notes))


@dataclass(frozen=True, slots=True)
class _Here:
    """Where an element stands: the map to the page, the ids round it, the uses that led here."""

    by: Affine
    viewport: Viewport
    names: tuple[str, ...] = ()
    uses: tuple[Element, ...] = ()


class _SvgWalk:
    def __init__(self, root: Element, reading: GatheredPieces) -> None:
        self.root, self.reading = root, reading
        self.by_id: dict[str, Element] = {}
        for element in root.everything():
            if name := element.get("id"):
                self.by_id.setdefault(name, element)
        self.walked = 0
        self.depth = 0

    def run(self, page: _Page) -> None:
        name = self.root.get("id")
        here = _Here(page.by, page.viewport, (name,) if name else ())
        for child in self.root.children:
            self._element(child, here)

    def _element(self, element: Element, here: _Here) -> None:
        """Draw an element, and all below it."""
        self.walked += 1
        if self.walked > MOST_WALKED:
            raise refused(self.reading.file, "has too many elements", f"use at most {MOST_WALKED}")
        name = element.get("id")
        names = (*here.names, name) if name and not here.uses else here.names
        if element.style("display") == "none":
            return
        self.depth += 1
        try:
            if self.depth > DEEPEST_OF_ALL:
                raise BadValueError("groups are nested too deeply")
            self._drawn(element, names, here)
        except BadValueError as error:
            self.reading.fault(names, f"{element.what}: {error}", "draw it again")
        except GeometryError as error:
            self.reading.fault(names, f"{element.what}: {error.message}", error.hint)
        finally:
            self.depth -= 1

    def _drawn(self, element: Element, names: tuple[str, ...], here: _Here) -> None:
        tag = element.tag
        if tag in _SEEN_NO_SHAPE:
            self.reading.pass_over(names, _SEEN_NO_SHAPE[tag])
            return
        if tag not in SVG_SHAPES and tag not in (*_GROUPS, "svg", "use"):
            return
        inner = _Here(here.by.after(_own_transform(element)), here.viewport, names, here.uses)
        if tag in SVG_SHAPES:
            self._shape(element, inner)
        elif tag == "svg":
            self._children(element, _window(element, inner, element))
        elif tag == "use":
            self._used(element, inner)
        else:
            self._children(element, inner)

    def _children(self, element: Element, here: _Here) -> None:
        for child in element.children:
            self._element(child, here)

    def _shape(self, element: Element, here: _Here) -> None:
        if element.style("visibility") in ("hidden", "collapse"):
            return
        what = f"{element.what} in {here.uses[0].what}" if here.uses else element.what
        for shape in SVG_SHAPES[element.tag](element, here.viewport):
            self.reading.add(shape.mapped(here.by), here.names, what)

    def _used(self, use: Element, here: _Here) -> None:
        if not use.href.startswith("#"):
            raise BadValueError("refers to something outside the file")
        target = self.by_id.get(use.href[1:])
        if target is None:
            raise BadValueError(f"refers to {use.href}, which is not in the file")
        if use in here.uses:
            raise BadValueError("uses itself")
        if len(here.uses) >= DEEPEST_USES:
            raise BadValueError(f"uses are nested more than {DEEPEST_USES} levels deep")
        x, y = (length(use, k, here.viewport) for k in ("x", "y"))
        moved = here.by.after(Affine.moved(x, y))
        inner = _Here(moved, here.viewport, here.names, (*here.uses, use))
        if target.tag in ("symbol", "svg"):
            inner = _Here(
                moved.after(_own_transform(target)), here.viewport, here.names, inner.uses
            )
            self._children(target, _window(target, inner, use))
        else:
            self._element(target, inner)


def _own_transform(element: Element) -> Affine:
    if "transform:" in "".join((element.get("style") or "").split()):
        raise BadValueError("a transform in its style is not read: make it an attribute")
    text = element.get("transform")
    if text is None:
        return Affine()
    if element.style("transform-origin") is not None:
        raise BadValueError("transform-origin is not read: save the drawing as plain SVG")
    return transform(text)


def _window(element: Element, here: _Here, sized: Element) -> _Here:
    """Inside an inner svg or a symbol; `sized` says how large it is."""
    whole = here.viewport
    x = y = 0.0
    if element is sized:
        x, y = (length(element, k, whole) for k in ("x", "y"))
    sizes: list[float | None] = []
    for key, most in (("width", whole.width), ("height", whole.height)):
        by = next((e for e in (sized, element) if e.get(key)), None)
        sizes.append(most if by is None else length(by, key, whole))
    width, height = sizes
    by_ = here.by.after(Affine.moved(x, y))
    box = view_box(element)
    if box is None or width is None or height is None:
        return _Here(by_, Viewport(width, height), here.names, here.uses)
    if width <= 0 or height <= 0:
        raise BadValueError("has no size")
    view = fitted_view(box, width, height, element.get("preserveAspectRatio"))
    return _Here(by_.after(view), Viewport(box[2], box[3]), here.names, here.uses)
