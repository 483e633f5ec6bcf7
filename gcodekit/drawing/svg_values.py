"""Numbers, lengths, transforms and view boxes as SVG writes them (SVG 1.1 and 2, W3C)."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from gcodekit.drawing.affine import Affine
from gcodekit.drawing.svg_xml import Element

# User units (px) to the unit: CSS Values and Units, "absolute lengths".
PX = {
    "": 1.0,
    "px": 1.0,
    "in": 96.0,
    "mm": 96 / 25.4,
    "cm": 960 / 25.4,
    "q": 24 / 25.4,
    "pt": 96 / 72,
    "pc": 16.0,
}
_SVG_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_SVG_NUMBERS = re.compile(_SVG_NUMBER)
_SVG_LENGTH = re.compile(rf"({_SVG_NUMBER})\s*([a-zA-Z]*|%)")
_SEPARATORS = re.compile(r"[\s,]*")
_CALL = re.compile(r"[\s,]*([a-zA-Z]+)\s*\(([^()]*)\)")
LONGEST_TRANSFORM = 2_000  # characters


class BadValueError(Exception):
    """A value that is not what SVG writes there: what is wrong."""


@dataclass(frozen=True, slots=True)
class Viewport:
    """The size that percentages are of, in user units; None where nobody says."""

    width: float | None
    height: float | None

    def of(self, direction: str) -> float | None:
        """The whole of a percentage: of "x", of "y", or of neither."""
        if direction == "x" or self.width is None:
            return self.width
        if direction == "y" or self.height is None:
            return self.height
        return math.sqrt((self.width**2 + self.height**2) / 2)


def numbers(text: str) -> list[float]:
    """A list of numbers.

    Raises
    ------
    BadValueError
        there is something else in it
    """
    rest = _SVG_NUMBERS.sub(" ", text)
    if not _SEPARATORS.fullmatch(rest):
        raise BadValueError(f"{_short(text)} is not a list of numbers")
    return [_finite(n) for n in _SVG_NUMBERS.findall(text)]


def _finite(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise BadValueError(f"{_short(text)} is too large for a number")
    return number


def length(element: Element, name: str, viewport: Viewport, *, default: float = 0.0) -> float:
    """A length in user units; x, width, cx and their like are of the viewport's width, and so on.

    Raises
    ------
    BadValueError
        it is not one
    """
    text = element.get(name)
    if text is None or text == "auto":
        return default
    found = _SVG_LENGTH.fullmatch(text)
    if found is None:
        raise BadValueError(f"{name} = {_short(text)} is not a length")
    value, unit = _finite(found[1]), found[2].lower()
    if unit == "%":
        directions = {"x": "x", "width": "x", "cx": "x", "x1": "x", "x2": "x", "rx": "x"}
        directions |= {"y": "y", "height": "y", "cy": "y", "y1": "y", "y2": "y", "ry": "y"}
        whole = viewport.of(directions.get(name, ""))
        if whole is None:
            raise BadValueError(f"{name} = {_short(text)} on a page without a size")
        return value / 100 * whole
    if unit not in PX:
        raise BadValueError(f"{name} = {_short(text)} has no unit of length")
    return value * PX[unit]


def transform(text: str) -> Affine:
    """A list of transforms, the last of them applied first.

    Raises
    ------
    BadValueError
        it is not one
    """
    if len(text) > LONGEST_TRANSFORM:
        raise BadValueError(f"a transform of {len(text)} characters")
    by, at = Affine(), 0
    while found := _CALL.match(text, at):
        by, at = by.after(_one(found[1], numbers(found[2]))), found.end()
    if not _SEPARATORS.fullmatch(text, at):
        raise BadValueError(f"transform = {_short(text)} cannot be read")
    if by.flat:
        raise BadValueError(f"transform = {_short(text)} leaves nothing")
    return by


def _one(name: str, values: list[float]) -> Affine:
    n = len(values)
    if name == "matrix" and n == 6:
        return Affine(*values)
    if name == "translate" and n in (1, 2):
        return Affine.moved(values[0], values[1] if n == 2 else 0.0)
    if name == "scale" and n in (1, 2):
        return Affine.scaled(values[0], values[-1])
    if name == "rotate" and n in (1, 3):
        x, y = values[1:] or (0.0, 0.0)
        turned = Affine.turned(math.radians(values[0]))
        return Affine.moved(x, y).after(turned).after(Affine.moved(-x, -y))
    if name == "skewX" and n == 1:
        return Affine(c=math.tan(math.radians(values[0])))
    if name == "skewY" and n == 1:
        return Affine(b=math.tan(math.radians(values[0])))
    raise BadValueError(f"the transform {_short(name)} with {n} values is not known")


def view_box(element: Element) -> tuple[float, float, float, float] | None:
    """Its x, y, width and height.

    Raises
    ------
    BadValueError
        it is not one
    """
    text = element.get("viewBox")
    if text is None:
        return None
    found = numbers(text)
    if len(found) != 4 or found[2] <= 0 or found[3] <= 0:
        raise BadValueError(f"viewBox = {_short(text)} is not x, y, width and height")
    return (found[0], found[1], found[2], found[3])


def fitted_view(
    box: tuple[float, float, float, float], width: float, height: float, ratio: str | None
) -> Affine:
    """The map from a view box to a viewport at 0, 0, as preserveAspectRatio says."""
    x, y, w, h = box
    across, down = width / w, height / h
    words = [word for word in (ratio or "").split() if word != "defer"] or ["xMidYMid"]
    if words[0] == "none":
        return Affine.scaled(across, down).after(Affine.moved(-x, -y))
    align = re.fullmatch(r"x(Min|Mid|Max)Y(Min|Mid|Max)", words[0])
    if align is None or words[1:] not in ([], ["meet"], ["slice"]):
        raise BadValueError(f"preserveAspectRatio = {_short(ratio or '')} cannot be read")
    scale = max(across, down) if words[1:] == ["slice"] else min(across, down)
    share = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
    moved = Affine.moved(
        share[align[1]] * (width - scale * w), share[align[2]] * (height - scale * h)
    )
    return moved.after(Affine.scaled(scale, scale)).after(Affine.moved(-x, -y))


def _short(text: str) -> str:
    plain = "".join(c if c.isprintable() else "?" for c in text)
    return f'"{plain if len(plain) <= 40 else plain[:37] + "..."}"'
