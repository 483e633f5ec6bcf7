"""What the drawing asks of a set-up at every height: the target a program is held against.

AIR: no metal now. MUST: metal that has to go. MAY: metal that may go beside it. STAY: metal
asked to remain inside MAY (tabs, allowance left on purpose).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain
from gcodekit.geometry.region import Region
from gcodekit.job.model import Bore, Face, Feature, Hole, Job, Pocket, Profile, Setup, Slot
from gcodekit.part.allowed import RUN_OFF, lead_radius
from gcodekit.part.metal import metal
from gcodekit.part.tabs import tab_places
from gcodekit.trade.cutter import Cutter

SAG = 0.0002
GRID = 1e-6
QUARTER = 128
NOTHING: BaseGeometry = shapely.Polygon()


@dataclass(frozen=True, slots=True)
class FeatureSlice:
    """One feature at one height. `reach` is the radius of its finishing cutter, mm: corners
    tighter than that are out of reach."""

    name: str
    must: BaseGeometry
    may: BaseGeometry
    stay: BaseGeometry
    reach: float


@dataclass(frozen=True, slots=True)
class Slice:
    """The whole set-up at one height z: unions over its features, AIR of the raw stock."""

    z: float
    air: BaseGeometry
    must: BaseGeometry
    may: BaseGeometry
    stay: BaseGeometry
    features: tuple[FeatureSlice, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishingCut:
    """With what the plan cuts a feature; `left` is what it leaves on walls on purpose, `allowance`
    what its roughing leaves."""

    cutter: Cutter
    spot: Cutter | None = None
    drill: Cutter | None = None
    reamer: Cutter | None = None
    left: float = 0.0
    allowance: float = 0.2


@dataclass(frozen=True, slots=True)
class Target:
    """A set-up's drawing, sliced on demand. `levels` (descending): where it changes."""

    setup: Setup
    finishing: Mapping[str, FinishingCut]
    levels: tuple[float, ...]
    _plans: Mapping[str, _Asked] = field(repr=False)

    def slice(self, z: float) -> Slice:
        """What is asked at program height z."""
        stock = metal(self.setup, z)
        (x0, y0, _), (x1, y1, _) = self.setup.raw.low, self.setup.raw.high
        around = shapely.box(x0 - 100, y0 - 100, x1 + 100, y1 + 100)
        rows = []
        for feature in self.setup.features:
            asked = self._plans[feature.name]
            must, may, stay = asked.at(z)
            rows.append(FeatureSlice(feature.name, must, may, stay, asked.reach))
        return Slice(
            z,
            shapely.difference(around, stock, grid_size=GRID),
            _union(r.must for r in rows),
            _union(r.may for r in rows),
            _union(r.stay for r in rows),
            tuple(rows),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """One feature's plan shapes: `must` above `floor`, `may` with it, `stay` below `stay_top`;
    `discs` may go down to a cutter's cone: (places, cutter, z of its tip)."""

    must: BaseGeometry
    may: BaseGeometry
    floor: float
    reach: float
    stay: BaseGeometry = NOTHING
    stay_top: float = -math.inf
    must_below: BaseGeometry = NOTHING
    cones: tuple[tuple[BaseGeometry, Cutter, float], ...] = ()

    def at(self, z: float) -> tuple[BaseGeometry, BaseGeometry, BaseGeometry]:
        must, may, stay = NOTHING, NOTHING, NOTHING
        if z > self.floor:
            must, may = self.must, self.may
            if z < self.stay_top:
                stay = self.stay
                must = self.must_below
        for places, cutter, tip in self.cones:
            radius = cutter.radius_at(z - tip)
            if radius > 0:
                may = _union((may, places.buffer(radius, quad_segs=QUARTER)))
        return must, may, stay


def build_target(job: Job, setup: Setup, finishing: Mapping[str, FinishingCut]) -> Target:
    """The target of a set-up from its drawing and the cutters that finish each feature."""
    plans = {f.name: _asked(setup, f, finishing[f.name]) for f in setup.features}
    levels = {setup.raw.low[2], setup.raw.high[2]}
    for feature in setup.features:
        asked = plans[feature.name]
        levels |= {feature.depth.top, asked.floor}
        if not asked.stay.is_empty:
            levels.add(asked.stay_top)
        for _, cutter, tip in asked.cones:
            levels |= {tip, tip + cutter.point_length / 2, tip + cutter.point_length}
    low, high = setup.raw.low[2], setup.raw.high[2]
    inside = sorted((z for z in levels if low <= z <= high), reverse=True)
    return Target(setup, finishing, tuple(inside), plans)


def _asked(setup: Setup, feature: Feature, cut: FinishingCut) -> _Asked:
    floor, reach = feature.depth.cut_to, cut.cutter.radius
    if isinstance(feature, Face):
        area = _plan(setup) if feature.outline is None else flat(feature.outline)
        return _Asked(must=area, may=NOTHING, floor=floor, reach=reach)
    if isinstance(feature, Pocket):
        area = flat(feature.area).buffer(-cut.left)
        return _Asked(must=area, may=NOTHING, floor=floor, reach=reach)
    if isinstance(feature, Slot):
        must, may = _slot(setup, feature)
        return _Asked(must=must.buffer(-cut.left), may=may, floor=floor, reach=reach)
    if isinstance(feature, Profile):
        return _profile(feature, cut, floor)
    return _round(setup, feature, cut, floor)


def _plan(setup: Setup) -> BaseGeometry:
    (x0, y0, z0), (x1, y1, z1) = setup.raw.low, setup.raw.high
    upright = setup.raw.shape == "round" and setup.raw.axis == "z"
    return metal(setup, (z0 + z1) / 2) if upright else shapely.box(x0, y0, x1, y1)


def _slot(setup: Setup, slot: Slot) -> tuple[BaseGeometry, BaseGeometry]:
    must: BaseGeometry = _line(slot.path).buffer(slot.width / 2, quad_segs=QUARTER)
    may = NOTHING
    ends = ((slot.path.reversed(), slot.ends[0]), (slot.path, slot.ends[1]))
    for path, kind in ends:
        if kind == "open":
            (x, y), (tx, ty) = path.end, path.tangent_at(path.length)
            far = shapely.LineString([(x, y), (x + 1000 * tx, y + 1000 * ty)])
            strip = far.buffer(slot.width / 2, cap_style="flat")
            metal_there = shapely.intersection(strip, _plan(setup), grid_size=GRID)
            must = _union((must, metal_there))
            may = _union((may, metal_there.buffer(RUN_OFF + slot.width / 2).intersection(strip)))
    return must, may


def _profile(profile: Profile, cut: FinishingCut, floor: float) -> _Asked:
    radius = cut.cutter.radius
    wide = 2 * radius + cut.allowance + lead_radius(cut.cutter)
    must, may = _kerf(profile, cut.left, 2 * radius), _kerf(profile, cut.left, wide)
    if profile.tabs is not None:
        stay_top = profile.depth.floor + profile.tabs.height
        cores = []
        for tab in tab_places(profile, radius):
            (x, y), (tx, ty) = tab.point, tab.direction
            across = shapely.LineString(
                [(x - ty * wide, y + tx * wide), (x + ty * wide, y - tx * wide)]
            )
            cores.append(across.buffer(profile.tabs.width / 2, cap_style="flat"))
        stay = shapely.intersection(_union(cores), may, grid_size=GRID)
        # The cutter ends round on both sides of a tab: only what its disc sweeps has to go there.
        swept = _centre_line(profile, radius).difference(_union(cores).buffer(radius))
        must_below = shapely.intersection(
            must, swept.buffer(radius, quad_segs=QUARTER), grid_size=GRID
        )
        return _Asked(
            must=must,
            must_below=must_below,
            may=may,
            floor=floor,
            reach=radius,
            stay=stay,
            stay_top=stay_top,
        )
    return _Asked(must=must, may=may, floor=floor, reach=radius)


def _centre_line(profile: Profile, radius: float) -> BaseGeometry:
    """Where the cutter's centre runs round a closed outline."""
    body = flat(profile.outline) if profile.outline is not None else NOTHING
    by = {"outside": radius, "inside": -radius}.get(profile.side, 0.0)
    return body.buffer(by, quad_segs=QUARTER).boundary


def _kerf(profile: Profile, off: float, width: float) -> BaseGeometry:
    """The band on the cutter's side from `off` to `width` from the line."""
    if profile.outline is not None:
        body = flat(profile.outline)
        if profile.side == "outside":
            outer = body.buffer(width, quad_segs=QUARTER)
            return shapely.difference(outer, body.buffer(off, quad_segs=QUARTER), grid_size=GRID)
        if profile.side == "inside":
            inner = body.buffer(-width, quad_segs=QUARTER)
            return shapely.difference(body.buffer(-off), inner, grid_size=GRID)
        return body.boundary.buffer(width / 2, quad_segs=QUARTER)
    line = _line(profile.path) if profile.path is not None else NOTHING
    if profile.side == "on":
        return line.buffer(width / 2, quad_segs=QUARTER)
    sign = 1 if profile.side == "left" else -1
    band = line.buffer(sign * width, single_sided=True, quad_segs=QUARTER)
    return band if off == 0 else band.difference(line.buffer(off))


def _round(setup: Setup, feature: Bore | Hole, cut: FinishingCut, floor: float) -> _Asked:
    places = shapely.MultiPoint(list(feature.places))
    discs = places.buffer(feature.diameter / 2, quad_segs=QUARTER)
    cones: list[tuple[BaseGeometry, Cutter, float]] = []
    drilled = not isinstance(feature, Hole) or feature.drilled
    if cut.reamer is not None:
        cones.append((places, cut.reamer, floor - cut.reamer.point_length))
    if cut.drill is not None:
        deeper = 0.0
        if cut.reamer is not None and not feature.depth.through:
            deeper = cut.reamer.point_length + 1.0
        shoulder = floor - deeper
        if isinstance(feature, Hole) and feature.drill_depth is not None:
            shoulder = feature.depth.top - feature.drill_depth
        cones.append((places, cut.drill, shoulder - cut.drill.point_length))
    if not drilled:
        return _Asked(must=NOTHING, may=discs, floor=floor - 100, reach=0.0)
    sized = cut.reamer is not None or cut.drill is not None
    reach = 0.0 if sized else cut.cutter.radius
    must = discs if not cut.left else discs.buffer(-cut.left)
    return _Asked(must=must, may=NOTHING, floor=floor, reach=reach, cones=tuple(cones))


def flat(region: Region) -> BaseGeometry:
    """A drawn region as polygons."""
    return _union(
        shapely.Polygon(p.outer.flattened(SAG), [h.flattened(SAG) for h in p.holes])
        for p in region.parts
    )


def _line(chain: Chain) -> BaseGeometry:
    return shapely.LineString(chain.flattened(SAG))


def _union(shapes: Iterable[BaseGeometry]) -> BaseGeometry:
    return shapely.union_all(list(shapes), grid_size=GRID)
