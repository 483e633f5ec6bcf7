"""Passes from outside the metal inward to a wall, each only as long as it cuts.

Pass k runs at the wall's offset by the cutter's radius, the allowance and k times the stepover;
the outermost comes first, so that every pass takes one stepover from the side. A pass ends where
the cutter has left what is to be cut, and runs on past it where there is room: the cutter then
comes down, and goes up, beside the metal.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import shapely
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from gcodekit.geometry.chain import Chain, Line, Point, distance
from gcodekit.geometry.flattening import nearest, to_shapely
from gcodekit.geometry.offset import grow
from gcodekit.geometry.region import Region
from gcodekit.toolpath.entry import ramp_along, ramp_round
from gcodekit.toolpath.path import APPROACH, Path
from gcodekit.toolpath.ring_tour import line_between
from gcodekit.toolpath.rings import FLAT_SAG, MOST_RINGS, STRIP_MISSED
from gcodekit.toolpath.wall import LOWERING

# A pass is cut where the cutter overlaps what is left by more than this, mm.
OVERLAP_TOLD = 0.001
# Passes set closer that leave more than this share of what was left are no better.
NO_BETTER = 0.9
# What is left in strips thinner than twice this is rounding, mm.
THIN_STRIP = 0.003
# Along the wall itself a pass may run on by no more than twice this outside its room, mm: less than
# a tenth of any limits.
WALL_SAG = FLAT_SAG / 8
# Farther apart than so many cutter radii, passes cut both ways are gone between above the metal.
NEAR_PASSES = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PassRoom:
    """The room that the passes run in.

    `region`: where the cutter's body may be, air included; in plan, `to_cut` is the metal that has
    to go, `kept` what must not, `clear` where there is none; `run_off`: how far to run on past the
    metal; `both_ways`: open passes go to and fro, for the sake of the way back.
    """

    region: Region
    to_cut: BaseGeometry
    kept: BaseGeometry
    clear: BaseGeometry
    radius: float
    climb: bool
    run_off: float
    both_ways: bool = False
    rooms: dict[float, Region] = field(default_factory=dict)

    def room(self, distance: float) -> Region:
        """The area where the cutter's centre may go at this distance from the wall; each worked out
        once, and kept in `rooms`."""
        if distance not in self.rooms:
            self.rooms[distance] = grow(self.region, -distance)
        return self.rooms[distance]


@dataclass(frozen=True, slots=True)
class Pass:
    """One way to go level. `down`: where the cutter may be lowered before it, perhaps where the
    pass before ended; None: it ramps down along the chain. `back`: a way at depth from where the
    pass before ended to `down`, through nothing but what the cutter has passed."""

    chain: Chain
    down: Point | None
    back: Chain | None = None


@dataclass(frozen=True, slots=True)
class Passes:
    """All passes of a level, and what the cutter has then swept. `again`: a way from where the last
    ended to where the first begins, as `Pass.back`."""

    passes: tuple[Pass, ...]
    swept: BaseGeometry
    left: BaseGeometry
    again: Chain | None = None

    def cut(self, path: Path, levels: Sequence[float], top: float, *, rounds: int = 1) -> None:
        """Every pass at each level, `rounds` times at the last."""
        above = top
        for z in levels:
            for each in self.passes:
                for _ in range(rounds if z == levels[-1] else 1):
                    back = self.again if each is self.passes[0] else each.back
                    _cut(path, each, back, above, z)
            above = z


def _cut(path: Path, each: Pass, back: Chain | None, above: float, z: float) -> None:
    chain = each.chain
    there = path.z == z and path.at == each.down
    if not there and back is not None and path.at == back.start and path.z <= above:
        there = path.stays_down(back, above=above, z=z)
    if not there:
        path.over(each.down or chain.start)
        path.drop(above + APPROACH)
        if each.down is None:
            path.sink(above, feed=path.feed)
            if chain.closed:
                chain = ramp_round(path, chain, z)
            else:
                ramp_along(path, chain, z)
        else:
            path.sink(z, feed=path.feed)
    path.line_to(chain.start)
    path.follow(chain)


def inward_passes(walled: PassRoom, *, allowance: float, stepover: float) -> Passes:
    """The passes that leave the allowance on the wall and nothing else within reach."""
    nearest_room = to_shapely(walled.room(walled.radius + allowance), FLAT_SAG)
    wanted = nearest_room.buffer(walled.radius - STRIP_MISSED).intersection(walled.to_cut)
    passes = _all(walled, allowance, stepover)
    missed = _missed(wanted, passes)
    for _ in range(8):
        stepover *= 0.75
        if not missed or _count(walled, allowance, stepover) > MOST_RINGS:
            break
        finer = _all(walled, allowance, stepover)
        less_missed = _missed(wanted, finer)
        if less_missed > NO_BETTER * missed:
            # out of reach however near the passes lie
            break
        passes, missed = finer, less_missed
    return passes


def _missed(wanted: BaseGeometry, passes: Passes) -> float:
    """The area of what is wanted that passes leave, mm2."""
    return float(wanted.intersection(passes.left).buffer(-STRIP_MISSED).area)


def wall_passes(walled: PassRoom) -> Passes:
    """Along the wall itself, wherever what is to be cut meets it."""
    builder = _PassBuilder(walled, walled.to_cut)
    builder.add(walled.radius)
    # back along the finished wall would mark it
    made = builder.passes()
    passes = tuple(Pass(p.chain, p.down) for p in made.passes)
    return Passes(passes, made.swept, made.left)


def _all(walled: PassRoom, allowance: float, stepover: float) -> Passes:
    builder = _PassBuilder(walled, walled.to_cut)
    for k in reversed(range(_count(walled, allowance, stepover))):
        builder.add(walled.radius + allowance + k * stepover)
    return builder.passes()


def _count(walled: PassRoom, allowance: float, stepover: float) -> int:
    """The number of passes needed to come in from the farthest corner."""
    count = math.ceil(max(_farthest(walled) - allowance - THIN_STRIP, 0.0) / stepover)
    while count <= MOST_RINGS and _meets(walled, walled.radius + allowance + count * stepover):
        count += 1
    return count


def _farthest(walled: PassRoom) -> float:
    """The distance of the farthest corner of what is to be cut from what is kept, mm. Growing what
    is kept until it covers them would not do: GEOS's buffer may reach too far by millimetres."""
    corners = shapely.points(shapely.get_coordinates(walled.to_cut))
    return float(shapely.distance(corners, walled.kept).max(initial=0.0))


def _meets(walled: PassRoom, off: float) -> bool:
    """Tell whether a pass at a distance from the wall would cut anything."""
    cut = walled.to_cut.buffer(-THIN_STRIP)
    rings = (shapely.LineString(r.flattened(FLAT_SAG)) for r in walled.room(off).rings)
    return any(ring.dwithin(cut, walled.radius - OVERLAP_TOLD) for ring in rings)


class _PassBuilder:
    """Passes made one after the other, knowing what those before have swept."""

    def __init__(self, walled: PassRoom, to_cut: BaseGeometry) -> None:
        self._walled, self._left = walled, to_cut
        self._made: list[Pass] = []
        self._swept: BaseGeometry = shapely.Polygon()
        self._open = walled.clear
        self._fence: BaseGeometry = shapely.Polygon()

    def passes(self) -> Passes:
        """All made so far."""
        made = tuple(self._made)
        again = None
        if made and made[0].down is not None and not made[0].chain.closed:
            again = self._back(made[-1].chain, made[0].down, self._fence)
        return Passes(made, self._swept, self._left, again)

    def add(self, off: float) -> None:
        """The pass at a distance from the wall."""
        room = self._walled.room(off)
        if room.empty:
            return
        sag = FLAT_SAG if off > self._walled.radius else WALL_SAG
        fence = to_shapely(room, sag).buffer(2 * sag)
        near = self._left.buffer(-THIN_STRIP).buffer(
            THIN_STRIP + self._walled.radius - OVERLAP_TOLD, quad_segs=32
        )
        found = [c for ring in room.rings for c in _where(ring, near)]
        if not self._walled.climb:
            found = [c.reversed() for c in found]
        while found:
            at = self._made[-1].chain.end if self._made else found[0].start
            ways = [(k, c) for k, chain in enumerate(found) for c in self._ways(chain)]
            k, chain = min(ways, key=lambda way: distance(way[1].start, at))
            found.pop(k)
            if self._touches(chain):
                self._take(chain, fence)

    def _ways(self, chain: Chain) -> tuple[Chain, ...]:
        """The directions in which it may be cut."""
        if self._walled.both_ways and not chain.closed:
            return (chain, chain.reversed())
        return (chain,)

    def _touches(self, chain: Chain) -> bool:
        """Tell whether anything is left along a chain: in a groove as wide as the cutter the pass
        along one wall has cut the other."""
        line = shapely.LineString(chain.flattened(FLAT_SAG))
        left = self._left.buffer(-THIN_STRIP)
        return bool(line.dwithin(left, self._walled.radius - OVERLAP_TOLD))

    def _take(self, chain: Chain, fence: BaseGeometry) -> None:
        radius = self._walled.radius
        at = self._made[-1].chain.end if self._made else None
        down = self._open.buffer(-(radius + LOWERING))
        each = _entered(chain, down, fence, at) if chain.closed else self._stretch(chain, fence)
        if self._walled.both_ways and at is not None and self._in_the_open(at, each.chain.start):
            each = Pass(each.chain, at)
        elif at is not None and each.down is not None and each.down != at:
            each = Pass(each.chain, each.down, self._back(self._made[-1].chain, each.down, fence))
        self._made.append(each)
        self._fence = fence
        line = shapely.LineString(each.chain.flattened(FLAT_SAG))
        swept = line.buffer(radius, quad_segs=32)
        self._swept = shapely.union_all([self._swept, swept])
        self._open = shapely.union_all([self._open, swept])
        self._left = self._left.difference(swept)

    def _back(self, last: Chain, down: Point, fence: BaseGeometry) -> Chain | None:
        """From the end of a pass straight to where the next one begins, or back along it first."""
        if self._passed(last.end, down, fence):
            return line_between(last.end, down)
        if not last.closed and self._passed(last.start, down, fence):
            return Chain((*last.reversed().segments, *line_between(last.start, down).segments))
        return None

    def _passed(self, a: Point, b: Point, fence: BaseGeometry) -> bool:
        """Tell whether the cutter has been all along the straight way, or stands beside the metal
        at both ends of a short one: what holds the work is not in the room that is known here."""
        radius, way = self._walled.radius, shapely.LineString([a, b])
        if not fence.covers(way):
            return False
        body = way.buffer(radius - 2 * OVERLAP_TOLD)
        ground = self._open if distance(a, b) <= radius else self._swept
        return bool(ground.buffer(OVERLAP_TOLD).covers(body))

    def _stretch(self, chain: Chain, fence: BaseGeometry) -> Pass:
        chain = self._run_on(self._run_on(chain, fence).reversed(), fence).reversed()
        body = shapely.Point(chain.start).buffer(self._walled.radius - 2 * OVERLAP_TOLD)
        free = self._open.buffer(OVERLAP_TOLD).covers(body)
        return Pass(chain, chain.start if free else None)

    def _in_the_open(self, a: Point, b: Point) -> bool:
        """Tell whether the cutter goes straight from one point to the other in what is open."""
        if distance(a, b) > NEAR_PASSES * self._walled.radius:
            return False
        way = shapely.LineString([a, b]).buffer(self._walled.radius - 2 * OVERLAP_TOLD)
        return bool(self._open.buffer(OVERLAP_TOLD).covers(way))

    def _run_on(self, chain: Chain, fence: BaseGeometry) -> Chain:
        """Straight on past the chain's end until the cutter is behind the last metal it has
        touched, or at least clear of it; not at all where it may do neither."""
        (x, y), (dx, dy) = chain.end, chain.tangent_at(chain.length)
        touched = nearest_points(self._walled.to_cut, shapely.Point(x, y))[0]
        ahead = (touched.x - x) * dx + (touched.y - y) * dy
        clear = self._walled.run_off
        for by in (max(ahead + self._walled.radius, 0.0) + clear, clear):
            tip = (x + dx * by, y + dy * by)
            if fence.covers(shapely.LineString([chain.end, tip])):
                last = chain.segments[-1]
                if isinstance(last, Line):
                    return Chain((*chain.segments[:-1], Line(last.start, tip)))
                return Chain((*chain.segments, Line(chain.end, tip)))
        return chain


def _where(ring: Chain, near: BaseGeometry) -> Iterator[Chain]:
    """The ring where it lies in `near`: whole, or as open stretches."""
    line = shapely.LineString(ring.flattened(FLAT_SAG))
    outside = [p for p in shapely.get_parts(line.difference(near)) if p.length > OVERLAP_TOLD]
    if not outside:
        yield ring
        return
    gap = max(outside, key=lambda p: float(p.length))
    middle = shapely.get_coordinates(gap.interpolate(0.5, normalized=True))[0]
    ring = ring.from_start_at(nearest(ring, (float(middle[0]), float(middle[1])))[0])
    line = shapely.LineString(ring.flattened(FLAT_SAG))
    for start, end in _spans(ring, line.intersection(near)):
        yield ring.between(start, end)


def _spans(ring: Chain, pieces: BaseGeometry) -> list[tuple[float, float]]:
    """The spans of each piece along the ring; those that all but meet as one."""
    if pieces.geom_type != "LineString":
        pieces = shapely.line_merge(pieces)
    spans: list[tuple[float, float]] = []
    for piece in shapely.get_parts(pieces):
        if piece.length <= OVERLAP_TOLD:
            continue
        (ax, ay), (bx, by) = piece.coords[0], piece.coords[-1]
        a, b = nearest(ring, (ax, ay))[0], nearest(ring, (bx, by))[0]
        spans.append((min(a, b), max(a, b)))
    joined: list[tuple[float, float]] = []
    for start, end in sorted(spans):
        if joined and start - joined[-1][1] < OVERLAP_TOLD:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return joined


def _entered(ring: Chain, down: BaseGeometry, fence: BaseGeometry, at: Point | None) -> Pass:
    """A closed ring with the shortest way onto it: from the pass before, or from where the cutter
    may be lowered."""
    line = shapely.LineString(ring.flattened(FLAT_SAG))
    if down.is_empty:
        return Pass(ring, None)
    foot, place = nearest_points(line, down)
    if at is not None:
        s, gap = nearest(ring, at)
        turned = ring.from_start_at(s)
        near = gap <= 1.5 * foot.distance(place) + 2 * LOWERING
        if near and _straight(at, turned.start, fence):
            return Pass(turned, at)
    turned = ring.from_start_at(nearest(ring, (foot.x, foot.y))[0])
    start = (place.x, place.y)
    return Pass(turned, start if _straight(start, turned.start, fence) else None)


def _straight(a: Point, b: Point, fence: BaseGeometry) -> bool:
    """Tell whether the cutter may go straight from one point to the other."""
    return distance(a, b) == 0 or bool(fence.covers(shapely.LineString([a, b])))
