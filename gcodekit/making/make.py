"""The main job: plan, write, read back, prove against the drawing, and only then leave files."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Any, Literal

from gcodekit.errors import Fault, GcodekitError, Place, PlanError, errors_of
from gcodekit.job.load import Given
from gcodekit.job.model import Job
from gcodekit.making.check import followed_stock, sound_job
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
from gcodekit.making.part_picture import (
    PART_PICTURE,
    PartSurface,
    part_picture,
    part_surface,
)
from gcodekit.making.piece_report import piece_rows, pieces_lines
from gcodekit.making.programs import ProvedSetup, pictures_of, proved_setup
from gcodekit.making.report import report, unplanned
from gcodekit.making.summary import explained, faults, part_line, summary
from gcodekit.part.finished_part import SetupCut, finished, volume, without_offcuts
from gcodekit.part.planned_target import FinishingCut
from gcodekit.planning.cutter_assignment import PlannedSetup, finishing_cuts
from gcodekit.planning.plan import Plan, plan_setups
from gcodekit.plot.part_view.surface_mesh import SurfaceMesh
from gcodekit.post.contract import Post
from gcodekit.post.find import find_post
from gcodekit.remaining.loose_pieces import FollowedStock, Parting

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
    progress : told of each step

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     made = make("jobs/cable-clip.toml", folder, dimensions={"pitch": 20})
    ...     print(made.verdict, *(file.name for file in made.files))
    pass 1-flat.svg part.svg 1-flat.nc report.json
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
        return _made(sound, out, dialect, Outputs(unproven, png, explain, model, date), progress)
    except GcodekitError as error:
        return _failed(path, out, tuple(error.faults))
    except OSError as error:
        fault = Fault(Place(str(path)), f"cannot be read: {error.strerror or error}")
        return _failed(path, out, (fault,))


def _made(
    job: Job, out: Path, post: Post, wanted: Outputs, progress: Callable[[str], None]
) -> Report:
    plans = _plans(job, progress)
    job = replace(job, setups=tuple(done.setup for done, _ in plans))
    made = [without_offcuts(done.setup, done.gone, done.apart) for done, _ in plans]
    cuts = {
        name: cut
        for done, plan in plans
        for name, cut in finishing_cuts(done.setup, plan.chosen).items()
    }
    cutters = {name: cut.cutters for name, cut in cuts.items()}
    followed = _refused(job, cuts)
    free = followed.faults
    doubts = [*free, *(d for _, plan in plans for d in plan.warnings)]
    pictures, whole = Pictures(), Place(str(job.path))
    part = pictures.drawn("the finished part", whole, lambda: part_surface(job, made))
    proved: list[ProvedSetup] = []
    for done, plan in plans:
        progress(f"checking the program of {done.setup.name}")
        proved.append(
            proved_setup(
                job,
                done.setup,
                plan,
                post,
                cutters,
                unproven=wanted.unproven,
                warnings=(*job.warnings, *free, *plan.warnings),
                date=wanted.date,
                part=_part_in(job, made, done, part, pictures),
                pictures=pictures,
            )
        )
    size = volume(finished(made))
    progress("drawing the finished part")
    picture = None
    if part is not None:
        shown = part
        picture = pictures.drawn("the finished part", whole, lambda: part_picture(job, shown, size))
    order = tuple(line for _, plan in plans for line in explained(plan))
    results = _Results(size, picture, pictures, followed.partings)
    left = _left(job, out, proved, doubts, results, wanted)
    return replace(
        left,
        files=(*left.files, *leave_model(wanted.model, job, made)),
        summary=(*(order if wanted.explain else ()), *left.summary),
    )


def _part_in(
    job: Job,
    made: Sequence[SetupCut],
    done: PlannedSetup,
    part: PartSurface | None,
    pictures: Pictures,
) -> SurfaceMesh | None:
    """The finished part for the picture of a set-up: of several pieces, the one that it takes."""
    if done.apart:
        cuts = [*made, *(SetupCut(s, slabs) for s, slabs in done.apart)]
        place = done.setup.place.at("")
        part = pictures.drawn("the piece", place, lambda: part_surface(job, cuts))
    return part.mesh if part else None


def _plans(job: Job, progress: Callable[[str], None]) -> list[tuple[PlannedSetup, Plan]]:
    """Every set-up planned; what fails is said together with the job's warnings."""
    try:
        return plan_setups(job, progress=progress)
    except PlanError as error:
        raise PlanError((*job.warnings, *error.faults)) from error


def _refused(job: Job, cuts: Mapping[str, FinishingCut]) -> FollowedStock:
    """Warnings of what comes free, and the pieces the work comes to be in. Raises `PlanError` where
    the work cannot be held as given, or the stock is not what planning took it for."""
    found = followed_stock(job, cuts)
    if errors_of(found.faults):
        raise PlanError((*job.warnings, *found.faults))
    return found


@dataclass(frozen=True, slots=True)
class _Results:
    """What became of the work: the finished part's volume, mm3, its picture, those that could not
    be drawn, and the pieces it was parted into."""

    size: float
    part: str | None
    pictures: Pictures
    partings: tuple[Parting, ...]


def _left(
    job: Job,
    out: Path,
    proved: list[ProvedSetup],
    doubts: list[Fault],
    results: _Results,
    wanted: Outputs,
) -> Report:
    """The files that may be left, and what is to be said."""
    problems = faults(proved, job.units)
    failed = bool(errors_of(problems))
    verdict: Verdict = "fail" if failed else "pass"
    files = [f for p in proved for f in p.files]
    drawn = pictures_of(proved) | ({PART_PICTURE: results.part} if results.part else {})
    texts: dict[str, str | bytes] = dict(drawn)
    if wanted.png:
        texts |= _dots(drawn, results.pictures)
    warnings = (*job.warnings, *doubts, *results.pictures.warnings)
    if not failed or wanted.unproven:
        texts |= {f.file: f.text for f in files}
    # last: it says what the others are
    pieces = piece_rows(job, results.partings)
    document = report(job, proved, verdict, results.size, warnings)
    document |= {"pieces": pieces} if pieces else {}
    document |= {"written": digests(texts)}
    texts[REPORT] = json.dumps(document, indent=2) + "\n"
    earlier, stale = earlier_files(out, job.path)
    if failed:
        stale += clear_away(out, earlier, texts, failed=True)
    left = leave(out, texts)
    if not failed:
        stale += clear_away(out, earlier, texts, failed=False)
    said = [s for p in proved for s in summary(job, p)]
    said += [*pieces_lines(job, pieces), part_line(job, results.size)]
    return Report(
        verdict=verdict,
        files=left,
        faults=(*warnings, *problems, *stale),
        summary=tuple(said) if not failed or wanted.unproven else (),
        document=document,
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


def _failed(path: Path, out: Path, faults: tuple[Fault, ...]) -> Report:
    """A job that was not planned: its report says so, in place of an earlier one that says pass."""
    outcome = _not_left(path, faults)
    try:
        check_folder(out)
        files, said = earlier_files(out, path)
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
