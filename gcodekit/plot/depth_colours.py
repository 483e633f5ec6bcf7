"""Depths told apart by ink: from light ochre to dark blue, readable in grey and without red and
green; deeper is also drawn stronger. Where there are more floors than inks can tell apart, those of
like ink are told apart by their dashes."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

# Lightness falls all along the ramp (CIE L about 65, 38, 12).
_STOPS = ((0.0, (202, 148, 48)), (0.5, (32, 98, 112)), (1.0, (30, 22, 76)))
# More than five neighbours are hard to tell apart in grey print.
MOST_INKS = 5
# Cuts of like ink, the shallowest first: unbroken, dashed, dashed and dotted, mm; all longer than
# the dashes of rapids.
DASHES = ("none", "4 1.3", "4 1.1 0.1 1.1")
MOST_BANDS = MOST_INKS * len(DASHES)
_SAME_DEPTH = 1e-3
# Stroke widths, mm, of the shallowest and the deepest: all thinner than an edge of the part.
_THIN, _STRONG = 0.2, 0.36


@dataclass(frozen=True, slots=True)
class DepthBand:
    """Cuts from `low` to `high`, mm; `ink`, stroke width, mm, and `dash`. `floor`: that of the
    drawing which they lead down to, None where there is none."""

    low: float
    high: float
    ink: str
    stroke: float
    floor: float | None = None
    dash: str = DASHES[0]


def bands_of(depths: Iterable[float], floors: Iterable[float] = ()) -> tuple[DepthBand, ...]:
    """Bands for these lowest z, descending: down to each of the drawing's floors, and below the
    lowest of them; without floors one for each depth where there are few, else those in each of as
    many even steps."""
    found = _apart(depths)
    if not found:
        return ()
    levels = _apart(floors)
    rows = _down_to(found, _fewest(levels)) if levels else _even(found)
    inks = min(len(rows), MOST_INKS)
    last = max(1, len(rows) - 1)
    bands: list[DepthBand] = []
    for i, (floor, row) in enumerate(rows):
        # the darker inks are shared: light dashes would look like rapids
        share = inks - 1 - (len(rows) - 1 - i) * inks // len(rows)
        ink = _ink(share / (inks - 1) if inks > 1 else 1.0)
        like = sum(band.ink == ink for band in bands)
        stroke = _THIN + (_STRONG - _THIN) * i / last
        bands.append(DepthBand(row[-1], row[0], ink, stroke, floor, DASHES[like]))
    return tuple(bands)


def _apart(heights: Iterable[float]) -> list[float]:
    """Descending, those that are the same but for rounding once."""
    found: list[float] = []
    for z in sorted(heights, reverse=True):
        if not found or found[-1] - z > _SAME_DEPTH:
            found.append(z)
    return found


def _fewest(floors: list[float]) -> list[float]:
    """No more floors than can be told apart: of two that are nearest the upper one goes."""
    floors = list(floors)
    while len(floors) > MOST_BANDS:
        gaps = [a - b for a, b in pairwise(floors)]
        del floors[gaps.index(min(gaps))]
    return floors


def _down_to(depths: list[float], floors: list[float]) -> list[tuple[float | None, list[float]]]:
    """Depths by the floor they lead down to; what is below all of them, by breaking through, is
    with the lowest."""
    rows: dict[float, list[float]] = {}
    for z in depths:
        floor = next((f for f in floors if z >= f - _SAME_DEPTH), floors[-1])
        rows.setdefault(floor, []).append(z)
    return list(rows.items())


def _even(depths: list[float]) -> list[tuple[float | None, list[float]]]:
    """Each by itself, or by even steps."""
    if len(depths) <= MOST_INKS:
        return [(None, [z]) for z in depths]
    step = (depths[0] - depths[-1]) / MOST_INKS
    rows: dict[int, list[float]] = {}
    for z in depths:
        rows.setdefault(min(int((depths[0] - z) / step), MOST_INKS - 1), []).append(z)
    return [(None, row) for row in rows.values()]


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
