"""A job looked over without planning it."""

from __future__ import annotations

from pathlib import Path

from gcodekit.errors import Fault, JobError, PlanError


def check_job(path: Path) -> tuple[Fault, ...]:
    """Everything wrong with a job file and its workshop file, warnings among it, and every feature
    that no cutter of the rack can cut."""
    from gcodekit.job.load import load_job
    from gcodekit.planning.plan import choose_cutters

    try:
        job = load_job(path)
    except JobError as error:
        return error.faults
    faults = list(job.warnings)
    for setup in job.setups:
        try:
            _, _, chosen = choose_cutters(job, setup)
            faults += (doubt for c in chosen.values() for doubt in c.doubts)
        except PlanError as error:
            faults += error.faults
    return tuple(faults)
