"""Milled threads: what sections cannot show, worked out from a program's helical moves.

A section holds no more than that a thread's grooves stay between its crests and roots. Here its
hand, pitch, pitch diameter, flanks, root and full turns are found from the moves and the profile of
the cutter, and held against the limits of ISO 965-1; so is the bore or boss it is cut in or on, and
what neck, shank and holder meet.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import common, less, union
from gcodekit.proof.chords import LEAST_TOUCH, Owners, Segments, segments_of
from gcodekit.proof.findings import TargetSlices
from gcodekit.proof.rapids import StandingMetal, distances
from gcodekit.proof.sections import ProgramCut, disc, section
from gcodekit.proof.thread_grooves import RADII, GrooveFound, gaps, groove_of
from gcodekit.proof.thread_winds import Wind, winds
from gcodekit.rs274.program_read import Move, ProblemList
from gcodekit.target.demand import ThreadDemand
from gcodekit.trade.cutter import Cutter
from gcodekit.units import format_coordinate, format_size

# A pitch may be off by this share: the last decimals of a fine one.
SAME_PITCH = 0.002
# What is missing of a groove along the axis, in pitches, before it counts as a turn's part.
LEAST_MISSING = 0.02
# What the text's last decimals and the chords may make of a diameter, mm.
ROUNDED = 0.002
# Below the tip there has to be this much air, mm.
CLEAR_BELOW = 0.05
# So far beyond twice a thread's major diameter, mm, its cutter, shank or holder may be.
ABOUT = 100.0
# How wide a ring beyond its limits shows whether there is metal round a bore, mm, and how much of
# it at least: a thread may be cut open at a side.
RING, HALF = 0.02, 0.5


@dataclass(frozen=True, slots=True)
class _Check:
    """One thread, all that cuts it, and where what is wrong with it goes."""

    thread: ThreadDemand
    found: Sequence[Wind]
    groove: GrooveFound
    problems: ProblemList
    tolerance: float

    def error(self, text: str, hint: str = "") -> None:
        self.problems.error(
            f"{text} in {self.thread.feature}", line=self.found[0].line, hint=hint,
            where=(*self.thread.place, self.thread.top),
        )  # fmt: skip

    def say(self, mm: float) -> str:
        return format_size(mm, self.problems.units)


class _Left:
    """The stock about a thread's axis as it is when its first move begins; planes are asked for
    upwards."""

    def __init__(self, thread: ThreadDemand, first: int, standing: StandingMetal) -> None:
        x, y = thread.place
        self.blank, self._metal = standing.blank, standing.metal
        near = []
        for s in standing.segments:
            reach = 2 * thread.limits.major + ABOUT + s.cutter.radius
            rows = (s.move < first) & (distances(s, x, y) <= reach)
            if rows.any() and not s.cutter.leaves_ridges:
                near.append(s.rows(rows))
        self._cut = ProgramCut(near)

    def within(self, area: BaseGeometry, z: float) -> BaseGeometry:
        """What of an area is stock at a height."""
        there = common(area, self._metal(z))
        if there.is_empty:
            return there
        return less(there, union(self._cut.by_owner(z).values()))


def check_threads(
    moves: Sequence[Move],
    cutters: Mapping[int, Cutter],
    owners: Owners,
    target: TargetSlices,
    standing: StandingMetal,
    *,
    tolerance: float,
    problems: ProblemList,
    complete: bool = True,
    first: bool = True,
) -> None:
    """Check every thread of a drawing against the moves that are for its feature, or, where nothing
    says which those are, against all about its axis.

    Parameters
    ----------
    complete : False where another program may cut it
    first : False where another may have cut the bore or boss: what is left is then not known
    """
    if not target.threads:
        return
    mills = {n: c for n, c in cutters.items() if c.leaves_ridges}
    milled = [i for i, m in enumerate(moves) if m.cutter in mills and m.kind != "rapid"]
    own: dict[str, list[int]] = {}
    for index in milled:
        own.setdefault(owners.of(moves[index].line), []).append(index)
    for thread in target.threads:
        indices = own.get(thread.feature, own.get("", []))
        found = winds([(moves[i], mills[moves[i].cutter]) for i in indices], thread)
        if not found and not complete:
            continue
        if not found:
            text = f"no thread is cut in {thread.feature}"
            problems.error(text, where=(*thread.place, thread.top))
            continue
        check = _Check(thread, found, groove_of(found, thread), problems, tolerance)
        _check_helix(check)
        _check_profile(check)
        _check_turns(check)
        if first:
            left = _Left(thread, indices[0], standing)
            _check_start(check, left, target)
            _check_bodies(check, [moves[i] for i in indices], left, target)


def _check_helix(check: _Check) -> None:
    """Hand, pitch, and all teeth in one groove."""
    thread, lead, say = check.thread, check.groove.lead, check.say
    pitch = thread.limits.pitch
    if lead is None:
        check.error("no full turn of the thread is cut at full depth")
        return
    if (lead < 0) != thread.left:
        hands = ("left", "right") if lead < 0 else ("right", "left")
        check.error(f"the thread is cut {hands[0]}-hand: the drawing has {hands[1]}-hand")
        return
    rows = check.groove.cutter.pitch
    for what, size in (("pitch", abs(lead)), ("spacing of the cutter's rows of teeth", rows)):
        if size is not None and abs(size - pitch) > SAME_PITCH * pitch:
            check.error(f"the {what} is {say(size)} instead of {say(pitch)}")
            return
    if check.groove.strays > check.tolerance:
        off = say(check.groove.strays)
        check.error(f"turns and passes do not follow one helix: flanks are off by {off}")


def _check_profile(check: _Check) -> None:
    """Root, pitch diameter and flanks against the limits."""
    limits, groove, say = check.thread.limits, check.groove, check.say
    inward = 1.0 if limits.internal else -1.0
    root = groove.root(internal=limits.internal)
    least, most = limits.root
    if not least - ROUNDED <= root <= most + ROUNDED:
        name = "major diameter" if limits.internal else "minor diameter"
        check.error(f"the {name} of the thread is {say(root)}: {say(least)} to {say(most)} allowed")
    ends = (limits.crest[0], limits.major) if limits.internal else (limits.root[1], limits.crest[1])
    radii = np.linspace(ends[0] / 2, ends[1] / 2, RADII)
    half = groove.half_widths(radii, limits.pitch)
    # where groove and thread were as wide, were the flank straight from here on
    slope = math.tan(groove.cutter.tip_angle / 2)
    effective = 2 * (radii + inward * (half - limits.pitch / 4) / slope)
    worn = 2 * inward * groove.strays / slope
    low, high = (float(f(effective)) for f in (np.min, np.max))
    low, high = min(low, low + worn), max(high, high + worn)
    least, most = limits.effective
    if low < least - ROUNDED or high > most + ROUNDED:
        size = low if low < least - ROUNDED else high
        check.error(
            f"the pitch diameter of the thread is {say(size)}: {say(least)} to {say(most)} allowed",
            hint=f"aim at {say(limits.aim)}",
        )


def _check_turns(check: _Check) -> None:
    """Every thread, the whole length, from half a pitch below the floor to half a pitch above the
    top."""
    thread, pitch = check.thread, check.thread.limits.pitch
    low, high = thread.floor - pitch / 2, thread.top + pitch / 2
    missing = [
        gap
        for gap in gaps(check.found, check.groove.full, low, high)
        if gap[1] - gap[0] > LEAST_MISSING * pitch
    ]
    if missing:
        turns = math.fsum(b - a for a, b in missing) / pitch
        z = format_coordinate(missing[0][0], check.problems.units)
        check.error(f"{turns:.1f} turns of the thread are not cut at full depth, from Z{z} up")


def _check_start(check: _Check, left: _Left, target: TargetSlices) -> None:
    """The bore or boss as it is when the thread is begun, and the room below the cutter."""
    thread, (x, y) = check.thread, check.thread.place
    limits, near = thread.limits, check.tolerance
    least, most = limits.crest
    ring = less(disc(x, y, most / 2 + near + RING), disc(x, y, most / 2 + near))
    core = disc(x, y, least / 2 - near)
    below = core
    if not limits.internal:
        core = less(core, disc(x, y, limits.root[0] / 2))
        wide = check.groove.full + check.groove.cutter.radius
        below = less(disc(x, y, wide), disc(x, y, most / 2 + near))
    tip = min(float(w.z.min()) for w in check.found) - CLEAR_BELOW
    if not left.within(below, tip).buffer(-LEAST_TOUCH).is_empty:
        hint = "cut the bore or shoulder deeper"
        check.error("the cutter touches the bottom under the thread", hint)
    # a face that a turned set-up has at the top lies a rounding above or below it
    last = thread.top - 2 * LEAST_TOUCH
    levels = {thread.floor, (thread.floor + thread.top) / 2, last}
    levels |= {z for z in (*target.levels, *left.blank.levels) if thread.floor < z < last}
    for z in sorted(z + LEAST_TOUCH for z in levels):
        inner = left.within(core, z).buffer(-LEAST_TOUCH)
        outer = left.within(ring, z)
        if limits.internal:
            wrong = not inner.is_empty or outer.area < HALF * ring.area
        else:
            wrong = inner.area < core.buffer(-2 * LEAST_TOUCH).area
            wrong = wrong or not outer.buffer(-LEAST_TOUCH).is_empty
        if wrong:
            what = "bore" if limits.internal else "boss"
            size = f"{check.say(least)} to {check.say(most)}"
            at = format_coordinate(z, check.problems.units)
            check.error(f"the {what} is not {size} at Z{at}")
            return


def _check_bodies(check: _Check, moves: Sequence[Move], left: _Left, target: TargetSlices) -> None:
    """Neck, shank and holder of the thread mill in standing stock."""
    cutter = check.groove.cutter
    found = segments_of(moves, {cutter.number: cutter}, (), top=left.blank.top)
    # those about its own axis: others' are looked at with them
    x, y = check.thread.place
    near = 2 * check.thread.limits.major + 2 * cutter.diameter
    own = [s.rows(rows) for s in found if (rows := distances(s, x, y) <= near).any()]
    for part, begins in _parts(cutter) if own else ():
        body = _body(own[0], begins)
        lowest, top = float(body.low.min()), left.blank.top
        # upwards a body sweeps more, and between levels there is as much stock or less
        levels = {lowest, *target.levels, *left.blank.levels, top}
        planes = {z + off for z in levels for off in (-LEAST_TOUCH, LEAST_TOUCH)}
        for z in sorted(z for z in planes if lowest < z < top):
            met = left.within(union(section(body, z)), z).buffer(-LEAST_TOUCH)
            if not met.is_empty:
                at = met.representative_point()
                text = f"{part} of cutter {cutter.number} in the stock"
                hint = "use a cutter with a longer or slimmer neck"
                check.problems.error(text, line=moves[0].line, where=(at.x, at.y, z), hint=hint)
                return


def _parts(cutter: Cutter) -> list[tuple[str, float]]:
    """What is above the teeth, and where each begins over the tip."""
    parts = [("shank", max(cutter.flute_length, cutter.reach or 0.0))]
    if cutter.reach is not None and cutter.reach > cutter.flute_length:
        parts.append(("neck", cutter.flute_length))
    if cutter.holder is not None:
        parts.append(("holder", cutter.stickout))
    return parts


def _body(ways: Segments, begins: float) -> Segments:
    """A part above the teeth as a flat cutter that goes the same way so much higher."""
    wide = 2 * ways.cutter.body_radius_at(begins)
    flat = replace(ways.cutter, kind="end mill", diameter=wide)
    up = np.array((0.0, 0.0, begins))
    return Segments(flat, ways.owner, ways.start + up, ways.end + up, ways.move)
