"""What a scale is graduated along: a circle or part of one, or a straight line."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Self

from gcodekit.geometry.chain import Point, distance
from gcodekit.geometry.region import Shift
from gcodekit.job.keys.reading import Table

# More marks than anyone graduates: a tenth of a degree round. Common practice, no source.
MOST_MARKS = 3_600
# A spacing goes so many times into a line that is longer by no more than this share of it.
WHOLE = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class CircleBase:
    """Round `centre`, the first mark at angle `start`, the next `pitch` further, radians, clockwise
    where that is below 0. The marks go from `radius` on outward, or inward."""

    centre: Point
    radius: float
    start: float
    pitch: float
    outside: bool

    def moved(self, shift: Shift) -> Self:
        """The same elsewhere; in a mirror it counts the other way round."""
        x, y = shift.direction((math.cos(self.start), math.sin(self.start)))
        pitch = -self.pitch if shift.mirror else self.pitch
        centre = shift.point(self.centre)
        return replace(self, centre=centre, start=math.atan2(y, x), pitch=pitch)

    def foot(self, number: int) -> tuple[Point, Point]:
        """The foot of a mark, counted from 0, and the direction it goes in."""
        angle = self.start + number * self.pitch
        x, y = math.cos(angle), math.sin(angle)
        sign = 1.0 if self.outside else -1.0
        (cx, cy), r = self.centre, self.radius
        return (cx + r * x, cy + r * y), (sign * x, sign * y)


@dataclass(frozen=True, slots=True, kw_only=True)
class LineBase:
    """From `start` in the direction `along`, a unit vector, with a mark every `pitch` mm, on the
    left of the line or on its right."""

    start: Point
    along: Point
    pitch: float
    left: bool

    def moved(self, shift: Shift) -> Self:
        """The same elsewhere; in a mirror left and right change hands."""
        left = self.left != bool(shift.mirror)
        along = shift.direction(self.along)
        return replace(self, start=shift.point(self.start), along=along, left=left)

    def foot(self, number: int) -> tuple[Point, Point]:
        """The foot of a mark, counted from 0, and the direction it goes in."""
        (x, y), (dx, dy), far = self.start, self.along, number * self.pitch
        out = (-dy, dx) if self.left else (dy, -dx)
        return (x + far * dx, y + far * dy), out


Graduated = CircleBase | LineBase


def read_graduated(table: Table) -> tuple[Graduated, int] | None:
    """What a feature is graduated along, and how many marks it has; None where it is at fault."""
    circle, line = table.given("centre", "radius"), table.given("from", "to")
    if circle and line:
        table.error(line[0], f"{circle[0]} is given too", "give centre and radius, or from and to")
        return None
    if not circle and not line:
        if not table.misspelt("centre", "radius", "from", "to"):
            hint = "give centre and radius, or from and to"
            table.error("", "its circle or line is missing", hint)
        return None
    missing = [k for k in (("centre", "radius") if circle else ("from", "to")) if not table.has(k)]
    for key in missing:
        table.error(key, "is missing", "add it")
    barred = ("spacing",) if circle else ("start", "end", "turn", "spacing_angle")
    what = "circle" if circle else "line"
    for key in table.given(*barred):
        table.error(key, f"does not apply to a scale on a {what}", "remove it")
    side = _side(table, ("outside", "inside") if circle else ("left", "right"), what)
    by = table.one_of("divisions", "spacing", "spacing_angle", what="the number of divisions")
    if missing or side is None or by is None or table.given(*barred):
        return None
    return _round(table, side) if circle else _straight(table, side)


def _side(table: Table, words: tuple[str, str], what: str) -> str | None:
    """The side its marks are on; the first of the two where it is not given."""
    if not table.has("side"):
        return words[0]
    side = table.choice("side")
    if side is not None and side not in words:
        table.error(
            "side", f'"{side}" does not apply to a {what}', f'use "{words[0]}" or "{words[1]}"'
        )
        return None
    return side


def _round(table: Table, side: str) -> tuple[Graduated, int] | None:
    centre, radius, start = table.point("centre"), table.length("radius"), table.angle("start")
    turn, end = table.choice("turn"), table.angle("end")
    if centre is None or radius is None or start is None or turn is None:
        return None
    if table.has("end") and end is None:
        return None
    sweep = math.tau
    if end is not None:
        sweep = ((end - start) if turn == "ccw" else (start - end)) % math.tau or math.tau
    full = math.isclose(sweep, math.tau)
    found = _parts(table, "spacing_angle", sweep, even=full)
    if found is None:
        return None
    pitch, count = found
    signed = pitch if turn == "ccw" else -pitch
    outside = side == "outside"
    base = CircleBase(centre=centre, radius=radius, start=start, pitch=signed, outside=outside)
    # the last mark of a whole circle is the first
    return base, count if full else count + 1


def _straight(table: Table, side: str) -> tuple[Graduated, int] | None:
    start, end = table.point("from"), table.point("to")
    if start is None or end is None:
        return None
    long = distance(start, end)
    if long <= 0:
        table.error("to", "is the same point as from", "move one of them")
        return None
    found = _parts(table, "spacing", long, even=False)
    if found is None:
        return None
    pitch, count = found
    along = ((end[0] - start[0]) / long, (end[1] - start[1]) / long)
    return LineBase(start=start, along=along, pitch=pitch, left=side == "left"), count + 1


def _parts(table: Table, spacing: str, whole: float, *, even: bool) -> tuple[float, int] | None:
    """The pitch of the marks, and how many of it lie on a length or angle; `even`: no more and no
    less than all of that."""
    if table.has("divisions"):
        count = table.count("divisions")
        return None if count is None else (whole / count, count)
    pitch = table.angle(spacing) if spacing == "spacing_angle" else table.length(spacing)
    if pitch is None:
        return None
    times = whole / pitch
    count = math.floor(times * (1 + WHOLE))
    if count < 1:
        table.error(spacing, "is longer than all of the scale", "reduce it")
        return None
    if count > MOST_MARKS:
        table.error(spacing, f"makes {count:,} marks", f"use at most {MOST_MARKS:,}")
        return None
    if even and not math.isclose(times, count, rel_tol=WHOLE):
        text = f"{math.degrees(pitch):g} degrees does not go into the full circle evenly"
        table.error(spacing, text, "give divisions, or an end")
        return None
    return pitch, count
