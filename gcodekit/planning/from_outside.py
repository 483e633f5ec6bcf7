"""Corners that only a cutter coming in from beside the metal would reach, where none does."""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.job.model import Feature, Pocket, Profile
from gcodekit.job.raw_metal import stock_levels
from gcodekit.operations.draft import Work, refuse
from gcodekit.part.asked import BELOW, Asked, FinishingCut
from gcodekit.part.beside import beside
from gcodekit.part.metal import plan, whole
from gcodekit.part.overlay import common, less, union
from gcodekit.part.plane import area_of, grown

# What share of the job's tolerance may stand.
SHARE = 0.8
# A disc that passes by so much, mm, passes.
SLACK = 0.002
# Less than this, mm^2, is no metal.
LEAST_AREA = 1e-6


def check_from_outside(work: Work, feature: Feature, asked: Asked, cut: FinishingCut) -> None:
    """Refuse an inside profile that leaves the metal, or a pocket on a lying bar, with a corner
    so near the metal's edge that a cutter following it from within would leave it standing."""
    swept = _swept(work, feature, cut)
    if swept is None:
        return
    within = grown(swept, SHARE * work.job.tolerance)
    for z in _heights(work, feature):
        left = less(_reachable(work, asked, z), within)
        if left.area > LEAST_AREA:
            at = shapely.get_parts(left)[0].representative_point()
            raise refuse(
                feature,
                f"its corner near [{at.x:.3f}, {at.y:.3f}] lies so near the metal's edge that the "
                f"cutter, {cut.cutter.diameter:g} mm, leaves metal in it",
                "draw the outline farther out over the edge, or round the corner",
                key="outline",
            )


def _swept(work: Work, feature: Feature, cut: FinishingCut) -> BaseGeometry | None:
    """What the finishing cutter covers following the feature; None where it may come in from
    outside, or never has to."""
    radius, lying = cut.cutter.radius, bool(stock_levels(work.setup.left))
    if isinstance(feature, Profile) and feature.side == "inside" and feature.outline is not None:
        if plan(work.setup).covers(area_of(feature.outline)):
            return None
        return grown(beside(feature).path(radius + cut.left), radius)
    if isinstance(feature, Pocket) and lying:
        air = less(_frame(work, radius), plan(work.setup))
        room = grown(union((area_of(feature.area), air)), SLACK - radius - cut.left)
        return grown(room, radius)
    return None


def _heights(work: Work, feature: Feature) -> list[float]:
    bottom, top = work.setup.left.low[2], work.setup.left.high[2]
    floor = max(bottom, feature.depth.cut_to)
    return [z + BELOW for z in (floor, *stock_levels(work.setup.left)) if floor <= z < top]


def _reachable(work: Work, asked: Asked, z: float) -> BaseGeometry:
    """What of the feature's metal a cutter that comes from anywhere would reach at a height."""
    here, must = whole(work.setup, z), less(asked.must_at(z), asked.stay_at(z))
    open_ = less(union((asked.must_at(z), asked.may_at(z))), asked.stay_at(z))
    room = union((open_, less(_frame(work, asked.reach), here)))
    radius = asked.reach - SLACK
    return common(common(must, here), grown(grown(room, -radius), radius))


def _frame(work: Work, radius: float) -> BaseGeometry:
    return grown(plan(work.setup).envelope, 4 * radius + 1.0).envelope
