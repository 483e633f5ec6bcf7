"""The neutral program: what a set-up's program does, before any dialect writes it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import groupby

from gcodekit.job.model import Job, Setup
from gcodekit.toolpath.moves import Move
from gcodekit.trade.cut_load import Load
from gcodekit.trade.cutter import Cutter

# How the head of a program begins to say that it is not all of a set-up.
PART_NOTICE = "part of the program: "
PRACTICE_NOTICE = "practice cut: "


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """One cutter's work on one feature, e.g. "rough", "finish", "spot", "drill".

    `moves` begin and end at the set-up's safe height (`Program.safe_z`); the first is a rapid in
    x, y to the start. `speed` is in rev/min. `cutter` is as set for this operation: a boring head's
    diameter is the one it is set to. `true_to` is how near the drawing its cuts have to be where
    limits ask for more than the job's tolerance, mm. `touch_off` says where the cutter is touched
    off if it comes into the spindle here, and what z to set there; empty: as the program says.
    `stops` are what the operator does before it, the program waiting for each. `why` says why it
    stands where it does, `how` which way it goes where that was chosen. `load` is what it asks of
    cutter and machine, None where that is not known. `stage`: how many stops of the set-up come
    before it; `finishing`: it brings walls or a floor to size.
    """

    feature: str
    label: str
    cutter: Cutter
    speed: float
    moves: tuple[Move, ...]
    true_to: float = math.inf
    touch_off: str = ""
    stops: tuple[str, ...] = ()
    why: str = ""
    how: str = ""
    load: Load | None = None
    stage: int = 0
    finishing: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Program:
    """All operations of a set-up in order. A new cutter on the next operation is a tool change.

    `safe_z` is the height of first approach, tool changes and the end: above metal, jaws and
    clamps everywhere. `touch_off` says, for a cutter's number, where to touch it off when it first
    comes and what z to set there (words for message and sheet). `part` says which of how many
    files of the set-up this is, (1, 1) where it is the whole, `then` the cutters of the files after
    it. `sizes` are what is to be measured, with their limits; `corrections` what was measured
    before and is made up for; `notes` what the drawing asks and the program does not do; `cautions`
    what to mind while it runs. Where it is a part of the set-up's program, its files' names end in
    `suffix`, `notices` say which, and it begins with the work held as after `begun` stops.
    """

    job: Job
    setup: Setup
    safe_z: float
    operations: tuple[Operation, ...]
    touch_off: dict[int, str]
    part: tuple[int, int] = (1, 1)
    then: tuple[Cutter, ...] = ()
    sizes: tuple[str, ...] = ()
    corrections: tuple[str, ...] = ()
    suffix: str = ""
    notices: tuple[str, ...] = ()
    begun: int = 0
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    @property
    def cutters(self) -> tuple[Cutter, ...]:
        """Each cutter once, in order of first use."""
        return tuple({o.cutter.number: o.cutter for o in self.operations}.values())

    @property
    def visits(self) -> tuple[Program, ...]:
        """The program in parts to be run one after another, each with one cutter. A cutter that
        comes again after another one has a part for each time: the order is not to change."""
        runs = [tuple(run) for _, run in groupby(self.operations, lambda o: o.cutter.number)]
        cutters = tuple(run[0].cutter for run in runs)
        return tuple(
            replace(self, operations=run, part=(i, len(runs)), then=cutters[i:])
            for i, run in enumerate(runs, 1)
        )


def first_touch_off(operations: Iterable[Operation]) -> dict[int, str]:
    """Return, by cutter number, where each cutter is touched off at its first use."""
    return {o.cutter.number: o.touch_off for o in reversed(tuple(operations))}
