"""In an inch job every figure that the plan gives a reader is in inch."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from gcodekit.job.load import load_job
from gcodekit.planning.plan import plan_setup

MAKING = Path(__file__).parents[1] / "making"
JOBS = sorted(MAKING.glob("*_jobs/*-inch.toml"))
METRIC = re.compile(r"\d (mm|m)\b")


@pytest.mark.parametrize("path", JOBS, ids=lambda p: p.stem)
def test_reasons_are_in_inch(path: Path) -> None:
    job = load_job(path)
    assert job.units == "inch"
    for setup in job.setups:
        plan = plan_setup(job, setup)
        said = [o.load.why for o in plan.program.operations if o.load is not None]
        assert any(re.search(r"\d (in|ft)\b", why) for why in said)
        said += [o.how for o in plan.program.operations]
        said += [f.text for f in plan.load_warnings]
        assert not [text for text in said if METRIC.search(text)]


def test_there_are_inch_jobs() -> None:
    assert len(JOBS) > 2
