"""How far a profile's cutters reach beside its kerf, and what others keep there."""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.flattening import eroded
from gcodekit.geometry.overlay import common, less, union
from gcodekit.job.kinds.profile import Profile
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.planned_operation import PlanContext, refuse, wall_allowance
from gcodekit.operations.wide_kerf import beyond_kerf
from gcodekit.part.planned_target import FeatureContext
from gcodekit.part.profile_side import beside

# Regions that go into one another by less than this, mm, only touch: they are drawn to.
TOUCHING = 0.002


def common_ground(taken: BaseGeometry, kept: BaseGeometry) -> BaseGeometry:
    """The overlap of two regions, empty where they only touch."""
    met = common(taken, kept)
    deep = not met.is_empty and common(eroded(taken, TOUCHING), kept).area > 0
    return met if deep else shapely.Polygon()


def widest_kerf(profile: Profile, chosen: Chosen) -> BaseGeometry:
    """All that a profile's cutters take in plan, past the ends of a path too."""
    line, wide = beside(profile), 2 * max(chosen.rough.radius, chosen.finish.radius)
    off = 0.0 if profile.side == "on" else wall_allowance(profile, chosen.rough)
    band = line.band(0.0, wide + off + beyond_kerf(profile, chosen))
    if profile.path is None or profile.side == "on":
        return band
    roughed = line.past_ends(chosen.rough.radius, off=off)
    return union((band, roughed, line.past_ends(chosen.finish.radius, off=0.0)))


def check_reach(
    work: PlanContext, profile: Profile, chosen: Chosen, around: FeatureContext
) -> None:
    """Refuse a profile whose roughing, wider than the kerf it leaves, or whose cutter past the ends
    of a path, runs into what others keep.

    In a body that the whole profile is drawn in, that is a step in it, and meant.
    """
    cutting = profile.cutting
    if profile.side == "on":
        return
    last = chosen.finish if cutting.finish else chosen.rough
    rough = chosen.rough if cutting.rough else last
    line, wall = beside(profile), wall_allowance(profile, rough) if cutting.rough else 0.0
    finished, wide = 2 * last.radius, 2 * rough.radius + wall + beyond_kerf(profile, chosen)
    past = (
        line.past_ends(last.radius, off=0.0),
        line.past_ends(rough.radius, off=wall),
    )
    over = less(union((line.band(0.0, wide), *past)), line.band(0.0, finished))
    swept = union((line.band(0.0, max(finished, wide)), *past))
    what, hint = "its cutter", "draw them farther apart, or use a smaller cutter"
    if cutting.rough:
        what = "its roughing"
        hint = "draw them farther apart, use a smaller cutter, or set allowance = { wall = 0 }"
    if beyond_kerf(profile, chosen):
        hint = "draw them farther apart, use a smaller cutter, or remove rough"
    for body in around.kept.near(profile, over, swept):
        meets = common_ground(over, body.area)
        if not meets.is_empty:
            raise refuse(
                profile,
                f"{what}, {work.say(wide)} wide, cuts into what another feature keeps, at "
                f"{work.say_at(meets)}",
                hint,
                key="outline" if profile.outline is not None else "path",
            )
