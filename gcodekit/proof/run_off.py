"""How far cutters run off the metal: what the drawing wants of it, and what a program does."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from gcodekit.proof.chords import Array, Segments
from gcodekit.proof.gouges import of
from gcodekit.rs274.program_read import Move, ProblemList

# Their room in plan is theirs to this, mm.
ROUNDING = 1e-3

Box = tuple[float, float, float, float]


def check_run_off(
    segments: Iterable[Segments],
    rooms: Mapping[str, Box],
    moves: tuple[Move, ...],
    *,
    top: float,
    problems: ProblemList,
) -> None:
    """Each feature's cutters stay in its room in plan wherever they are lower than the metal's
    `top`: what is beyond it is air, but where the work ends something may hold it, or the
    machine's travel end."""
    worst: dict[str, tuple[float, int, Array]] = {}
    for s in segments:
        if s.owner not in rooms:
            continue
        x0, y0, x1, y1 = rooms[s.owner]
        r = s.cutter.radius
        for tips in (s.start, s.end):
            low, at = tips[:, 2] < top, tips[:, :2]
            over = np.maximum((x0, y0) - (at - r), (at + r) - (x1, y1)).max(axis=1)
            over[~low] = 0.0
            i = int(over.argmax())
            if over[i] > worst.get(s.owner, (ROUNDING,))[0]:
                worst[s.owner] = (float(over[i]), int(s.move[i]), tips[i])
    for owner, (over, move, tip) in worst.items():
        problems.error(
            f"run-off{of(owner)}: the cutter goes {over:.3f} mm farther past the metal and the "
            "drawing than its work there wants",
            line=moves[move].line,
            where=(float(tip[0]), float(tip[1]), float(tip[2])),
        )
