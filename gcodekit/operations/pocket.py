"""Pockets: clear to a flat floor, islands left standing."""

from __future__ import annotations

from gcodekit.job.model import Pocket
from gcodekit.operations.area import Area, area_drafts, run_out
from gcodekit.operations.draft import Chosen, Draft, Work


def pocket_drafts(work: Work, pocket: Pocket, chosen: Chosen, top: float) -> list[Draft]:
    """Rough and finish a pocket; where its outline meets the metal's edge it is open."""
    radius = max(chosen.rough.radius, chosen.finish.radius)
    region = run_out(work.in_arcs(pocket.area, inward=True), work, radius)
    return area_drafts(work, Area(feature=pocket, region=region, top=top, chosen=chosen))
