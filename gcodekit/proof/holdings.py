"""What holds the work while each stretch of a program runs: a stop may change it."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from operator import attrgetter

from gcodekit.proof.keepout import Body
from gcodekit.rs274.program_read import Move


@dataclass(frozen=True, slots=True)
class Holding:
    """The bodies that stand from the line `first` on."""

    first: int
    bodies: tuple[Body, ...]


def stretches_held(
    moves: Sequence[Move], holdings: Sequence[Holding]
) -> Iterator[tuple[Sequence[Move], tuple[Body, ...]]]:
    """The moves that are made while each holding stands."""
    lines = [h.first for h in holdings]
    cuts = [bisect_left(moves, line, key=attrgetter("line")) for line in lines]
    for holding, (begin, end) in zip(holdings, pairwise([*cuts, len(moves)]), strict=True):
        yield moves[begin:end], holding.bodies
