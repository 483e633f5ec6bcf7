"""Bosses: clear round what stays standing, from the metal's edge inward or inside a rim."""

from __future__ import annotations

from dataclasses import replace

from gcodekit.geometry.flat import to_shapely
from gcodekit.job.kinds.boss import Boss
from gcodekit.operations.area import area_drafts
from gcodekit.operations.chosen import Chosen
from gcodekit.operations.draft import PLAN_SAG, Draft, Phase, Work
from gcodekit.operations.outline_clearing import Area
from gcodekit.operations.wall_regions import drawn_region, gone_beside, with_free
from gcodekit.operations.walled import Back, walled_drafts


def boss_drafts(work: Work, boss: Boss, chosen: Chosen, top: float) -> list[Draft]:
    """From outside inward where there is an outside; within a rim in the metal as a pocket with
    islands."""
    drafts = _drafts(work, boss, chosen, top)
    # cut through all round, the part is free: that comes last
    return [replace(d, phase=Phase.FREE) for d in drafts] if boss.depth.through else drafts


def _drafts(work: Work, boss: Boss, chosen: Chosen, top: float) -> list[Draft]:
    drawn = drawn_region(work, boss)
    if not gone_beside(work, boss) and work.metal.contains(to_shapely(drawn, PLAN_SAG)):
        return area_drafts(work, Area(feature=boss, region=drawn, top=top, chosen=chosen))
    region = with_free(work, boss, [drawn])
    return walled_drafts(
        work, Back(feature=boss, region=region, drawn=drawn, chosen=chosen, top=top)
    )
