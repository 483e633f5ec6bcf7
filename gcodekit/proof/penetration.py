"""How far a fault seen in a plane reaches in space.

A floor cut 0.1 mm too deep is, in the plane below it, out of place by half the floor's width; what
the user has to know is the 0.1 mm. So both are asked: at a distance t from the level, how far is it
out of place in the plane there? The size is the t at which both are the same.
"""

from __future__ import annotations

from collections.abc import Callable

from gcodekit.proof.reach import Reach

# How near the answer is to the truth, mm (or this share of it).
NEAR = 0.0005
NEAR_SHARE = 0.005


def penetration(found: Reach, at: float, reach_at: Callable[[float], Reach]) -> tuple[Reach, float]:
    """The greatest t, mm, with a reach of at least t at that distance from the level, and the
    distance of the plane where it is seen.

    `found` is the reach at the distance `at`; `reach_at` gives it farther off, where it is no
    greater.
    """
    if found.distance <= at:
        return found, at
    seen, lo, hi = found, at, found.distance
    while hi - lo > max(NEAR, NEAR_SHARE * lo):
        # the answer is often a small part of the reach: go out from the level, doubling
        middle = min(2 * lo, (lo + hi) / 2)
        there = reach_at(middle)
        if there.distance >= middle:
            seen, lo = there, middle
        else:
            hi = middle
    return Reach(hi, seen.at), lo


def nearer_upright(
    found: Reach, depth: float, is_out: Callable[[float], bool], *, least: float
) -> Reach:
    """The same, less where what may go widens upwards, as over a drill's point: how far up, mm,
    something seen at `depth` must go to be where it may. What that makes no more than `least` stays
    as it was found: a fault is never reasoned away."""
    if not is_out(depth):
        return found
    lo, hi = 0.0, depth
    while hi - lo > max(NEAR, NEAR_SHARE * hi):
        middle = (lo + hi) / 2
        lo, hi = (lo, middle) if is_out(middle) else (middle, hi)
    # the level itself is no nearer way than what was found
    return Reach(hi, found.at) if least < hi < min(depth, found.distance) else found
