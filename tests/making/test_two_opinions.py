"""What planning takes a drawing to ask, and what the proof works out for itself, are the same.

They share no code. Where they differed a right program would be refused, or a wrong one proved.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.job.model import Setup
from gcodekit.making.check import sound_job
from gcodekit.part.planned_target import PlannedTarget
from gcodekit.planning.cutter_assignment import asked_of, finished_with
from gcodekit.proof.reach import reach
from gcodekit.target.demand import Demand, used_on
from gcodekit.target.target import demands_of

HERE = Path(__file__).parent
JOBS = sorted(
    path
    for folder in (HERE / "small_jobs", HERE / "kind_jobs", HERE.parents[1] / "jobs")
    for path in folder.glob("*.toml")
    if path.stem != "workshop"
)
# mm: the sag of chords, and tangents where an arc is cut off square
NEAR = 0.0015
# Looked at just above and just below every level, mm.
OFF = 0.01
# What is allowed is looked at with what is required: of what is both it does not matter.
AREAS: dict[str, Callable[[PlannedTarget | Demand, float], BaseGeometry]] = {
    "required": lambda each, z: each.required_at(z),
    "allowed": lambda each, z: each.allowed_at(z) | each.required_at(z),
    "kept": lambda each, z: each.kept_at(z),
}


@pytest.mark.parametrize("path", [pytest.param(p, id=p.stem) for p in JOBS])
def test_both_ask_the_same(path: Path) -> None:
    job, cuts, faults = finished_with(sound_job(path))
    assert not [f for f in faults if f.severity == "error"]
    for setup in job.setups:
        used = {f.name: used_on(f, cuts[f.name].cutters) for f in setup.features}
        pairs = zip(asked_of(setup, cuts), demands_of(setup, used), strict=True)
        for planned, proved in pairs:
            _same(setup, planned, proved)


def _same(setup: Setup, planned: PlannedTarget, proved: Demand) -> None:
    assert planned.name == proved.name
    assert planned.reach == pytest.approx(proved.reach, abs=1e-9)
    assert sorted(planned.levels) == pytest.approx(sorted(proved.levels), abs=1e-9)
    # far from the metal there is only air, and it does not matter how much of it is asked
    low, high = setup.left.low, setup.left.high
    near = shapely.box(*low[:2], *high[:2]).buffer(9.0)
    for z in {level + side for level in proved.levels for side in (-OFF, OFF)}:
        for what, area in AREAS.items():
            one, other = (near & area(each, z) for each in (planned, proved))
            assert reach(one, other).distance < NEAR, (what, z)
            assert reach(other, one).distance < NEAR, (what, z)
