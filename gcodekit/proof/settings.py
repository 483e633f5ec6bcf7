"""What a program leaves to the operator or the spindle: a boring head's setting, a tap's pitch."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from gcodekit.proof.chords import LineRange, as_set
from gcodekit.rs274.moves import Move, Reading
from gcodekit.rs274.problems import ProblemList
from gcodekit.trade.cutter import Cutter

MM_PER_INCH = 25.4
# A tap's feed may be off its pitch a turn by this share: what the last decimal of F leaves, and
# over 20 mm of thread 0.02 mm, which a tap holder gives.
PITCH_NEAR = 0.001
# A setting is told to this, mm.
SETTING_NEAR = 0.0006
_LENGTH = re.compile(r"(\d+(?:\.\d+)?)\s*(mm|in)\b")


def cutters_as_set(
    cutters: Mapping[int, Cutter], ranges: Sequence[LineRange]
) -> Mapping[int, Cutter]:
    """The rack with each boring head as wide as it is ever set: for bodies and rapids."""
    widest = max((r.set_to for r in ranges if r.set_to is not None), default=None)
    return {n: as_set(c, widest) for n, c in cutters.items()}


def check_settings(reading: Reading, ranges: Sequence[LineRange], problems: ProblemList) -> None:
    """Where a message comes with a boring head's cut it must name the diameter proved."""
    messages = [e for e in reading.events if e.kind == "message"]
    for r in (r for r in ranges if r.set_to is not None):
        said = [e for e in messages if r.first <= e.line <= r.last]
        told = [_mm(*m) for m in _LENGTH.findall(" ".join(e.text for e in said))]
        if said and not any(abs(mm - (r.set_to or 0.0)) <= SETTING_NEAR for mm in told):
            text = f"no message says that the boring head is set to {r.set_to:.4f} mm"
            problems.error(text, line=said[0].line)


def _mm(figure: str, unit: str) -> float:
    return float(figure) * (MM_PER_INCH if unit == "in" else 1.0)


def check_tapping(
    moves: Sequence[Move], cutters: Mapping[int, Cutter], problems: ProblemList
) -> None:
    """A tap moves its pitch a turn, neither more nor less."""
    for move in moves:
        cutter = cutters.get(move.cutter)
        if cutter is None or cutter.kind != "tap" or move.kind == "rapid":
            continue
        asked = (cutter.pitch or 0.0) * move.speed
        if abs(move.feed - asked) > PITCH_NEAR * max(asked, 1e-9):
            problems.error(
                f"cutter {cutter.number} taps at {move.feed:g} mm/min: its pitch of "
                f"{cutter.pitch or 0.0:g} mm at {move.speed:g} rev/min asks for {asked:g}",
                line=move.line,
                where=move.end,
            )
            return
