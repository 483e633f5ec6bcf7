"""The handwheel sheet of a job that was made and proved."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from gcodekit.errors import Fault, JobError
from gcodekit.handwheel.hand_plan import hand_setup
from gcodekit.handwheel.hand_sheet import HandPage, handwheel_sheet
from gcodekit.job.load import Given
from gcodekit.job.model import Job
from gcodekit.job.workshop.machine import AXES
from gcodekit.making.check import sound_job
from gcodekit.making.proved_job import ProvedJob
from gcodekit.making.setup_sheets import PostChoice, check_sheet_file, leave_proved
from gcodekit.sheet.blocks import BenchSheet
from gcodekit.sheet.sheet_pdf import Paper


def sheet_by_hand(
    done: ProvedJob, date: str = "", progress: Callable[[str], None] = lambda _: None
) -> BenchSheet:
    """The handwheel sheet of a proved job."""
    pages = []
    for proved in done.setups:
        progress(f"laying strokes of {proved.setup.name}")
        pages.append(HandPage(hand_setup(done.job, proved.setup, proved.plan), proved.view))
    return handwheel_sheet(done.job, pages, date)


def with_all_driven(job: Job) -> Job:
    """The job on a machine whose every axis is driven."""
    machine = replace(job.workshop.machine, converted=AXES)
    return replace(job, workshop=replace(job.workshop, machine=machine))


def _refuse_measured(job: Job) -> None:
    """Refuse a job with corrections: strokes are laid as drawn. Raises `JobError`."""
    found = [f.measured.place for s in job.setups for f in s.features if f.measured is not None]
    text = "a handwheel sheet goes by the drawing, not by what was measured"
    hint = "remove this entry, and allow for the difference on the dial"
    if found:
        raise JobError([Fault(place, text, hint) for place in found])


def leave_handwheel_sheet(
    path: Path,
    out: Path,
    choice: PostChoice,
    *,
    paper: Paper | None = None,
    dimensions: Given | None = None,
    date: str = "",
    progress: Callable[[str], None] = lambda _: None,
) -> tuple[Fault, ...]:
    """Make a job, prove it, and write its handwheel sheet as HTML, PDF or text by the file's
    ending; `paper` None: as its units have it. Returns what is warned of.

    Raises
    ------
    GcodekitError
        Where the job cannot be made, the proof fails, or the file cannot be written.
    """
    check_sheet_file(out)
    # a sheet has no stops of a program: all of it is done by hand
    job = with_all_driven(sound_job(path, dimensions))
    _refuse_measured(job)
    return leave_proved(
        job,
        out,
        choice,
        lambda done: sheet_by_hand(done, date, progress),
        paper=paper,
        date=date,
        progress=progress,
    )
