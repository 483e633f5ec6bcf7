"""Cutting along a line: kerfs round a closed outline with tabs left standing, and open runs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gcodekit.geometry.chain import Chain
from gcodekit.geometry.flat import nearest
from gcodekit.toolpath.entry import ramp_along, ramp_round
from gcodekit.toolpath.leads import Leads
from gcodekit.toolpath.path import APPROACH, Path

Span = tuple[float, float]

# Runs shorter than this, mm, are none.
NOTHING = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Kerf:
    """A closed ring of the cutter's centre, turned the way it is cut.

    `tabs` are spans along the ring (mm from its start; one may run over the start) that are
    crossed at `tab_top`.
    """

    ring: Chain
    tabs: tuple[Span, ...] = ()
    tab_top: float = 0.0

    def rough(self, path: Path, levels: Sequence[float], top: float) -> None:
        """Down through `levels` in solid metal, staying down from pass to pass."""
        ring = self.ring
        path.over(ring.start)
        path.drop(top + APPROACH)
        path.sink(top)
        above = top
        for z in levels:
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
        """Those places of the ring that lie off every tab by `margin`."""
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
        if start > at + NOTHING:
            _run(path, chain.between(at, start), above, z)
            at = start
        if end > at + NOTHING:
            path.rise(tab_top)
            path.follow(chain.between(at, end))
            at = end
    if at < chain.length - NOTHING:
        _run(path, chain.between(at, chain.length), above, z)


def along_open(path: Path, chain: Chain, levels: Sequence[float], top: float) -> None:
    """Down through `levels` along an open chain, to and fro, staying down."""
    path.over(chain.start)
    path.drop(top + APPROACH)
    path.sink(top)
    for z in levels:
        _run(path, chain, path.z, z)
        chain = chain.reversed()


def along_one_way(
    path: Path, chain: Chain, levels: Sequence[float], top: float, *, rounds: int = 1
) -> None:
    """Down through `levels` along an open chain, each pass in the chain's own direction."""
    above = top
    for z in levels:
        for _ in range(rounds if z == levels[-1] else 1):
            path.over(chain.start)
            path.drop(top + APPROACH)
            path.sink(above, feed=path.feed)
            _run(path, chain, above, z)
        above = z


def _run(path: Path, chain: Chain, above: float, z: float) -> None:
    path.sink(above, feed=path.feed)
    ramp_along(path, chain, z)
    path.follow(chain)
