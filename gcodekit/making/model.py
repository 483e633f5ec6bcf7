"""The finished part as a file for other programs."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from gcodekit.errors import Fault, GcodekitError, JobError, Place
from gcodekit.job.model import Job
from gcodekit.making.leave import check_folder, leave
from gcodekit.part.finished import SetupCut


def check_model(file: Path | None) -> None:
    """Refuse a file that cannot be written, before the work is done. Raises `GcodekitError`."""
    if file is None:
        return
    if file.suffix.lower() != ".stl":
        what = f"{file.name} has no ending of a model"
        raise JobError([Fault(Place(str(file)), what, "name a file that ends in .stl")])
    check_folder(file.parent)


def leave_model(file: Path | None, job: Job, cuts: Sequence[SetupCut]) -> tuple[Path, ...]:
    """Write the part, where a file is named: mm, as the raw block stood, its corner left front
    bottom at 0, 0, 0.

    Raises
    ------
    GcodekitError
        When it cannot be made or written.
    """
    if file is None:
        return ()
    try:
        from gcodekit.part.solid import solid, stl
    except ImportError as error:  # no build for this machine
        what = f"a model needs manifold3d, which is not here: {error}"
        raise GcodekitError([Fault(Place(str(file)), what, "pip install manifold3d")]) from error
    return leave(file.parent, {file.name: stl(solid(job.stock, cuts), job.name)})
