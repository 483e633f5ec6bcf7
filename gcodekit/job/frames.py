"""How the raw stock sits in a set-up: the frame a programmer sees, the box in it, and how one
set-up's frame is seen from another."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, cast

from gcodekit.job.model import RawStock, Setup, Stock

Vector = tuple[float, float, float]
Matrix = tuple[Vector, Vector, Vector]
Axis = Literal["x", "y", "z"]
# Two opposite corners.
Box3 = tuple[Vector, Vector]

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
class Sitting:
    """Stock as it sits, its own left front bottom corner (as it sits) at 0, 0, 0."""

    stock: Stock
    axes: Matrix
    size: Vector
    axis: Axis

    @staticmethod
    def of(stock: Stock, up: str, quarter_turns: int) -> Sitting:
        """How stock sits with a face up and then turned."""
        axes = seen_axes(up, quarter_turns)
        x, y, z = (abs(along(row, stock.size)) for row in axes)
        unit = {"x": (1, 0, 0), "y": (0, 1, 0), "z": (0, 0, 1)}[stock.axis]
        seen = next(i for i, row in enumerate(axes) if along(row, unit) != 0)
        return Sitting(stock, axes, (x, y, z), cast("Axis", "xyz"[seen]))

    def raw(self, zero: Vector) -> RawStock:
        """The raw stock in program coordinates, program zero at `zero` from the corner."""
        low = minus(zero)
        high = tuple(s - z for s, z in zip(self.size, zero, strict=True))
        return RawStock(
            shape=self.stock.shape,
            low=low,
            high=cast("Vector", high),
            axis=self.axis,
            plates=self.stock.plates,
        )

    def metal_left(self, zero: Vector, limits: Box3) -> RawStock:
        """The least block or bar, of those the raw one can be cut down to, round the metal within
        `limits` (stock's frame): a bar cut along its sides counts as a block."""
        raw = self.raw(zero)
        low, high = self.limits(limits)
        low = cast("Vector", tuple(v - z for v, z in zip(low, zero, strict=True)))
        high = cast("Vector", tuple(v - z for v, z in zip(high, zero, strict=True)))
        along = "xyz".index(self.axis)
        across = [i for i in range(3) if i != along]
        whole = all(low[i] == raw.low[i] and high[i] == raw.high[i] for i in across)
        shape = self.stock.shape if whole else "block"
        return RawStock(shape=shape, low=low, high=high, axis=self.axis, plates=raw.plates)

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
class Seen:
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


def seen_from(other: Frame, mine: Frame) -> Seen:
    """How `other`'s coordinates turn into `mine`'s."""
    between = cast("Vector", tuple(o - m for o, m in zip(other.origin, mine.origin, strict=True)))
    turned = [cast("Vector", tuple(along(row, o) for o in other.axes)) for row in mine.axes]
    shift = [along(row, between) for row in mine.axes]
    return Seen(cast("Matrix", tuple(turned)), cast("Vector", tuple(shift)))
