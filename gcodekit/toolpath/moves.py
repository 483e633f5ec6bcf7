"""The moves a tool path is made of, in program coordinates, mm and mm/min.

The position is the cutter's tip on its axis. Every move starts where the one before it ended.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Rapid:
    """Straight, at the machine's own speed; None leaves an axis where it is.

    A rapid moves either z alone or x and y alone, so that no control can take a short cut.
    """

    x: float | None = None
    y: float | None = None
    z: float | None = None


@dataclass(frozen=True, slots=True)
class Feed:
    """Straight at a feed."""

    x: float
    y: float
    z: float
    feed: float


@dataclass(frozen=True, slots=True)
class ArcFeed:
    """Circular about (cx, cy), a helix when z changes; x, y of the start is a full turn."""

    x: float
    y: float
    z: float
    cx: float
    cy: float
    ccw: bool
    feed: float


@dataclass(frozen=True, slots=True)
class HoleCycle:
    """One hole on the machine's drilling cycles: from `retract` (the R level) to `bottom` and back
    up to `retract`. "drill": feed down, rapid out; "peck": in steps of `peck`, out to `retract`
    between; "ream": feed down and out; "tap": feed down at a pitch a turn, turn the spindle
    back and feed out. The cutter is over (x, y) at or above `retract` before."""

    kind: Literal["drill", "peck", "ream", "tap"]
    x: float
    y: float
    retract: float
    bottom: float
    feed: float
    peck: float = 0.0
    dwell: float = 0.0


@dataclass(frozen=True, slots=True)
class Comment:
    """A comment in the program."""

    text: str


@dataclass(frozen=True, slots=True)
class OperatorStop:
    """Spindle off, message, wait for the operator. The path before it has lifted the cutter."""

    text: str


Move = Rapid | Feed | ArcFeed | HoleCycle | Comment | OperatorStop
