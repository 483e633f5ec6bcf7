"""Ways into the stock for any end mill: a ramp along the path, or a helix; with Z by hand, straight
down."""

from __future__ import annotations

import math

from gcodekit.geometry.chain import Arc, Chain, Point
from gcodekit.toolpath.path import Path

# A helix wider than this share of the cutter's radius leaves a pillar in its middle (at 1.0), so
# it stays well inside; narrower than the second share, an end mill without cutting edges in its
# middle would stand on its own dead centre. Common practice, no source.
HELIX_WIDEST = 0.7
HELIX_NARROWEST = 0.3

# A ramp shorter than this, mm, is none.
SHORTEST_RAMP = 1e-6


def helix(
    path: Path,
    centre: Point,
    radius: float,
    floor: float,
    *,
    ccw: bool,
    feed: float | None = None,
) -> None:
    """Go down round `centre` in even turns to `floor`, straight down at the start with Z by hand,
    then one level turn; starts at +X of it. `feed`: another than the path's, mm/min."""
    start = (centre[0] + radius, centre[1])
    turn = Chain((Arc(start, start, centre, ccw),))
    if path.travel.by_hand:
        path.plunge(floor)
        path.follow(turn, feed=feed)
        return
    top = path.z
    turns = max(1, math.ceil((top - floor) / (turn.length * path.ramp_slope) - 1e-9))
    for i in range(turns - 1):
        path.follow(turn, end_z=top - (top - floor) * (i + 1) / turns, feed=feed)
    path.follow(turn, end_z=floor, feed=feed)
    path.follow(turn, feed=feed)


def ramp_round(path: Path, ring: Chain, floor: float) -> Chain:
    """Ramp down along a closed ring from its start, or straight down there with Z by hand; returns
    the ring turned to start where the ramp ended, still to be cut level."""
    if path.travel.by_hand:
        path.plunge(floor)
        return ring
    turn_drop = ring.length * path.ramp_slope
    while path.z - floor > turn_drop + 1e-9:
        path.follow(ring, end_z=path.z - turn_drop)
    run = min(ring.length, (path.z - floor) / path.ramp_slope)
    if run > SHORTEST_RAMP:
        path.follow(ring.between(0, run), end_z=floor)
    return ring.from_start_at(run)


def ramp_along(path: Path, chain: Chain, floor: float) -> None:
    """Ramp down to and fro along the beginning of an open chain, ending at its start at `floor`.

    The slope it leaves is cut by the level pass that follows along the whole chain.
    """
    drop = path.z - floor
    if drop <= 0:
        return
    if path.travel.by_hand:
        path.plunge(floor)
        return
    run = min(chain.length, drop / path.ramp_slope / 2)
    if run < SHORTEST_RAMP:
        path.sink(floor)
        return
    there = chain.between(0, run)
    legs = 2 * max(1, math.ceil(drop / (run * path.ramp_slope) / 2 - 1e-9))
    top = path.z
    for i in range(legs):
        leg = there if i % 2 == 0 else there.reversed()
        path.follow(leg, end_z=floor if i == legs - 1 else top - drop * (i + 1) / legs)
