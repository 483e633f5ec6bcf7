"""How program zero is found in x and y: which sides are touched, and what the readout is set to."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from gcodekit.job.model import Job, Setup
from gcodekit.job.workshop.machine import Machine
from gcodekit.sheet.figures import figure, length
from gcodekit.units import Units

# Names of the sides of each axis, low and high.
SIDES = (("left", "right"), ("front", "back"))


@dataclass(frozen=True, slots=True)
class _Touching:
    """What touches the sides: an edge finder's radius, or with none a pin, and the feeler beside
    it, mm; `by` in words."""

    radius: float | None
    feeler: float
    by: str

    def reading(self, side: float, end: int, units: Units) -> str:
        """The readout as a side is touched, in words: `end` 0 for a low side, 1 for a high one."""
        sign = 1 if end else -1
        if self.radius is not None:
            return figure(side + sign * self.radius, units)
        word = "plus" if end else "less"
        return f"{figure(side + sign * self.feeler, units)} {word} half the pin's diameter"


def _touching(machine: Machine, units: Units) -> _Touching:
    if machine.edge_finder is not None:
        by = f"the {length(machine.edge_finder, units)} edge finder"
        return _Touching(machine.edge_finder / 2, 0.0, by)
    if machine.feeler is not None:
        by = f"a ground pin and the {length(machine.feeler, units)} feeler"
        return _Touching(None, machine.feeler, by)
    return _Touching(None, 0.0, "a ground pin")


def zero_steps(job: Job, setup: Setup) -> Iterator[str]:
    """What is done to find zero in x and y, in order."""
    touching = _touching(job.workshop.machine, job.units)
    if setup.zero_on is not None:
        yield (
            f"X and Y: with an indicator in the spindle, find the axis of {setup.zero_on} and set "
            "X to 0 and Y to 0."
        )
    elif _upright_bar(setup):
        yield (
            "X and Y: with an indicator in the spindle, find the bar's axis from its outside and "
            f"set X to {_middle(setup, 0, job.units)} and Y to {_middle(setup, 1, job.units)}."
        )
    else:
        yield f"Touch each side with {touching.by}, below its top edge."
        for axis in (0, 1):
            yield from _axis_steps(setup, axis, touching, job.units)


def _upright_bar(setup: Setup) -> bool:
    return setup.sure.shape == "round" and setup.sure.axis == "z"


def _middle(setup: Setup, axis: int, units: Units) -> str:
    return figure((setup.sure.low[axis] + setup.sure.high[axis]) / 2, units)


def _axis_steps(setup: Setup, axis: int, touching: _Touching, units: Units) -> Iterator[str]:
    """The side that zero is counted from, then what the other one should read; of a zero in the
    middle both, and the difference halved."""
    letter = "XY"[axis]
    places = (setup.sure.low[axis], setup.sure.high[axis])
    known = [setup.oversize[end][axis] == 0.0 for end in (0, 1)]
    touched = [end for end in (0, 1) if (axis, end) in setup.zero_touched]
    says = [touching.reading(places[end], end, units) for end in (0, 1)]
    low, high = SIDES[axis]
    if touched or known.count(True) == 1:
        end = touched[0] if touched else known.index(True)
        yield f"{letter}: touch the {SIDES[axis][end]} side and set {letter} to {says[end]}."
        if known[1 - end] and touched:
            yield (
                f"Check: touching the {SIDES[axis][1 - end]} side, {letter} should read "
                f"{says[1 - end]}."
            )
        return
    yield f"{letter}: touch the {low} side and set {letter} to {says[0]}."
    yield (
        f"Then touch the {high} side: {letter} should read {says[1]}. If it does not, set {letter} "
        "halfway between that and what it reads."
    )
