"""Round holes: the cylinder to its depth, and the point below it."""

from __future__ import annotations

from typing import TypeVar

import shapely
from manifold3d import CrossSection

from gcodekit.job.feature import Round
from gcodekit.job.model import Setup
from gcodekit.target import planar
from gcodekit.target.bodies import Box, DemandBody, Upright, pits
from gcodekit.target.demand import Demand, FeatureCutters
from gcodekit.target.drawn_areas import discs, framed
from gcodekit.target.kind_target import KindTarget
from gcodekit.target.measured_walls import NOT_MOVED, Moved
from gcodekit.target.volumes import Extent, Finish
from gcodekit.trade.cutter import Cutter

R = TypeVar("R", bound=Round)

# Below a blind hole's full depth its drill goes by the reamer's lead and this, mm: room for
# chips. The job file's contract.
CHIP_ROOM = 1.0
# Cutters that drill their own size: it has to lie between the limits, where there are any.
OWN_SIZE = ("drill", "reamer")


class RoundTarget(KindTarget[R]):
    """The target that round holes of any kind share: their cutters go straight down at the
    places."""

    def drawn(self, feature: R, whole: Demand) -> list[Box]:
        """Round its places."""
        del whole
        return [framed(shapely.MultiPoint(feature.places), feature.widest / 2).bounds]

    def beyond(self, feature: R, used: FeatureCutters) -> float:
        """They are never beside."""
        del feature, used
        return 0.0

    def in_plan(self, feature: R, setup: Setup, finish: Finish, extent: Extent) -> CrossSection:
        """The diameter at every place."""
        del setup, finish, extent
        return planar.discs(feature.places, feature.diameter / 2)


def cylinder(
    feature: Round,
    used: FeatureCutters,
    points: tuple[DemandBody, ...],
    moved: Moved = NOT_MOVED,
) -> Demand:
    """The full diameter to the depth, both `moved` by what was measured; what cutters take below
    that may go: `points`."""
    floor, places = feature.depth.cut_to - moved.floor, feature.places
    radius = feature.diameter / 2 + moved.wall
    least, allowed = radius - used.left, list[DemandBody]()
    if used.left:
        allowed.append(Upright(discs(places, radius), floor))
    if feature.band is not None and used.cutter.kind in OWN_SIZE:
        least = feature.band.least / 2
        allowed.append(Upright(discs(places, feature.band.most / 2), floor))
    return Demand(
        name=feature.name,
        reach=min(used.cutter.radius, radius),
        required=(Upright(discs(places, least), floor),),
        allowed=(*allowed, *points),
        points=points,
    )


def below(feature: Round, cutter: Cutter, deep: float) -> tuple[DemandBody, ...]:
    """The solid that a drill, its shoulder at z `deep`, or a reamer may take below the depth of
    full diameter."""
    # a reamer's lead goes into free space: of its far side it takes nothing
    if cutter.kind not in OWN_SIZE or (feature.depth.into and cutter.kind != "drill"):
        return ()
    floor = feature.depth.cut_to
    tip = (deep if cutter.kind == "drill" else floor) - cutter.point_length
    return (pits(feature.places, cutter, tip, widest=feature.diameter / 2, high=floor),)


def drilled_to(feature: Round, used: FeatureCutters) -> float:
    """z of the drill's shoulder, by the reamer that follows it."""
    depth = feature.depth
    leads = [c.point_length for c in used.cutters if c.kind == "reamer"]
    if depth.opens or not leads:
        return depth.cut_to
    return depth.cut_to - (max(leads) + CHIP_ROOM)
