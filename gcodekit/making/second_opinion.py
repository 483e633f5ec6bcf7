"""The stock held against a second opinion: what is left of it, and what holds it."""

from __future__ import annotations

from collections.abc import Mapping

from gcodekit.errors import Fault, PlanError
from gcodekit.job.model import Feature, Job, Profile
from gcodekit.part.asked import FinishingCut
from gcodekit.part.metal import metal
from gcodekit.part.tabs import tab_places
from gcodekit.remaining.agreement import disagreements
from gcodekit.remaining.pieces import holding_faults
from gcodekit.remaining.volumes import Finish, Tab


def stock_faults(job: Job, cuts: Mapping[str, FinishingCut]) -> tuple[Fault, ...]:
    """What is wrong with the stock as every set-up finds it, and with what holds it.

    Parameters
    ----------
    job : with the stock that each of its set-ups begins with
    cuts : with what every feature is finished
    """
    try:
        finishes = {f.name: _finish(f, cuts[f.name]) for s in job.setups for f in s.features}
    except PlanError as error:
        return error.faults
    return (*holding_faults(job, finishes), *disagreements(job, finishes, metal))


def _finish(feature: Feature, cut: FinishingCut) -> Finish:
    tabs: tuple[Tab, ...] = ()
    if isinstance(feature, Profile) and feature.tabs is not None:
        places = cut.tabs or tab_places(feature, cut.cutter.radius)
        tabs = tuple(Tab(t.point, t.along) for t in places)
    return Finish(diameter=cut.cutter.diameter, corner_radius=cut.cutter.corner_radius, tabs=tabs)
