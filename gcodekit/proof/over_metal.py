"""Passes that a z of the wrong sign, or one from another set-up, lifts out of the metal."""

from __future__ import annotations

from collections.abc import Sequence

from gcodekit.proof.findings import Blank
from gcodekit.proof.rapids import TOUCH
from gcodekit.rs274.program_read import Move, ProblemList

# Level ways over the metal at a feed rate that come to less than this, mm, are a way in or out.
A_PASS = 5.0


def check_over(moves: Sequence[Move], blank: Blank, problems: ProblemList) -> None:
    """A warning where the tip goes at a feed rate on a level at which there never was metal: what
    it was to cut is left to the pass below, which takes two at once."""
    if blank.top <= blank.bottom:
        return
    over = [
        m
        for m in moves
        if m.kind != "rapid"
        and m.known_before == m.known == "XYZ"
        and m.start[2] == m.end[2] > blank.top + TOUCH
    ]
    length = sum(m.length for m in over)
    if length < A_PASS:
        return
    z = over[0].end[2]
    text = f"{length:.0f} mm at a feed rate over the metal: its top is at z {blank.top:.3f}, "
    problems.warn(f"{text}this pass is at z {z:.3f}", line=over[0].line, where=over[0].end)
