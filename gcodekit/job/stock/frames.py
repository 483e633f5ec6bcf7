"""How the raw stock sits in a set-up: the frame a programmer sees, the box in it, and how one
set-up's frame is seen from another."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal, cast

from gcodekit.job.model import Setup
from gcodekit.job.raw_stock import RawStock, Stock

Vector = tuple[float, float, float]
Matrix = tuple[Vector, Vector, Vector]
Axis = Literal["x", "y", "z"]
# Two opposite corners.
Box3 = tuple[Vector, Vector]
NO_OVERSIZE: Box3 = ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0))

# What each of the programmer's axes is in the stock's frame: rows x, y, z.
_SEEN: dict[str, Matrix] = {
    "top": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "bottom": ((1, 0, 0), (0, -1, 0), (0, 0, -1)),
    "front": ((1, 0, 0), (0, 0, 1), (0, -1, 0)),
    "back": ((1, 0, 0), (0, 0, -1), (0, 1, 0)),
    "left": ((0, 0, 1), (0, 1, 0), (-1, 0, 0)),
    "right": ((0, 0, -1), (0, 1, 0), (1, 0, 0)),
}


def minus(a: Vector) -> Vector:
    """-a, without negative zeros."""
    return (0.0 - a[0], 0.0 - a[1], 0.0 - a[2])


def seen_axes(up: str, quarter_turns: int) -> Matrix:
    """Rows: the programmer's x, y, z in the stock's frame. The work itself is turned
    counter-clockwise: after a quarter turn what was +X points away (+y)."""
    x, y, z = _SEEN[up]
    for _ in range(quarter_turns % 4):
        x, y = minus(y), x
    return (x, y, z)


def along(row: Vector, p: Vector) -> float:
    """The component of `p` along `row`."""
    return row[0] * p[0] + row[1] * p[1] + row[2] * p[2]


@dataclass(frozen=True, slots=True)
class StockPlacement:
    """Stock as it sits, its own left front bottom corner (as it sits) at 0, 0, 0."""

    stock: Stock
    axes: Matrix
    size: Vector
    axis: Axis

    @staticmethod
    def of(stock: Stock, up: str, quarter_turns: int) -> StockPlacement:
        """Find how stock sits with a face up and then turned."""
        axes = seen_axes(up, quarter_turns)
        x, y, z = (abs(along(row, stock.size)) for row in axes)
        unit = {"x": (1, 0, 0), "y": (0, 1, 0), "z": (0, 0, 1)}[stock.axis]
        seen = next(i for i, row in enumerate(axes) if along(row, unit) != 0)
        return StockPlacement(stock, axes, (x, y, z), cast("Axis", "xyz"[seen]))

    def raw(self, zero: Vector, over: Box3 = NO_OVERSIZE) -> RawStock:
        """The raw stock in program coordinates, program zero at `zero` from the corner, `over`
        larger on its low and its high sides."""
        low = tuple(0.0 - z - o for z, o in zip(zero, over[0], strict=True))
        high = tuple(s - z + o for s, z, o in zip(self.size, zero, over[1], strict=True))
        return RawStock(
            shape=self.stock.shape,
            low=cast("Vector", low),
            high=cast("Vector", high),
            axis=self.axis,
            plates=self.stock.plates,
        )

    def metal_left(self, zero: Vector, limits: Box3, over: Box3 = NO_OVERSIZE) -> RawStock:
        """The least block or bar, of those the raw one can be cut down to, round the metal within
        `limits` (stock's frame, the oversize of all sides counted in), `over` as `raw` has it: a
        bar cut along its sides counts as a block."""
        raw = self.raw(zero, over)
        low, high = self.within(limits, over)
        low = cast("Vector", tuple(v - z for v, z in zip(low, zero, strict=True)))
        high = cast("Vector", tuple(v - z for v, z in zip(high, zero, strict=True)))
        along = "xyz".index(self.axis)
        across = [i for i in range(3) if i != along]
        whole = all(low[i] == raw.low[i] and high[i] == raw.high[i] for i in across)
        shape = self.stock.shape if whole else "block"
        return RawStock(shape=shape, low=low, high=high, axis=self.axis, plates=raw.plates)

    def within(self, limits: Box3, over: Box3) -> Box3:
        """Limits from this sitting's own corner, no further out than the raw stock and `over`."""
        low, high = self.limits(limits)
        return (
            cast("Vector", tuple(max(v, 0.0 - o) for v, o in zip(low, over[0], strict=True))),
            cast(
                "Vector",
                tuple(min(v, s + o) for v, s, o in zip(high, self.size, over[1], strict=True)),
            ),
        )

    def raw_sides(self, limits: Box3) -> tuple[list[bool], list[bool]]:
        """Of the low and the high sides of x, y, z, which may lie further out than drawn."""
        most = self.stock.oversize
        low, high = self.limits(limits)
        return (
            [most > 0 and v < -1.5 * most for v in low],
            [most > 0 and v > s + 1.5 * most for v, s in zip(high, self.size, strict=True)],
        )

    def spare(self, limits: Box3, touched: Collection[tuple[int, int]]) -> Box3:
        """Find how much further out than drawn each side may lie: those still raw, but the ones
        that zero is touched on and the bottom, under which nothing is cut then. From a raw side
        that is touched the other is away by what both may be bigger. `touched`: axis, and 0 for its
        low side or 1 for its high one."""
        most, raw = self.stock.oversize, self.raw_sides(limits)
        found = [[0.0] * 3, [0.0] * 3]
        for i, e in ((i, e) for i in range(3) for e in (0, 1)):
            if raw[e][i] and (i, e) not in touched:
                found[e][i] = most * (2 if raw[1 - e][i] and (i, 1 - e) in touched else 1)
        if self.stock.shape == "round" and (any(raw[0]) or any(raw[1])):
            # a bar stays round
            found = [[2 * most if r else 0.0 for r in side] for side in raw]
        elif self.axis == "z" or self.stock.shape == "block":
            found[0][2] = 0.0
        return cast("Box3", (tuple(found[0]), tuple(found[1])))

    def raw_bottom(self, limits: Box3, touched: Collection[tuple[int, int]]) -> float:
        """Find how much lower than drawn the bottom may lie."""
        low, high = self.raw_sides(limits)
        if not low[2] or (2, 0) in touched:
            return 0.0
        return self.stock.oversize * (2 if high[2] and (2, 1) in touched else 1)

    def limits(self, box: Box3) -> Box3:
        """A box of the stock's frame as it sits, from this sitting's own corner."""
        ends = [self._from_corner(p) for p in box]
        low, high = ([f(a, b) for a, b in zip(*ends, strict=True)] for f in (min, max))
        return cast("Box3", (tuple(low), tuple(high)))

    def _from_corner(self, p: Vector) -> Vector:
        corner = (min(0.0, along(row, self.stock.size)) for row in self.axes)
        found = (along(row, p) - c for row, c in zip(self.axes, corner, strict=True))
        return cast("Vector", tuple(found))

    def in_stock(self, zero: Vector) -> Vector:
        """Program zero in the stock's own frame."""
        corner = [min(0.0, along(row, self.stock.size)) for row in self.axes]
        seen = [z + c for z, c in zip(zero, corner, strict=True)]
        return cast(
            "Vector",
            tuple(sum(seen[i] * self.axes[i][k] for i in range(3)) + 0.0 for k in range(3)),
        )


def grown(stock: Stock) -> Box3:
    """The box of the raw stock at its largest, zero touched on any side, in its own frame."""
    x, y, z = stock.size
    o = 2 * stock.oversize
    return ((0.0 - o, 0.0 - o, 0.0 - o), (x + o, y + o, z + o))


@dataclass(frozen=True, slots=True)
class Frame:
    """Axes and origin in the stock's frame."""

    axes: Matrix
    origin: Vector

    @staticmethod
    def of(setup: Setup) -> Frame:
        """A set-up's program coordinates."""
        return Frame(seen_axes(setup.up, round(setup.turn / (math.pi / 2))), setup.origin)


# The stock's own: corner left front bottom at 0, 0, 0.
STOCK_FRAME = Frame(seen_axes("top", 0), (0.0, 0.0, 0.0))


@dataclass(frozen=True, slots=True)
class FrameView:
    """How another frame's coordinates turn into those at hand: `turned` (rows: the axes at hand in
    the other frame; entries -1, 0 or 1), then moved by `shift`, mm."""

    turned: Matrix
    shift: Vector

    @property
    def upright(self) -> bool:
        """Whether both have the same line for z: the same face up, or the opposite one."""
        return self.turned[2][2] != 0

    def z(self, own: float) -> float:
        """A height of the other frame, where both are upright."""
        return self.turned[2][2] * own + self.shift[2]

    def own_z(self, z: float) -> float:
        """A height as the other frame has it, where both are upright."""
        return self.turned[2][2] * (z - self.shift[2])

    def point(self, p: Vector) -> Vector:
        """A place of the other frame."""
        x, y, z = (along(row, p) + s for row, s in zip(self.turned, self.shift, strict=True))
        return (x, y, z)


def seen_from(other: Frame, mine: Frame) -> FrameView:
    """Find how `other`'s coordinates turn into `mine`'s."""
    between = cast("Vector", tuple(o - m for o, m in zip(other.origin, mine.origin, strict=True)))
    turned = [cast("Vector", tuple(along(row, o) for o in other.axes)) for row in mine.axes]
    shift = [along(row, between) for row in mine.axes]
    return FrameView(cast("Matrix", tuple(turned)), cast("Vector", tuple(shift)))
