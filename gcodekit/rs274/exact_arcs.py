"""G2 and G3: from where an arc begins and ends to the exact arc or helix, in either format.

Source: NISTIR 6556, section 3.5.3.
"""

from __future__ import annotations

import math

from gcodekit.rs274.program_read import PLANE_AXES, CircularPart, Point3
from gcodekit.rs274.state import MOTION
from gcodekit.units import MM_PER_INCH, Units, format_size

# How far the radii at both ends may differ, by unit (3.5.3.2).
MISMATCH_MM = 0.002
MISMATCH_INCH = 0.0002 * MM_PER_INCH
# Nearer than this two ends are one: far below the last decimal a program can hold.
ONE_PLACE = 1e-9


class BlockError(Exception):
    """A line that may not be executed; `at` is the word to point at: its letter, or the modal
    group of a G word."""

    def __init__(self, text: str, at: str | int = "") -> None:
        super().__init__(text)
        self.text = text
        self.at = at


def arc_by_centre(
    start: Point3, end: Point3, i: float, j: float, *, ccw: bool, plane: int, unit: float
) -> CircularPart:
    """The curve from `start` to `end`, mm, round the centre `i`, `j` from the start along the
    plane's first and second axis.

    Raises
    ------
    BlockError : the radii at both ends differ
    """
    first, second, _ = PLANE_AXES[plane]
    u, v = end[first] - start[first] - i, end[second] - start[second] - j
    at_start, at_end = math.hypot(i, j), math.hypot(u, v)
    if at_start < ONE_PLACE:
        raise BlockError("arc of radius 0", MOTION)
    limit = MISMATCH_MM if unit == 1.0 else MISMATCH_INCH
    # rounding of the last digit must not refuse a difference of exactly the limit
    if abs(at_start - at_end) > limit + 1e-9:
        size, allowed = abs(at_start - at_end) / unit, "0.002 mm" if unit == 1.0 else "0.0002 in"
        text = f"arc radii at start and end differ by {size:.5f} {allowed[-2:]}"
        text += f": at most {allowed} is allowed"
        raise BlockError(text, MOTION)
    return CircularPart(
        _moved(start, first, second, i, j), plane, sweep(-i, -j, u, v, ccw=ccw),
        (at_start + at_end) / 2,
    )  # fmt: skip


def _moved(start: Point3, first: int, second: int, i: float, j: float) -> Point3:
    x, y, z = start
    if first == 0:
        return x + i, y + j, z
    centre = [x, y, z]
    centre[first] += i
    centre[second] += j
    return centre[0], centre[1], centre[2]


def sweep(u0: float, v0: float, u1: float, v1: float, *, ccw: bool) -> float:
    """Signed angle from (u0, v0) to (u1, v1), a full turn where they are one."""
    if abs(u1 - u0) < ONE_PLACE and abs(v1 - v0) < ONE_PLACE:
        return math.tau if ccw else -math.tau
    turn = math.atan2(u0 * v1 - v0 * u1, u0 * u1 + v0 * v1)
    if ccw:
        return turn if turn > 0 else turn + math.tau
    return turn if turn < 0 else turn - math.tau


def arc_by_radius(
    start: Point3, end: Point3, radius: float, *, ccw: bool, plane: int, unit: float
) -> CircularPart:
    """The curve from `start` to `end` of `radius`, mm; negative: the longer way round (3.5.3.1).

    Raises
    ------
    BlockError : there is none
    """
    first, second, _ = PLANE_AXES[plane]
    da, db = end[first] - start[first], end[second] - start[second]
    chord = math.hypot(da, db)
    if chord < ONE_PLACE:
        raise BlockError(
            "an R arc must not end where it starts: write a full circle with I and J", "R"
        )
    if abs(radius) < ONE_PLACE:
        raise BlockError("arc of radius 0", "R")
    rise = radius * radius - chord * chord / 4
    if rise < 0:
        if chord / 2 - abs(radius) > MISMATCH_MM:
            units: Units = "mm" if unit == 1.0 else "inch"
            r, apart = format_size(abs(radius), units), format_size(chord, units)
            raise BlockError(f"arc of radius {r} cannot join ends {apart} apart", "R")
        rise = 0.0
    # the centre lies left of the way for the shorter counter-clockwise arc
    side = math.sqrt(rise) if ccw == (radius > 0) else -math.sqrt(rise)
    i, j = da / 2 - side * db / chord, db / 2 + side * da / chord
    return arc_by_centre(start, end, i, j, ccw=ccw, plane=plane, unit=unit)
