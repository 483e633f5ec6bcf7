"""Features that cannot both be as drawn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from shapely import STRtree

from gcodekit.errors import Fault, PlanError
from gcodekit.job.model import Feature, Profile
from gcodekit.operations.draft import Chosen, refuse, wall_allowance
from gcodekit.part.beside import beside
from gcodekit.part.plane import area_of

# Less common ground in plan, mm^2, is none: edges drawn to touch.
LEAST_AREA = 1e-3


def neighbours_cut(features: Sequence[Feature], chosen: Mapping[str, Chosen]) -> list[Fault]:
    """Outside profiles whose kerf runs into what another one keeps, at least as deep.

    A kerf that lies all within another outline is a groove or a step in that part, and meant.
    """
    outside = [
        (f, area_of(f.outline))
        for f in features
        if isinstance(f, Profile) and f.side == "outside" and f.outline is not None
    ]
    faults: list[Fault] = []
    tree = STRtree([kept for _, kept in outside])
    for feature, _ in outside:
        cutters = chosen[feature.name]
        widest = 2 * max(cutters.rough.radius, cutters.finish.radius)
        kerf = beside(feature).band(0.0, widest + wall_allowance(feature, cutters.rough))
        for other, kept in (outside[i] for i in sorted(tree.query(kerf))):
            if other is feature or feature.depth.cut_to > other.depth.cut_to:
                continue
            if kerf.intersection(kept).area > LEAST_AREA and not kept.covers(kerf):
                faults += _fault(feature, other, widest).faults
    return faults


def _fault(feature: Feature, other: Feature, width: float) -> PlanError:
    return refuse(
        feature,
        f"{feature.name}: its cutter, {width:g} mm, runs into {other.name}, which is to stay",
        "draw them farther apart, or name a smaller cutter",
        key="outline",
    )
