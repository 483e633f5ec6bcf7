"""The middles of a line of letters, set out anew from the table of letters: what the planner's own
setting is held against.

Points are complex numbers, mm: a turn is a product.
"""

from __future__ import annotations

import cmath
from collections.abc import Iterable

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gcodekit.drawing.single_stroke import CAPITALS, Letter, spelt
from gcodekit.job.features.lettering import Lettering

Strokes = list[NDArray[np.complex128]]
# Of the way from a line's first stroke to its last, the place that is aligned.
SHARES = {"left": 0.0, "centre": 0.5, "right": 1.0}


def letter_middles(lines: Iterable[Lettering]) -> BaseGeometry:
    """The strokes of all letters of some lines."""
    found = [stroke for line in lines for stroke in _set_out(line)]
    return shapely.MultiLineString([np.column_stack((s.real, s.imag)) for s in found])


def _set_out(line: Lettering) -> Strokes:
    """Every stroke where it belongs."""
    size = line.height / CAPITALS
    flat = _in_a_row(spelt(line.text), size)
    xs = np.concatenate([stroke.real for _, strokes in flat for stroke in strokes])
    aligned = xs.min() + SHARES[line.align] * (xs.max() - xs.min())
    found: Strokes = []
    for middle, strokes in flat:
        for stroke in strokes:
            if line.arc is None:
                risen = stroke - aligned - 0.5j * line.height
                found.append(complex(*line.at) + cmath.rect(1.0, line.angle) * risen)
            else:
                found.append(_round(line, middle - aligned, stroke - middle))
    return found


def _in_a_row(letters: Iterable[Letter], size: float) -> list[tuple[float, Strokes]]:
    """Each letter's middle and its strokes, one letter after the other from 0 on."""
    found, begins = [], 0.0
    for letter in letters:
        width = letter.width * size
        strokes = [
            np.array([complex(x, y) * size + begins for x, y in s], dtype=np.complex128)
            for s in letter.strokes
        ]
        if strokes:
            found.append((begins + width / 2, strokes))
        begins += width
    return found


def _round(line: Lettering, along: float, stroke: NDArray[np.complex128]) -> NDArray[np.complex128]:
    """A stroke of a letter whose middle is so far along the arc, upright there: turned about the
    centre from where it would be at the arc's highest or lowest point."""
    arc = line.arc
    assert arc is not None
    if arc.tops == "outward":
        # clockwise, from the top
        return complex(*arc.centre) + (stroke + 1j * arc.radius) * cmath.exp(
            1j * (arc.start - cmath.pi / 2 - along / arc.radius)
        )
    return complex(*arc.centre) + (stroke - 1j * arc.radius) * cmath.exp(
        1j * (arc.start + cmath.pi / 2 + along / arc.radius)
    )
