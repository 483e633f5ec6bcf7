"""The raw stock."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal, cast

import shapely

from gcodekit.geometry.flattening import disc, to_shapely
from gcodekit.geometry.tolerances import METAL_SAG
from gcodekit.job.keys import job_keys
from gcodekit.job.keys.reading import Table
from gcodekit.job.outlines.outlines import Outlines
from gcodekit.job.raw_stock import Stock
from gcodekit.job.stock.hollow_stock import BEYOND_ENDS

Axis = Literal["x", "y", "z"]


def read_stock(table: Table, outlines: Outlines) -> Stock | None:
    """The stock that [stock] describes."""
    table.checked()
    plates = table.count("stacked") or 1
    shape = table.one_of("block", "round", "tube", "outline", what="the shape of the stock")
    if shape == "outline":
        return _plate(table, outlines, plates)
    if table.has("thickness"):
        table.error("thickness", "is only for outline", "remove it")
    if shape == "tube":
        return _tube(table, plates)
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
        table.error("stacked", "only plates can be stacked", 'set axis = "z"')
    if diameter is None or length is None or axis is None:
        return None
    size = {"x": (length, diameter, diameter), "y": (diameter, length, diameter)}.get(
        axis, (diameter, diameter, length * plates)
    )
    over = _oversize(table, plates)
    stock = Stock(shape="round", size=size, axis=axis, plates=plates, oversize=over)
    return _within_reach(table, stock)


def _tube(table: Table, plates: int) -> Stock | None:
    """A round bar with a hole all along it."""
    tube = table.table("tube", job_keys.TUBE)
    bar = _round(table, tube, plates) if tube is not None else None
    bore = tube.length("bore") if tube is not None else None
    if bar is None or bore is None:
        return None
    diameter = _across(bar)
    if bore >= diameter:
        say = table.source.say
        table.error(
            ("tube", "bore"), f"{say(bore)} leaves no wall", f"give less than {say(diameter)}"
        )
        return None
    if bar.oversize:
        table.error("oversize", "does not go with a tube", "remove it")
        return None
    return replace(bar, hollow=disc((diameter / 2, diameter / 2), bore / 2))


def _across(bar: Stock) -> float:
    """A bar's diameter: its two sizes that are the same."""
    return bar.size["xyz".index(bar.axis) - 1]


def _plate(table: Table, outlines: Outlines, plates: int) -> Stock | None:
    """A plate of some shape, or a stack of them: the block round it without what it lacks."""
    outline, thick = outlines.region(table, "outline"), table.length("thickness")
    if not table.has("thickness"):
        table.error("thickness", "is missing", "add it: thickness of the plate")
    if table.length("oversize"):
        table.error("oversize", "does not go with outline", "remove it")
        return None
    if outline is None or thick is None:
        return None
    shape = to_shapely(outline, METAL_SAG)
    x0, y0, x1, y1 = shape.bounds
    block = shapely.box(0.0, 0.0, x1 - x0, y1 - y0)
    hollow = block.buffer(BEYOND_ENDS, join_style="mitre").difference(
        shapely.affinity.translate(shape, -x0, -y0)
    )
    size = (x1 - x0, y1 - y0, thick * plates)
    return _within_reach(table, Stock(shape="block", size=size, plates=plates, hollow=hollow))


def _oversize(table: Table, plates: int) -> float:
    """Find how much further out sides may lie that are not yet machined."""
    over = table.length("oversize") or 0.0
    if over and plates > 1:
        table.error("oversize", "does not go with stacked", "remove it")
        return 0.0
    return over


def _within_reach(table: Table, stock: Stock) -> Stock | None:
    """The stock, unless a stack of it is higher than any mill."""
    if stock.size[2] > 10_000:
        table.error("stacked", "the stack is more than 10 m high", "check the number of plates")
        return None
    return stock
