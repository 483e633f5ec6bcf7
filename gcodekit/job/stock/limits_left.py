"""The limits of the stock that set-ups have left: its box, found by sections from each side."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import cast

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.flattening import polygons_of
from gcodekit.geometry.overlay import less
from gcodekit.geometry.tolerances import METAL_SAG
from gcodekit.job.raw_stock import RawStock, Stock
from gcodekit.job.stock.frames import (
    Box3,
    Frame,
    StockPlacement,
    Vector,
    along,
    minus,
    seen_axes,
)
from gcodekit.job.stock.raw_metal import stock_levels, stock_section
from gcodekit.job.stock.removed_stock import SAME_HEIGHT, Slab, apart, removed_by, union_of

FACES = ("top", "bottom", "front", "back", "left", "right")
# Metal thinner than twice this is none, mm.
_THIN_METAL = 0.001
# A round cut's chords take this much more than the arc at most, mm: what ends so near a limit, ends
# there.
_CHORD = 2 * METAL_SAG
# Looks taken for the highest metal before it is taken to end where the last one was.
_MOST_TRIES = 3000


def limits_left(
    stock: Stock, cuts: Sequence[tuple[Frame, Sequence[Slab]]], limits: Box3
) -> Box3 | None:
    """The box of the metal left, in the stock's frame; None where there is none.

    Parameters
    ----------
    cuts : every set-up's coordinates and what is gone after it
    limits : the box of the metal before the last of them
    """
    low, high = list(limits[0]), list(limits[1])
    for up in FACES:
        frame = Frame(seen_axes(up, 0), (0.0, 0.0, 0.0))
        axis = frame.axes[2]
        along_axis = next(i for i in range(3) if axis[i])
        ends = high if axis[along_axis] > 0 else low
        top = _top_left(stock, up, cuts, frame, axis[along_axis] * ends[along_axis])
        if top is None:
            return None
        ends[along_axis] = axis[along_axis] * top
    return cast("Box3", (tuple(low), tuple(high)))


def _top_left(
    stock: Stock,
    up: str,
    cuts: Sequence[tuple[Frame, Sequence[Slab]]],
    frame: Frame,
    top: float,
) -> float | None:
    """Find how high the metal still stands with a face up, at most `top`."""
    corner = minus(StockPlacement.of(stock, up, 0).in_stock((0.0, 0.0, 0.0)))
    zero = cast("Vector", tuple(along(a, corner) for a in frame.axes))
    over = (2 * stock.oversize,) * 3
    raw = StockPlacement.of(stock, up, 0).raw(zero, (over, over))
    removed = removed_by(cuts, frame)
    tries = 0

    def stands(low: float, high: float) -> bool:
        nonlocal tries
        tries += 1
        if tries > _MOST_TRIES:
            return True
        pieces = [p for r in removed for p in r.throughout(low, high)]
        whole = _widest(raw, low, high)
        if _plenty_left(whole, pieces):
            return True
        left = less(whole, union_of(pieces))
        return any(not p.buffer(-_THIN_METAL).is_empty for p in polygons_of(left))

    if top - raw.low[2] > SAME_HEIGHT and stands(top - SAME_HEIGHT, top):
        return top
    seen = (z for r in removed for z in r.levels if raw.low[2] < z < top)
    heights = apart([raw.low[2], *stock_levels(raw), *seen, top])
    for low, high in reversed(list(pairwise(heights))):
        found = _highest(stands, low, high)
        if found is not None:
            return next(z for z in (top, high, found) if z - found < _CHORD)
    return None


def _plenty_left(whole: BaseGeometry, gone: Sequence[BaseGeometry]) -> bool:
    """Tell whether more is left than slivers along every edge could hold: found without putting any
    areas together."""
    edges = whole.length + sum(p.length for p in gone)
    return bool(whole.area - sum(p.area for p in gone) > _THIN_METAL * edges)


def _highest(stands: Callable[[float, float], bool], low: float, high: float) -> float | None:
    """The greatest height between two at which anything stands, to SAME_HEIGHT, never too low.
    `stands` may count what stands at different heights between those it is given."""
    if not stands(low, high):
        return None
    if high - low < SAME_HEIGHT or stands(high - SAME_HEIGHT, high):
        return high
    middle = (low + high) / 2
    above = _highest(stands, middle, high)
    return above if above is not None else _highest(stands, low, middle)


def _widest(raw: RawStock, low: float, high: float) -> BaseGeometry:
    """The raw stock's widest section between two heights."""
    axis = (raw.low[2] + raw.high[2]) / 2
    return stock_section(raw, min(max(axis, low), high))
