"""Depths told apart by ink: from light ochre to dark blue, readable in grey and without red and
green; deeper is also drawn stronger."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

# Lightness falls all along the ramp (CIE L about 65, 38, 12).
_STOPS = ((0.0, (202, 148, 48)), (0.5, (32, 98, 112)), (1.0, (30, 22, 76)))
# More than five neighbours are hard to tell apart in grey print.
MOST_BANDS = 5
_SAME_DEPTH = 1e-3


@dataclass(frozen=True, slots=True)
class DepthBand:
    """Cuts from `low` to `high`, mm; `ink` and stroke width, mm."""

    low: float
    high: float
    ink: str
    stroke: float


def bands_of(depths: Iterable[float]) -> tuple[DepthBand, ...]:
    """Bands for these lowest z, descending: one for each where there are few, else those
    in each of as many even steps."""
    found: list[float] = []
    for z in sorted(depths, reverse=True):
        if not found or found[-1] - z > _SAME_DEPTH:
            found.append(z)
    if not found:
        return ()
    if len(found) <= MOST_BANDS:
        pairs = [(z, z) for z in found]
    else:
        step = (found[0] - found[-1]) / MOST_BANDS
        rows: dict[int, list[float]] = {}
        for z in found:
            rows.setdefault(min(int((found[0] - z) / step), MOST_BANDS - 1), []).append(z)
        pairs = [(row[-1], row[0]) for row in rows.values()]
    last = max(1, len(pairs) - 1)
    return tuple(
        DepthBand(low, high, _ink(i / last if len(pairs) > 1 else 1.0), 0.28 + 0.34 * i / last)
        for i, (low, high) in enumerate(pairs)
    )


def band_at(bands: tuple[DepthBand, ...], z: float) -> int:
    """Index of the band a depth lies in."""
    return min(bisect_left([-b.low for b in bands], -z - _SAME_DEPTH), len(bands) - 1)


def _ink(share: float) -> str:
    for (a, below), (b, above) in pairwise(_STOPS):
        if share <= b:
            t = (share - a) / (b - a)
            mixed = (round(x + t * (y - x)) for x, y in zip(below, above, strict=True))
            return "#" + "".join(f"{c:02x}" for c in mixed)
    raise ValueError(share)
