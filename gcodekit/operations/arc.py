"""Arcs: cut to a radius about a centre, in concentric passes from the raw edge inward."""

from __future__ import annotations

from gcodekit.job.kinds.arc import Sector
from gcodekit.operations.chosen import Chosen
from gcodekit.operations.draft import Draft, Work
from gcodekit.operations.wall_regions import drawn_region, run_on_regions, with_free
from gcodekit.operations.walled import Back, walled_drafts


def arc_drafts(work: Work, arc: Sector, chosen: Chosen, top: float) -> list[Draft]:
    """Concentric passes, the last one at the radius. Where no metal is to be kept beyond an end
    the cutter leaves along the tangent, elsewhere it stops short of it, or runs on where asked."""
    drawn = drawn_region(work, arc)
    free = [drawn]
    if arc.open_ends and not arc.whole:
        widest = max(chosen.rough.diameter, chosen.finish.diameter)
        # no farther than the target allows: there the cutter has just left the sector
        free += run_on_regions(work, arc, widest)
    region = with_free(work, arc, free)
    return walled_drafts(
        work, Back(feature=arc, region=region, drawn=drawn, chosen=chosen, top=top)
    )
