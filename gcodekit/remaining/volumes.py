"""What each feature takes of the stock as a solid, in its set-up's own coordinates, mm.

Of every feature three volumes: what the drawing wants gone (`drawn`), what is gone at the most
(`most`, with all that a drill's point or lead may take) and at the least (`least`, without the
corners that its cutter does not reach).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from manifold3d import CrossSection, Manifold, OpType

from gcodekit.geometry.chain import Point
from gcodekit.job.feature import Feature
from gcodekit.job.kinds.arc import Sector
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.boss import Boss
from gcodekit.job.kinds.edge import Edge
from gcodekit.job.kinds.face import Face
from gcodekit.job.kinds.hole import Hole
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.kinds.slot import Slot
from gcodekit.job.model import Setup
from gcodekit.job.raw_stock import RawStock
from gcodekit.remaining import planar

# Volumes go on this far beyond the stock, mm: more than a bar may be oversize.
BEYOND = 20.0
# What is left for finishing where the job does not say how much, mm: more than any is.
AMPLE = 1.0
# A cutter as wide as its slot counts as reaching all of it, mm.
SLACK = 0.005
Extent = Literal["drawn", "most", "least"]


@dataclass(frozen=True, slots=True)
class Tab:
    """A tab's middle on the outline and the outline's unit direction there."""

    point: Point
    along: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Finish:
    """What finishes a feature: its cutter's diameter and corner radius, mm, and its tabs."""

    diameter: float
    corner_radius: float = 0.0
    tabs: tuple[Tab, ...] = ()


def taken(
    feature: Feature,
    setup: Setup,
    finish: Finish,
    extent: Extent,
    *,
    runs: tuple[float, float] | None = None,
) -> Manifold:
    """What a feature takes, in its set-up's coordinates. `runs`: how far an open slot goes on
    beyond its first and its last point, mm; None: at the most as far as the stock goes."""
    if isinstance(feature, Slot) and extent != "least":
        far = _far(feature.path.start, setup.raw) if extent == "most" else 0.0
        area = open_slot(feature, runs or (far, far))
        return _upright(area, feature.depth.cut_to, setup)
    if isinstance(feature, Hole):
        return _hole(feature, setup, extent)
    if extent == "least" and isinstance(feature, Profile) and feature.path is not None:
        return Manifold()
    area, low = _area(feature, setup, finish), feature.depth.cut_to
    if isinstance(feature, Boss | Edge | Sector) and extent != "most":
        area -= _kept_by_others(feature, setup, extent)
    cutting = feature.cutting
    if extent == "least":
        if not cutting.finish:
            wall, floor = cutting.wall_allowance, cutting.floor_allowance
            area = planar.grown(area, -(AMPLE if wall is None else wall))
            low += 0.0 if feature.depth.through else AMPLE if floor is None else floor
        if not isinstance(feature, Bore):
            area = _reached(area, setup.left, finish.diameter / 2 - SLACK)
        low += 0.0 if feature.depth.through else finish.corner_radius
    if extent == "most" and isinstance(feature, Bore):
        # a drill or an end mill opens it for the reamer, deeper by lead and chips
        low -= feature.diameter
    if isinstance(feature, Profile) and feature.tabs is not None:
        bottom = setup.left.low[2]
        if extent == "least":
            low = max(low, bottom + feature.tabs.height)
        elif extent == "drawn":
            return _upright(area, low, setup) - tab_bodies(feature, setup, finish)
    return _upright(area, low, setup)


def open_slot(slot: Slot, runs: tuple[float, float]) -> CrossSection:
    """A slot in plan, its open ends run straight on."""
    path = slot.path
    areas = [planar.swept(path, slot.width / 2)]
    for at, way, end, run in zip((0.0, path.length), (-1, 1), slot.ends, runs, strict=True):
        if end == "open" and run > 0:
            areas.append(run_on(path.point_at(at), path.tangent_at(at), way * run, slot.width))
    return planar.union(areas)


def run_on(point: Point, along: Point, run: float, width: float) -> CrossSection:
    """A strip straight on from a point, `run` mm along a unit vector (negative: against it)."""
    (x, y), (dx, dy) = point, along
    return planar.turned_box((x + dx * run / 2, y + dy * run / 2), along, abs(run), width)


def tab_bodies(profile: Profile, setup: Setup, finish: Finish) -> Manifold:
    """All of a profile's tabs."""
    return joined([tab_body(profile, t, setup, finish) for t in finish.tabs])


def tab_body(profile: Profile, tab: Tab, setup: Setup, finish: Finish) -> Manifold:
    """One tab, the kerf wide; of an outline's corner no more than its straight piece."""
    assert profile.tabs is not None
    across = 2 * finish.diameter + SLACK
    strip = planar.turned_box(tab.point, tab.along, profile.tabs.width, across)
    bottom = setup.left.low[2]
    height = profile.tabs.height
    return Manifold.extrude(strip ^ _area(profile, setup, finish), height).translate((0, 0, bottom))


def skin_body(profile: Profile, setup: Setup, finish: Finish) -> Manifold:
    """The onion skin under a profile."""
    assert profile.skin is not None
    body = Manifold.extrude(_area(profile, setup, finish), profile.skin)
    return body.translate((0, 0, setup.left.low[2]))


def joined(bodies: Sequence[Manifold]) -> Manifold:
    """All of some bodies."""
    return Manifold.batch_boolean(list(bodies), OpType.Add) if bodies else Manifold()


def _upright(area: CrossSection, low: float, setup: Setup) -> Manifold:
    """Over an area all from a height up."""
    high = setup.raw.high[2] + BEYOND
    if area.is_empty() or low >= high:
        return Manifold()
    return Manifold.extrude(area, high - low).translate((0, 0, low))


def _area(feature: Feature, setup: Setup, finish: Finish) -> CrossSection:
    """In plan."""
    everywhere = planar.grown(_plan(setup.raw), BEYOND)
    match feature:
        case Face():
            return everywhere if feature.outline is None else planar.area_of(feature.outline)
        case Edge():
            return _beyond(feature, setup.raw)
        case Pocket():
            return planar.area_of(feature.area)
        case Boss():
            rim = everywhere if feature.within is None else planar.area_of(feature.within)
            return rim - planar.area_of(feature.kept)
        case Slot():
            return planar.swept(feature.path, feature.width / 2)
        case Sector():
            return planar.sector(feature, _far(feature.centre, setup.raw))
        case Profile():
            return _kerf(feature, finish.diameter)
        case Bore() | Hole():
            return planar.discs(feature.places, feature.diameter / 2)


def _kept_by_others(feature: Boss | Edge | Sector, setup: Setup, extent: Extent) -> CrossSection:
    """What is cut back to a wall leaves what others of the set-up keep: bosses, islands, the part
    inside a profile. One that stands on another's boss is cut out of that; how much of it is not
    said at the least."""
    kept: list[CrossSection] = []
    for other in setup.features:
        if other is feature:
            continue
        match other:
            case Boss():
                kept.append(planar.area_of(other.kept))
            case Pocket():
                kept += [planar.area_of(island) for island in other.islands]
            case Profile(outline=outline, side="outside" | "on") if outline is not None:
                kept.append(planar.area_of(outline))
            case _:
                pass
    if extent == "drawn" and isinstance(feature, Boss):
        own = planar.area_of(feature.kept)
        kept = [k for k in kept if (own - k).area() > SLACK]
    return planar.union(kept)


def _kerf(profile: Profile, width: float) -> CrossSection:
    if profile.path is not None:
        if profile.side == "on":
            return planar.swept(profile.path, width / 2)
        return planar.beside(profile.path, width, left=profile.side == "left")
    assert profile.outline is not None
    area = planar.area_of(profile.outline)
    match profile.side:
        case "outside":
            return planar.grown(area, width) - area
        case "inside":
            return area - planar.grown(area, -width)
        case _:
            return planar.grown(area, width / 2) - planar.grown(area, -width / 2)


def _reached(area: CrossSection, left: RawStock, radius: float) -> CrossSection:
    """What a cutter of a radius reaches of an area, from inside it and from beside the stock."""
    if radius <= 0:
        return area
    air = planar.grown(_plan(left), BEYOND + 2 * radius) - _plan(left)
    room = area + air
    return planar.grown(planar.grown(room, -radius), radius) ^ area


def _plan(raw: RawStock) -> CrossSection:
    """The box of the stock in plan."""
    return planar.box(raw.low[0], raw.low[1], raw.high[0], raw.high[1])


def _far(point: Point, raw: RawStock) -> float:
    """Beyond the stock's farthest corner from a point."""
    xs, ys = (raw.low[0], raw.high[0]), (raw.low[1], raw.high[1])
    return max(math.dist(point, (x, y)) for x in xs for y in ys) + BEYOND


def _beyond(edge: Edge, raw: RawStock) -> CrossSection:
    """What lies beyond a plane, as far as the stock goes."""
    far = 2 * _far(edge.point, raw)
    (x, y), (dx, dy) = edge.point, edge.away
    return planar.turned_box((x + dx * far / 2, y + dy * far / 2), edge.away, far, 2 * far)


def _hole(hole: Hole, setup: Setup, extent: Extent) -> Manifold:
    """A hole with its mouth; at the most with the tap's thread and the room below."""
    if extent == "least":
        area = planar.discs(hole.places, hole.diameter / 2)
        return _upright(area, hole.depth.cut_to, setup) if hole.drilled else Manifold()
    low, radius = hole.depth.cut_to, hole.diameter / 2
    bodies = []
    if extent == "most":
        pitch = hole.thread.pitch if hole.thread else 0.0
        major = hole.thread.major / 2 if hole.thread else 0.0
        deep = hole.depth.top - (hole.drill_depth or 0.0)
        radius, low = max(radius, major), min(low, deep) - hole.diameter - 5 * pitch - 3.0
    if hole.drilled or extent == "most":
        bodies.append(_upright(planar.discs(hole.places, radius), low, setup))
    if hole.counterbore is not None:
        area = planar.discs(hole.places, hole.counterbore.diameter / 2)
        bodies.append(_upright(area, hole.counterbore.floor, setup))
    if (sunk := hole.countersink) is not None:
        radius = sunk.diameter / 2
        cone = Manifold.cylinder(sunk.mouth - sunk.tip, 0.0, radius, planar.chords(radius))
        bodies += [cone.translate((x, y, sunk.tip)) for x, y in hole.places]
        if extent == "most":
            # its cutter may be wider where it goes through what stands above the mouth
            radius += setup.raw.high[2] - sunk.mouth
            bodies.append(_upright(planar.discs(hole.places, radius), sunk.mouth, setup))
    return joined(bodies)
