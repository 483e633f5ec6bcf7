"""Facing: from outside the work inward, round and round, so that the direction never changes."""

from __future__ import annotations

from dataclasses import replace

import shapely

from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.flat import nearest, to_shapely
from gcodekit.geometry.offset import grow
from gcodekit.geometry.region import Region
from gcodekit.job.model import Face
from gcodekit.operations.area import area_drafts, run_out
from gcodekit.operations.draft import PLAN_SAG, Chosen, Draft, Phase, Work
from gcodekit.operations.even_load import cleared_evenly
from gcodekit.operations.outline_clearing import Area
from gcodekit.part.allowed import RUN_OFF
from gcodekit.toolpath.clear import BESIDE
from gcodekit.toolpath.path import APPROACH, Path, depth_steps
from gcodekit.trade.cutter import Cutter

# Width of a facing pass: light, so that a big cutter does not stall a small spindle.
# Common practice, no source.
FACING_WIDTH = 0.6


def face_drafts(work: Work, face: Face, chosen: Chosen, top: float) -> list[Draft]:
    """The whole top by an inward spiral of rings; a part of it as a pocket open at the edges."""
    cutter = chosen.finish
    if face.outline is not None and not to_shapely(face.outline, PLAN_SAG).covers(work.metal):
        region = run_out(face.outline, work, cutter.radius)
        return area_drafts(work, Area(feature=face, region=region, top=top, chosen=chosen))
    if face.cutting.even_load:
        beyond = 2 * cutter.diameter + 2 * BESIDE
        area = Area(feature=face, region=grow(work.outline, beyond), top=top, chosen=chosen)
        drafts, _ = cleared_evenly(work, area, cutter, 0.0, 0.0)
        return [replace(d, label="face", phase=Phase.FACE) for d in drafts]
    rates = work.milling(cutter, face.cutting)
    path = work.path(rates)
    rings = _rings(work.outline, cutter, face)
    for z in depth_steps(top, face.depth.cut_to, rates.stepdown):
        _spiral(path, rings, cutter, z, top)
    return [work.draft(face, "face", cutter, rates.speed, path, Phase.FACE)]


def _rings(outline: Region, cutter: Cutter, face: Face) -> list[Chain]:
    """Rings from the rim inward that leave nothing between them."""
    width = face.cutting.stepover or FACING_WIDTH * cutter.diameter
    wanted = to_shapely(outline, PLAN_SAG).buffer(-0.01)
    for _ in range(8):
        rings: list[Chain] = []
        offset = cutter.radius - width
        while (level := grow(outline, offset)) and not level.empty:
            rings += level.rings
            offset -= width
        swept = [shapely.LineString(r.flattened(PLAN_SAG)).buffer(cutter.radius) for r in rings]
        if wanted.difference(shapely.union_all(swept)).buffer(-0.01).is_empty:
            break
        width *= 0.8
    climb = face.cutting.direction == "climb"
    return [r.reversed() if climb else r for r in rings]


def _spiral(path: Path, rings: list[Chain], cutter: Cutter, z: float, top: float) -> None:
    first = rings[0]
    path.over(_outside(first, 2 * cutter.radius + RUN_OFF))
    path.drop(max(top, z) + APPROACH)
    path.sink(z, feed=path.feed)
    path.line_to(first.start)
    path.follow(first)
    for ring in rings[1:]:
        s, _ = nearest(ring, path.at or ring.start)
        path.line_to(ring.point_at(s))
        path.follow(ring.from_start_at(s))


def _outside(ring: Chain, by: float) -> Point:
    """A place straight out from the ring's start, `by` away."""
    (x, y), (tx, ty) = ring.start, ring.tangent_at(0.0)
    side = 1.0 if ring.area > 0 else -1.0
    return (x + side * ty * by, y - side * tx * by)
