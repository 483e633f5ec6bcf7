"""Corners that only a cutter coming in from beside the metal would reach, where none does."""

from __future__ import annotations

from shapely.geometry.base import BaseGeometry

from gcodekit.job.model import Feature, Pocket, Profile
from gcodekit.operations.draft import Work, refuse
from gcodekit.part.asked import BELOW, Asked, FinishingCut
from gcodekit.part.beside import beside
from gcodekit.part.metal import metal, metal_levels, plan
from gcodekit.part.overlay import common, less, union
from gcodekit.part.plane import area_of, grown, line_of

# What share of the job's tolerance may stand.
SHARE = 0.8
# A disc that passes by so much, mm, passes.
SLACK = 0.002
# Less than this, mm^2, is no metal.
LEAST_AREA = 1e-6


def check_from_outside(work: Work, feature: Feature, asked: Asked, cut: FinishingCut) -> None:
    """Refuse a profile that leaves the metal, or a pocket on a lying bar, with a corner so near the
    metal's edge that a cutter following it on its own side would leave it standing."""
    swept = _swept(work, feature, cut)
    if swept is None:
        return
    key = "path" if isinstance(feature, Profile) and feature.path is not None else "outline"
    within = grown(swept, SHARE * work.job.tolerance)
    for z in _heights(work, feature, asked):
        left = less(_reachable(work, asked, z), within)
        if left.area > LEAST_AREA:
            raise refuse(
                feature,
                f"its corner near {work.say_at(left)} lies so near the metal's edge that the "
                f"cutter, {work.say(cut.cutter.diameter)}, leaves metal in it",
                f"draw the {key} farther out over the edge, or round the corner",
                key=key,
            )


def _swept(work: Work, feature: Feature, cut: FinishingCut) -> BaseGeometry | None:
    """What the finishing cutter covers following the feature; None where it may come in from
    outside, or never has to."""
    radius, lying = cut.cutter.radius, bool(metal_levels(work.setup))
    if isinstance(feature, Profile) and feature.side != "on":
        if plan(work.setup).covers(_drawn(feature)):
            return None
        return grown(beside(feature).path(radius + cut.left), radius)
    if isinstance(feature, Pocket) and lying:
        air = less(_frame(work, radius), plan(work.setup))
        room = grown(union((area_of(feature.area), air)), SLACK - radius - cut.left)
        return grown(room, radius)
    return None


def _drawn(profile: Profile) -> BaseGeometry:
    if profile.outline is not None:
        return area_of(profile.outline)
    assert profile.path is not None  # the job gives one of both
    return line_of(profile.path)


def _heights(work: Work, feature: Feature, asked: Asked) -> list[float]:
    bottom, top = work.setup.raw.low[2], work.setup.raw.high[2]
    floor = max(bottom, feature.depth.cut_to)
    levels = {floor, *metal_levels(work.setup), *asked.levels}
    return [z + BELOW for z in sorted(levels) if floor <= z < top]


def _reachable(work: Work, asked: Asked, z: float) -> BaseGeometry:
    """What of the feature's metal a cutter that comes from anywhere would reach at a height."""
    here, must = metal(work.setup, z), less(asked.must_at(z), asked.stay_at(z))
    open_ = less(union((asked.must_at(z), asked.may_at(z))), asked.stay_at(z))
    room = union((open_, less(_frame(work, asked.reach), here)))
    radius = asked.reach - SLACK
    return common(common(must, here), grown(grown(room, -radius), radius))


def _frame(work: Work, radius: float) -> BaseGeometry:
    return grown(plan(work.setup).envelope, 4 * radius + 1.0).envelope
