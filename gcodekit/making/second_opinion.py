"""The stock held against a second opinion: what is left of it, and what holds it."""

from __future__ import annotations

from collections.abc import Mapping

from gcodekit.errors import Fault
from gcodekit.job.feature import Feature
from gcodekit.job.model import Job
from gcodekit.part.asked import FinishingCut
from gcodekit.part.metal import metal
from gcodekit.remaining.agreement import disagreements
from gcodekit.remaining.pieces import holding_faults
from gcodekit.target.kind_target import target_kind
from gcodekit.target.volumes import Finish


def stock_faults(job: Job, cuts: Mapping[str, FinishingCut]) -> tuple[Fault, ...]:
    """What is wrong with the stock as every set-up finds it, and with what holds it.

    Parameters
    ----------
    job : with the stock that each of its set-ups begins with
    cuts : with what every feature is finished
    """
    finishes = {f.name: _finish(f, cuts[f.name]) for s in job.setups for f in s.features}
    return (*holding_faults(job, finishes), *disagreements(job, finishes, metal))


def _finish(feature: Feature, cut: FinishingCut) -> Finish:
    tabs = target_kind(feature).tab_middles(feature, max(c.radius for c in cut.cutters))
    return Finish(diameter=cut.cutter.diameter, corner_radius=cut.cutter.corner_radius, tabs=tabs)
