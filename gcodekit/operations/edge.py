"""Edges: one side milled back to a plane, in straight passes from the raw edge inward."""

from __future__ import annotations

from gcodekit.geometry.chain import Chain
from gcodekit.geometry.flat import to_shapely
from gcodekit.geometry.region import Region
from gcodekit.job.model import Edge
from gcodekit.operations.draft import PLAN_SAG, Chosen, Draft, Work
from gcodekit.operations.walled import Back, reach_over, walled_drafts


def edge_drafts(work: Work, edge: Edge, chosen: Chosen, top: float) -> list[Draft]:
    """Passes along the plane, run past the metal at both ends, the last one on it."""
    region = edge_region(work, edge)
    drawn = to_shapely(region, PLAN_SAG)
    return walled_drafts(
        work, Back(feature=edge, region=region, drawn=drawn, chosen=chosen, top=top)
    )


def edge_region(work: Work, edge: Edge) -> Region:
    """Everything beyond the plane."""
    (px, py), (dx, dy) = edge.point, edge.away
    x0, y0, x1, y1 = work.metal.bounds
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    # the foot of the metal's middle on the plane
    off = (middle[0] - px) * dx + (middle[1] - py) * dy
    foot = (middle[0] - off * dx, middle[1] - off * dy)
    far = 2 * reach_over(work)
    out = far + abs(off)

    def at(along: float, away: float) -> tuple[float, float]:
        return (foot[0] - dy * along + dx * away, foot[1] + dx * along + dy * away)

    corners = [at(far, 0.0), at(-far, 0.0), at(-far, out), at(far, out)]
    return Region.of(Chain.of_points(corners, closed=True))
