"""Set-ups planned from job text, with a rack as small as the test needs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest

from gcodekit.job.load import load_job
from gcodekit.job.model import Job
from gcodekit.planning.plan import Plan, plan_setup

WORKSHOP = """
units = "mm"
[machine]
name = "Mill"
spindle = { min = 100, max = 3000 }
feed_max = 600
"""
CUTTER = """
[[cutter]]
number = %d
name = "cutter %d"
kind = "%s"
diameter = %g
flute_length = 30
stickout = 45
shank = %g
centre_cutting = %s
"""
POINTS = {"drill": 118, "spot drill": 90}


def _rack(cutters: list[tuple[str, float]], bare: Sequence[float]) -> str:
    text = WORKSHOP
    for number, (kind, diameter) in enumerate(cutters, 1):
        text += CUTTER % (
            *(number, number, kind, diameter, diameter),
            str(diameter not in bare).lower(),
        )
        text += f"tip_angle = {POINTS[kind]}\n" if kind in POINTS else ""
    return text


@pytest.fixture
def job_of(tmp_path: Path) -> Callable[..., Job]:
    """A job on a block 100 x 60 x 10, zero in its middle on top, on a spoil board; cutters of the
    diameters `bare` have no teeth at their centre."""

    def load(
        features: str,
        *,
        rack: list[tuple[str, float]] | None = None,
        bare: Sequence[float] = (),
        hold: str = "board = 12",
        units: str = "mm",
        stock: str = "block = [100, 60, 10]",
        zero: str = 'z = "top"',
        setup: str = "",
    ) -> Job:
        head = f'name = "Trial"\nunits = "{units}"\nmaterial = "aluminium"\n'
        if rack is not None:
            (tmp_path / "workshop.toml").write_text(_rack(rack, bare))
            head += 'workshop = "workshop.toml"\n'
        head += f"[stock]\n{stock}\n[[setup]]\n"
        head += f'zero = {{ x = "centre", y = "centre", {zero} }}\n{setup}\n[setup.hold]\n{hold}\n'
        (tmp_path / "job.toml").write_text(head + features)
        return load_job(tmp_path / "job.toml")

    return load


@pytest.fixture
def plan_of(job_of: Callable[..., Job]) -> Callable[..., Plan]:
    def plan(features: str, **more: Any) -> Plan:
        job = job_of(features, **more)
        return plan_setup(job, job.setups[0])

    return plan
