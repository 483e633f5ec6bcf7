"""Stock that is not all metal: a tube, a plate of some shape. Kept as the bar or block round it and
what that lacks, so that all else may take it for metal an earlier set-up has cut."""

from __future__ import annotations

from gcodekit.job.raw_stock import Stock
from gcodekit.job.stock.frames import Frame, StockPlacement
from gcodekit.job.stock.removed_stock import Slab

# What lacks goes on beyond both ends by this, mm, so that no skin is left there.
BEYOND_ENDS = 1.0
# The face that is up when stock stands on its end.
STANDING = {"x": "right", "y": "back", "z": "top"}


def upright(stock: Stock) -> tuple[StockPlacement, Frame]:
    """The stock standing along its axis, and its coordinates then, from its corner."""
    sitting = StockPlacement.of(stock, STANDING[stock.axis], 0)
    return sitting, Frame(sitting.axes, sitting.in_stock((0.0, 0.0, 0.0)))


def lacking(stock: Stock) -> list[tuple[Frame, tuple[Slab, ...]]]:
    """Find what the stock lacks of its bar or block."""
    if stock.hollow is None:
        return []
    sitting, frame = upright(stock)
    return [(frame, (Slab(stock.hollow, -BEYOND_ENDS, sitting.size[2] + BEYOND_ENDS),))]
