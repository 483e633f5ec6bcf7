"""Chamfers: a strip along an edge whose width grows with the height."""

from __future__ import annotations

import math

from manifold3d import CrossSection, Manifold
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import common, less, union
from gcodekit.job.kinds.chamfer import Chamfer
from gcodekit.job.model import Setup
from gcodekit.target import planar
from gcodekit.target.bevels import Bevel, Corners, EdgeLeft, PastEnds
from gcodekit.target.bodies import Box
from gcodekit.target.cutter_side import half_plane, run_on
from gcodekit.target.demand import Demand, FeatureCutters
from gcodekit.target.drawn_areas import area_of, discs, framed, grown, line_of
from gcodekit.target.kind_target import KindTarget
from gcodekit.target.neighbours import Neighbours
from gcodekit.target.setup_metal import UNDER_LEVEL, SetupSoFar
from gcodekit.target.volumes import Extent, Finish, joined
from gcodekit.trade.edge_cutting import TIP_BELOW

# Steps that a chamfer's solid has: its volume is right by their middles.
STEPS = 8
# An edge is a wall's where it lies within this of its rim, mm, so far along.
ON_RIM = 0.01
RIM_LONG = 1.0
# A path's open side is this wide where only its side is asked, mm.
OPEN_WIDE = 0.5
# A cutter as wide as the slot it has cut leaves a round smaller by so much, mm.
IN_SLOT = 0.001
# A path's open side is looked at this much farther than its cutter reaches, mm.
FARTHER = 1.0


class ChamferTarget(KindTarget[Chamfer]):
    """The strip goes all along the wall as it is: its inside corners are as round as the cutter
    that made them, or the one that was drawn to."""

    def demand(
        self, feature: Chamfer, used: FeatureCutters, so_far: SetupSoFar, others: Neighbours
    ) -> Demand:
        """The whole bevel, of which corners sharper than the cutter are beyond its reach."""
        del others
        edge, spread = feature.depth.top, math.tan(feature.slope)
        foot = edge - feature.width / spread
        off = TIP_BELOW * used.cutter.diameter + used.cutter.tip_diameter / 2
        rounded = _wall_radius(feature, so_far, foot - UNDER_LEVEL)
        if feature.path is not None:
            bevel, past = _along_path(feature, foot, rounded, off)
            reached: tuple[Corners, ...] = (Corners(bevel, off),)
            return _demand(feature, _edge_left(feature, bevel, so_far), reached, (past,))
        within = feature.side == "outside"
        if feature.outline is None:
            rim = discs(feature.places, feature.diameter / 2)
            bevel = Bevel(rim, False, foot, edge, spread)
            return _demand(feature, _edge_left(feature, bevel, so_far))
        rim = area_of(feature.outline)
        turn = 1.0 if within else -1.0
        if rounded > 0:
            rim = grown(grown(rim, turn * rounded), -turn * rounded)
        bevel = Bevel(rim, within, foot, edge, spread)
        return _demand(feature, _edge_left(feature, bevel, so_far), (Corners(bevel, off),))

    def drawn(self, feature: Chamfer, whole: Demand) -> list[Box]:
        """Round its edge."""
        del feature
        return [body.bounds for body in whole.required]

    def in_plan(
        self, feature: Chamfer, setup: Setup, finish: Finish, extent: Extent
    ) -> CrossSection:
        """At its widest."""
        del setup
        if extent == "most" and feature.path is not None:
            # past an end the cone goes round as far as its disc at the top does
            off = TIP_BELOW * finish.diameter + (
                finish.cutter.tip_diameter / 2 if finish.cutter else 0
            )
            return planar.swept(feature.path, math.sqrt(feature.width * (feature.width + 2 * off)))
        return _strip(feature, feature.width)

    def solid(
        self,
        feature: Chamfer,
        setup: Setup,
        finish: Finish,
        extent: Extent,
        stock: Manifold | None = None,
    ) -> Manifold:
        """In steps; at the most all of its width down to its foot, at the least nothing."""
        del stock
        if extent == "least":
            return Manifold()
        edge, drop = feature.depth.top, feature.width / math.tan(feature.slope)
        if extent == "most":
            whole = Manifold.extrude(self.in_plan(feature, setup, finish, extent), drop)
            return whole.translate((0, 0, edge - drop))
        layers = []
        for n in range(STEPS):
            strip = _strip(feature, (n + 0.5) / STEPS * feature.width)
            layer = Manifold.extrude(strip, drop / STEPS)
            layers.append(layer.translate((0, 0, edge - drop + n * drop / STEPS)))
        return joined(layers)


def _demand(
    chamfer: Chamfer,
    left: EdgeLeft,
    corners: tuple[Corners, ...] = (),
    past: tuple[PastEnds, ...] = (),
) -> Demand:
    return Demand(
        name=chamfer.name,
        reach=0.0,
        required=(left,),
        allowed=past,
        beyond_reach=corners,
        along=True,
    )


def _edge_left(chamfer: Chamfer, bevel: Bevel, so_far: SetupSoFar) -> EdgeLeft:
    """The bevel less what features before take of its edge; other chamfers take none of it away."""
    if chamfer.path is not None:
        turn = 1.0 if chamfer.side == "right" else -1.0
        metal = half_plane(line_of(chamfer.path), chamfer.width + FARTHER, turn)
    elif chamfer.outline is None:
        metal = less(framed(bevel.part, chamfer.width + FARTHER), bevel.part)
    else:
        rim = area_of(chamfer.outline)
        metal = rim if bevel.within else less(framed(rim, chamfer.width + FARTHER), rim)
    others = tuple(d for d in so_far.demands if d.near(metal) and not _is_chamfer(d))
    return EdgeLeft(bevel, metal, others)


def _is_chamfer(demand: Demand) -> bool:
    return any(isinstance(body, EdgeLeft) for body in demand.required)


def _wall_radius(chamfer: Chamfer, so_far: SetupSoFar, z: float) -> float:
    """The largest radius that cutters have left in the corners of the wall under the edge, mm."""
    if chamfer.outline is None and chamfer.path is None:
        return 0.0
    edge = union(line_of(chain) for chain in chamfer.edges)
    long = min(RIM_LONG, edge.length / 2)
    radii = [0.0]
    for demand in so_far.demands:
        if not demand.near(edge) or not math.isfinite(demand.reach):
            continue
        gone = demand.required_at(z)
        wall = edge.intersection(gone.boundary.buffer(ON_RIM))
        if wall.length >= long and _opens(chamfer, wall, gone):
            radii.append(demand.reach - IN_SLOT)
    return max(radii)


def _opens(chamfer: Chamfer, wall: BaseGeometry, gone: BaseGeometry) -> bool:
    """Tell whether an area that borders on the edge lies on the cutter's side of it."""
    near = grown(wall, 2 * ON_RIM)
    if chamfer.path is not None:
        turn = 1.0 if chamfer.side == "left" else -1.0
        near = common(near, half_plane(line_of(chamfer.path), OPEN_WIDE, turn))
    elif chamfer.outline is not None:
        rim = area_of(chamfer.outline)
        near = common(near, rim) if chamfer.side == "inside" else less(near, rim)
    return bool(2 * common(near, gone).area > near.area)


def _along_path(
    chamfer: Chamfer, foot: float, rounded: float, off: float
) -> tuple[Bevel, PastEnds]:
    """The bevel along an open edge, square at its ends, and what the cone takes past them."""
    assert chamfer.path is not None
    line, turn = line_of(chamfer.path), 1.0 if chamfer.side == "left" else -1.0
    far = 4 * max(rounded, off) + 2 * chamfer.width + FARTHER
    free = half_plane(run_on(line, far), far, turn)
    if rounded > 0:
        free = grown(grown(free, -rounded), rounded)
    # what bounds the open side farther out is no edge
    near = union(
        (half_plane(line, far / 2, turn), half_plane(line, chamfer.width + FARTHER, -turn))
    )
    edge, spread = chamfer.depth.top, math.tan(chamfer.slope)
    bevel = Bevel(free, False, foot, edge, spread, near)
    centres = common(grown(free, -off), half_plane(line, off + ON_RIM, turn))
    return bevel, PastEnds(bevel, centres, off, free)


def _strip(chamfer: Chamfer, wide: float) -> CrossSection:
    if chamfer.path is not None:
        return planar.beside(chamfer.path, wide, left=chamfer.side == "right")
    if chamfer.outline is None:
        radius = chamfer.diameter / 2
        whole = planar.discs(chamfer.places, radius + wide)
        return whole - planar.discs(chamfer.places, radius)
    area = planar.area_of(chamfer.outline)
    if chamfer.side == "outside":
        return area - planar.grown(area, -wide)
    return planar.grown(area, wide) - area


TARGET: KindTarget[Chamfer] = ChamferTarget()
