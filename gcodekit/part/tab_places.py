"""The places of a profile's tabs, for planner and target alike."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from gcodekit.errors import Fault, PlanError
from gcodekit.geometry.chain import Chain, Line, Point
from gcodekit.geometry.flattening import nearest
from gcodekit.job.features.tabs import FARTHEST_TAB, Tabs
from gcodekit.job.kinds.profile import Profile
from gcodekit.part.tab_obstacles import OFF, Span, by_clamps, by_holes
from gcodekit.units import Units, format_length, format_point

# A joint that turns less than this, radians, is no corner.
SMOOTH_JOINT = math.radians(2.0)
# A tab goes to a straight up to this share of the spacing away; farther, tabs would bunch.
SHARE_TO_STRAIGHT = 1 / 3
# Places as far away as each other are so to this, mm: rounding must not choose where tabs go, for
# the proof works their places out by itself.
SAME_DISTANCE = 1e-9
# What holes and clamps leave free of a chain must be longer than this, mm: between two that meet at
# a joint there is nothing. Common practice, no source.
LEAST_FREE = 1e-3
# Starting places tried for an even spread.
TRIES = 48

# In a corner sharper than this cosine of half its turn the tab's metal is found no farther out.
SHARPEST_CORNER = 0.25


@dataclass(frozen=True, slots=True)
class TabPlace:
    """A tab's middle on the outline, and the outline's unit direction there (metal of a region on
    the left). `stretch`: how much longer than straight the way across the kerf is in a corner."""

    point: Point
    along: Point
    stretch: float = 1.0


def tab_places(
    profile: Profile, cutter_radius: float, *, units: Units = "mm"
) -> tuple[TabPlace, ...]:
    """The profile's tabs: `count` on every ring, evenly spread, off corners, holes and clamps, on
    straights where there are any near; or those asked for by point.

    A larger cutter named in the profile counts, so that roughing and finishing leave the same
    tabs. `units`: in what a refusal gives its lengths.

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
        return _asked_places(profile, profile.tabs, chains, radius, units)
    places: list[TabPlace] = []
    for chain in chains:
        at = _spread(profile, chain, profile.tabs, radius, units)
        places += [TabPlace(chain.point_at(s), chain.tangent_at(s)) for s in at]
    return tuple(places)


def _asked_places(
    profile: Profile, tabs: Tabs, chains: Sequence[Chain], radius: float, units: Units
) -> tuple[TabPlace, ...]:
    """A tab at the place of the outline nearest to each point, in a corner too."""
    room, places, say = tabs.width + 2 * radius, [], _say(units)
    taken: dict[int, list[float]] = {}
    for point in tabs.at:
        found = [(*nearest(chain, point), i) for i, chain in enumerate(chains)]
        s, gap, i = min(found, key=lambda f: f[1])
        if gap > FARTHEST_TAB:
            raise _fault(
                profile,
                f"the tab at {format_point(*point, units)} is {say(gap)} from the outline",
                f"place it within {say(FARTHEST_TAB)}",
            )
        period = chains[i].length if chains[i].closed else None
        close = [t for t in taken.get(i, []) if abs(_off(s - t, period)) < room - 1e-9]
        if close:
            off = say(abs(_off(s - close[0], period)))
            raise _fault(
                profile,
                f"the tab at {format_point(*point, units)} is {off} from another along the outline",
                f"space them at least {say(room)} apart: {say(tabs.width)} of tab and a "
                f"{say(2 * radius)} "
                "cutter",
            )
        taken.setdefault(i, []).append(s)
        places.append(_place(chains[i], s, tabs.width / 2))
    return tuple(places)


def _place(chain: Chain, s: float, half: float) -> TabPlace:
    """A tab across the chord of its own width: near a corner it stands askew, in it on the line
    that halves the corner."""
    low, high = s - half, s + half
    if not chain.closed:
        low, high = max(low, 0.0), min(high, chain.length)
    (ax, ay), (bx, by) = chain.point_at(low), chain.point_at(high)
    chord = math.hypot(bx - ax, by - ay)
    if chord < half / 4:
        return TabPlace(chain.point_at(s), chain.tangent_at(s))
    ux, uy = (bx - ax) / chord, (by - ay) / chord
    ends = (chain.tangent_at(low), chain.tangent_at(high))
    straight = min(abs(tx * ux + ty * uy) for tx, ty in ends)
    return TabPlace(chain.point_at(s), (ux, uy), 1 / max(straight, SHARPEST_CORNER))


def _say(units: Units) -> Callable[[float], str]:
    """Lengths in words, to a thousandth of a millimetre."""
    return lambda mm: format_length(round(mm, 3), units)


def _spread(profile: Profile, chain: Chain, tabs: Tabs, radius: float, units: Units) -> list[float]:
    """Distances along the chain, ascending."""
    room, count, say = tabs.width + 2 * radius, tabs.count, _say(units)
    if count * room > chain.length:
        raise _fault(
            profile,
            f"{count} tabs of {say(tabs.width)} with a {say(2 * radius)} cutter need "
            f"{say(count * room)}, but the outline is {say(chain.length)} long",
            "use fewer or narrower tabs, or a smaller cutter",
        )
    free = _free_spans(chain, tabs.width / 2, radius)
    holes, clamps = by_holes(chain, tabs, radius), by_clamps(chain, tabs, radius)
    # where there is no room off the clamps tabs stand as if there were none, then so with the holes
    for blocked in ([*holes, *clamps], holes, []):
        straights, smooth = (_less(s, blocked, chain) for s in free) if blocked else free
        best = _best(chain, straights, smooth, count=count, room=room)
        if best is not None:
            return best
    return [(0.5 + i) * (chain.length / count) for i in range(count)]


def _best(
    chain: Chain, straights: list[Span], smooth: list[Span], *, count: int, room: float
) -> list[float] | None:
    """The most even spread within the spans, ascending; None where tabs would stand closer than
    `room`."""
    if not smooth:
        return None
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
    return None if best is None else sorted(best[2])


def _less(spans: list[Span], blocked: list[Span], chain: Chain) -> list[Span]:
    """The parts of spans that nothing blocks; on a closed chain also a length before or after."""
    shifts = (0.0, chain.length, -chain.length) if chain.closed else (0.0,)
    for low, high in ((a + t, b + t) for a, b in blocked for t in shifts):
        parts = [((a, min(b, low)), (max(a, high), b)) for a, b in spans if a < high and b > low]
        spans = [s for s in spans if not (s[0] < high and s[1] > low)]
        spans += [part for both in parts for part in both if part[1] - part[0] > LEAST_FREE]
    return sorted(spans)


def _fault(profile: Profile, message: str, hint: str) -> PlanError:
    place = profile.place
    return PlanError([Fault(place.at(f"{place.key}.tabs" if place.key else "tabs"), message, hint)])


def _free_spans(chain: Chain, half: float, radius: float) -> tuple[list[Span], list[Span]]:
    """The spans where a tab's middle may be: on straights, and anywhere off the corners.

    From a corner the tab, its cutter's disc and, in an inside corner, the disc's other wall keep
    away: half a tab and one cutter diameter.
    """
    clear = half + 2 * radius + OFF
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
    return [(a, b) for a, b in spans if b >= a - SAME_DISTANCE]


def _both(a: Span, b: Span, chain: Chain) -> Span | None:
    """The overlap of two spans; the second may lie a length of the chain before."""
    for shift in (0.0, chain.length, -chain.length):
        low, high = max(a[0], b[0] + shift), min(a[1], b[1] + shift)
        if high >= low - SAME_DISTANCE:
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
            if abs(math.atan2(ax * by - ay * bx, ax * bx + ay * by)) > SMOOTH_JOINT:
                found.append(at)
        at += segment.length
        before = segment
    return found


def _snapped(
    s: float, straights: list[Span], smooth: list[Span], pitch: float, period: float | None
) -> tuple[float, bool]:
    """The nearest place on a straight near by and True, else the nearest off the corners."""
    straight, near = _nearest_in(s, straights, period), SHARE_TO_STRAIGHT * pitch + SAME_DISTANCE
    if straight is not None and abs(_off(straight - s, period)) <= near:
        return straight, True
    anywhere = _nearest_in(s, smooth, period)
    return (s if anywhere is None else anywhere), False


def _nearest_in(s: float, spans: list[Span], period: float | None) -> float | None:
    shifts = (0.0, period, -period) if period else (0.0,)
    tries = [min(max(s, a + t), b + t) for a, b in spans for t in shifts]
    if not tries:
        return None
    away = min(abs(x - s) for x in tries)
    best = next(x for x in tries if abs(x - s) <= away + SAME_DISTANCE)
    return best % period if period else best


def _off(difference: float, period: float | None) -> float:
    """A difference of places, the short way round."""
    if period is None:
        return difference
    half = period / 2
    return (difference + half) % period - half


def _apart(at: list[float], room: float, period: float | None) -> bool:
    """Tell whether no two tabs are nearer than one tab with its cutter needs."""
    ordered = sorted(at)
    if period and len(ordered) > 1:
        ordered.append(ordered[0] + period)
    return all(b - a >= room - SAME_DISTANCE for a, b in pairwise(ordered))
