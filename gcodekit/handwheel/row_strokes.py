"""Rows that clear an area: cut all one way, each beside the one before."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.flattening import polygons_of
from gcodekit.handwheel.axis_scales import AxisScale, TableScales
from gcodekit.handwheel.centre_rooms import CentreRoom, grown
from gcodekit.handwheel.hand_cutting import HandPasses
from gcodekit.handwheel.strokes import TableStop

# A row runs so far past what it cuts, mm, where there is room.
RUN_PAST = 1.0
# The last row overlaps the edge of what is cut by this share of the cutter's radius.
OVERLAP = 0.3
# A row that would cut less than this in plan, mm2, is left out.
LEAST_CUT = 0.02
# A row counts as wider than planned from so many times the width on.
TOO_WIDE = 1.3
# Between steps there may stay so many times what is meant to, where walls bend. A piece this much
# wider than that is worth a row, mm, or by what may stay where that is less.
CUSP_SLACK = 1.25
LEAST_ROW = 0.02


@dataclass(frozen=True, slots=True)
class RowWay:
    """A way to lay rows, in quarter turns from along +X advancing to +Y. The uncut metal is on the
    left of every row: the cutter, turning clockwise, cuts against the feed."""

    quarters: int

    def turned(self, shape: BaseGeometry) -> BaseGeometry:
        """A shape seen so that rows run along +X."""
        c, s = _TURNS[self.quarters]
        return affinity.affine_transform(shape, [c, s, -s, c, 0.0, 0.0])

    def back(self, u: float, v: float) -> Point:
        """A place seen so, as it is."""
        c, s = _TURNS[self.quarters]
        return c * u - s * v, s * u + c * v

    @property
    def along(self) -> Literal["x", "y"]:
        """The handle that rows are cut with."""
        return "y" if self.quarters % 2 else "x"

    @property
    def across(self) -> Literal["x", "y"]:
        """The handle from row to row."""
        return "x" if self.quarters % 2 else "y"

    @property
    def signs(self) -> tuple[float, float]:
        """Which way rows run and advance on their axes."""
        c, s = _TURNS[self.quarters]
        return (s, -s) if self.quarters % 2 else (c, c)


_TURNS = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))
# Where rows are equally many, those that come to their ends from the minus side go first.
WAYS = tuple(RowWay(k) for k in (0, 1, 2, 3))


@dataclass(slots=True)
class _Rows:
    """Rows as they are laid: what is left to cut, the stops, and how many were too wide."""

    room: CentreRoom
    scales: TableScales
    way: RowWay
    width: float
    centre: BaseGeometry
    left: BaseGeometry
    metal: BaseGeometry
    stops: list[TableStop]
    last: tuple[float, float, float] | None = None
    too_wide: int = 0

    def lay(self) -> None:
        """Every row."""
        for v in self._rows():
            for u0, u1 in self._pieces(v):
                self._cut(u0, u1, v)

    def _rows(self) -> Iterator[float]:
        """The rows' places across, each on the scale."""
        near = self.centre.intersection(grown(self.left, 0.95 * self.room.radius))
        if near.is_empty:
            return
        (_, low, _, high), (_, first, _, last) = near.bounds, self.left.bounds
        radius = self.room.radius
        v0 = min(max(low, first - radius + self.width), high)
        v1 = max(v0, min(high, last - (1 - OVERLAP) * radius))
        count = math.ceil((v1 - v0) / self.width - 1e-6)
        for k in range(count + 1):
            v = v0 + (v1 - v0) * k / count if count else v0
            yield self._on_scale(v, low, high)

    def _on_scale(self, v: float, low: float, high: float) -> float:
        """A place across on its scale, within the room."""
        sign = self.way.signs[1]
        found = [sign * p for p in self._scale(self.way.across).near(sign * v, 2)]
        return next((p for p in found if low <= p <= high), v)

    def _scale(self, axis: Literal["x", "y"]) -> AxisScale:
        return self.scales.x if axis == "x" else self.scales.y

    def _pieces(self, v: float) -> Iterator[tuple[float, float]]:
        """Where a row has room and something to cut, both ends on the scale."""
        x0, _, x1, _ = self.centre.bounds
        line = self.centre.intersection(shapely.LineString([(x0 - 1, v), (x1 + 1, v)]))
        reach = self.room.radius + RUN_PAST
        for piece in shapely.get_parts(line):
            if piece.geom_type != "LineString":
                continue
            cut = grown(piece, self.room.radius).intersection(self.left)
            if cut.area < LEAST_CUT:
                continue
            (a, _, b, _), (p0, _, p1, _) = piece.bounds, cut.bounds
            ends = self._ends(max(a, p0 - reach), min(b, p1 + reach))
            if ends is not None:
                yield ends

    def _ends(self, a: float, b: float) -> tuple[float, float] | None:
        sign, scale = self.way.signs[0], self._scale(self.way.along)
        inner = [
            [sign * p for p in scale.near(sign * end, 2) if a - 1e-9 <= sign * p <= b + 1e-9]
            for end in (a, b)
        ]
        return (inner[0][0], inner[1][0]) if all(inner) else None

    def _cut(self, u0: float, u1: float, v: float) -> None:
        """One row: back along the one before and over, or raised and brought there."""
        swept = grown(shapely.LineString([(u0, v), (u1, v)]), self.room.radius)
        taken = swept.intersection(self.metal).area
        self.too_wide += taken > TOO_WIDE * self.width * max(u1 - u0, self.room.radius)
        back = self.way.back
        if self._over(u0, v):
            assert self.last is not None
            self.stops.append(TableStop(self.way.along, back(u0, self.last[2])))
            self.stops.append(TableStop(self.way.across, back(u0, v)))
        else:
            self.stops.append(TableStop("down", back(u0, v)))
        if u1 > u0:
            self.stops.append(TableStop(self.way.along, back(u1, v)))
        self.left, self.metal = self.left.difference(swept), self.metal.difference(swept)
        self.last = (u0, u1, v)

    def _over(self, u0: float, v: float) -> bool:
        """Whether the next row can be reached at depth, in the track of the last one."""
        if self.last is None:
            return False
        begun, ended, at = self.last
        if not begun <= u0 <= ended:
            return False
        back = self.way.back
        return self.room.holds(back(ended, at), back(u0, at), back(u0, v))


def clearing_rows(
    room: CentreRoom,
    scales: TableScales,
    left: BaseGeometry,
    passes: HandPasses,
    driven: tuple[str, ...] = (),
) -> list[TableStop]:
    """The stops of rows that clear what is left, laid the way that takes the fewest for the hand,
    none wider than planned if it can be; along the axes that are `driven`, of "x" and "y"."""
    thin = CUSP_SLACK * passes.cusp + 2 * scales.coarsest + min(LEAST_ROW, passes.cusp)
    left = _worth(left, thin)
    if left.is_empty or room.centre.is_empty:
        return []
    best: _Rows | None = None
    for way in [w for w in WAYS if w.along in driven] or WAYS:
        rows = _Rows(
            room=room,
            scales=scales,
            way=way,
            width=passes.width,
            centre=way.turned(room.centre),
            left=way.turned(left),
            metal=way.turned(room.metal),
            stops=[],
        )
        rows.lay()
        if best is None or _rank(rows, thin) < _rank(best, thin):
            best = rows
    return best.stops if best else []


def _rank(rows: _Rows, thin: float) -> tuple[float, int, int]:
    """The smaller the better: uncut, rows too wide, stops."""
    return round(_worth(rows.left, thin).area, 1), rows.too_wide, len(rows.stops)


def _worth(left: BaseGeometry, thin: float) -> BaseGeometry:
    """What is worth a row: pieces wider than what stays between steps."""
    pieces = [p for p in polygons_of(left) if not p.buffer(-thin / 2).is_empty]
    return shapely.MultiPolygon(pieces)
