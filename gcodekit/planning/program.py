"""The neutral program: what a set-up's program does, before any dialect writes it."""

from __future__ import annotations

from dataclasses import dataclass

from gcodekit.job.model import Job, Setup
from gcodekit.toolpath.moves import Move
from gcodekit.trade.cutter import Cutter


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """One cutter's work on one feature, e.g. "rough", "finish", "spot", "drill".

    `moves` begin and end at the set-up's safe height (`Program.safe_z`); the first is a rapid in
    x, y to the start. `speed` is in rev/min. `touch_off` says where the cutter is touched off if it
    comes into the spindle here, and what z to set there; empty: as the program says.
    """

    feature: str
    label: str
    cutter: Cutter
    speed: float
    moves: tuple[Move, ...]
    touch_off: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Program:
    """All operations of a set-up in order. A new cutter on the next operation is a tool change.

    `safe_z` is the height of first approach, tool changes and the end: above metal, jaws and
    clamps everywhere. `touch_off` says, for a cutter's number, where to touch it off when it first
    comes and what z to set there (words for message and sheet).
    """

    job: Job
    setup: Setup
    safe_z: float
    operations: tuple[Operation, ...]
    touch_off: dict[int, str]

    @property
    def cutters(self) -> tuple[Cutter, ...]:
        """Each cutter once, in order of first use."""
        return tuple({o.cutter.number: o.cutter for o in self.operations}.values())
