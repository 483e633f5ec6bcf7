"""The main job: plan, write, read back, prove against the drawing, and only then leave files."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Any, Literal

from gcodekit.errors import Fault, GcodekitError, Place, errors_of
from gcodekit.job.load import Given
from gcodekit.job.model import Job
from gcodekit.making.check import sound_job
from gcodekit.making.files import (
    REPORT,
    check_folder,
    check_model,
    clear_away,
    digests,
    earlier_files,
    leave,
    leave_model,
)
from gcodekit.making.lost_pictures import Pictures
from gcodekit.making.part_picture import PART_PICTURE
from gcodekit.making.part_report import named, of_part, part_lines, part_rows
from gcodekit.making.piece_report import piece_rows, pieces_lines
from gcodekit.making.programs import pictures_of
from gcodekit.making.proved_job import ProvedJob, proved_job
from gcodekit.making.report import report, unplanned
from gcodekit.making.setup_sheets import SHEET, bench_sheet
from gcodekit.making.summary import faults, part_line, summary
from gcodekit.planning.job_part import WHOLE_JOB, JobPart, NoSuchPartError, check_names
from gcodekit.post.contract import Post
from gcodekit.post.find import find_post
from gcodekit.sheet.sheet_html import to_html

Verdict = Literal["pass", "fail"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """The result of making a job: files written, errors and warnings, a summary in words, and
    `document`, which report.json holds too."""

    verdict: Verdict
    files: tuple[Path, ...]
    faults: tuple[Fault, ...]
    summary: tuple[str, ...]
    document: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Outputs:
    """The files wanted besides the programs that pass, as in `make`."""

    unproven: bool
    png: bool
    explain: bool
    model: Path | None
    date: str = ""
    part: JobPart = WHOLE_JOB


def make(
    job: Job | Path | str,
    out: Path | str,
    *,
    dimensions: Given | None = None,
    post: str | None = None,
    posts: Path | None = None,
    posts_env: str | None = None,
    unproven: bool = False,
    png: bool = False,
    explain: bool = False,
    model: Path | None = None,
    date: str = "",
    part: JobPart = WHOLE_JOB,
    progress: Callable[[str], None] = lambda _: None,
) -> Report:
    """Make every program of a job and prove it; a job that fails leaves no program, only its report
    and the pictures.

    Parameters
    ----------
    job : a job file, or a job that `load_job` has read
    out : the folder where everything goes
    dimensions : with a job file: values in place of those of its [dimensions], as `load_job` has
        them
    post : the dialect to write, in place of the job's; `posts`, `posts_env`: where posts are found
    unproven : leave programs that fail as well, marked so
    png : pictures as PNG too
    explain : the summary begins with the cutters, the sequence, and why
    model : where the finished part goes as an STL file
    date : of the pictures, as it is to be written in them; none unless given
    part : the part of the programs that is written, the rest counting as cut already; its files
        have names of their own, and those of the whole job beside them stay
    progress : told of each step

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     made = make("jobs/cable-clip.toml", folder, dimensions={"pitch": 20})
    ...     print(made.verdict, *(file.name for file in made.files))
    pass 1-flat.svg part.svg 1-flat.nc set-up-sheet.html report.json
    """
    if isinstance(job, Job) and dimensions:
        raise TypeError("dimensions can only be given with a job file: give them to load_job")
    path, out = job.path if isinstance(job, Job) else Path(job), Path(out)
    try:
        check_model(model)
    except GcodekitError as error:
        return _not_left(path, tuple(error.faults))
    try:
        sound = job if isinstance(job, Job) else sound_job(path, dimensions)
        check_folder(out)
        dialect = find_post(post or sound.post, posts=posts, environment=posts_env)
        wanted = Outputs(unproven, png, explain, model, date, part)
        return _made(sound, out, dialect, wanted, progress)
    except NoSuchPartError as error:
        return _not_left(path, tuple(error.faults))
    except GcodekitError as error:
        return _failed(path, out, tuple(error.faults), part)
    except OSError as error:
        fault = Fault(Place(str(path)), f"cannot be read: {error.strerror or error}")
        return _failed(path, out, (fault,), part)


def _made(
    job: Job, out: Path, post: Post, wanted: Outputs, progress: Callable[[str], None]
) -> Report:
    check_names(job, wanted.part)
    done = proved_job(
        job,
        post,
        unproven=wanted.unproven,
        date=wanted.date,
        progress=progress,
        part=wanted.part,
    )
    left = _left(done, out, wanted)
    return replace(
        left,
        files=(*left.files, *leave_model(wanted.model, done.job, done.cuts)),
        summary=(*(done.order if wanted.explain else ()), *left.summary),
    )


def _left(done: ProvedJob, out: Path, wanted: Outputs) -> Report:
    """The files that may be left, and what is to be said."""
    job, proved, pictures = done.job, done.setups, done.pictures
    problems = faults(proved, job.units)
    failed = bool(errors_of(problems))
    verdict: Verdict = "fail" if failed else "pass"
    files = [f for p in proved for f in p.files]
    drawn = pictures_of(proved) | ({PART_PICTURE: done.picture} if done.picture else {})
    texts: dict[str, str | bytes] = dict(drawn)
    if wanted.png:
        texts |= _dots(drawn, pictures)
    if not failed or wanted.unproven:
        texts |= {f.file: f.text for f in files}
        if (sheet := _set_up_sheet(done, wanted, pictures)) is not None:
            texts[named(SHEET, wanted.part)] = sheet
    warnings = (*job.warnings, *done.doubts, *pictures.warnings)
    # last: it says what the others are
    pieces = piece_rows(job, done.partings)
    document = report(job, proved, verdict, done.volume, warnings)
    document |= {"pieces": pieces} if pieces else {}
    document |= part_rows(done)
    earlier, stale = earlier_files(out, job.path)
    earlier, others = of_part(earlier, wanted.part)
    document |= {"written": others | digests(texts)}
    texts[REPORT] = json.dumps(document, indent=2) + "\n"
    if failed:
        stale += clear_away(out, earlier, texts, failed=True)
    left = leave(out, texts)
    if not failed:
        stale += clear_away(out, earlier, texts, failed=False)
    said = [*part_lines(done), *(s for p in proved for s in summary(job, p))]
    said += [*pieces_lines(job, pieces), part_line(job, done.volume)]
    return Report(
        verdict=verdict,
        files=left,
        faults=(*warnings, *problems, *stale),
        summary=tuple(said) if not failed or wanted.unproven else (),
        document=document,
    )


def _set_up_sheet(done: ProvedJob, wanted: Outputs, pictures: Pictures) -> str | None:
    """The set-up sheet; a sheet that cannot be set is warned of as a picture is."""
    return pictures.drawn(
        "the set-up sheet",
        Place(str(done.job.path)),
        lambda: to_html(bench_sheet(done, wanted.date, unproven=wanted.unproven)),
    )


def _dots(drawn: Mapping[str, str], pictures: Pictures) -> dict[str, bytes]:
    """Every picture as PNG, but those that cannot be drawn here."""
    from gcodekit.plot.paper import png

    names = {Path(file).with_suffix(".png").name: picture for file, picture in drawn.items()}
    found = {
        name: pictures.drawn(name, Place(name), partial(png, picture, name=name))
        for name, picture in names.items()
    }
    return {name: dots for name, dots in found.items() if dots}


def _failed(path: Path, out: Path, faults: tuple[Fault, ...], part: JobPart) -> Report:
    """A job that was not planned: its report says so, in place of an earlier one that says pass."""
    outcome = _not_left(path, faults)
    try:
        check_folder(out)
        files, said = earlier_files(out, path)
        files, others = of_part(files, part)
        outcome.document["written"] = others
        said += clear_away(out, files, (), failed=True)
        text = json.dumps(outcome.document, indent=2) + "\n"
        return replace(outcome, files=leave(out, {REPORT: text}), faults=(*faults, *said))
    except GcodekitError as error:
        more = tuple(f for f in error.faults if f not in faults)
        return replace(outcome, faults=(*faults, *more))


def _not_left(path: Path, faults: tuple[Fault, ...]) -> Report:
    """What is wrong, and no file."""
    document = unplanned(path, faults)
    return Report(verdict="fail", files=(), faults=faults, summary=(), document=document)
