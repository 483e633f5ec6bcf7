"""How a part is cut, for the report and for who asks why: cutters, rates, and what ruled them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from gcodekit.job.workshop.machine import Machine
from gcodekit.planning.plan import Plan
from gcodekit.planning.program import Operation
from gcodekit.trade.rates import MOTOR_SHARE


def machine_row(machine: Machine) -> dict[str, Any]:
    """What the machine stands: rev/min, mm/min, W at the motor and at the cutter."""
    spindle = machine.spindle
    power = spindle.power
    return {
        "name": machine.name,
        "speed": [spindle.slowest, spindle.fastest],
        "speeds": list(spindle.steps) or None,
        "feed": machine.feed_max,
        "power": power,
        "power_at_cutter": None if power is None else MOTOR_SHARE * power,
        "rigidity": machine.rigidity,
    }


def cutter_rows(plan: Plan, feature: str) -> list[dict[str, Any]]:
    """A feature's cutters, their parts in it and why each was taken."""
    return [
        {"cutter": p.cutter.number, "name": p.cutter.name, "part": p.part, "why": p.why}
        for p in plan.chosen[feature].picks
    ]


def operation_rows(plan: Plan, feature: str) -> list[dict[str, Any]]:
    """A feature's operations in the order they are cut, each with its load."""
    own = (o for o in plan.program.operations if o.feature == feature)
    return [_operation_row(o) for o in own]


def _operation_row(operation: Operation) -> dict[str, Any]:
    row: dict[str, Any] = {"label": operation.label, "cutter": operation.cutter.number}
    row |= {"how": operation.how} if operation.how else {}
    return row | (asdict(operation.load) if operation.load is not None else {})


def explained(plan: Plan) -> Iterator[str]:
    """Why each cutter was taken; each operation in the order it is cut, with why it stands there
    and what ruled its rates."""
    setup = plan.program.setup
    for feature in setup.features:
        if not feature.copy_of:
            for p in plan.chosen[feature.name].picks:
                name = f"T{p.cutter.number} {p.cutter.name}"
                yield f"{setup.name}: {feature.name}: {name} to {p.part}: {p.why}"
    for number, o in enumerate(plan.program.operations, 1):
        place = f"{setup.name} {number}"
        yield f"{place}: T{o.cutter.number} {o.feature}: {o.label} ({o.why})"
        if o.how:
            yield f"{place}: {o.how}"
        if o.load is not None:
            load = o.load
            yield f"{place}: {load.speed:.0f} rev/min, {load.feed:.0f} mm/min: {load.why}"
