"""The cutters of a program in running order: number, diameter, kind, speed, feed and time."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from gcodekit.plot.scale import said
from gcodekit.rs274.program_read import Move
from gcodekit.trade.cutter import Cutter
from gcodekit.units import Units, mm_per

# From here on, s, hours are told.
_LONG = 6000


@dataclass(frozen=True, slots=True)
class CutterRow:
    """One cutter, each of its cells as text."""

    number: str
    diameter: str
    kind: str
    speed: str
    feed: str
    time: str


HEADINGS = CutterRow("TOOL NO.", "Ø", "KIND", "rev/min", "feed", "min:s")


def cutter_rows(
    moves: Sequence[Move],
    cutters: Mapping[int, Cutter],
    seconds: Mapping[int, float],
    units: Units,
) -> list[CutterRow]:
    """A row for each cutter that cuts, in order of first use; speeds and feeds from the least to
    the most."""
    speeds: dict[int, set[float]] = {}
    feeds: dict[int, set[float]] = {}
    for move in moves:
        if move.kind == "rapid":
            continue
        speeds.setdefault(move.cutter, set()).add(move.speed if move.spindle else 0.0)
        feeds.setdefault(move.cutter, set()).update(() if move.by_hand else (move.feed,))
    rows = []
    digits = _decimals([cutters[n].diameter for n in speeds if n in cutters], units)
    for number, own in speeds.items():
        cutter = cutters.get(number)
        rows.append(
            CutterRow(
                str(number) if number else "–",
                f"{cutter.diameter / mm_per(units):.{digits}f}" if cutter else "?",
                cutter.kind if cutter else "not in the workshop" if number else "not said",
                _range([f"{v:.0f}" for v in sorted(own)]),
                _range([_feed(v, units) for v in sorted(feeds[number])] or ["by hand"]),
                _time(seconds.get(number)),
            )
        )
    return rows


def _decimals(diameters: Sequence[float], units: Units) -> int:
    """As many for all as the one that needs most."""
    most = 3 if units == "mm" else 4
    texts = [said(d, units, most) for d in diameters]
    return max((len(t.partition(".")[2]) for t in texts), default=0)


def _range(texts: Sequence[str]) -> str:
    return texts[0] if texts[0] == texts[-1] else f"{texts[0]}–{texts[-1]}"


def _feed(value: float, units: Units) -> str:
    return f"{value / mm_per(units):.0f}" if units == "mm" else f"{value / mm_per(units):.1f}"


def _time(seconds: float | None) -> str:
    """As minutes and seconds, or hours and minutes."""
    if seconds is None or not math.isfinite(seconds):
        return "–"
    whole = round(seconds)
    if whole >= _LONG:
        return f"{whole // 3600}h{whole % 3600 // 60:02d}"
    return f"{whole // 60}:{whole % 60:02d}"
