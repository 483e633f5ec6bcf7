"""How far the finishing passes of a feature go beyond what is drawn, to make up for what was
measured: half of what its size across lacks on each wall, all that its depth lacks."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TypeVar

from gcodekit.geometry.boolean import union
from gcodekit.geometry.offset import grow
from gcodekit.job.feature import Feature
from gcodekit.job.measured import SizeAcross
from gcodekit.operations.kind_cutting import cutting_of
from gcodekit.operations.outline_clearing import Area
from gcodekit.operations.planned_operation import PlanContext

F = TypeVar("F", bound=Feature)


@dataclass(frozen=True, slots=True)
class Correction:
    """mm into what is drawn to stay: at each `wall`, and at the `floor`."""

    wall: float
    floor: float


NO_CORRECTION = Correction(0.0, 0.0)


def correction_of(feature: Feature) -> Correction:
    """The correction of a feature's finishing passes; none where nothing was measured."""
    measured, across = feature.measured, feature.across()
    if measured is None:
        return NO_CORRECTION
    size, depth = measured.size, measured.depth
    wall = 0.0
    if size is not None and isinstance(across, SizeAcross):
        lacks = size.aimed - size.found
        wall = (lacks if across.inside else -lacks) / 2
    return Correction(wall, 0.0 if depth is None else depth.aimed - depth.found)


def deepened(feature: F, correction: Correction) -> F:
    """A feature cut deeper by the correction."""
    if not correction.floor:
        return feature
    depth = feature.depth
    return replace(feature, depth=replace(depth, cut_to=depth.cut_to - correction.floor))


def corrected_area(work: PlanContext, area: Area) -> Area:
    """An area as its finishing pass cuts it. What it was run out into beyond the stock, or shares
    with others, has walls that are not its own and stay."""
    by = correction_of(area.feature)
    deeper = replace(area, feature=deepened(area.feature, by))
    if not by.wall:
        return deeper
    own = cutting_of(area.feature).cleared(work, area.feature)
    if own is None:
        return replace(deeper, region=grow(area.region, by.wall))
    return replace(deeper, region=union([area.region, grow(own, by.wall)]))
