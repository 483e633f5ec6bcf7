"""Whether a pocket that needs a small cutter is better roughed with a larger one."""

from __future__ import annotations

from gcodekit.geometry.offset import grow
from gcodekit.job.model import Pocket
from gcodekit.operations.draft import FLOOR_WIDTH, Work, wall_allowance
from gcodekit.trade.cutter import Cutter

# Another cutter must save this much cutting time, s: what a change by hand with touching off
# takes, and the corners that the small one then clears apart. Common practice, no source.
WORTH_A_CHANGE = 240.0


def rougher(work: Work, pocket: Pocket, finish: Cutter, mills: list[Cutter]) -> Cutter:
    """The mill that clears the pocket soonest when `finish` clears what it leaves; `finish`
    itself where no other is worth a change."""
    best, most = finish, WORTH_A_CHANGE
    for cutter in mills:
        if cutter.diameter <= finish.diameter:
            continue
        saved = seconds_saved(work, pocket, finish, cutter)
        if saved > most:
            best, most = cutter, saved
    return best


def seconds_saved(work: Work, pocket: Pocket, finish: Cutter, rough: Cutter) -> float:
    """Cutting time that a larger cutter saves before `finish`, s."""
    wall = wall_allowance(pocket, rough)
    opened = grow(grow(pocket.area, -(rough.radius + wall)), rough.radius).area
    if opened <= 0:
        return 0.0
    rest = pocket.area.area - opened
    seconds = _seconds(work, pocket, rough, opened) + _seconds(work, pocket, finish, rest)
    seconds += 0.0 if pocket.depth.through else _floor_seconds(work, pocket, finish)
    return _seconds(work, pocket, finish, pocket.area.area) - seconds


def _floor_seconds(work: Work, pocket: Pocket, finish: Cutter) -> float:
    """How long the finishing cutter takes over the floor that another one has left."""
    rates = work.milling(finish, pocket.cutting)
    return 60 * pocket.area.area / (FLOOR_WIDTH * finish.diameter * rates.feed)


def _seconds(work: Work, pocket: Pocket, cutter: Cutter, area: float) -> float:
    """How long a cutter takes to rough an area of the pocket."""
    depth = work.setup.left.high[2] - pocket.depth.cut_to
    follow = work.following(cutter, pocket.cutting, depth)
    passes = max(1.0, depth / follow.rates.stepdown)
    return 60 * passes * area / (follow.rates.stepover * follow.usual_feed)
