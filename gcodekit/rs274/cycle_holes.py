"""One hole of a canned cycle as plain moves.

Source: NISTIR 6556, 3.5.16. Where the report leaves it open: G83 backs off 0.25 mm after each
peck. G73 is not in the report: it pecks as G83 does and backs off by as much, without leaving the
hole (common practice, no source).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from gcodekit.rs274.exact_arcs import BlockError
from gcodekit.rs274.expressions import NEAR_WHOLE
from gcodekit.rs274.program_read import Conditions, Move, MoveKind, Point3
from gcodekit.rs274.state import KNOWN, MOTION, CycleWords, State
from gcodekit.rs274.words import LARGEST_NUMBER

BACK_OFF = 0.25


@dataclass(slots=True)
class CycleHole:
    """The cycle's tool point while one line is taken apart. `clear` is the level it leaves to."""

    state: State
    axes: tuple[int, int, int]
    sticky: CycleWords
    conditions: Conditions
    retract: float
    bottom: float
    clear: float
    code: int

    def go(
        self,
        *,
        rapid: bool,
        at: tuple[float, float] | None = None,
        depth: float | None = None,
        spindle: int | None = None,
    ) -> None:
        """One move: in the plane to `at`, or along the axis to `depth`; none if it is there."""
        state = self.state
        first, second, axis = self.axes
        place = list(state.position)
        known = state.known
        if at is not None:
            place[first], place[second] = at
        if depth is not None:
            place[axis] = depth
            known |= 1 << axis
        end = (place[0], place[1], place[2])
        if end != state.position or known != state.known:
            conditions = self.conditions
            if spindle is not None:
                conditions = replace(conditions, spindle=spindle)
            self._append(end, known, conditions, rapid=rapid)

    def _append(self, end: Point3, known: int, conditions: Conditions, *, rapid: bool) -> None:
        state = self.state
        if not all(-LARGEST_NUMBER < c < LARGEST_NUMBER for c in end):
            raise BlockError("canned cycle goes beyond any machine's travel", MOTION)
        state.cycle_moves += 1
        before = KNOWN[state.known]
        kind: MoveKind = "rapid" if rapid else "line"
        move = Move(state.line, kind, state.position, end, conditions, before, KNOWN[known])
        state.moves.append(move._replace(cycle=self.code // 10))
        state.position = end
        state.known = known

    def dwell(self) -> None:
        """Wait at the bottom."""
        if self.sticky.dwell:
            self.state.dwell(self.sticky.dwell)

    def cut(self) -> None:
        """The hole, from the R level."""
        code = self.code
        if code in (730, 830):
            self._peck(leave=code == 830)
            self.go(rapid=True, depth=self.clear)
        elif code == 870:
            self._back_bore()
        else:
            self.go(rapid=False, depth=self.bottom)
            self.dwell()
            self._leave(code)

    def _leave(self, code: int) -> None:
        if code == 840:
            # turning back, so that the tap winds itself out
            self.go(rapid=False, depth=self.clear, spindle=-1)
        elif code == 860:
            self.go(rapid=True, depth=self.clear, spindle=0)
        elif code == 880:
            # drawn out by hand
            self.state.note("stop")
            self.go(rapid=True, depth=self.clear, spindle=0)
        else:
            self.go(rapid=code not in (850, 890), depth=self.clear)

    def _peck(self, *, leave: bool) -> None:
        top, peck = self.state.position[self.axes[2]], self.sticky.peck
        pecks = max(1, math.ceil((top - self.bottom) / peck - NEAR_WHOLE))
        back = min(BACK_OFF, peck / 2)
        for n in range(1, pecks):
            reached = top - n * peck
            self.go(rapid=False, depth=reached)
            if leave:
                self.go(rapid=True, depth=self.clear)
            self.go(rapid=True, depth=min(reached + back, self.clear))
        self.go(rapid=False, depth=self.bottom)

    def _back_bore(self) -> None:
        """G87 (3.5.16.8): down beside the middle of the hole, and up into it from below."""
        first, second, _ = self.axes
        middle = self.state.position[first], self.state.position[second]
        aside = middle[0] + self.sticky.aside[0], middle[1] + self.sticky.aside[1]
        self.go(rapid=True, at=aside)
        self.go(rapid=True, depth=self.bottom, spindle=0)
        self.go(rapid=True, at=middle, spindle=0)
        self.go(rapid=False, depth=self.sticky.top)
        self.go(rapid=False, depth=self.bottom)
        self.go(rapid=True, at=aside, spindle=0)
        self.go(rapid=True, depth=self.clear, spindle=0)
        self.go(rapid=True, at=middle, spindle=0)
