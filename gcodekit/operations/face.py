"""Facing: from outside the work inward, round and round, so that the direction never changes."""

from __future__ import annotations

from dataclasses import replace

import shapely

from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.flat import nearest, to_shapely
from gcodekit.geometry.offset import grow
from gcodekit.geometry.region import Region
from gcodekit.job.kinds.face import Face
from gcodekit.operations.area import area_drafts
from gcodekit.operations.chosen import Chosen
from gcodekit.operations.draft import PLAN_SAG, Draft, Phase, Work
from gcodekit.operations.even_load import cleared_evenly
from gcodekit.operations.outline_clearing import Area
from gcodekit.operations.wall_regions import run_out
from gcodekit.part.allowed import RUN_OFF
from gcodekit.toolpath.clear import BESIDE
from gcodekit.toolpath.path import APPROACH, Path, depth_steps
from gcodekit.toolpath.to_and_fro import cells, in_order
from gcodekit.trade.cutter import Cutter

# Width of a facing pass: light, so that a big cutter does not stall a small spindle.
# Common practice, no source.
FACING_WIDTH = 0.6


def face_drafts(work: Work, face: Face, chosen: Chosen, top: float) -> list[Draft]:
    """The whole top by an inward spiral of rings, or to and fro; a part of it as a pocket that is
    open at the edges."""
    cutter = chosen.finish
    if face.outline is not None and not to_shapely(face.outline, PLAN_SAG).covers(work.metal):
        region = run_out(face.outline, work, cutter.radius, face.depth.cut_to)
        return area_drafts(work, Area(feature=face, region=region, top=top, chosen=chosen))
    if face.cutting.way == "even load":
        beyond = cutter.diameter + 2 * BESIDE
        area = Area(feature=face, region=grow(work.outline, beyond), top=top, chosen=chosen)
        drafts, _ = cleared_evenly(work, area, cutter, 0.0, 0.0)
        return [replace(d, label="face", phase=Phase.FACE) for d in drafts]
    width = face.cutting.stepover or FACING_WIDTH * cutter.diameter
    follow = work.following(cutter, face.cutting, top - face.depth.cut_to)
    follow = replace(follow, rates=replace(follow.rates, stepover=width))
    rates = follow.rates
    path = work.path(rates)
    strokes = face.cutting.way == "to and fro"
    outline = work.outline
    ways = _strokes(outline, cutter, width) if strokes else _rings(outline, cutter, width, face)
    for z in depth_steps(top, face.depth.cut_to, rates.stepdown):
        if strokes:
            _to_and_fro(path, ways, cutter, z, top)
        else:
            _spiral(path, ways, cutter, z, top)
    return [work.draft(face, "face", cutter, rates.speed, path, Phase.FACE, following=follow)]


def _rings(outline: Region, cutter: Cutter, width: float, face: Face) -> list[Chain]:
    """Rings from the rim inward that leave nothing between them."""
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


def _strokes(outline: Region, cutter: Cutter, width: float) -> list[Chain]:
    """Strokes along the longer side; the first takes one width off the edge."""
    beyond = to_shapely(grow(outline, max(cutter.radius - width / 2, 0.0)), PLAN_SAG)
    return [way for cell in in_order(cells(beyond, width)) for way in cell]


def _to_and_fro(path: Path, ways: list[Chain], cutter: Cutter, z: float, top: float) -> None:
    (x, y), (dx, dy) = ways[0].start, ways[0].tangent_at(0.0)
    by = cutter.radius + RUN_OFF
    path.over((x - dx * by, y - dy * by))
    path.drop(max(top, z) + APPROACH)
    path.sink(z, feed=path.feed)
    for way in ways:
        path.line_to(way.start)
        path.follow(way)


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
