"""The set-up sheet of a job that was made and proved."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from gcodekit.errors import Fault, GcodekitError, JobError, Place, errors_of
from gcodekit.job.load import Given
from gcodekit.job.model import Job
from gcodekit.making.check import sound_job
from gcodekit.making.files import check_folder, leave
from gcodekit.making.proved_job import ProvedJob, proved_job
from gcodekit.making.summary import faults
from gcodekit.post.find import find_post
from gcodekit.sheet.blocks import BenchSheet
from gcodekit.sheet.made_setup import MadeFile, MadeSetup
from gcodekit.sheet.set_up_sheet import set_up_sheet
from gcodekit.sheet.sheet_formats import ENDINGS, paper_for, sheet_bytes
from gcodekit.sheet.sheet_pdf import Paper

SHEET = "set-up-sheet.html"
# How the keys of a set-up begin.
_SETUP = re.compile(r"setup (\d{1,4})\b")


@dataclass(frozen=True, slots=True)
class PostChoice:
    """The post to write with, None for the job's; the folder and the environment's folders that
    posts are looked for in."""

    name: str | None = None
    folder: Path | None = None
    environment: str | None = None


def bench_sheet(done: ProvedJob, date: str = "", *, unproven: bool = False) -> BenchSheet:
    """The sheet of a job; `unproven`: so are its programs."""
    job = done.job
    made = [_made(done, n, unproven=unproven) for n in range(len(done.setups))]
    part = done.surface.mesh if done.surface is not None else None
    return set_up_sheet(job, made, part=part, date=date)


def _made(done: ProvedJob, number: int, *, unproven: bool) -> MadeSetup:
    proved = done.setups[number]
    files = (
        MadeFile(
            name=f.file,
            seconds=f.way.time_s,
            change_seconds=f.way.change_s,
            stops=f.stops,
            hand_stops=f.way.hand_stops,
            runs=f.runs,
        )
        for f in proved.files
    )
    return MadeSetup(
        setup=proved.setup,
        program=proved.plan.program,
        files=tuple(files),
        view=proved.view,
        warnings=tuple(dict.fromkeys(_warnings(done, number))),
        unproven=unproven,
    )


def _warnings(done: ProvedJob, number: int) -> Iterator[str]:
    """What is warned of in a set-up, and where the proof found faults; what is of no set-up stands
    with the first."""
    proved, units = done.setups[number], done.job.units
    planned = {f for p in done.setups for f in p.plan.warnings}
    others = (f for f in (*done.job.warnings, *done.doubts) if f not in planned)
    place = [s.name for s in done.job.setups].index(proved.setup.name)
    own = [f for f in others if _setup_of(f) == place]
    found: list[Fault] = [*own, *proved.plan.warnings, *faults([proved], units)]
    yield from (f"{f.message}, {f.hint}" if f.hint else f.message for f in found)


def _setup_of(fault: Fault) -> int:
    """The set-up that a fault of the job is in, by its key, counted from 0."""
    found = _SETUP.match(fault.place.key)
    return int(found[1]) - 1 if found else 0


def leave_sheet(
    path: Path,
    out: Path,
    *,
    paper: Paper | None = None,
    dimensions: Given | None = None,
    choice: PostChoice = PostChoice(),
    date: str = "",
    progress: Callable[[str], None] = lambda _: None,
) -> tuple[Fault, ...]:
    """Make a job, prove it, and write its set-up sheet alone, as HTML, PDF or text by the file's
    ending; `paper` None: as its units have it. Returns what is warned of.

    Raises
    ------
    GcodekitError
        Where the job cannot be made, the proof fails, or the file cannot be written.
    """
    check_sheet_file(out)
    return leave_proved(
        sound_job(path, dimensions),
        out,
        choice,
        lambda done: bench_sheet(done, date),
        paper=paper,
        date=date,
        progress=progress,
    )


def leave_proved(
    job: Job,
    out: Path,
    choice: PostChoice,
    written: Callable[[ProvedJob], BenchSheet],
    *,
    paper: Paper | None,
    date: str,
    progress: Callable[[str], None],
) -> tuple[Fault, ...]:
    """Prove a job, and write the sheet that is `written` of it. Returns what is warned of. Raises
    `GcodekitError`."""
    dialect = find_post(
        choice.name or job.post, posts=choice.folder, environment=choice.environment
    )
    done = proved_job(job, dialect, unproven=False, date=date, progress=progress)
    found = (*job.warnings, *done.doubts, *faults(done.setups, job.units))
    if errors_of(found):
        raise GcodekitError(found)
    data = sheet_bytes(written(done), out.suffix.lower(), paper or paper_for(job.units))
    leave(out.parent, {out.name: data})
    return found


def check_sheet_file(out: Path) -> None:
    """Refuse a file that no sheet can be written to, before the work is done. Raises
    `GcodekitError`."""
    if out.suffix.lower() not in ENDINGS:
        what = "is not the name of a sheet"
        raise JobError([Fault(Place(str(out)), what, f"end its name in {', '.join(ENDINGS)}")])
    if out.is_dir():
        raise JobError([Fault(Place(str(out)), "is a folder", "name a file")])
    check_folder(out.parent)
