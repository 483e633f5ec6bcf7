"""Pockets: clear to a flat floor, islands left standing."""

from __future__ import annotations

from gcodekit.geometry.boolean import common, union
from gcodekit.geometry.offset import grow
from gcodekit.geometry.region import Region
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.operations.area import area_drafts
from gcodekit.operations.chosen import Chosen
from gcodekit.operations.draft import Draft, Work
from gcodekit.operations.off_holdings import off_holdings
from gcodekit.operations.outline_clearing import Area
from gcodekit.operations.wall_regions import bored_beside, gone_beside, run_out

# So much farther than a cutter's width into what others clear, mm: the cutter then passes the place
# where they meet without seeing where this ends.
FITTED = 1.0


def _with_beside(work: Work, pocket: Pocket, radius: float, top: float) -> Region:
    """The pocket, and a cutter's width of what others clear as deep where they meet: where they do
    there is no corner, and no cutter's radius stays in it."""
    beside = gone_beside(work, pocket) + bored_beside(work, pocket)
    if not beside or top < work.setup.left.high[2]:
        # how high metal stands over the others is not known here
        return pocket.area
    near = grow(pocket.area, 2 * radius + FITTED)
    close = (region for region in beside if region.may_meet(near))
    touching = [part for region in close if not (part := common([region, near])).empty]
    return union([pocket.area, *touching]) if touching else pocket.area


def pocket_drafts(work: Work, pocket: Pocket, chosen: Chosen, top: float) -> list[Draft]:
    """Rough and finish a pocket."""
    return area_drafts(work, pocket_area(work, pocket, chosen, top))


def pocket_area(work: Work, pocket: Pocket, chosen: Chosen, top: float) -> Area:
    """What is cleared of a pocket; where its outline meets the metal's edge it is open."""
    radius = max(chosen.rough.radius, chosen.finish.radius)
    area = work.in_arcs(pocket, _with_beside(work, pocket, radius, top), inward=True)
    region = run_out(area, work, radius, pocket.depth.cut_to)
    region = off_holdings(work, pocket, region, {chosen.rough, chosen.finish})
    return Area(feature=pocket, region=region, top=top, chosen=chosen)
