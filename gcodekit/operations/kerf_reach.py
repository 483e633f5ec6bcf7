"""How far a profile's cutters reach beside its kerf, and what others keep there."""

from __future__ import annotations

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import common, less, union
from gcodekit.job.kinds.profile import Profile
from gcodekit.operations.chosen import Chosen
from gcodekit.operations.draft import Work, refuse, wall_allowance
from gcodekit.operations.wide_kerf import beyond_kerf
from gcodekit.part.asked import Around
from gcodekit.part.beside import beside

# Less common ground in plan, mm^2, is none: edges drawn to touch.
COMMON_GROUND = 1e-3


def widest_kerf(profile: Profile, chosen: Chosen) -> BaseGeometry:
    """All that a profile's cutters take in plan."""
    wide = 2 * max(chosen.rough.radius, chosen.finish.radius)
    off = 0.0 if profile.side == "on" else wall_allowance(profile, chosen.rough)
    return beside(profile).band(0.0, wide + off + beyond_kerf(profile, chosen))


def check_reach(work: Work, profile: Profile, chosen: Chosen, around: Around) -> None:
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
    what, hint = "its cutter", "draw them farther apart, or name a smaller cutter"
    if cutting.rough:
        what = "its roughing"
        hint = "draw them farther apart, name a smaller cutter, or write allowance = { wall = 0 }"
    if beyond_kerf(profile, chosen):
        hint = "draw them farther apart, name a smaller cutter, or leave rough out"
    for body in around.kept.near(profile, over, swept):
        meets = common(over, body.area)
        if meets.area > COMMON_GROUND:
            raise refuse(
                profile,
                f"{what}, {work.say(wide)} wide, runs into what another feature keeps, at "
                f"{work.say_at(meets)}",
                hint,
                key="outline" if profile.outline is not None else "path",
            )
