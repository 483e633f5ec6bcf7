"""A handwheel sheet's text turned back into cuts, by code that shares nothing with what planned it.

Only the text is read: which cutter, which handle to which reading, at which depths. Readings are in
mm or inch, or turns and divisions of dials.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from itertools import pairwise

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.trade.cutter import Cutter

HEADING = re.compile(r"^\d+\. [^a-z]+$")
PUT_IN = re.compile(r"^cutter: (\d+):")
DEPTHS = r" at (?:each depth in turn, )?Z ([^()]*?)(?: \(.*\))?$"
STOPS = re.compile(r"^Stops \d+ to \d+" + DEPTHS)
TURNS = re.compile(r"^On the rotary table: cuts? \d+(?: to \d+)?" + DEPTHS)
FILED = re.compile(r"^file off after steps, at most: ([\d.]+) (mm|in)$")
CENTRE = re.compile(r"^centre of rotary table: X (.+?) Y (.+?)$")
RULE = re.compile(r"^ *-+( +-+)+$")
FINE = 48


@dataclass
class Dials:
    """How readings are meant: mm for one (an inch is 25.4), or a division, a turn and the sign."""

    unit: tuple[float, float, float] = (1.0, 1.0, 1.0)
    turn: tuple[int | None, int | None, int | None] = (None, None, None)
    sign: tuple[int, int, int] = (1, 1, 1)
    backlash: tuple[float, float] = (0.0, 0.0)

    def value(self, axis: int, text: str) -> float:
        """A reading in mm."""
        turns, _, rest = text.strip().rpartition("+")
        count = float(rest)
        if turns:
            a_turn = self.turn[axis]
            assert a_turn is not None
            assert 0 <= count < a_turn
            count += int(turns) * a_turn
        return self.sign[axis] * count * self.unit[axis]


@dataclass
class ByHand:
    """One cutter's cuts: ways at depths, and holes."""

    name: str
    cutter: int = 0
    filed: float = 0.0
    ways: list[tuple[list[float], list[tuple[float, float]]]] = field(default_factory=list)
    holes: list[tuple[float, float, float]] = field(default_factory=list)
    _swept: dict[tuple[int, float], BaseGeometry] = field(default_factory=dict)

    def swept(self, number: int, radius: float) -> BaseGeometry:
        """What a cutter passes over along one of the ways."""
        if (number, radius) not in self._swept:
            way = self.ways[number][1]
            # stroke by stroke: a whole way would be simplified before it is widened
            pairs = list(pairwise(way)) or [(way[0], way[0])]
            lines = [shapely.LineString(p) if p[0] != p[1] else shapely.Point(p[0]) for p in pairs]
            areas = [line.buffer(radius, quad_segs=FINE) for line in lines]
            self._swept[number, radius] = shapely.union_all(areas)
        return self._swept[number, radius]


def pages_of(text: str) -> list[tuple[str, list[str]]]:
    """Each page's title and lines."""
    lines = text.splitlines()
    bars = [i for i, line in enumerate(lines) if line and set(line) == {"="}][::2]
    ends = [*bars[1:], len(lines)]
    return [
        (re.sub(r" \(set-up .*\)$", "", lines[b + 1]), lines[b + 3 : e])
        for b, e in zip(bars, ends, strict=True)
    ]


def read_page(lines: list[str], dials: Dials) -> list[ByHand]:
    """The operations of a page."""
    found: list[ByHand] = []
    centre: tuple[float, float] | None = None
    depths: list[float] | None = None
    turning = False
    i = 0
    while i < len(lines):
        line = lines[i]
        if match := CENTRE.search(line):
            centre = dials.value(0, match[1]), dials.value(1, match[2])
        if HEADING.match(line):
            found.append(ByHand(line))
            depths = None
        elif match := PUT_IN.match(line):
            found[-1].cutter = int(match[1])
        elif match := FILED.match(line):
            found[-1].filed = float(match[1]) * (25.4 if match[2] == "in" else 1.0)
        elif match := STOPS.match(line) or TURNS.match(line):
            depths = [dials.value(2, d) for d in match[1].split(", ")]
            turning = line.startswith("On")
        elif RULE.match(line) and found:
            rows, i = _rows(lines, i)
            if depths is None:
                _take_holes(found[-1], rows, dials)
            elif turning:
                assert centre is not None
                _take_turns(found[-1], rows, dials, depths, centre)
            else:
                _take_stops(found[-1], rows, dials, depths)
        i += 1
    return found


def _rows(lines: list[str], rule: int) -> tuple[list[list[str]], int]:
    """Cells of a table's rows, cut where the rule under its head says; the last row's line."""
    spans = [m.span() for m in re.finditer("-+", lines[rule])]
    rows = []
    i = rule + 1
    while i < len(lines) and lines[i].strip() and re.match(r"^ *\d+ ", lines[i]):
        rows.append([lines[i][a:b].strip() for a, b in spans])
        i += 1
    return rows, i - 1


def _take_holes(into: ByHand, rows: list[list[str]], dials: Dials) -> None:
    for row in rows:
        x, y, z = (dials.value(axis, row[axis + 1]) for axis in range(3))
        into.holes.append((x, y, z))


def _take_stops(into: ByHand, rows: list[list[str]], dials: Dials, depths: list[float]) -> None:
    """In the order of their numbers. A dial that is turned toward
    minus is ahead of the table by the backlash."""
    cells = [row[k : k + 4] for k in (0, 5) for row in rows if len(row) > k + 3]
    stops = sorted((c for c in cells if c[0]), key=lambda c: int(c[0]))
    for _, turn, *readings in stops:
        if turn == "down":
            at = (dials.value(0, readings[0]), dials.value(1, readings[1]))
            into.ways.append((depths, [at]))
            continue
        for word in turn.split():
            axis, sign = "XY".index(word[0]), word[1]
            value = dials.value(axis, readings[axis])
            if sign == "-":
                value += dials.backlash[axis]
            before = into.ways[-1][1][-1]
            assert (value > before[axis]) == (sign == "+"), f"{into.name}: {word} to {value}"
            after = (value, before[1]) if axis == 0 else (before[0], value)
            into.ways[-1][1].append(after)


def _take_turns(
    into: ByHand,
    rows: list[list[str]],
    dials: Dials,
    depths: list[float],
    centre: tuple[float, float],
) -> None:
    for _, x, radius, start, end, way, *_ in rows:
        far = dials.value(0, x) - centre[0]
        assert abs(far - float(radius)) < 0.006
        assert (way == "clockwise") == (float(end) > float(start))
        a, b = math.radians(float(start)), math.radians(float(end))
        count = max(8, int(abs(b - a) * 60))
        angles = [a + (b - a) * k / count for k in range(count + 1)]
        places = [(centre[0] + far * math.cos(t), centre[1] + far * math.sin(t)) for t in angles]
        into.ways.append((depths, places))


def section(operation: ByHand, cutter: Cutter, z: float) -> BaseGeometry:
    """What an operation cuts at a height."""
    areas = [
        operation.swept(number, _at_height(cutter, z - min(ds)))
        for number, (depths, _) in enumerate(operation.ways)
        if (ds := [d for d in depths if _reaches(cutter, z - d)])
    ]
    for x, y, tip in operation.holes:
        radius = _at_height(cutter, z - tip)
        if radius > 0:
            areas.append(shapely.Point(x, y).buffer(radius, quad_segs=FINE))
    return shapely.union_all(areas)


def _reaches(cutter: Cutter, above: float) -> bool:
    """Whether a cutter cuts at a height above its tip: a blade is only as high as it is thick."""
    return above >= 0 and not (cutter.kind == "slitting saw" and above > cutter.thickness)


def _at_height(cutter: Cutter, above: float) -> float:
    """The radius a cutter cuts at a height above its tip."""
    if above < 0:
        return 0.0
    full = cutter.diameter / 2
    if cutter.kind in ("drill", "spot drill", "chamfer mill", "engraving cutter"):
        return min(full, cutter.tip_diameter / 2 + above * math.tan(cutter.tip_angle / 2))
    if cutter.kind == "reamer":
        return max(0.0, min(full, full - cutter.lead + above))
    return full
