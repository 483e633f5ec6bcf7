"""Bosses: clear round what stays standing, from the metal's edge inward or inside a rim."""

from __future__ import annotations

from gcodekit.geometry.boolean import common, minus, union
from gcodekit.geometry.flat import to_shapely
from gcodekit.geometry.region import Region
from gcodekit.job.model import Boss, Feature, Pocket, Profile
from gcodekit.operations.area import Area, area_drafts, run_out
from gcodekit.operations.draft import PLAN_SAG, Chosen, Draft, Work
from gcodekit.operations.walled import Back, beyond_metal, walled_drafts


def boss_drafts(work: Work, boss: Boss, chosen: Chosen, top: float) -> list[Draft]:
    """Outside inward where it is cleared to the metal's edge; else as a pocket with islands."""
    if to_the_edge(work, boss):
        region = minus(beyond_metal(work), standing(work, boss))
        drawn = to_shapely(region, PLAN_SAG)
        return walled_drafts(
            work, Back(feature=boss, region=region, drawn=drawn, chosen=chosen, top=top)
        )
    radius = max(chosen.rough.radius, chosen.finish.radius)
    region = run_out(boss_region(work, boss), work, radius)
    return area_drafts(work, Area(feature=boss, region=region, top=top, chosen=chosen))


def to_the_edge(work: Work, boss: Boss) -> bool:
    """Whether all of the metal round the boss is cleared."""
    return boss.within is None or bool(to_shapely(boss.within, PLAN_SAG).covers(work.metal))


def boss_region(work: Work, boss: Boss) -> Region:
    """What is cleared, as drawn."""
    within = boss.within or beyond_metal(work)
    return minus(within, standing(work, boss))


def standing(work: Work, boss: Boss) -> Region:
    """The boss, and what other features keep standing beside it."""
    beside = [
        body
        for other in work.setup.features
        if other.name != boss.name and other.depth.top > boss.depth.cut_to
        for body in _kept(other)
        if common([body, boss.kept]).empty
    ]
    return union([boss.kept, *beside])


def _kept(feature: Feature) -> list[Region]:
    """The bodies that a feature keeps standing. One that a boss stands on is cut down to the
    boss's floor; any other is left alone."""
    if isinstance(feature, Boss):
        return [feature.kept]
    if isinstance(feature, Pocket):
        return list(feature.islands)
    if isinstance(feature, Profile) and feature.side == "outside" and feature.outline is not None:
        return [feature.outline]
    return []
