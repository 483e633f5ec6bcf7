"""The raw stock."""

from __future__ import annotations

from typing import Literal, cast

from gcodekit.job import job_keys
from gcodekit.job.model import Stock
from gcodekit.job.reading import Table

Axis = Literal["x", "y", "z"]


def read_stock(table: Table) -> Stock | None:
    """The stock that [stock] describes."""
    table.checked()
    plates = table.count("stacked") or 1
    shape = table.one_of("block", "round", what="the stock's shape")
    if shape == "block":
        size = table.lengths("block", 3)
        if size is None:
            return None
        x, y, z = size
        over = _oversize(table, plates)
        size = (x, y, z * plates)
        block = Stock(shape="block", size=size, plates=plates, oversize=over)
        return _within_reach(table, block)
    bar = table.table("round", job_keys.ROUND) if shape == "round" else None
    return _round(table, bar, plates) if bar is not None else None


def _round(table: Table, bar: Table, plates: int) -> Stock | None:
    """A round bar, or a stack of discs."""
    diameter, length = bar.length("diameter"), bar.length("length")
    axis = cast("Axis | None", bar.choice("axis"))
    if plates > 1 and axis in ("x", "y"):
        table.error("stacked", "plates are stacked upwards", 'a stacked round has axis = "z"')
    if diameter is None or length is None or axis is None:
        return None
    size = {"x": (length, diameter, diameter), "y": (diameter, length, diameter)}.get(
        axis, (diameter, diameter, length * plates)
    )
    over = _oversize(table, plates)
    stock = Stock(shape="round", size=size, axis=axis, plates=plates, oversize=over)
    return _within_reach(table, stock)


def _oversize(table: Table, plates: int) -> float:
    """How much further out sides may lie that are not yet machined."""
    over = table.length("oversize") or 0.0
    if over and plates > 1:
        table.error("oversize", "plates of a stack are as thick as they are", "leave it out")
        return 0.0
    return over


def _within_reach(table: Table, stock: Stock) -> Stock | None:
    """The stock, unless a stack of it is higher than any mill."""
    if stock.size[2] > 10_000:
        table.error("stacked", "the stack is over 10 m high", "check the number of plates")
        return None
    return stock
