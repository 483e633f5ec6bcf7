"""A program against the limits of its cutters."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

import numpy as np
import shapely

from gcodekit.geometry.overlay import common, less
from gcodekit.job.document.wording import one
from gcodekit.job.workshop.machine import Machine
from gcodekit.proof.chords import (
    LEAST_TOUCH,
    ONE_HEIGHT,
    Array,
    Segments,
    each_cutter,
    lowest_reached,
)
from gcodekit.proof.fault_groups import FaultGroups
from gcodekit.proof.findings import Blank
from gcodekit.proof.rapids import StandingMetal
from gcodekit.proof.sections import disc
from gcodekit.proof.settings import TAPPING
from gcodekit.proof.swept_sections import SweptSections
from gcodekit.proof.walls import first_through
from gcodekit.rs274.program_read import Move, ProblemList
from gcodekit.trade.cutter import SIDE_MILLS, Cutter
from gcodekit.units import format_coordinate, format_size

# Where nothing says what the metal lies on, a cut may break through by this much, mm (common
# practice, no source).
BREAKTHROUGH = 1.0
# Below the flutes there may stand this much, mm, before it is called rubbing.
RUB = 0.005
# A ring so wide, mm, round a hole's mouth, and the share of it that is metal where chips cannot
# leave to the side.
MOUTH_RING = 0.5
SURROUNDED = 0.9
# A boring head's point stands out of its bar by this much, mm, and opens a hole by no more at a
# time (common practice, no source).
DEEPEST_BORING = 1.5
# Planes looked at for metal above the flutes: a helix has a pass at every height.
MOST_PLANES = 24


def check_cutters(
    moves: Sequence[Move],
    cutters: Mapping[int, Cutter],
    standing: StandingMetal,
    *,
    machine: Machine | None,
    tolerance: float,
    problems: ProblemList,
    settings: Mapping[int, float] = MappingProxyType({}),
) -> bool:
    """Spindle turning, not too deep, and able to go straight down where it does; whether every
    cutter that cuts is known. `settings`: the diameter a boring head is set to, by the move's
    index."""
    once = FaultGroups(problems.units)
    blank = standing.blank
    all_known = True
    for index, move in enumerate(moves):
        if move.known != "XYZ" or lowest_reached(move) >= blank.top - LEAST_TOUCH:
            continue
        cutter = cutters.get(move.cutter)
        if cutter is None:
            all_known = False
            text = f"cutter {move.cutter} is not in the rack: its cuts cannot be checked"
            if not move.cutter:
                text = "cuts with no cutter loaded: they cannot be checked"
            hint = "add it to the rack" if move.cutter else "put T and M6 before the first cut"
            once.note(text, move.line, move.end, hint=hint)
            continue
        _check_depth(move, cutter, blank, tolerance, once)
        if move.kind == "rapid":
            _check_torn(move, cutter, blank, once)
        else:
            _check_turning(move, cutter, machine, once)
            as_set = replace(cutter, diameter=settings.get(index, cutter.diameter))
            _check_plunge(index, move, as_set, standing, once)
            _check_buried(index, move, cutter, standing, once)
    once.report(problems)
    return all_known


def _check_depth(
    move: Move, cutter: Cutter, blank: Blank, tolerance: float, once: FaultGroups
) -> None:
    """Depth counts where the full diameter is; a point or lead may go further. Where nothing says
    how deep it may go, what is below the metal is asked about."""
    shoulder = cutter.point_length if cutter.kind not in SIDE_MILLS else 0.0
    free = math.isinf(blank.lowest)
    lowest_allowed = blank.bottom if free else blank.lowest
    deep = lowest_allowed - lowest_reached(move) - shoulder
    if deep <= (BREAKTHROUGH if free else tolerance) or (free and blank.bottom >= blank.top):
        return
    below, z = format_size(deep, once.units), format_coordinate(lowest_allowed, once.units)
    text = f"cutter {cutter.number} goes {below} below the lowest Z allowed, Z{z}"
    hint = "cut less deep, or allow more breakthrough"
    if free:
        text = f"cutter {cutter.number} goes {below} below the bottom of the stock, Z{z}"
        hint = "check that the stock lies on something that may be cut"
    once.note(
        text, move.line, move.end, kind=f"depth {cutter.number}", size=deep, said=below,
        severity="warning" if free else "error", hint=hint,
    )  # fmt: skip


def _check_turning(move: Move, cutter: Cutter, machine: Machine | None, once: FaultGroups) -> None:
    back = move.spindle < 0
    if move.spindle == 0:
        once.note(
            "cuts with the spindle stopped", move.line, move.end, hint="put M3 before the cut"
        )
    elif move.speed <= 0.0:
        once.note(
            "cuts with no spindle speed set",
            move.line,
            move.end,
            hint="put an S word before the cut",
        )
    elif back and cutter.kind != "tap" and move.cycle != TAPPING:
        text = "cuts with the spindle turning backwards (M4)"
        once.note(text, move.line, move.end, hint="put M3 before the cut")
    elif back and machine is not None and not machine.spindle.reverse:
        once.note("spindle to turn backwards (M4): this machine's cannot", move.line)
    elif cutter.kind == "tap" and move.start[2] != move.end[2]:
        _check_thread(move, cutter, once)


def _check_thread(move: Move, cutter: Cutter, once: FaultGroups) -> None:
    """A right-hand tap goes in turning clockwise and comes out turning back."""
    into = move.end[2] < move.start[2]
    if into == (move.spindle < 0):
        way = "goes in with the spindle turning backwards"
        if not into:
            way = "comes out with the spindle turning forwards"
        once.note(f"tap (cutter {cutter.number}) {way}", move.line, move.end, hint="use G84")


def _check_torn(move: Move, cutter: Cutter, blank: Blank, once: FaultGroups) -> None:
    """A tap that is still in its thread follows its pitch, and a rapid does not."""
    x, y, z = move.start
    if cutter.kind != "tap" or move.known_before != "XYZ" or z >= blank.top - LEAST_TOUCH:
        return
    if blank.at(max(z, blank.bottom) + LEAST_TOUCH).intersects(shapely.Point(x, y)):
        text = f"rapid tears tap (cutter {cutter.number}) out of its thread"
        once.note(text, move.line, move.start, hint="use G84")


def _check_plunge(
    index: int, move: Move, cutter: Cutter, standing: StandingMetal, once: FaultGroups
) -> None:
    """Note a plunge into stock that this cutter cannot bore."""
    start = move.start if move.known_before == "XYZ" else (*move.end[:2], standing.blank.top)
    if move.curve is not None or start[:2] != move.end[:2] or move.end[2] >= start[2]:
        return
    if cutter.kind in SIDE_MILLS and not cutter.centre_cutting:
        radius, reason = cutter.radius, "has no teeth at its centre"
        hint = "ramp in, or use a centre-cutting cutter"
    elif cutter.kind == "slitting saw":
        radius, reason = cutter.radius, "cuts only at its rim"
        hint = "enter from outside the stock"
    elif cutter.kind == "boring head":
        radius, reason = max(cutter.shank / 2, cutter.radius - DEEPEST_BORING), "needs a wider hole"
        hint = "drill or mill the hole wider first"
    elif cutter.kind in ("reamer", "tap", "thread mill"):
        # it follows a hole, and the hole leaves it something to cut
        radius, reason = cutter.radius / 2, "needs a hole first"
        hint = "drill the hole first"
    else:
        return
    x, y, _ = move.end
    for z in _plunged_through(move.end[2], start[2], standing):
        left = standing.within(disc(x, y, radius), z, index)
        if not left.is_empty and not left.buffer(-LEAST_TOUCH).is_empty:
            text = f"cutter {cutter.number} plunges into stock: {one(cutter.kind)} that {reason}"
            once.note(text, move.line, (x, y, z), hint=hint)
            return


def _check_buried(
    index: int, move: Move, cutter: Cutter, standing: StandingMetal, once: FaultGroups
) -> None:
    """Straight down so deep that the flutes have no way out of the metal for the chips."""
    x, y, z = move.end
    mouth = z + cutter.flute_length + LEAST_TOUCH
    upright = move.curve is None and move.start[:2] == (x, y) and z < move.start[2]
    if not upright or mouth >= standing.blank.top:
        return
    bottom = max(z, standing.blank.bottom) + cutter.point_length + LEAST_TOUCH
    round_it = less(disc(x, y, cutter.radius + MOUTH_RING), disc(x, y, cutter.radius))
    walled = standing.within(round_it, mouth, index).area > SURROUNDED * round_it.area
    if walled and not standing.within(disc(x, y, cutter.radius / 2), bottom, index).is_empty:
        deep = standing.blank.top - z
        size, flutes = (format_size(v, once.units) for v in (deep, cutter.flute_length))
        text = f"flutes too short: cutter {cutter.number} has {flutes} of flute and goes"
        once.note(
            f"{text} {size} deep", move.line, move.end, kind=text, size=deep, said=size,
            hint=f"use a cutter with at least {size} of flute",
        )  # fmt: skip


def _plunged_through(low: float, high: float, standing: StandingMetal) -> list[float]:
    """Heights at which an upright way down meets all the metal it can: standing metal only shrinks
    with height, but where the blank changes and over a kerf."""
    blank = standing.blank
    levels = (low, blank.bottom, *standing.levels)
    return sorted(level + LEAST_TOUCH for level in levels if low <= level < min(high, blank.top))


def check_flutes(standing: StandingMetal, moves: Sequence[Move], problems: ProblemList) -> None:
    """Check that no cutter passes stock above its flutes: in each plane, what it sweeps must have
    been cut by fluted parts. One problem a cutter."""
    for cutter, group in each_cutter(standing.segments):
        if cutter.undercuts:  # see `blades.py` and `threads.py`
            continue
        tips = np.concatenate([s.low for s in group])
        lowest_plane = float(tips.min()) + cutter.flute_length + LEAST_TOUCH
        passed = SweptSections(standing.segments, _planes_under(tips, lowest_plane, standing.blank))
        for plane in reversed(range(len(passed.planes))):
            if _rubs_at(plane, passed, cutter, standing, moves, problems):
                break


def _planes_under(tips: Array, lowest_plane: float, blank: Blank) -> list[float]:
    """The heights where stock may have been skipped: just under each pass and level of it."""
    levels = np.concatenate((tips, [blank.top], np.array(blank.levels)))
    heights = np.unique(np.round(levels - LEAST_TOUCH, 3))
    heights = heights[(heights > lowest_plane) & (heights < blank.top)]
    if len(heights) > MOST_PLANES:
        heights = heights[np.linspace(0, len(heights) - 1, MOST_PLANES).astype(int)]
    return [float(h) for h in heights]


def _rubs_at(
    plane: int,
    passed: SweptSections,
    cutter: Cutter,
    standing: StandingMetal,
    moves: Sequence[Move],
    problems: ProblemList,
) -> bool:
    """One cutter in one plane: rubbing is where only the part above the flutes has passed."""
    above = passed.above_flutes(plane, cutter)
    bare = less(above, passed.fluted(plane)) if not above.is_empty else above
    # most of it are hairs between sweeps side by side
    if bare.buffer(-RUB).is_empty:
        return False
    z = passed.planes[plane]
    rubbed = common(bare, standing.metal(z))
    if rubbed.buffer(-RUB).is_empty:
        return False
    flutes = format_size(cutter.flute_length, problems.units)
    text = f"flutes too short: cutter {cutter.number} has {flutes} of flute and rubs above them"
    point = rubbed.representative_point()
    where = (point.x, point.y, z)
    move = moves[first_through(where, _bare(cutter, standing, z))]
    hint = "use a cutter with longer flutes, or clear the stock above first"
    problems.error(text, line=move.line, where=where, hint=hint)
    return True


def _bare(cutter: Cutter, standing: StandingMetal, z: float) -> Iterator[Segments]:
    """The moves of a cutter with its flutes below a plane."""
    for s in standing.segments:
        bare = s.low < z - s.cutter.flute_length - ONE_HEIGHT
        if s.cutter.number == cutter.number and bare.any():
            yield s.rows(bare)
