"""How an operation of the plan is cut by hand: its passes, what it leaves, what is said of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from gcodekit.job.feature import Feature
from gcodekit.job.kinds.scale import ScaleMarks
from gcodekit.job.model import Job
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.kind_cutting import cutting_of
from gcodekit.operations.planned_operation import wall_allowance, work_of
from gcodekit.part.planned_target import PlannedTarget
from gcodekit.planning.plan import Plan
from gcodekit.planning.program import Operation
from gcodekit.toolpath.moves import ArcFeed, Feed, HoleCycle, Move, Rapid
from gcodekit.toolpath.path import depth_steps
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.hole_cutting import BORING_LEFT, reaming_allowance
from gcodekit.units import MM_PER_INCH, Units, format_length

# What steps leave to be filed off, mm: a few strokes of a file. Common practice, no source.
FILED = {"mm": 0.1, "inch": 0.004 * MM_PER_INCH}
# A step may be rounded by a division in X and another in Y, and two of them meet.
ROUNDED = 1.5
# Of that, the least that is planned between steps; coarser divisions leave more.
LEAST_CUSP = 0.4
# The same between roughing steps, mm, that a finishing pass takes.
ROUGH_CUSP = 0.3
# Of what a reamer or boring head is left to take, the share that steps may leave on top.
CUSP_SHARE = 0.5
# The widest row, in diameters of its cutter: rows have to overlap. Common practice, no source.
WIDEST_ROW = 0.75
# The narrowest row, likewise: narrower ones take for ever.
LEAST_ROW = 0.1
# A cut as wide as this share of its cutter counts as a slot.
FULL_WIDTH = 0.75
# Depths nearer than this are one, mm.
ONE_DEPTH = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class HandPasses:
    """The passes of a milled operation. mm: `width` of a row, `wall_width` of a cut along a wall,
    `leave` on the walls, `cusp` between steps, of it `file_to` to be filed off (0: none). `feed` in
    mm/min."""

    depths: tuple[float, ...]
    width: float
    wall_width: float
    leave: float
    cusp: float
    file_to: float
    feed: float
    notes: tuple[str, ...] = ()


def passes_of(
    job: Job,
    plan: Plan,
    planned: Operation,
    feature: Feature,
    division: float,
    *,
    cusp: float | None = None,
) -> HandPasses:
    """The passes that the plan chose, and how they are cut by hand; `division`: of the scales, mm;
    `cusp`: what may stay between steps along a finished wall, None: what is filed off."""
    chosen, cutter = plan.chosen[feature.name], planned.cutter
    own = [o for o in plan.program.operations if o.feature == feature.name]
    later = own[own.index(planned) + 1 :]
    roughing = any(o.label == "finish" for o in later)
    sized = _left_for_size(feature, chosen)
    leave = sized
    if roughing or not feature.cutting.finish:
        leave += wall_allowance(feature, chosen.rough)
    cusp, filed = _steps_of(job.units, division) if cusp is None else (cusp, 0.0)
    if roughing or sized:
        cusp, filed = (ROUGH_CUSP if roughing else min(cusp, CUSP_SHARE * sized)), 0.0
    load, wide = planned.load, cutter.diameter
    if load is not None and cutting_of(feature).to_wall and load.width < FULL_WIDTH * wide:
        wide = load.width
    width = min(WIDEST_ROW * cutter.diameter, wide)
    return HandPasses(
        depths=_depths(job, plan, planned, feature),
        width=max(width, LEAST_ROW * cutter.diameter),
        wall_width=max(wide, LEAST_ROW * cutter.diameter),
        leave=leave,
        cusp=cusp,
        file_to=filed,
        feed=load.feed if load is not None else slowest(planned.moves),
        notes=_notes(job, planned, feature),
    )


def _steps_of(units: Units, division: float) -> tuple[float, float]:
    """What may stay between steps on exact places, and what is to be filed off where they are
    rounded to a division in X and in Y, mm."""
    filed, rounded = FILED[units], ROUNDED * division
    cusp = max(filed - rounded, LEAST_CUSP * filed)
    return cusp, cusp + rounded


def _left_for_size(feature: Feature, chosen: Chosen) -> float:
    """What milling leaves on the wall of a bore for its reamer or boring head, mm."""
    if not feature.milled:
        return 0.0
    if chosen.reamer is not None:
        return reaming_allowance(chosen.reamer.diameter) / 2
    return BORING_LEFT / 2 if chosen.boring is not None else 0.0


def _depths(job: Job, plan: Plan, planned: Operation, feature: Feature) -> tuple[float, ...]:
    """The depths of the plan's level cuts, from the top. Cuts at constant engagement are deeper
    than rows can be: those are as deep as the cutter takes at full width."""
    top = plan.program.setup.left.high[2]
    # a ramp may begin level with the metal's top
    levels = [z for z in _levels(planned.moves) if z < top - ONE_DEPTH]
    if planned.how.startswith("constant engagement"):
        work = work_of(job, plan.program.setup, safe_z=plan.program.safe_z)
        figures = plan.chosen[feature.name].figures(planned.cutter, feature.cutting)
        step = work.milling(planned.cutter, figures).stepdown
        levels = sorted({*levels, *depth_steps(top, min(levels), step)}, reverse=True)
    return tuple(levels)


def _levels(moves: Sequence[Move]) -> list[float]:
    """The heights at which cuts go along level, from the top; where none does, the lowest."""
    found: list[float] = []
    lowest = z = float("inf")
    for move in moves:
        if isinstance(move, Feed | ArcFeed):
            if abs(move.z - z) < ONE_DEPTH and all(abs(move.z - f) > ONE_DEPTH for f in found):
                found.append(move.z)
            z = move.z
            lowest = min(lowest, z)
        elif isinstance(move, Rapid) and move.z is not None:
            z = move.z
    if all(abs(lowest - f) > ONE_DEPTH for f in found):
        found.append(lowest)
    return sorted(found, reverse=True)


def slowest(moves: Sequence[Move]) -> float:
    """The lowest feed of an operation's cuts, mm/min."""
    return min((m.feed for m in moves if isinstance(m, Feed | ArcFeed)), default=0.0)


def whole_of(asked: PlannedTarget, feature: Feature) -> PlannedTarget:
    """What a feature asks with what it leaves on purpose: that is kept off by the strokes."""
    if feature.cutting.finish or feature.kind == "profile":
        return asked
    return replace(asked, required=(*asked.required, *asked.allowed))


def _notes(job: Job, planned: Operation, feature: Feature) -> tuple[str, ...]:
    found = []
    if planned.how.startswith("constant engagement"):
        found.append(
            "The program cuts this at constant engagement, which no hand can follow: these are "
            "rows, shallower and wider."
        )
    if not planned.cutter.centre_cutting:
        found.append(
            "The cutter does not cut at its centre: come down beside the work, or drill a hole "
            "first where it comes down."
        )
    again = feature.cutting.spring_passes
    if again and planned.label == "finish":
        times = "once more" if again == 1 else f"{again} times more"
        found.append(f"Repeat the cuts along the walls {times} at the same readings.")
    return tuple(found)


def hole_notes(cycle: HoleCycle, cutter: Cutter) -> tuple[str, ...]:
    """What is said of a table of holes."""
    match cycle.kind:
        case "tap":
            return (
                "Do not tap with the quill feed: start the tap by hand in the spindle, square to "
                "the work, and finish it with a tap wrench.",
            )
        case "ream":
            return ("Feed in and out with the spindle turning; never turn it backwards.",)
        case "peck":
            return ("Raise the drill out of the hole after each peck to clear chips.",)
        case _:
            wait = cycle.dwell > 0
            return ("At the depth wait for three turns of the spindle.",) if wait else ()


def stroke_notes(feature: Feature) -> tuple[str, ...]:
    """What is said of strokes taken from the plan as they are."""
    match feature.kind:
        case "saw":
            return (
                "Lock Z. Bring the blade in slowly: the first teeth meet the work one at a time. "
                "Keep the guard on.",
            )
        case "scale" if isinstance(feature, ScaleMarks) and feature.numbers is not None:
            return ("The numbers are not laid out: stamp them with punches.",)
        case _:
            return ()


def not_by_hand(job: Job, planned: Operation, feature: Feature) -> str:
    """Why a sloping, fine or threaded cut is not made with handwheels, and what to do."""
    match feature.kind:
        case "chamfer":
            deep = format_length(feature.depth.top - feature.depth.floor, job.units)
            return (
                f"A chamfer along this edge cannot be followed by hand. File it, {deep} deep, or "
                "run the cutter along straight edges by eye."
            )
        case "engrave":
            return (
                "Letters and bent lines cannot be followed by hand. Stamp them with punches, or "
                "engrave them on a machine that is driven."
            )
        case "scale":
            return (
                "Round or slanting graduations are not laid out. Cut them one by one, each a "
                "single stroke out from the line they start on, with a rotary table or dividing "
                "head under the centre of a round scale."
            )
        case "thread_mill":
            return (
                "Milling a thread takes three axes that move together. Cut it with a tap or die, "
                "or on a lathe."
            )
        case "saw":
            low, high = (
                format_length(z, job.units) for z in (feature.depth.floor, feature.depth.top)
            )
            return (
                "A kerf that slants, or is cut with the feed, is not laid out. Lock Z with the "
                f"kerf from {low} to {high}, bring the blade in by hand pass by pass along the "
                "line, against the teeth, and keep a steady, slow feed."
            )
    return (
        f"The {planned.cutter.kind} has no flat end, so straight strokes leave steps. Make it on a "
        "machine that is driven, or file it to the line."
    )


def no_way(job: Job, planned: Operation) -> str:
    """Why no strokes lead along a cut, and what to do."""
    size = format_length(planned.cutter.diameter, job.units)
    return (
        f"No straight strokes lead along this cut: it leaves a cutter of {size} no room for steps. "
        "Mill it on a rotary table under its centre, or name a narrower cutter in the job."
    )
