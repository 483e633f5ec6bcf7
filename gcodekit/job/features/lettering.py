"""A line of single-stroke letters: straight, or along an arc."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, Self, cast

from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.region import Shift
from gcodekit.job.document.wording import shown
from gcodekit.job.keys.keys import Key
from gcodekit.job.keys.reading import Table

if TYPE_CHECKING:
    from gcodekit.drawing.single_stroke import Letter

Align = Literal["left", "centre", "right"]
Tops = Literal["outward", "inward"]
OTHER_END: dict[Align, Align] = {"left": "right", "centre": "centre", "right": "left"}
# Longer is no line to engrave. Common practice, no source.
MOST_LETTERS = 100
# Capitals lower than that no cutter makes legible, higher ones no bench mill: mm.
LOWEST_CAPITALS, HIGHEST_CAPITALS = 0.3, 200.0
# Two ways to turn a mirrored line count as equally far from how it was, in cosines.
EQUALLY_FAR = 1e-9

HEIGHT = Key(
    name="height",
    kind="length",
    least=LOWEST_CAPITALS,
    most=HIGHEST_CAPITALS,
    meaning="height of the capitals",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Baseline:
    """The arc that letters stand on, their tops away from its centre or towards it; `start`: the
    angle of the place that the line is aligned to, radians."""

    centre: Point
    radius: float
    start: float
    tops: Tops = "outward"


@dataclass(frozen=True, slots=True, kw_only=True)
class Lettering:
    """A line of letters, capitals `height` mm high. `at` is where it is aligned to, at half the
    height of its capitals, and `angle` its direction; with an arc both are that's."""

    text: str
    height: float
    at: Point = (0.0, 0.0)
    angle: float = 0.0
    align: Align = "left"
    arc: Baseline | None = None

    def moved(self, shift: Shift) -> Self:
        """The line elsewhere, never mirrored: in a mirror it lies where its image would, and reads
        as before."""
        swapped = OTHER_END[self.align]
        if self.arc is not None:
            x, y = shift.direction((math.cos(self.arc.start), math.sin(self.arc.start)))
            arc = replace(self.arc, centre=shift.point(self.arc.centre), start=math.atan2(y, x))
            return replace(self, arc=arc, align=swapped if shift.mirror else self.align)
        way = (math.cos(self.angle), math.sin(self.angle))
        (x, y), before = shift.direction(way), replace(shift, mirror=None).direction(way)
        alike = x * before[0] + y * before[1]
        if alike < -EQUALLY_FAR or (alike < EQUALLY_FAR and x < 0):
            x, y, align = -x, -y, swapped
        else:
            align = self.align
        return replace(self, at=shift.point(self.at), angle=math.atan2(y, x), align=align)

    @property
    def length(self) -> float:
        """From its first stroke to its last, mm."""
        low, high = _limits(self._letters())
        return (high - low) * self._size

    def laid_out(self) -> tuple[Chain, ...]:
        """The strokes of its letters, in the order of the text."""
        found, pen = [], 0.0
        line = self._letters()
        off = self._off(line)
        for letter in line:
            middle = pen + letter.width / 2 - off
            place = self._place(middle * self._size)
            for stroke in letter.strokes:
                points = [self._on(place, x - letter.width / 2, y) for x, y in stroke]
                found.append(Chain.of_points(points, closed=False))
            pen += letter.width
        return tuple(found)

    def _letters(self) -> tuple[Letter, ...]:
        from gcodekit.drawing.single_stroke import spelt

        return spelt(self.text)

    @property
    def _size(self) -> float:
        """mm to the table's unit."""
        from gcodekit.drawing.single_stroke import CAPITALS

        return self.height / CAPITALS

    def _off(self, line: tuple[Letter, ...]) -> float:
        """Along the line, in the table's units, the place that is aligned."""
        low, high = _limits(line)
        return {"left": low, "centre": (low + high) / 2, "right": high}[self.align]

    def _place(self, along: float) -> tuple[Point, Point]:
        """The place of a letter's middle on the line it stands on, and its direction there."""
        if self.arc is None:
            dx, dy = math.cos(self.angle), math.sin(self.angle)
            x, y = self.at[0] + along * dx, self.at[1] + along * dy
            return (x + dy * self.height / 2, y - dx * self.height / 2), (dx, dy)
        arc, outward = self.arc, self.arc.tops == "outward"
        angle = arc.start + (-along if outward else along) / arc.radius
        ux, uy = math.cos(angle), math.sin(angle)
        foot = (arc.centre[0] + arc.radius * ux, arc.centre[1] + arc.radius * uy)
        return foot, ((uy, -ux) if outward else (-uy, ux))

    def _on(self, place: tuple[Point, Point], x: float, y: float) -> Point:
        (px, py), (dx, dy) = place
        u, v = x * self._size, y * self._size
        return (px + u * dx - v * dy, py + u * dy + v * dx)


def standing_at(point: Point, angle: float, height: float) -> Point:
    """The place at half the height of capitals that stand at a point."""
    return (point[0] - math.sin(angle) * height / 2, point[1] + math.cos(angle) * height / 2)


def _limits(line: tuple[Letter, ...]) -> tuple[float, float]:
    """Where a line's first stroke begins and its last ends, in the table's units."""
    pen, xs = 0.0, [math.inf, -math.inf]
    for letter in line:
        for x in (x for stroke in letter.strokes for x, _ in stroke):
            xs = [min(xs[0], pen + x), max(xs[1], pen + x)]
        pen += letter.width
    return (xs[0], xs[1]) if xs[0] <= xs[1] else (0.0, 0.0)


def check_text(table: Table, key: str, text: str) -> bool:
    """Tell whether there are letters for a text, and not too many; else the fault is noted."""
    from gcodekit.drawing.single_stroke import unknown_sign

    if len(text) > MOST_LETTERS:
        table.error(key, f"has {len(text)} letters", f"use at most {MOST_LETTERS}")
        return False
    unknown = unknown_sign(text)
    if unknown is None:
        return True
    sign, place = unknown
    hint = "write {n} for a number that counts" if sign in "{}" else "use another sign or word"
    table.error(key, f"there is no letter for {shown(sign)}, character {place}", hint)
    return False


def align_of(table: Table) -> Align | None:
    """The end or middle that a line is aligned by."""
    return cast("Align | None", table.choice("align"))
