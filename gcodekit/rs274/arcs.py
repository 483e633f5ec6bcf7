"""G2 and G3: a line's words to the exact arc or helix, in either format.

Source: NISTIR 6556, section 3.5.3.
"""

from __future__ import annotations

import math

from gcodekit.rs274.block import BlockError
from gcodekit.rs274.moves import PLANE_AXES, Curve
from gcodekit.rs274.problems import Point3

# How far the radii at both ends may differ, by unit (3.5.3.2).
MISMATCH_MM = 0.002
MISMATCH_INCH = 0.0002 * 25.4
# Nearer than this two ends are one: far below the last decimal a program can hold.
SAME = 1e-9

_OFFSETS = "IJK"


def arc(
    start: Point3, end: Point3, values: dict[str, float], *, ccw: bool, plane: int, unit: float
) -> Curve:
    """The curve from `start` to `end` (mm); `values` are the line's words in its own units.

    Raises
    ------
    BlockError : the words make no arc in this plane
    """
    first, second, axial = PLANE_AXES[plane]
    code = "G3" if ccw else "G2"
    if "XYZ"[first] not in values and "XYZ"[second] not in values:
        names = " or ".join(sorted(("XYZ"[first], "XYZ"[second])))
        raise BlockError(f"{code} in this plane needs {names}", "G")
    if _OFFSETS[axial] in values:
        raise BlockError(f"{_OFFSETS[axial]} has no use in an arc of this plane", _OFFSETS[axial])
    a0, b0, a1, b1 = start[first], start[second], end[first], end[second]
    i, j = values.get(_OFFSETS[first]), values.get(_OFFSETS[second])
    if "R" in values:
        if i is not None or j is not None:
            raise BlockError("an arc takes R or a centre, not both", "R")
        ca, cb = _centre_from_radius(a0, b0, a1, b1, values["R"] * unit, ccw=ccw)
    elif i is None and j is None:
        names = " or ".join(sorted((_OFFSETS[first], _OFFSETS[second])))
        raise BlockError(f"{code} in this plane needs {names}, or R", "G")
    else:
        ca, cb = a0 + (i or 0.0) * unit, b0 + (j or 0.0) * unit
    radius = _radius(math.hypot(a0 - ca, b0 - cb), math.hypot(a1 - ca, b1 - cb), unit)
    centre = list(start)
    centre[first], centre[second] = ca, cb
    sweep = _sweep(a0 - ca, b0 - cb, a1 - ca, b1 - cb, ccw=ccw)
    return Curve((centre[0], centre[1], centre[2]), plane, sweep, radius)


def _radius(at_start: float, at_end: float, unit: float) -> float:
    if at_start < SAME:
        raise BlockError("the arc's radius is zero", "G")
    limit = MISMATCH_MM if unit == 1.0 else MISMATCH_INCH
    # rounding of the last digit must not refuse a difference of exactly the limit
    if abs(at_start - at_end) > limit + 1e-9:
        size, allowed = abs(at_start - at_end) / unit, "0.002 mm" if unit == 1.0 else "0.0002 inch"
        text = f"the arc's radii at start and end differ by {size:.5f}, {allowed} is allowed"
        raise BlockError(text, "G")
    return (at_start + at_end) / 2


def _sweep(u0: float, v0: float, u1: float, v1: float, *, ccw: bool) -> float:
    """Signed angle from (u0, v0) to (u1, v1), a full turn where they are one."""
    if math.hypot(u1 - u0, v1 - v0) < SAME:
        return math.tau if ccw else -math.tau
    turn = math.atan2(u0 * v1 - v0 * u1, u0 * u1 + v0 * v1)
    if ccw:
        return turn if turn > 0 else turn + math.tau
    return turn if turn < 0 else turn - math.tau


def _centre_from_radius(
    a0: float, b0: float, a1: float, b1: float, radius: float, *, ccw: bool
) -> tuple[float, float]:
    """Centre of the arc of `radius`; negative: the longer way round (3.5.3.1)."""
    chord = math.hypot(a1 - a0, b1 - b0)
    if chord < SAME:
        raise BlockError("an arc by R cannot end where it starts", "R")
    if radius == 0.0:
        raise BlockError("the arc's radius is zero", "R")
    rise = radius * radius - chord * chord / 4
    if rise < 0:
        if chord / 2 - abs(radius) > MISMATCH_MM:
            text = f"radius {abs(radius):.4f} mm does not reach: the ends are {chord:.4f} mm apart"
            raise BlockError(text, "R")
        rise = 0.0
    # the centre lies left of the way for the shorter counter-clockwise arc
    side = math.sqrt(rise) if ccw == (radius > 0) else -math.sqrt(rise)
    return (
        (a0 + a1) / 2 - side * (b1 - b0) / chord,
        (b0 + b1) / 2 + side * (a1 - a0) / chord,
    )
