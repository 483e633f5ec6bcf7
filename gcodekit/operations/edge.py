"""Edges: one side milled back to a plane, in straight passes from the raw edge inward."""

from __future__ import annotations

from gcodekit.job.kinds.edge import Edge
from gcodekit.operations.chosen import Chosen
from gcodekit.operations.draft import Draft, Work
from gcodekit.operations.wall_regions import drawn_region
from gcodekit.operations.walled import Back, walled_drafts


def edge_drafts(work: Work, edge: Edge, chosen: Chosen, top: float) -> list[Draft]:
    """Passes along the plane, run past the metal at both ends, the last one on it."""
    drawn = drawn_region(work, edge)
    return walled_drafts(
        work, Back(feature=edge, region=drawn, drawn=drawn, chosen=chosen, top=top)
    )
