"""A program's moves at one level, in plan: mm, radians.

A *cut* is a feed move along the level; a *link* any other way there, or above it on the way to the
next cut; an *entry* goes down to the level (a ramp, a helix with the level turn that ends it, a
plunge). What an entry opens at the level is where it ends, and that last turn.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from gcodekit.rs274 import Move, read_program

Array = NDArray[np.float64]
Indices = NDArray[np.int64]
Kind = Literal["cut", "link", "entry"]

# Places nearer than this are one, mm; programs have four decimals.
SAME = 1e-6
# Faster than the cutting feed by this share is a link.
FASTER = 1.001
FULL_TURN = 2 * math.pi - 1e-3


@dataclass(frozen=True, slots=True)
class ClearedLinks:
    """Lines and arcs in plan. A line has sweep 0 and no number (nan) for centre and radius.

    `start`, `end`, `centre` : (n, 2); `radius`, `sweep` : (n,), sweep positive counter-clockwise
    """

    start: Array
    end: Array
    centre: Array
    radius: Array
    sweep: Array

    def __len__(self) -> int:
        return len(self.start)

    @property
    def is_arc(self) -> NDArray[np.bool_]:
        """(n,) whether each is an arc."""
        return self.sweep != 0

    @property
    def length(self) -> Array:
        """(n,) in plan."""
        straight = np.hypot(*(self.end - self.start).T)
        return np.where(self.is_arc, np.nan_to_num(self.radius) * np.abs(self.sweep), straight)

    def rows(self, which: Indices | NDArray[np.bool_]) -> ClearedLinks:
        """Some of them."""
        return ClearedLinks(
            self.start[which],
            self.end[which],
            self.centre[which],
            self.radius[which],
            self.sweep[which],
        )

    def at(self, share: Array) -> tuple[Array, Array]:
        """(n, 2) places at a share of each, and (n,) headings there."""
        straight = self.end - self.start
        place = self.start + straight * share[:, None]
        heading = np.arctan2(straight[:, 1], straight[:, 0])
        arc = self.is_arc
        arm = self.start - self.centre
        angle = np.arctan2(arm[:, 1], arm[:, 0]) + self.sweep * share
        # the radii of start and end differ by what rounding leaves
        radius = np.hypot(*arm.T) * (1 - share) + np.hypot(*(self.end - self.centre).T) * share
        on = self.centre + radius[:, None] * np.stack([np.cos(angle), np.sin(angle)], axis=1)
        place[arc] = on[arc]
        heading[arc] = (angle + np.sign(self.sweep) * math.pi / 2)[arc]
        return place, heading

    def cut_off(self, share: Array) -> ClearedLinks:
        """Each only from its start to a share of it."""
        place, _ = self.at(share)
        return ClearedLinks(self.start, place, self.centre, self.radius, self.sweep * share)


@dataclass(frozen=True, slots=True)
class Level:
    """One level's moves in the program's order, from the first entry to the last cut.

    `low` : (n,) whether a move goes below the metal's top; `opens` : (n,) whether it sweeps the
    level from end to end; `lands` : (n,) whether it comes down to it at its end
    """

    moves: tuple[Move, ...]
    kinds: tuple[Kind, ...]
    ways: ClearedLinks
    low: NDArray[np.bool_]
    opens: NDArray[np.bool_]
    lands: NDArray[np.bool_]
    z: float
    top: float

    def are(self, kind: Kind) -> NDArray[np.bool_]:
        """(n,) which moves are of a kind."""
        return np.array([k == kind for k in self.kinds], dtype=bool)


def read_level(text: str, *, feed: float, top: float = 0.0, z: float | None = None) -> Level:
    """The moves of one level of a program.

    Parameters
    ----------
    feed : mm/min that cuts are made at; what is faster is a link
    top : of the metal
    z : of the level, default the lowest of the program

    Raises
    ------
    ValueError
        When the program has a fault, goes nowhere or goes below the level.
    """
    reading = read_program(text)
    if reading.errors:
        raise ValueError(f"the program has a fault: {reading.errors[0]}")
    return level_of(reading.moves, feed=feed, top=top, z=z)


def level_of(
    moves: Sequence[Move], *, feed: float, top: float = 0.0, z: float | None = None
) -> Level:
    """The same of moves that are read already."""
    lowest = min((m.end[2] for m in moves), default=top)
    z = lowest if z is None else z
    if lowest < z - SAME:
        raise ValueError(f"the program goes down to {lowest}, below the level at {z}")
    at_level = [_at(m.start[2], z) and _at(m.end[2], z) for m in moves]
    if not any(at_level):
        raise ValueError(f"the program does nothing at the level of {z}")
    last = max(i for i, here in enumerate(at_level) if here)
    first = next(i for i, m in enumerate(moves) if _at(m.end[2], z))
    while first and moves[first - 1].kind != "rapid":
        first -= 1
    kept = [m for m in moves[first : last + 1] if m.length > 0]
    kinds = tuple(_kind(kept, i, z, feed) for i in range(len(kept)))
    level = np.array([_at(m.start[2], z) and _at(m.end[2], z) for m in kept])
    return Level(
        moves=tuple(kept),
        kinds=kinds,
        ways=_ways(kept),
        low=np.array([min(m.start[2], m.end[2]) < top - SAME for m in kept]),
        opens=level,
        lands=np.array([_at(m.end[2], z) for m in kept]) & ~level,
        z=z,
        top=top,
    )


def _at(height: float, z: float) -> bool:
    return abs(height - z) <= SAME


def _kind(moves: Sequence[Move], i: int, z: float, feed: float) -> Kind:
    move = moves[i]
    if move.kind != "rapid" and move.end[2] < move.start[2] - SAME:
        return "entry"
    level = _at(move.start[2], z) and _at(move.end[2], z)
    if not level or move.kind == "rapid" or move.feed > feed * FASTER:
        return "link"
    return "entry" if i and _ends_helix(moves[i - 1], move) else "cut"


def _ends_helix(before: Move, move: Move) -> bool:
    """Whether a move is the level turn after the last of a helix."""
    above, here = before.curve, move.curve
    if above is None or here is None or abs(here.sweep) < FULL_TURN:
        return False
    down = before.end[2] < before.start[2] - SAME
    return down and math.dist(above.centre[:2], here.centre[:2]) < 1e-3


def _ways(moves: Sequence[Move]) -> ClearedLinks:
    curves = [m.curve for m in moves]
    return ClearedLinks(
        np.array([m.start[:2] for m in moves], dtype=np.float64),
        np.array([m.end[:2] for m in moves], dtype=np.float64),
        np.array([c.centre[:2] if c else (math.nan, math.nan) for c in curves]),
        np.array([c.radius if c else math.nan for c in curves]),
        np.array([c.sweep if c else 0.0 for c in curves]),
    )
