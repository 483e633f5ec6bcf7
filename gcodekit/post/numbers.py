"""Numbers as a control reads them.

Positions are whole counts of the last decimal: what was written is known exactly, so rounding
never adds up along a path.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from gcodekit.units import MM_PER_INCH

# A count short of the next by less than this share of one is that count: arithmetic, not size.
COUNT_HAIR = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class ControlGrid:
    """The control's resolution: `counts_per_mm` counts, of `decimals` decimals of its unit.
    `feed_max`: what the machine feeds at most, mm/min."""

    inch: bool
    decimals: int
    feed_decimals: int
    point: bool
    feed_max: float = math.inf

    @property
    def counts_per_mm(self) -> float:
        """Counts of the last decimal in a millimetre."""
        return float(10**self.decimals) / (MM_PER_INCH if self.inch else 1.0)

    def count(self, mm: float) -> int:
        """The nearest whole count.

        Raises
        ------
        ValueError
            For anything but a finite number: a defect of the plan, never written.
        """
        if not math.isfinite(mm):
            raise ValueError(f"a coordinate of {mm} cannot be written")
        return round(mm * self.counts_per_mm)

    def text(self, count: int) -> str:
        """A count as the control reads it.

        Examples
        --------
        >>> grid = ControlGrid(inch=False, decimals=4, feed_decimals=1, point=False)
        >>> grid.text(grid.count(-0.25)), grid.text(grid.count(12.00001)), grid.text(-0)
        ('-0.25', '12', '0')
        """
        return _decimal(count, self.decimals, self.point)

    def feed(self, mm_per_min: float) -> str:
        """A feed in the control's unit a minute: the nearest that can be written, never nothing,
        and never above the machine's for its rounding alone.

        Examples
        --------
        >>> grid = ControlGrid(inch=True, decimals=5, feed_decimals=2, point=False, feed_max=500)
        >>> grid.feed(500), grid.feed(499.7)
        ('19.68', '19.67')
        """
        value = mm_per_min / (MM_PER_INCH if self.inch else 1.0) * 10**self.feed_decimals
        if not (math.isfinite(value) and value > 0):
            raise ValueError(f"a feed of {mm_per_min} cannot be written")
        count = round(value)
        if count * self._feed_step > self.feed_max >= mm_per_min * (1 - COUNT_HAIR):
            count = math.floor(value + COUNT_HAIR)
        return _decimal(max(1, count), self.feed_decimals, False)

    def slow_feed(self, mm_per_min: float) -> float:
        """The feed that can be written next below, or the slowest there is."""
        return self._feed_step * max(1, math.floor(mm_per_min / self._feed_step + COUNT_HAIR))

    @property
    def _feed_step(self) -> float:
        """One count of a feed's last decimal, mm/min."""
        return (MM_PER_INCH if self.inch else 1.0) / float(10**self.feed_decimals)


def _decimal(count: int, decimals: int, point: bool) -> str:
    sign = "-" if count < 0 else ""
    whole, part = divmod(abs(count), 10**decimals)
    fraction = f"{part:0{decimals}d}".rstrip("0") if decimals else ""
    return f"{sign}{whole}.{fraction}" if fraction or point else f"{sign}{whole}"


def seconds(value: float) -> str:
    """A dwell, seconds with at most two decimals."""
    return _decimal(max(0, math.ceil(value * 100 - COUNT_HAIR)), 2, False)


def whole_speed(speed: float, slowest: float, fastest: float) -> float:
    """The whole rev/min nearest to a speed that a spindle of these limits can turn; the speed
    itself where there is none within them.

    Examples
    --------
    >>> whole_speed(999.6, 100, 999.6), whole_speed(62.5, 62.5, 500), whole_speed(62.5, 62.5, 62.6)
    (999, 63, 62.5)
    """
    low, high = math.ceil(slowest - COUNT_HAIR), math.floor(fastest + COUNT_HAIR)
    inside = slowest - COUNT_HAIR <= speed <= fastest + COUNT_HAIR
    if not inside:
        return round(speed)
    return min(max(round(speed), low), high) if low <= high else speed
