"""A whole job planned, written and proved, before anything is left of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from gcodekit.errors import Fault, Place, PlanError, errors_of
from gcodekit.handwheel.stroke_program import by_strokes
from gcodekit.job.model import Job
from gcodekit.making.check import followed_stock
from gcodekit.making.lost_pictures import Pictures
from gcodekit.making.part_picture import PartSurface, part_picture, part_surface
from gcodekit.making.programs import ProvedSetup, proved_setup
from gcodekit.making.summary import explained
from gcodekit.part.finished_part import SetupCut, finished, volume, without_offcuts
from gcodekit.part.planned_target import FinishingCut
from gcodekit.planning.cutter_assignment import PlannedSetup, finishing_cuts
from gcodekit.planning.job_part import (
    WHOLE_JOB,
    JobPart,
    cutter_warnings,
    part_of,
    setup_of,
    uncorrected,
)
from gcodekit.planning.plan import Plan, plan_setups
from gcodekit.planning.practice_cut import practice_plan, practice_setup
from gcodekit.plot.part_view.surface_mesh import SurfaceMesh
from gcodekit.post.contract import Post
from gcodekit.remaining.loose_pieces import FollowedStock, Parting

# What a picture of it is called where it cannot be drawn.
PART = "the finished part"


@dataclass(frozen=True, slots=True, kw_only=True)
class ProvedJob:
    """A job with the stock its set-ups begin with, its set-ups as proved, warnings of planning and
    work-holding, the finished part as `cuts`, `volume` in mm3, `surface` (None: nothing is left,
    or it cannot be drawn) and `picture`, the `pictures` that could not be drawn, the
    pieces it was parted into, and what explains cutters and sequence. `part`: of the job that is
    written; set-ups that are not in it are not in `setups` either."""

    job: Job
    setups: list[ProvedSetup]
    doubts: tuple[Fault, ...]
    cuts: Sequence[SetupCut]
    volume: float
    surface: PartSurface | None
    picture: str | None
    pictures: Pictures
    partings: tuple[Parting, ...]
    order: tuple[str, ...]
    part: JobPart = WHOLE_JOB


def proved_job(
    job: Job,
    post: Post,
    *,
    unproven: bool,
    date: str,
    progress: Callable[[str], None],
    part: JobPart = WHOLE_JOB,
) -> ProvedJob:
    """Plan, write, read back and prove every set-up, or the `part` of them that is wanted. Raises
    `PlanError`, all at once."""
    _check_driven(job)
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
    pictures, whole = Pictures(), Place(str(job.path))
    job, written, doubts = _wanted(job, plans, part)
    surface = pictures.drawn(PART, whole, lambda: part_surface(job, made))
    proved: list[ProvedSetup] = []
    for done, plan in written:
        progress(f"checking the program of {done.setup.name}")
        proved.append(
            proved_setup(
                job,
                done.setup,
                plan,
                post,
                cutters,
                unproven=unproven,
                warnings=(*job.warnings, *free, *plan.warnings),
                date=date,
                part=_part_in(job, made, done, surface, pictures),
                pictures=pictures,
            )
        )
    size = volume(finished(made))
    progress("drawing the finished part")
    return ProvedJob(
        job=job,
        setups=proved,
        doubts=(*free, *doubts, *(d for _, plan in written for d in plan.warnings)),
        cuts=made,
        volume=size,
        surface=surface,
        picture=_picture(job, surface, size, pictures),
        pictures=pictures,
        partings=followed.partings,
        order=tuple(line for _, plan in written for line in explained(plan)),
        part=part,
    )


def _picture(job: Job, surface: PartSurface | None, size: float, pictures: Pictures) -> str | None:
    """The finished part in space, None where it cannot be drawn."""
    if surface is None:
        return None
    return pictures.drawn(PART, Place(str(job.path)), lambda: part_picture(job, surface, size))


def _check_driven(job: Job) -> None:
    """Refuse a machine that drives no axis: there is nothing for a program to move."""
    if not job.workshop.machine.converted:
        place = Place(job.workshop.file, key="machine.converted")
        text = "no axis is driven: there is no program to make"
        hint = "run `gcodekit handwheel JOB --out FILE` for a sheet of what to dial"
        raise PlanError([Fault(place, text, hint)])


def _wanted(
    job: Job, plans: Sequence[tuple[PlannedSetup, Plan]], part: JobPart
) -> tuple[Job, list[tuple[PlannedSetup, Plan]], tuple[Fault, ...]]:
    """The set-ups to be written with their plans, the job as they see it, and warnings. From a
    feature or cutter on the set-ups after it are written whole. Raises `JobError`, `PlanError`."""
    if part.whole:
        return job, list(plans), ()
    every = [plan for _, plan in plans]
    number = setup_of(job, every, part)
    done, plan = plans[number]
    if part.practice:
        setup = practice_setup(done.setup, part.only)
        found = practice_plan(job, setup, plan, part, [d for d, _ in plans[:number]])
        setups = (*job.setups[:number], setup, *job.setups[number + 1 :])
        return replace(job, setups=setups), [(replace(done, setup=setup), found)], ()
    written = [(done, part_of(plan, part))]
    if not part.finish_only:
        written += plans[number + 1 :]
    doubts = (*cutter_warnings(job, every, part), *uncorrected(job, [p for _, p in written]))
    return job, written, doubts


def _part_in(
    job: Job,
    made: Sequence[SetupCut],
    done: PlannedSetup,
    surface: PartSurface | None,
    pictures: Pictures,
) -> SurfaceMesh | None:
    """The finished part for the picture of a set-up: of several pieces, the one that it takes."""
    if done.apart:
        cuts = [*made, *(SetupCut(s, slabs) for s, slabs in done.apart)]
        place = done.setup.place.at("")
        surface = pictures.drawn("the piece", place, lambda: part_surface(job, cuts))
    return surface.mesh if surface else None


def _plans(job: Job, progress: Callable[[str], None]) -> list[tuple[PlannedSetup, Plan]]:
    """Every set-up planned; what fails is said together with the job's warnings."""
    try:
        plans = plan_setups(job, progress=progress)
        planned = replace(job, setups=tuple(done.setup for done, _ in plans))
        return [(done, by_strokes(planned, done.setup, plan)) for done, plan in plans]
    except PlanError as error:
        raise PlanError((*job.warnings, *error.faults)) from error


def _refused(job: Job, cuts: Mapping[str, FinishingCut]) -> FollowedStock:
    """Warnings of what comes free, and the pieces the work comes to be in. Raises `PlanError` where
    the work cannot be held as given, or the stock is not what planning took it for."""
    found = followed_stock(job, cuts)
    if errors_of(found.faults):
        raise PlanError((*job.warnings, *found.faults))
    return found
