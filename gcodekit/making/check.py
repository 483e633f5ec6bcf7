"""A job looked over without planning it, and its stock held against a second opinion."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from gcodekit.errors import Fault, JobError, PlanError, errors_of
from gcodekit.job.feature import Feature
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.hole import Hole
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.model import Job, Setup

if TYPE_CHECKING:
    from gcodekit.job.load import Given
    from gcodekit.part.planned_target import FinishingCut
    from gcodekit.remaining.loose_pieces import FollowedStock
    from gcodekit.target.volumes import Finish

# Where a fault of one feature alone stands.
_OF_FEATURE = re.compile(r"(setup \d+\.feature \d+)\b.*")


def check_job(path: Path, given: Given | None = None) -> tuple[Fault, ...]:
    """Everything wrong with a job file and its workshop file, warnings among it, and every feature
    that no cutter of the rack can cut; `given`: dimensions in place of the file's."""
    from gcodekit.job.load import read_job

    try:
        job, faults = read_job(path, given)
    except JobError as error:
        return error.faults
    if job is None:
        return faults
    if errors_of(faults):
        return _by_line((*faults, *_without_cutter(job, faults)), job)
    return _by_line((*faults, *_looked_over(job)), job)


def sound_job(path: Path, given: Given | None = None) -> Job:
    """The job, to be planned; `given`: dimensions in place of the file's.

    Raises
    ------
    JobError
        What is wrong with it, and with that what the rack lacks for it.
    """
    from gcodekit.job.load import read_job

    job, faults = read_job(path, given)
    if job is None:
        raise JobError(faults)
    if errors_of(faults):
        raise JobError(_by_line((*faults, *_without_cutter(job, faults)), job))
    # planning chooses the cutters itself, and says what is lacking then
    return job


def _by_line(faults: Iterable[Fault], job: Job) -> tuple[Fault, ...]:
    """The job's before the workshop's, as they stand in the files."""
    return tuple(sorted(faults, key=lambda f: (f.place.file != job.file, f.place.line)))


def _without_cutter(job: Job, faults: Iterable[Fault]) -> list[Fault]:
    """The cutters the rack lacks for the features that could be read, whatever else is at fault."""
    from gcodekit.planning.cutter_assignment import choice_warnings, choose_cutters

    at_fault = [_OF_FEATURE.fullmatch(f.place.key) for f in errors_of(faults)]
    # anything but a feature may have been used by any of them: those wait until it is mended
    if None in at_fault:
        return []
    wrong = {m[1] for m in at_fault if m is not None}
    found: list[Fault] = []
    for number, setup in enumerate(job.setups, 1):
        try:
            chosen = choose_cutters(job, replace(setup, features=_sure(setup, number, wrong)))[2]
            found += choice_warnings(chosen)
        except PlanError as error:
            found += error.faults
    return found


def _sure(setup: Setup, number: int, wrong: set[str]) -> tuple[Feature, ...]:
    """The features whose depth in metal is sure: what is written before them, and may have taken
    metal off them, is not at fault."""
    here = {int(key.rpartition(" ")[2]): key for key in wrong if key.startswith(f"setup {number}.")}
    harmless = {
        f.place.key for f in setup.features if isinstance(f, Hole | Bore | Profile)
    }  # none of these lowers the top under a later one
    first = min((n for n, key in here.items() if key not in harmless), default=None)
    return tuple(
        f
        for f in setup.features
        if f.place.key not in wrong
        and (first is None or int(f.place.key.rpartition(" ")[2]) < first)
    )


def _looked_over(job: Job) -> tuple[Fault, ...]:
    """The cutters the rack lacks for a job without a fault; or faults of its work-holding."""
    from gcodekit.planning.cutter_assignment import finished_with

    job, cuts, faults = finished_with(job)
    return faults if errors_of(faults) else (*faults, *stock_faults(job, cuts))


def stock_faults(job: Job, cuts: Mapping[str, FinishingCut]) -> tuple[Fault, ...]:
    """Only the faults of what `followed_stock` finds."""
    return followed_stock(job, cuts).faults


def followed_stock(job: Job, cuts: Mapping[str, FinishingCut]) -> FollowedStock:
    """The faults of the stock as every set-up finds it and of its work-holding, by a
    second opinion on what is left of it; and the pieces it comes to be in.

    Parameters
    ----------
    job : with the stock that each of its set-ups begins with
    cuts : with what every feature is finished
    """
    from gcodekit.part.setup_stock import metal
    from gcodekit.remaining.agreement import disagreements
    from gcodekit.remaining.breaking_in_depths import wrong_depths
    from gcodekit.remaining.loose_pieces import holding_faults

    finishes = {f.name: _finish(f, cuts[f.name]) for s in job.setups for f in s.features}
    found = holding_faults(job, finishes)
    more = (*disagreements(job, finishes, metal), *wrong_depths(job, finishes))
    return replace(found, faults=(*found.faults, *more))


def _finish(feature: Feature, cut: FinishingCut) -> Finish:
    from gcodekit.target.kind_target import target_kind
    from gcodekit.target.volumes import Finish

    tabs = target_kind(feature).tab_middles(feature, max(c.radius for c in cut.cutters))
    return Finish(
        diameter=cut.cutter.diameter,
        corner_radius=cut.cutter.corner_radius,
        tabs=tabs,
        cutter=cut.cutter,
    )
