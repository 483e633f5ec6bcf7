"""The pieces that a set-up parts the stock into, and the one of them that a later set-up takes.

They are found from sections, in the coordinates of the set-up that parts them: layers between the
heights where a section changes, each in areas, and areas of neighbouring layers that lie over one
another are of one piece.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.flattening import polygons_of
from gcodekit.geometry.overlay import less
from gcodekit.job.model import Piece, Setup
from gcodekit.job.stock.frames import Frame, seen_from
from gcodekit.job.stock.raw_metal import stock_levels, stock_plan, stock_section
from gcodekit.job.stock.removed_stock import BEYOND, Removed, Slab, apart, union_of

# Stock thinner than twice this joins nothing, mm.
HAIR = 0.002
# A piece that is nowhere wider than twice this, mm, is a crumb: it drops out.
CRUMB = 0.05
# Where a section changes all the way between two levels it is looked at at these shares of that.
SLOPING_LOOKS = (0.01, 0.25, 0.5, 0.75, 0.99)
# Beside a piece so much is left of the gap round it, mm, or half the gap: its own walls are not
# cut again.
BESIDE_PIECE = 0.05


@dataclass(frozen=True, slots=True)
class StockPiece:
    """A piece, as areas between heights: set-up coordinates, mm."""

    layers: tuple[Slab, ...]

    @property
    def middle(self) -> tuple[float, float, float]:
        """A place in it: in the middle of its largest layer."""
        most = max(self.layers, key=lambda s: s.area.area * (s.high - s.low))
        widest = max(polygons_of(most.area), key=lambda p: p.area)
        x, y, z = *widest.centroid.coords[0], (most.low + most.high) / 2
        if not widest.contains(shapely.Point(x, y)):
            point = widest.representative_point()
            x, y = point.x, point.y
        return (x, y, z)

    def holds(self, at: Sequence[float]) -> bool:
        """Tell whether a place is in it; one of x and y alone, whether it is over or under it."""
        point = shapely.Point(at[0], at[1])
        near = self.layers if len(at) == 2 else [s for s in self.layers if s.low <= at[2] <= s.high]
        return any(s.area.distance(point) <= HAIR for s in near)


def pieces_after(setup: Setup, cut: Sequence[Slab]) -> list[StockPiece]:
    """The pieces that the stock is in once a set-up has taken `cut`, crumbs left out."""
    own = Removed(cut, seen_from(Frame.of(setup), Frame.of(setup)))
    removals = (*setup.gone, own)
    bottom, top = setup.raw.low[2], setup.raw.high[2]
    levels = (z for r in removals for z in r.levels if bottom < z < top)
    heights = apart([bottom, top, *levels, *stock_levels(setup.raw)])
    upright = all(r.upright for r in removals) and not stock_levels(setup.raw)
    looks = (0.5,) if upright else SLOPING_LOOKS
    layers: list[list[Slab]] = []
    for low, high in pairwise(heights):
        edges = [low, *(low + (a + b) / 2 * (high - low) for a, b in pairwise(looks)), high]
        for (a, b), share in zip(pairwise(edges), looks, strict=True):
            z = low + share * (high - low)
            gone = union_of([r.section(z) for r in removals])
            there = less(stock_section(setup.raw, z), gone)
            layers.append([Slab(p, a, b) for p in polygons_of(there) if _some(p, HAIR)])
    pieces = [StockPiece(tuple(p)) for p in _joined(layers)]
    return [p for p in pieces if any(_some(s.area, CRUMB) for s in p.layers)]


def _some(area: BaseGeometry, thin: float) -> bool:
    return not area.buffer(-thin).is_empty


def _joined(layers: Sequence[Sequence[Slab]]) -> list[list[Slab]]:
    """Slabs by the piece they are of: those of neighbouring layers that share more than a hair."""
    every = [slab for layer in layers for slab in layer]
    whose = list(range(len(every)))

    def root(i: int) -> int:
        while whose[i] != i:
            i = whose[i]
        return i

    first = 0
    for lower, upper in pairwise(layers):
        second = first + len(lower)
        for i, a in enumerate(lower, first):
            for j, b in enumerate(upper, second):
                if _some(a.area.intersection(b.area), HAIR):
                    whose[root(i)] = root(j)
        first = second
    found: dict[int, list[Slab]] = {}
    for i, slab in enumerate(every):
        found.setdefault(root(i), []).append(slab)
    return list(found.values())


def others_gone(setup: Setup, pieces: Sequence[StockPiece], chosen: StockPiece) -> tuple[Slab, ...]:
    """All but one of the pieces that a set-up leaves, in its coordinates: what is no longer there
    for a set-up that takes that one."""
    frame = stock_plan(setup.raw).envelope.buffer(BEYOND, join_style="mitre")
    heights = apart(z for p in pieces for s in p.layers for z in (s.low, s.high))
    found: list[Slab] = []
    for low, high in pairwise(heights):
        others = [s.area for p in pieces if p is not chosen for s in _within(p, low, high)]
        if not others:
            continue
        kept = [s.area for s in _within(chosen, low, high)]
        found.append(Slab(_beside(frame, kept, others) if kept else frame, low, high))
    return tuple(_out_to_ends(found, heights))


def _beside(
    frame: BaseGeometry, kept: Sequence[BaseGeometry], others: Sequence[BaseGeometry]
) -> BaseGeometry:
    """All round what is kept, up to a little beside it."""
    own, rest = union_of(kept), union_of(others)
    beside = min(BESIDE_PIECE, own.distance(rest) / 2)
    return less(frame, own.buffer(beside, join_style="mitre"))


def _within(piece: StockPiece, low: float, high: float) -> Iterator[Slab]:
    middle = (low + high) / 2
    return (s for s in piece.layers if s.low < middle < s.high)


def _out_to_ends(slabs: Sequence[Slab], heights: Sequence[float]) -> Iterator[Slab]:
    """Those at bottom and top go on beyond the stock."""
    for s in slabs:
        low = s.low - BEYOND if s.low == heights[0] else s.low
        high = s.high + BEYOND if s.high == heights[-1] else s.high
        yield Slab(s.area, low, high)


def piece_at(pieces: Sequence[StockPiece], piece: Piece) -> list[int]:
    """The numbers of the pieces that stand at the place of a choice: one, if it is sound."""
    return [i for i, p in enumerate(pieces) if p.holds(piece.at)]
