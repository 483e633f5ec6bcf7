"""The groove that a program's helix leaves, worked out from the moves and the cutter's teeth."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gcodekit.proof.chords import Array
from gcodekit.proof.thread_winds import Wind
from gcodekit.target.demand import ThreadDemand
from gcodekit.trade.cutter import Cutter

# Angles about the axis looked at on either side of the cutter's middle, and radii between crest and
# root.
ANGLES, RADII = 6000, 40
# A wind that goes less than this round, radians, tells no pitch.
LEAST_TURN = math.pi


@dataclass(frozen=True, slots=True)
class GrooveFound:
    """The groove of one thread as it is cut, mm. `full`: how far off the axis the cutter's middle
    goes at full depth; `lead`: of one turn, positive for a right-hand thread, None where no turn
    is long enough to tell; `strays`: how far teeth leave its one helix, beyond what they are
    short of full depth."""

    cutter: Cutter
    full: float
    lead: float | None
    strays: float

    def root(self, *, internal: bool) -> float:
        """The diameter that the teeth's tips reach."""
        return 2 * (self.full + self.cutter.radius * (1 if internal else -1))

    def half_widths(self, radii: Array, pitch: float) -> Array:
        """(n,) half of its width along the axis at radii about it: of a tooth that passes at an
        angle beside, the flank stands as much higher as the helix rises on the way."""
        angle = np.linspace(0.0, math.pi / 3, ANGLES)
        r = radii[:, None]
        from_middle = np.sqrt(self.full**2 + r**2 - 2 * self.full * r * np.cos(angle))
        over = self.cutter.radius - from_middle
        flank = self.cutter.tip_flat / 2 + over * math.tan(self.cutter.tip_angle / 2)
        found: Array = np.where(over >= 0.0, flank + pitch * angle / math.tau, -np.inf).max(axis=1)
        return found


def groove_of(winds: Sequence[Wind], thread: ThreadDemand) -> GrooveFound:
    """The groove that stretches of moves cut together."""
    internal = thread.limits.internal
    ends = [float(w.radius.max() if internal else w.radius.min()) for w in winds]
    full = max(ends) if internal else min(ends)
    leads = [
        float(np.polyfit(w.angle[run], w.z[run], 1)[0]) * math.tau
        for w in winds
        for run in w.deep(full)
        if abs(w.angle[run][-1] - w.angle[run][0]) > LEAST_TURN
    ]
    lead = max(leads, key=lambda each: abs(abs(each) - thread.limits.pitch)) if leads else None
    return GrooveFound(winds[-1].cutter, full, lead, _strays(winds, full, thread))


def _strays(winds: Sequence[Wind], full: float, thread: ThreadDemand) -> float:
    """The most that flanks are cut beyond one helix of the drawing's pitch and hand."""
    pitch = thread.limits.pitch
    slope = math.tan(winds[0].cutter.tip_angle / 2)
    off = np.concatenate([_phase(w, thread) for w in winds])
    short = np.concatenate([np.abs(w.radius - full) for w in winds])
    deepest = off[short <= short.min() + 1e-6]
    # about any place of the helix, so that none lies where one pitch ends and the next begins
    off = (off - deepest[0] + pitch / 2) % pitch - pitch / 2
    room = short * slope
    high, low = float((off - room).max()), float((off + room).min())
    return max(0.0, (high - low) / 2)


def _phase(wind: Wind, thread: ThreadDemand) -> Array:
    """(n,) how far along the axis each point lies off a helix through angle 0 at z 0."""
    pitch = thread.limits.pitch
    return wind.z - (-pitch if thread.left else pitch) * wind.angle / math.tau


def gaps(winds: Sequence[Wind], full: float, low: float, high: float) -> list[tuple[float, float]]:
    """The stretches along the axis between two heights through which no tooth goes at full depth:
    along one helix a height is a place of it."""
    spans = sorted(
        (float(w.z[run].min()) + row, float(w.z[run].max()) + row)
        for w in winds
        for run in w.deep(full)
        for row in w.cutter.rows
    )
    found, reached = [], low
    for a, b in spans:
        if a > reached and reached < high:
            found.append((reached, min(a, high)))
        reached = max(reached, b)
    return [*found, (reached, high)] if reached < high else found
