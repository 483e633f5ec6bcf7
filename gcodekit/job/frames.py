"""How the raw stock sits in a set-up: the frame a programmer sees, and the box in it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, cast

from gcodekit.job.model import RawStock, Stock

Vector = tuple[float, float, float]
Matrix = tuple[Vector, Vector, Vector]
Axis = Literal["x", "y", "z"]

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

    def direction_in_stock(self, away: tuple[float, float]) -> Vector:
        """A direction of the set-up's plane in the stock's own frame, rounded: to be compared."""
        x, y = self.axes[:2]
        seen = (round(away[0] * x[k] + away[1] * y[k], 6) + 0.0 for k in range(3))
        return cast("Vector", tuple(seen))

    def in_stock(self, zero: Vector) -> Vector:
        """Program zero in the stock's own frame."""
        corner = [min(0.0, along(row, self.stock.size)) for row in self.axes]
        seen = [z + c for z, c in zip(zero, corner, strict=True)]
        return cast(
            "Vector",
            tuple(sum(seen[i] * self.axes[i][k] for i in range(3)) + 0.0 for k in range(3)),
        )
