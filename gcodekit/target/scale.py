"""Scales: every mark by its closed form, and the numbers off their ends.

Points are complex numbers, mm; a mark is a factor or a step away from the one before it.
"""

from __future__ import annotations

import cmath

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gcodekit.job.features.graduation import CircleBase
from gcodekit.job.features.lettering import Lettering
from gcodekit.job.kinds.scale import ScaleMarks
from gcodekit.target.drawn_letters import letter_middles
from gcodekit.target.grooves import GrooveTarget
from gcodekit.target.kind_target import KindTarget

Points = NDArray[np.complex128]


class ScaleTarget(GrooveTarget[ScaleMarks]):
    """Marks and numbers."""

    def middles(self, feature: ScaleMarks) -> BaseGeometry:
        """Every mark from its foot to its end, and the strokes of all numbers."""
        feet, out = _feet(feature)
        both = np.stack((feet, feet + out * _lengths(feature)), axis=1)
        marks = np.stack((both.real, both.imag), axis=2).tolist()
        if feature.numbers is None:
            return shapely.MultiLineString(marks)
        letters = shapely.get_parts(letter_middles(_numbers(feature, feet, out)))
        return shapely.MultiLineString([*marks, *map(shapely.get_coordinates, letters)])


def _feet(scale: ScaleMarks) -> tuple[Points, Points]:
    """The foot of every mark, and the unit direction of each from there."""
    base, numbers = scale.base, np.arange(scale.count, dtype=np.float64)
    if isinstance(base, CircleBase):
        spokes: Points = np.exp(1j * (base.start + base.pitch * numbers))
        feet = np.complex128(complex(*base.centre)) + base.radius * spokes
        return feet, spokes if base.outside else -spokes
    along = np.complex128(complex(*base.along))
    feet = np.complex128(complex(*base.start)) + along * base.pitch * numbers
    out: Points = np.full(scale.count, along * (1j if base.left else -1j))
    return feet, out


def _lengths(scale: ScaleMarks) -> NDArray[np.float64]:
    """The length of every mark: the longest of those whose turn it is."""
    found = np.zeros(scale.count)
    for marks in scale.lengths:
        found[:: marks.every] = np.maximum(found[:: marks.every], marks.length)
    return found


def _numbers(scale: ScaleMarks, feet: Points, out: Points) -> list[Lettering]:
    """The numbers, each set out about its own middle, beyond the longest mark."""
    numbers = scale.numbers
    assert numbers is not None
    away = max(m.length for m in scale.lengths) + numbers.gap + numbers.height / 2
    found, value = [], numbers.first
    # tops outward from the centre of the circle, or from the line
    centre = complex(*scale.base.centre) if isinstance(scale.base, CircleBase) else None
    for foot, way in zip(feet[:: numbers.every], out[:: numbers.every], strict=True):
        middle = foot + way * away
        outward = way if centre is None else middle - centre
        up = outward if numbers.tops == "outward" else -outward
        found.append(
            Lettering(
                text=f"{round(value, 9) + 0.0:.10g}",
                height=numbers.height,
                at=(middle.real, middle.imag),
                angle=cmath.phase(up / 1j),
                align="centre",
            )
        )
        value += numbers.step
    return found


TARGET: KindTarget[ScaleMarks] = ScaleTarget()
