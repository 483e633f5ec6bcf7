"""Metal that a cutter following a feature would leave, and another way round would reach: corners
just off the metal's edge, and gaps that are narrower than the cutter by next to nothing."""

from __future__ import annotations

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.discs import SAG
from gcodekit.geometry.flat import to_shapely
from gcodekit.geometry.offset import grow
from gcodekit.geometry.overlay import EMPTY, common, less, union
from gcodekit.geometry.region import Region
from gcodekit.job.feature import Feature
from gcodekit.job.kinds.arc import Sector
from gcodekit.job.kinds.boss import Boss
from gcodekit.job.kinds.face import Face
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.stock.raw_metal import stock_levels
from gcodekit.operations.draft import Work, refuse
from gcodekit.operations.wall_regions import (
    drawn_region,
    gone_beside,
    run_on_regions,
    run_out,
    with_free,
)
from gcodekit.part.asked import Asked, FinishingCut
from gcodekit.part.beside import beside
from gcodekit.part.metal import metal, plan, whole
from gcodekit.part.plane import area_of, grown, line_of

# What share of the job's tolerance may stand.
SHARE = 0.8
# A disc that passes by so much, mm, passes.
SLACK = 0.0005
# Less than this, mm^2, is no metal.
LEAST_AREA = 1e-6


def check_from_outside(work: Work, feature: Feature, asked: Asked, cut: FinishingCut) -> None:
    """Refuse a profile that leaves the metal, or what is cut in a lying bar, with a corner so near
    the metal's edge that a cutter following it on its own side would leave it standing; and what
    has a gap that the cutter would pass if it were half a micrometre smaller."""
    swept = _swept(work, feature, cut)
    if swept is None:
        return
    # where a bar's edge goes in all the way up there is more between the heights looked at
    share = SHARE / 2 if stock_levels(work.setup.left) else SHARE
    within = grown(swept, share * work.job.tolerance)
    corners: BaseGeometry = EMPTY
    for z in _heights(work, feature, asked):
        reached = _reachable(work, feature, asked, z)
        left = less(less(reached, within), corners)
        if left.area > LEAST_AREA:
            raise refuse(feature, *_said(work, feature, cut, left), key=_drawn_by(feature))
        standing = common(_to_go(work, asked, z), metal(work.setup, z))
        corners = union((corners, less(standing, reached)))


def _said(work: Work, feature: Feature, cut: FinishingCut, left: BaseGeometry) -> tuple[str, str]:
    """What is wrong, and what would be right."""
    if isinstance(feature, Profile) or stock_levels(work.setup.left):
        return (
            f"its corner near {work.say_at(left)} lies so near the metal's edge that the cutter, "
            f"{work.say(cut.cutter.diameter)}, leaves metal in it",
            "draw it farther out over the edge, or round the corner",
        )
    return (
        f"{work.called(cut.cutter)} only just does not fit where metal would stay, near "
        f"{work.say_at(left)}",
        "name a smaller cutter, or draw it a hundredth wider there",
    )


def _drawn_by(feature: Feature) -> str:
    """The key that draws the feature."""
    if isinstance(feature, Sector):
        return "radius"
    return "path" if isinstance(feature, Profile) and feature.path is not None else "outline"


def _swept(work: Work, feature: Feature, cut: FinishingCut) -> BaseGeometry | None:
    """What the finishing cutter covers following the feature; None where it may come in from
    outside, or never has to."""
    radius = cut.cutter.radius
    if isinstance(feature, Profile) and feature.side != "on":
        # a side along the edge itself leaves corners that are open to the outside
        inside = plan(work.setup).contains_properly(_drawn(feature))
        if inside and not stock_levels(work.setup.left):
            return None
        return grown(beside(feature).path(radius + cut.left), radius)
    if isinstance(feature, Pocket | Boss | Sector) or (
        isinstance(feature, Face) and feature.outline
    ):
        room = grow(_region(work, feature, cut), -(radius + cut.left))
        # a room of no width is no valid polygon, and no union may be made of it
        return grown(to_shapely(room, SAG), radius) if not room.empty else None
    return None


def _region(work: Work, feature: Pocket | Boss | Sector | Face, cut: FinishingCut) -> Region:
    """Where the cutter's body may be."""
    widest, floor = max(c.radius for c in cut.cutters), feature.depth.cut_to
    if isinstance(feature, Face):
        assert feature.outline is not None
        return run_out(feature.outline, work, widest, floor)
    if isinstance(feature, Pocket):
        area = work.in_arcs(feature, feature.area, inward=True)
        return run_out(area, work, widest, floor)
    free = [drawn_region(work, feature)]
    if isinstance(feature, Sector) and feature.open_ends and not feature.whole:
        free += run_on_regions(work, feature, 2 * widest)
    return with_free(work, feature, free)


def _drawn(profile: Profile) -> BaseGeometry:
    if profile.outline is not None:
        return area_of(profile.outline)
    assert profile.path is not None  # the job gives one of both
    return line_of(profile.path)


def _heights(work: Work, feature: Feature, asked: Asked) -> list[float]:
    """Heights by the tolerance over each floor, where a lying bar is narrower already."""
    bottom, top = work.setup.left.low[2], work.setup.left.high[2]
    floor = max(bottom, feature.depth.cut_to)
    levels = {floor, *stock_levels(work.setup.left), *asked.levels}
    return [z + work.job.tolerance for z in sorted(levels) if floor <= z < top]


def _reachable(work: Work, feature: Feature, asked: Asked, z: float) -> BaseGeometry:
    """What of the feature's metal a cutter that comes from anywhere would reach at a height; all
    of an arc's own metal where it reaches none."""
    here, must = whole(work.setup, z), _to_go(work, asked, z)
    open_ = less(union((asked.must_at(z), asked.may_at(z))), asked.stay_at(z))
    # along its line a profile's cutter turns in the corners, beyond the metal's edge as well
    beyond = EMPTY if isinstance(feature, Profile) else less(_frame(work, asked.reach), here)
    room = union((open_, beyond))
    radius = asked.reach - SLACK
    found = common(must, grown(grown(room, -radius), radius))
    if isinstance(feature, Sector) and not found.area:
        beside = (area_of(region) for region in gone_beside(work, feature))
        return less(must, union(beside))
    return found


def _to_go(work: Work, asked: Asked, z: float) -> BaseGeometry:
    """The metal at a height that has to go."""
    return common(less(asked.must_at(z), asked.stay_at(z)), whole(work.setup, z))


def _frame(work: Work, radius: float) -> BaseGeometry:
    return grown(plan(work.setup).envelope, 4 * radius + 1.0).envelope
