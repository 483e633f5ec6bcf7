"""Cutting along a line: kerfs round a closed outline with tabs left standing, and open runs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.flattening import nearest
from gcodekit.toolpath.entry import ramp_along, ramp_round
from gcodekit.toolpath.leads import Leads
from gcodekit.toolpath.path import APPROACH, Path

Span = tuple[float, float]

# Steps by which a path is looked along for what stands beside it, mm: what is missed between two
# of them is 0.0008 mm deep beside a cutter of 2 mm.
LOOK = 0.08
# The cutter stays this far from what it must not touch, mm; less than it need not come near.
KERF_CLEAR = 1e-3
# Runs shorter than this, mm, are none.
SHORTEST_KERF = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Kerf:
    """A closed ring of the cutter's centre, turned the way it is cut.

    `tabs` are spans along the ring (mm from its start; one may run over the start) that are
    crossed at `tab_top`.
    """

    ring: Chain
    tabs: tuple[Span, ...] = ()
    tab_top: float = 0.0

    def rough(self, path: Path, levels: Sequence[float], top: float, *, again: int = 0) -> None:
        """Down through `levels` in solid metal, staying down; the last of them `again` times."""
        ring = self.ring
        path.over(ring.start)
        path.drop(top + APPROACH)
        path.sink(top)
        above = top
        for z in [*levels, *([levels[-1]] * again)]:
            if not self.tabs or z >= self.tab_top - 1e-9:
                ring = ramp_round(path, ring, z)
                path.follow(ring)
            else:
                base, spans = self._from_first_tab()
                if path.z >= self.tab_top - 1e-9:
                    self._round_to_start(path, base)
                over_tabs(path, base, spans, tab_top=self.tab_top, above=above, z=z)
            above = z

    def finish(self, path: Path, leads: Leads, top: float, z: float, *, rounds: int) -> None:
        """Once round (or more) at depth, on and off by the leads, over the tabs."""
        path.over(leads.on.start)
        path.drop(top + APPROACH)
        path.sink(z, feed=path.feed)
        path.follow(Chain((leads.on,)))
        spans = self.spans_on(leads.along) if z < self.tab_top - 1e-9 else ()
        for _ in range(rounds):
            over_tabs(path, leads.along, spans, tab_top=self.tab_top, above=self.tab_top, z=z)
        if leads.again is not None:
            path.follow(leads.again)
        path.follow(Chain((leads.off,)))

    def spans_on(self, turned: Chain) -> tuple[Span, ...]:
        """The tabs' spans along the same ring started elsewhere, off every tab."""
        length = self.ring.length
        shift = nearest(self.ring, turned.start)[0]
        moved = sorted(((a - shift) % length, b - a) for a, b in self.tabs)
        return tuple((a, a + run) for a, run in moved)

    def free_starts(self, starts: Sequence[float], margin: float) -> list[float]:
        """The places of the ring that lie off every tab by `margin`."""
        length = self.ring.length

        def off(s: float) -> bool:
            return all((s - a + margin) % length > b - a + 2 * margin for a, b in self.tabs)

        return [s for s in starts if off(s)]

    def _from_first_tab(self) -> tuple[Chain, tuple[Span, ...]]:
        base = self.ring.from_start_at(self.tabs[0][1])
        return base, self.spans_on(base)

    def _round_to_start(self, path: Path, base: Chain) -> None:
        if path.at is None:
            return
        s, _ = nearest(base, path.at)
        if 1e-6 < s < base.length - 1e-6:
            path.follow(base.between(s, base.length))


def over_tabs(
    path: Path, chain: Chain, spans: Sequence[Span], *, tab_top: float, above: float, z: float
) -> None:
    """Along `chain` at `z`, rising to `tab_top` over each span; metal stands up to `above`."""
    at = 0.0
    for start, end in spans:
        # on a short ring one tab may begin where, or before, the last one ends
        if start > at + SHORTEST_KERF:
            _run(path, chain.between(at, start), above, z)
            at = start
        if end > at + SHORTEST_KERF:
            path.rise(tab_top)
            path.follow(chain.between(at, end))
            at = end
    if at < chain.length - SHORTEST_KERF:
        _run(path, chain.between(at, chain.length), above, z)


@dataclass(frozen=True, slots=True)
class OpenRun:
    """An open chain of the cutter's centre; `tabs` are spans along it crossed at `tab_top`."""

    chain: Chain
    tabs: tuple[Span, ...] = ()
    tab_top: float = 0.0

    def reversed(self) -> OpenRun:
        """The same walked the other way."""
        length = self.chain.length
        spans = tuple((length - b, length - a) for a, b in reversed(self.tabs))
        return OpenRun(self.chain.reversed(), spans, self.tab_top)

    def cut(self, path: Path, above: float, z: float) -> None:
        """Once along, down from `above`; the cutter is over the start."""
        if z >= self.tab_top - 1e-9 or not self.tabs:
            _run(path, self.chain, above, z)
        else:
            over_tabs(path, self.chain, self.tabs, tab_top=self.tab_top, above=above, z=z)


def along_open(path: Path, run: OpenRun, levels: Sequence[float], top: float) -> None:
    """Down through `levels` along an open chain, to and fro, staying down."""
    path.over(run.chain.start)
    path.drop(top + APPROACH)
    path.sink(top)
    above = top
    for z in levels:
        run.cut(path, above, z)
        run, above = run.reversed(), z


def along_one_way(
    path: Path, run: OpenRun, levels: Sequence[float], top: float, *, rounds: int = 1
) -> None:
    """Down through `levels` along an open chain, each pass in the chain's own direction."""
    above = top
    for z in levels:
        for _ in range(rounds if z == levels[-1] else 1):
            path.over(run.chain.start)
            path.drop(top + APPROACH)
            path.sink(above if not run.tabs else max(above, run.tab_top), feed=path.feed)
            run.cut(path, above, z)
        above = z


def spans_beside(chain: Chain, standing: BaseGeometry, radius: float) -> tuple[Span, ...]:
    """The spans of a chain on which a cutter's disc touches what is standing, ascending by their
    starts; on a closed chain the last may run over its start."""
    if standing.is_empty:
        return ()
    shapely.prepare(standing)
    places, points = _looks(chain)
    free = shapely.distance(shapely.points(points), standing) >= radius + KERF_CLEAR
    if not free.any():
        return ((0.0, chain.length),)

    def edge(clear: float, met: float) -> float:
        while abs(met - clear) > 1e-6:
            middle = (clear + met) / 2
            off = shapely.distance(shapely.Point(chain.point_at(middle)), standing)
            clear, met = (middle, met) if off >= radius + KERF_CLEAR else (clear, middle)
        return clear

    pairs = list(enumerate(pairwise(places)))
    starts = [edge(a, b) for i, (a, b) in pairs if free[i] and not free[i + 1]]
    ends = [edge(b, a) for i, (a, b) in pairs if not free[i] and free[i + 1]]
    if chain.closed and ends and (not starts or ends[0] < starts[0]):
        ends = [*ends[1:], ends[0] + chain.length]
    elif not chain.closed:
        starts = starts if free[0] else [0.0, *starts]
        ends = ends if free[-1] else [*ends, chain.length]
    return tuple(zip(starts, ends, strict=True))


def _looks(chain: Chain) -> tuple[list[float], list[Point]]:
    """Places along a chain, LOOK apart at most, its start and its end among them."""
    places, points, at = [0.0], [chain.start], 0.0
    for segment in chain:
        steps = max(1, math.ceil(segment.length / LOOK))
        for i in range(1, steps + 1):
            s = segment.length * i / steps
            places.append(at + s)
            points.append(segment.point_at(s))
        at += segment.length
    return places, points


def _run(path: Path, chain: Chain, above: float, z: float) -> None:
    path.sink(above, feed=path.feed)
    ramp_along(path, chain, z)
    path.follow(chain)
