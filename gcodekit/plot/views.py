"""How plan and front view share the drawing: the front view under the plan at the same x, or, of
long or tall work, a view from the right beside it at the same y; both at one standard scale.

Third angle projection (ISO 5456-2): each view lies on the side it is seen from. Of flat work the
heights may be drawn at a larger standard scale, which is then said. Of long work a stretch with
nothing in it is left out of both where that makes room for a larger scale (ISO 128-3).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from gcodekit.geometry.chain import Point
from gcodekit.job.model import Setup
from gcodekit.part.keep_out import keep_out
from gcodekit.planning.heights import safe_height
from gcodekit.plot.backdrop import standing_bodies
from gcodekit.plot.long_work import long_axis, taken_along
from gcodekit.plot.paper import VIEW, PaperBox
from gcodekit.plot.scale import STANDARD_SCALES, WHOLE, Breaks, Scale, Span, ratio
from gcodekit.proof.chords import lowest, turning_points
from gcodekit.rs274.program_read import Move

# Program zero this many times the stock's size away from it is off the sheet, and what cuts do
# farther away than the other.
FARTHEST, _BESIDE_STOCK = 1.0, 0.35
# Free space round a view; what is shown of a holding beyond the stock; the zigzags it is broken off
# with included; mm on the paper.
AIR, SHOWN = 2.0, 8.0
# Between two views, one under the other and side by side: sizes, lettering, caption.
_UNDER, _BESIDE = 19.0, 20.0
# Over a view from the side, caption and depths; under both, sizes; as far as `VIEW` leaves none.
_OVER_SIDE, _UNDER_SIDE = 7.0, 9.0
# Stock thinner than this on the paper, mm, has its heights drawn larger.
_THIN = 4.5
# Heights at most so many times as large as lengths.
_MOST_STRETCH = 10.0
# Of long work: what is left out leaves such a strip on the paper, keeps off what is to be seen by
# so much, and off program zero's arrows; mm.
STRIP, _CLEAR, _ARROWS = 3.0, 6.0, 16.0
# What is still too long by less than this, mm of the work, is so but for rounding.
_ENOUGH = 1e-6
# What is drawn of it stays so many times as long as it is wide, and is not larger than it is: there
# is no need.
_STILL_LONG, _LARGEST_BROKEN = 2.0, 1.0


@dataclass(frozen=True, slots=True)
class Views:
    """Both views' scales; `axis` is the one that the second view has besides z: 0 for x, seen from
    the front, 1 for y, seen from the right; `note` says how its heights differ, "" where they do
    not."""

    plan: Scale
    front: Scale
    axis: int
    note: str

    @property
    def name(self) -> str:
        """Of the second view."""
        return ("FRONT", "RIGHT SIDE")[self.axis]


@dataclass(frozen=True, slots=True)
class Contents:
    """What is to be seen: from `low` to `high` in all of it, and of it and what holds the work from
    `low_held` to `high_held`, program coordinates, mm. Of long work, `taken` says where along the
    axis `long` there is something to be seen; `wide` is its width."""

    low: tuple[float, float, float]
    high: tuple[float, float, float]
    low_held: tuple[float, float, float]
    high_held: tuple[float, float, float]
    thick: float = math.inf
    long: int | None = None
    taken: tuple[Span, ...] = ()
    wide: float = math.inf

    def span(self, axis: int, factor: float) -> Span:
        """Along an axis, at a scale: of the holding no more than shows what it is."""
        more = SHOWN / factor
        air = AIR / factor
        low = max(min(self.low[axis], self.low_held[axis]), self.low[axis] - more)
        high = min(max(self.high[axis], self.high_held[axis]), self.high[axis] + more)
        return low - air, high + air


def laid_out(seen: Contents, room: PaperBox = VIEW) -> Views:
    """The largest standard scale at which both views have room, and where they lie; whole work
    rather than broken at the same scale."""
    for factor in STANDARD_SCALES:
        x, y, z = (_size(seen.span(axis, factor)) * factor for axis in range(3))
        layouts = (
            (_one_under_the_other, (room.width, room.height - _UNDER - z)),
            (_side_by_side, (room.width - _BESIDE - z, room.height - _OVER_SIDE - _UNDER_SIDE)),
        )
        for lay_out, most in layouts:
            if x <= most[0] and y <= most[1]:
                return lay_out(seen, factor, (WHOLE, WHOLE), room)
        # broken, where the long side has more room
        for lay_out, most in sorted(layouts, key=lambda layout: -layout[1][seen.long or 0]):
            breaks = _broken(seen, factor, (x, y), most)
            if breaks is not None:
                return lay_out(seen, factor, breaks, room)
    return _one_under_the_other(seen, STANDARD_SCALES[-1], (WHOLE, WHOLE), room)


def _size(span: Span) -> float:
    return span[1] - span[0]


def _broken(seen: Contents, factor: float, size: Span, room: Span) -> tuple[Breaks, Breaks] | None:
    """What is left out of x and y of long work, so that it has room; None where that is not
    enough."""
    axis = seen.long
    if axis is None or factor > _LARGEST_BROKEN or size[1 - axis] > room[1 - axis]:
        return None
    if room[axis] < _STILL_LONG * seen.wide * factor:
        return None
    less, spans = (size[axis] - room[axis]) / factor, list[Span]()
    kept = STRIP / factor
    # the longest first: one break is better than two
    for low, high in sorted(_free(seen, factor), key=lambda s: s[0] - s[1]):
        if less <= 0:
            break
        middle, half = (low + high) / 2, min(high - low, less + kept) / 2
        if half > kept:
            spans.append((middle - half, middle + half))
            less -= 2 * half - kept
    if less > _ENOUGH:
        return None
    breaks = Breaks(tuple(sorted(spans)), kept)
    return (breaks, WHOLE) if axis == 0 else (WHOLE, breaks)


def _free(seen: Contents, factor: float) -> list[Span]:
    """Stretches of long work with nothing to be seen in them, nor right beside them."""
    more = _CLEAR / factor
    # program zero has its arrows, wherever it is
    taken = sorted([*seen.taken, (0.0, (_ARROWS - _CLEAR) / factor)])
    found, end = list[Span](), taken[0][1]
    for low, high in taken[1:]:
        inside = max(end + more, seen.taken[0][0]), min(low - more, seen.taken[-1][1])
        if inside[1] > inside[0]:
            found.append(inside)
        end = max(end, high)
    return found


def _stretch(seen: Contents, factor: float, room: float) -> float:
    """How many times as large heights are drawn where the stock is thin."""
    best = 1.0
    for scale in reversed(STANDARD_SCALES):
        times = scale / factor
        if times <= 1.0 or times > _MOST_STRETCH + 1e-9:
            continue
        if seen.thick * factor * best >= _THIN or _size(seen.span(2, scale)) * scale > room:
            break
        best = times
    return best


def _drawn(seen: Contents, axis: int, factor: float, breaks: Breaks) -> float:
    """Of x or y, mm on the paper."""
    low, high = seen.span(axis, factor)
    return (breaks.drawn(high) - breaks.drawn(low)) * factor


def _one_under_the_other(
    seen: Contents, factor: float, breaks: tuple[Breaks, Breaks], room: PaperBox
) -> Views:
    across, away = seen.span(0, factor), seen.span(1, factor)
    wide, high = (_drawn(seen, axis, factor, breaks[axis]) for axis in (0, 1))
    times = _stretch(seen, factor, room.height - _UNDER - high)
    up = seen.span(2, factor * times)
    low = _size(up) * factor * times
    spare = max(0.0, room.height - _UNDER - high - low)
    left = room.left + max(0.0, room.width - wide) / 2
    # a part near the middle of its half leaves room for lettering all round
    top = room.top + 0.35 * spare
    under = top + high + _UNDER + 0.35 * spare
    plan = PaperBox(left, top, left + wide, top + high)
    front = PaperBox(left, under, left + wide, under + low)
    return Views(
        Scale.centred((across[0], away[0], across[1], away[1]), plan, factor, breaks=breaks),
        Scale.centred(
            (across[0], up[0], across[1], up[1]), front, factor, times, breaks=(breaks[0], WHOLE)
        ),
        0,
        f"Z scale {ratio(factor * times)}" if times > 1 else "",
    )


def _side_by_side(
    seen: Contents, factor: float, breaks: tuple[Breaks, Breaks], room: PaperBox
) -> Views:
    across, away = seen.span(0, factor), seen.span(1, factor)
    wide, high = (_drawn(seen, axis, factor, breaks[axis]) for axis in (0, 1))
    times = _stretch(seen, factor, room.width - _BESIDE - wide)
    up = seen.span(2, factor * times)
    deep = _size(up) * factor * times
    spare = max(0.0, room.width - _BESIDE - wide - deep)
    top = room.top + _OVER_SIDE + (room.height - _OVER_SIDE - _UNDER_SIDE - high) / 2
    left = room.left + 0.35 * spare
    beside = left + wide + _BESIDE + 0.35 * spare
    plan = PaperBox(left, top, left + wide, top + high)
    side = PaperBox(beside, top, beside + deep, top + high)
    return Views(
        Scale.centred((across[0], away[0], across[1], away[1]), plan, factor, breaks=breaks),
        Scale.centred(
            (away[0], up[0], away[1], up[1]),
            side,
            factor,
            times,
            turned=True,
            breaks=(breaks[1], WHOLE),
        ),
        1,
        f"Z scale {ratio(factor * times)}" if times > 1 else "",
    )


def contents(
    moves: Sequence[Move],
    setup: Setup,
    widest: float,
    *,
    metal: bool,
    marks: Sequence[Point] = (),
) -> Contents:
    """Stock, holding, cuts, clearance height and program zero, as far away as is of use; `widest`
    is the radius of the widest cutter, which counts where there is no stock to be seen. `marks` are
    places in plan where something else is to be seen, in long work."""
    (x0, y0, z0), (x1, y1, z1) = setup.left.low, setup.left.high
    far = _BESIDE_STOCK * max(x1 - x0, y1 - y0)
    zero = _zero_near(setup)
    xs, ys = [x0, x1, *zero], [y0, y1, *zero]
    for x, y in _cut_places(moves):
        xs.append(min(max(x, x0 - far), x1 + far))
        ys.append(min(max(y, y0 - far), y1 + far))
    more = 0.0 if metal else widest
    zs = _heights(moves, setup, metal=metal)
    held = _held(setup)
    low, high = (min(xs) - more, min(ys) - more, min(zs)), (max(xs) + more, max(ys) + more, max(zs))
    long = long_axis(setup) if metal else None
    return Contents(
        low,
        high,
        held[0],
        held[1],
        z1 - z0 if metal else math.inf,
        long,
        () if long is None else taken_along(long, moves, setup, widest, marks),
        min(x1 - x0, y1 - y0),
    )


def _zero_near(setup: Setup) -> list[float]:
    (x0, y0, _), (x1, y1, _) = setup.left.low, setup.left.high
    far = FARTHEST * max(x1 - x0, y1 - y0)
    return [0.0] if x0 - far <= 0 <= x1 + far and y0 - far <= 0 <= y1 + far else []


def _cut_places(moves: Sequence[Move]) -> list[tuple[float, float]]:
    """Where cuts go in plan; of arcs all the way round."""
    found: list[tuple[float, float]] = []
    for m in moves:
        if m.kind == "rapid" or m.known_before != "XYZ":
            continue
        found += [(p[0], p[1]) for p in turning_points(m)]
    return found


def _heights(moves: Sequence[Move], setup: Setup, *, metal: bool) -> list[float]:
    """z of stock, cuts, clearance height and program zero."""
    low, high = setup.left.low, setup.left.high
    far = FARTHEST * max(h - a for a, h in zip(low, high, strict=True))
    heights = [0.0, *(b.top for b in keep_out(setup) if b.top > low[2])]
    heights += [lowest(m) for m in moves if m.kind != "rapid" and m.known_before == "XYZ"]
    heights += [m.end[2] for m in moves if (m.kind != "rapid" or not metal) and "Z" in m.known]
    if metal and setup.clearance > 0:
        heights.append(safe_height(setup))
    return [low[2], high[2], *(h for h in heights if low[2] - far <= h <= high[2] + far)]


def _held(setup: Setup) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """Opposite corners of all that holds the work."""
    low, high = [*setup.left.low], [*setup.left.high]
    for b in standing_bodies(setup):
        u0, v0, u1, v1 = b.bounds
        low[:2] = min(low[0], u0), min(low[1], v0)
        high[:2] = max(high[0], u1), max(high[1], v1)
    if setup.hold.said:
        low[2] = -math.inf
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])
