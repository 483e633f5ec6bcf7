"""One feature planned by itself, to be tried in air or in foam before the work is cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from gcodekit.job.model import Job, Setup
from gcodekit.planning.cutter_assignment import PlannedSetup, on_same_stock
from gcodekit.planning.job_part import JobPart
from gcodekit.planning.plan import Plan, plan_setup
from gcodekit.planning.program import PRACTICE_NOTICE


def practice_setup(setup: Setup, name: str) -> Setup:
    """The set-up with that feature alone, held as in its stage."""
    feature = next(f for f in setup.features if f.name == name)
    hold = setup.holds[feature.stage]
    alone = replace(feature, stage=0, after=None)
    return replace(setup, features=(alone,), stops=(), hold=hold)


def practice_plan(
    job: Job, setup: Setup, plan: Plan, part: JobPart, earlier: Sequence[PlannedSetup]
) -> Plan:
    """The plan of a practice set-up, with the cutters that the whole `plan` has for its feature.
    Raises `PlanError` where it cannot be cut by itself."""
    numbers = {c.number for c in plan.chosen[part.only].every}
    cutters = tuple(c for c in job.workshop.cutters if c.number in numbers)
    alone = replace(job, workshop=replace(job.workshop, cutters=cutters))
    found = plan_setup(alone, setup, on_same_stock(setup, earlier))
    notice = f"{PRACTICE_NOTICE}{part.only} alone, in air or in foam as large as the stock"
    program = replace(found.program, job=job, suffix=part.suffix, notices=(notice,))
    return replace(found, program=program)
