"""A set-up that was made and proved, as its page is written from it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from gcodekit.job.model import Setup
from gcodekit.planning.program import Operation, Program
from gcodekit.plot.work_holding_view import WorkHoldingView
from gcodekit.sheet.operation_runs import OperationRun
from gcodekit.toolpath.moves import OperatorStop
from gcodekit.trade.cutter import Cutter


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeFile:
    """A program file: its name, the seconds it moves and those of its cutter changes, how often it
    stops for the operator, and what each operation does in it."""

    name: str
    seconds: float
    change_seconds: float
    stops: int
    hand_stops: int
    runs: tuple[OperationRun, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeSetup:
    """A set-up with its program as planned, its files as read back, its picture (None: it could
    not be drawn), and what was warned of; `unproven`: written although the proof failed."""

    setup: Setup
    program: Program
    files: tuple[MadeFile, ...]
    view: WorkHoldingView | None
    warnings: tuple[str, ...] = ()
    unproven: bool = False

    @property
    def runs(self) -> tuple[OperationRun, ...]:
        """What every operation does, in running order."""
        return tuple(run for file in self.files for run in file.runs)

    @property
    def seconds(self) -> float:
        """Of all its programs."""
        return sum(file.seconds for file in self.files)

    @property
    def change_seconds(self) -> float:
        """Of all its cutter changes."""
        return sum(file.change_seconds for file in self.files)

    @property
    def lowest(self) -> float:
        """Of all cuts' z, mm."""
        return min((run.lowest for run in self.runs), default=0.0)

    @property
    def other_stops(self) -> tuple[str, ...]:
        """What the stops ask that are for neither a cutter nor a speed, in running order."""
        asked: list[str] = []
        for o in self.program.operations:
            asked += o.stops
            inside = dict.fromkeys(m.text for m in o.moves if isinstance(m, OperatorStop))
            asked += [f"{o.feature}: {text}" for text in inside]
        return tuple(asked)

    @property
    def visits(self) -> list[Visit]:
        """A cutter each time it comes into the spindle, in running order."""
        pairs = zip(self.program.operations, self.runs, strict=True)
        found = []
        for _, group in groupby(pairs, lambda pair: pair[0].cutter.number):
            own = list(group)
            operations, runs = [o for o, _ in own], [r for _, r in own]
            found.append(Visit(operations[0].cutter, operations, runs))
        return found


@dataclass(frozen=True, slots=True)
class Visit:
    """A cutter in the spindle, and what it does until the next comes."""

    cutter: Cutter
    operations: Sequence[Operation]
    runs: Sequence[OperationRun]

    @property
    def touch_off(self) -> str:
        """Where it is touched off, in the words of the program."""
        return self.operations[0].touch_off

    def stick_out(self, safe_z: float) -> tuple[float, float]:
        """From the stick-out at which the holder stays above the safe height wherever the cutter
        goes, and grips no flutes, mm, to that of the rack, which the proof and the deflection are
        reckoned with; only the rack's where that is the shorter."""
        needed = safe_z - min(run.lowest for run in self.runs)
        least = max(needed, self.cutter.flute_length)
        return min(least, self.cutter.stickout), self.cutter.stickout
