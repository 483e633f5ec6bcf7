"""How long a machine of limited acceleration takes along pieces of path.

Every piece has a speed that it may not pass, an arc sqrt(a r); where two pieces meet at an angle b
(a half turn when the way goes straight on), v^2 <= a * jd * sin(b/2) / (1 - sin(b/2)). A look-ahead
over all pieces keeps every change of speed within the acceleration a; each piece is then a
trapezoid of speed against time.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engagement.ways import Array

# mm that a corner may be cut by, the jd above. Common practice, no source.
DEVIATION = 0.01


@dataclass(frozen=True, slots=True)
class Pieces:
    """Joined pieces of path, none of no length.

    `length`, `limit` : (n,) mm, mm/s; `bend` : (n,) radius, mm, infinite for a line; `leaving`,
    `arriving` : (n, 3) unit vectors at start and end
    """

    length: Array
    limit: Array
    bend: Array
    leaving: Array
    arriving: Array


def seconds(pieces: Pieces, acceleration: float) -> float:
    """From standing to standing; `acceleration` in mm/s^2."""
    most = np.minimum(pieces.limit**2, acceleration * pieces.bend)
    squares = _at_joints(pieces, most, acceleration)
    before, after = squares[:-1], squares[1:]
    peak = np.minimum(most, (before + after) / 2 + acceleration * pieces.length)
    ramps = 2 * np.sqrt(peak) - np.sqrt(before) - np.sqrt(after)
    steady = pieces.length - (2 * peak - before - after) / (2 * acceleration)
    return float((ramps / acceleration + np.maximum(steady, 0) / np.sqrt(peak)).sum())


def _at_joints(pieces: Pieces, most: Array, acceleration: float) -> Array:
    """(n + 1,) squares of the speed."""
    along = (pieces.arriving[:-1] * pieces.leaving[1:]).sum(axis=1)
    sine = np.sqrt(np.clip((1 + along) / 2, 0, 1))
    with np.errstate(divide="ignore"):
        turn = acceleration * DEVIATION * sine / (1 - sine)
    squares = np.zeros(len(most) + 1)
    squares[1:-1] = np.minimum(turn, np.minimum(most[:-1], most[1:]))
    at = squares.tolist()
    gains = (2 * acceleration * pieces.length).tolist()
    for i in range(len(gains) - 1, -1, -1):
        at[i] = min(at[i], at[i + 1] + gains[i])
    for i, gain in enumerate(gains):
        at[i + 1] = min(at[i + 1], at[i] + gain)
    return np.array(at)
