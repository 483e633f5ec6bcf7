"""Cuts that a machine with Z on its handwheel cannot make: refused by name."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from gcodekit.toolpath.moves import ArcFeed, Feed, HoleCycle, Move, Rapid
from gcodekit.toolpath.path import SAME_HEIGHT, Path
from gcodekit.trade.cutter import SIDE_MILLS, Cutter


class CannotCut(NamedTuple):
    """What is wrong, what would be right, and the key of the feature that it is about."""

    text: str
    hint: str
    key: str


def not_with_z_by_hand(path: Path, cutter: Cutter, called: str) -> CannotCut | None:
    """The reason why a path cannot be gone where Z is on its handwheel; None where it can, or Z is
    driven."""
    if not path.travel.by_hand:
        return None
    if path.plunged and cutter.kind in SIDE_MILLS and not cutter.centre_cutting:
        what = f"{called} cannot go straight down into the stock, and with Z by hand it cannot ramp"
        return CannotCut(what, "use a centre-cutting cutter", "cutter")
    if any(isinstance(m, HoleCycle) and m.kind == "tap" for m in path.moves):
        what = "a machine tap needs a driven Z, and this machine's is by hand"
        return CannotCut(what, 'set tapping = "by hand"', "tapping")
    if _slopes(path.moves):
        hint = "cut it with a tap or die" if cutter.kind == "thread mill" else "leave it out"
        what = "it moves X, Y and Z together, and this machine's Z is by hand"
        return CannotCut(what, f"{hint}, or make it on a machine whose Z is driven", "kind")
    return None


def _slopes(moves: Sequence[Move]) -> bool:
    """Tell whether a cut goes along and up or down at once."""
    x = y = z = None
    for move in moves:
        if isinstance(move, Rapid):
            x = x if move.x is None else move.x
            y = y if move.y is None else move.y
            z = z if move.z is None else move.z
        elif isinstance(move, HoleCycle):
            x, y, z = move.x, move.y, move.retract
        elif isinstance(move, Feed | ArcFeed):
            along = isinstance(move, ArcFeed) or (move.x, move.y) != (x, y)
            if along and z is not None and abs(move.z - z) > SAME_HEIGHT:
                return True
            x, y, z = move.x, move.y, move.z
    return False
