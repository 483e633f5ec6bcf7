"""Where the tabs of a profile stand, for planner and target alike."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from gcodekit.errors import Fault, PlanError
from gcodekit.geometry.chain import Chain, Line, Point
from gcodekit.geometry.flat import nearest
from gcodekit.job.model import Profile, Tabs

# A tab asked for at a point farther than this from the outline, mm, was meant for another one.
FARTHEST = 5.0
# A joint that turns less than this, radians, is no corner.
SMOOTH = math.radians(2.0)
# A tab goes to a straight up to this share of the spacing away; farther, tabs would bunch.
SHARE_TO_STRAIGHT = 1 / 3
# Starting places tried for an even spread.
TRIES = 48

Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class TabPlace:
    """A tab's middle on the outline, and the outline's unit direction there (metal of a region on
    the left)."""

    point: Point
    along: Point


def tab_places(profile: Profile, cutter_radius: float) -> tuple[TabPlace, ...]:
    """The profile's tabs: `count` on every ring, evenly spread, off corners, on straights where
    there are any near; or those asked for by point.

    A larger cutter named in the profile counts, so that roughing and finishing leave the same
    tabs.

    Raises
    ------
    PlanError
        A point lies beyond 5 mm from the outline, or the tabs do not find room on a ring.
    """
    if profile.tabs is None:
        return ()
    named = (profile.cutting.cutter, profile.cutting.rough_with)
    radius = max(cutter_radius, *(c.radius for c in named if c is not None), 0.0)
    chains = profile.outline.rings if profile.outline else (profile.path,) if profile.path else ()
    if profile.tabs.at:
        return tuple(_nearest_place(profile, chains, point) for point in profile.tabs.at)
    places: list[TabPlace] = []
    for chain in chains:
        at = _spread(profile, chain, profile.tabs, radius)
        places += [TabPlace(chain.point_at(s), chain.tangent_at(s)) for s in at]
    return tuple(places)


def _nearest_place(profile: Profile, chains: Sequence[Chain], point: Point) -> TabPlace:
    chain, s, gap = min(((c, *nearest(c, point)) for c in chains), key=lambda found: found[2])
    if gap > FARTHEST:
        where = f"({point[0]:g}, {point[1]:g})"
        raise _fault(
            profile,
            f"the tab at {where} lies {gap:.3g} mm from the outline",
            f"within {FARTHEST:g} mm of it",
        )
    return TabPlace(chain.point_at(s), chain.tangent_at(s))


def _spread(profile: Profile, chain: Chain, tabs: Tabs, radius: float) -> list[float]:
    """Distances along the chain, ascending."""
    room, count = tabs.width + 2 * radius, tabs.count
    if count * room > chain.length:
        raise _fault(
            profile,
            f"{count} tabs of {tabs.width:g} mm with a cutter of {2 * radius:g} mm need "
            f"{count * room:.4g} mm, the outline has {chain.length:.4g}",
            "fewer or narrower tabs, or a smaller cutter",
        )
    straights, smooth = _free_spans(chain, tabs.width / 2, radius)
    pitch = chain.length / count
    # a closed chain comes round again after its length
    period = chain.length if chain.closed else None
    best: tuple[int, float, list[float]] | None = None
    for k in range(TRIES if period else 1):
        first = pitch * (k / TRIES if period else 0.5)
        wanted = [first + i * pitch for i in range(count)]
        found = [_snapped(s, straights, smooth, pitch, period) for s in wanted]
        at = [s for s, _ in found]
        bent = sum(not straight for _, straight in found)
        moved = max(abs(_off(a - s, period)) for a, s in zip(at, wanted, strict=True))
        # a tenth of a micrometre: rounding must not choose between equally good spreads
        better = best is None or (bent, moved) < (best[0], best[1] - 1e-4)
        if better and _apart(at, room, period):
            best = (bent, moved, at)
    if best is not None:
        return sorted(best[2])
    return [(0.5 + i) * pitch for i in range(count)]


def _fault(profile: Profile, message: str, hint: str) -> PlanError:
    place = profile.place
    return PlanError([Fault(place.at(f"{place.key}.tabs" if place.key else "tabs"), message, hint)])


def _free_spans(chain: Chain, half: float, radius: float) -> tuple[list[Span], list[Span]]:
    """Where a tab's middle may be: on straights, and anywhere off the corners.

    From a corner the tab, its cutter's disc and, in an inside corner, the disc's other wall keep
    away: half a tab and one cutter diameter.
    """
    clear = half + 2 * radius
    corners = _corners(chain)
    ends = [0.0, *corners, chain.length]
    if chain.closed and corners:
        ends = [corners[-1] - chain.length, *corners, corners[0] + chain.length]
    smooth = [(a + clear, b - clear) for a, b in pairwise(ends)]
    if chain.closed and not corners:
        smooth = [(0.0, chain.length)]
    straights, at = [], 0.0
    for segment in chain:
        if isinstance(segment, Line):
            straights.append((at + half + radius, at + segment.length - half - radius))
        at += segment.length
    smooth = _longer_than_nothing(smooth)
    straights = _longer_than_nothing(straights)
    straights = [both for s in straights for t in smooth if (both := _both(s, t, chain))]
    return straights, smooth


def _longer_than_nothing(spans: Iterable[Span]) -> list[Span]:
    return [(a, b) for a, b in spans if b >= a]


def _both(a: Span, b: Span, chain: Chain) -> Span | None:
    """What two spans share; the second may lie a length of the chain before."""
    for shift in (0.0, chain.length, -chain.length):
        low, high = max(a[0], b[0] + shift), min(a[1], b[1] + shift)
        if high >= low:
            return low, high
    return None


def _corners(chain: Chain) -> list[float]:
    """Distances along the chain of the joints that turn."""
    found, at = [], 0.0
    segments = chain.segments
    before = segments[-1] if chain.closed else None
    for segment in segments:
        if before is not None:
            (ax, ay), (bx, by) = before.tangent_at(before.length), segment.tangent_at(0.0)
            if abs(math.atan2(ax * by - ay * bx, ax * bx + ay * by)) > SMOOTH:
                found.append(at)
        at += segment.length
        before = segment
    return found


def _snapped(
    s: float, straights: list[Span], smooth: list[Span], pitch: float, period: float | None
) -> tuple[float, bool]:
    """The nearest place on a straight near by and True, else the nearest off the corners."""
    straight = _nearest_in(s, straights, period)
    if straight is not None and abs(_off(straight - s, period)) <= SHARE_TO_STRAIGHT * pitch:
        return straight, True
    anywhere = _nearest_in(s, smooth, period)
    return (s if anywhere is None else anywhere), False


def _nearest_in(s: float, spans: list[Span], period: float | None) -> float | None:
    shifts = (0.0, period, -period) if period else (0.0,)
    tries = [min(max(s, a + t), b + t) for a, b in spans for t in shifts]
    best = min(tries, key=lambda x: abs(x - s), default=None)
    return None if best is None else best % period if period else best


def _off(difference: float, period: float | None) -> float:
    """A difference of places, the short way round."""
    if period is None:
        return difference
    half = period / 2
    return (difference + half) % period - half


def _apart(at: list[float], room: float, period: float | None) -> bool:
    """Whether no two tabs are nearer than one tab with its cutter needs."""
    ordered = sorted(at)
    if period and len(ordered) > 1:
        ordered.append(ordered[0] + period)
    return all(b - a >= room - 1e-9 for a, b in pairwise(ordered))


def path_gap(ring: Chain, s: float, half: float, tab: TabPlace) -> Span:
    """From where to where a cutter's path stays up over a tab that it passes `s` mm along it.

    `half` is half the tab's width and the cutter's radius. On a bend the path is longer than its
    chord, and a gap measured along it would leave the tab narrower than asked: both ends stand
    `half` to the side of the tab's middle line, however far that is along the path. The middle
    line stands on the drawn outline: of many short lines, the path's own direction is not quite
    that of the outline where the tab is.
    """
    return (s - _beside(ring, s, half, -1.0, tab), s + _beside(ring, s, half, 1.0, tab))


def _beside(ring: Chain, s: float, half: float, sign: float, tab: TabPlace) -> float:
    """How far along the path lies `half` to one side of the middle line."""
    (x, y), (tx, ty), (ax, ay) = tab.point, tab.along, ring.tangent_at(s)
    if tx * ax + ty * ay < 0:
        tx, ty = -tx, -ty

    def off(way: float) -> float:
        px, py = ring.point_at(s + sign * way)
        return sign * ((px - x) * tx + (py - y) * ty)

    # from well short of it to a quarter turn round the tightest bend that gets there at all
    low, high = half / 2, half * math.pi / 2
    while high - low > 1e-7:
        middle = (low + high) / 2
        low, high = (low, middle) if off(middle) >= half else (middle, high)
    return high if off(low) < half - 1e-6 else low
