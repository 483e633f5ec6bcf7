"""A job looked over without planning it."""

from __future__ import annotations

from pathlib import Path

from gcodekit.errors import Fault, JobError


def check_job(path: Path) -> tuple[Fault, ...]:
    """Everything wrong with a job file and its workshop file, warnings among it."""
    from gcodekit.job.load import load_job

    try:
        return load_job(path).warnings
    except JobError as error:
        return error.faults
