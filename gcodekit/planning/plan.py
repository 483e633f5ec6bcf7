"""From a checked set-up to a neutral program."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from gcodekit.errors import Fault, PlanError
from gcodekit.job.features.size_words import size_lines
from gcodekit.job.model import Job, Setup
from gcodekit.job.stock.drawn_removal import offcuts, taken_by
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.planned_operation import PlanContext, PlannedOperation, work_of
from gcodekit.operations.tapping import hand_tapping
from gcodekit.part.planned_target import FeatureContext, PlannedTarget
from gcodekit.part.setup_stock import between
from gcodekit.planning.cutter_assignment import (
    PlannedSetup,
    begun,
    choose_cutters,
    cut_by,
    doubts_of,
)
from gcodekit.planning.feature_operations import all_drafts
from gcodekit.planning.feeds import feeds_by_engagement
from gcodekit.planning.heights import Heights
from gcodekit.planning.load_warnings import load_warnings
from gcodekit.planning.loads import load_of
from gcodekit.planning.low_rapids import Obstacles, low_rapids
from gcodekit.planning.program import Operation, Program
from gcodekit.planning.sequence import from_nearer_end, in_sequence
from gcodekit.planning.sequence_reasons import reasons
from gcodekit.planning.touch_off import touch_off_words
from gcodekit.planning.wall_warnings import wall_warnings


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A set-up's program, the cutters each feature was given, and what the features ask;
    `load_warnings`: where its cuts ask more of cutters, spindle or walls than they stand."""

    program: Program
    chosen: dict[str, Chosen]
    asked: tuple[PlannedTarget, ...]
    load_warnings: tuple[Fault, ...] = ()

    @property
    def doubts(self) -> tuple[Fault, ...]:
        """Warnings about the cutters chosen."""
        return doubts_of(self.chosen)

    @property
    def warnings(self) -> tuple[Fault, ...]:
        """Those, and where cuts ask too much."""
        return (*self.doubts, *self.load_warnings)


def plan_setup(
    job: Job,
    setup: Setup,
    earlier: Sequence[PlannedSetup] = (),
    *,
    progress: Callable[[str], None] = lambda _: None,
) -> Plan:
    """Choose cutters, make every operation, put them in order. Raises `PlanError`, all at once."""
    work, heights, chosen = choose_cutters(job, setup)
    around = FeatureContext(setup)
    drafts = all_drafts(work, heights, chosen, around, progress)
    asked = {a.name: a for a in around.asked}
    ordered = from_nearer_end(work, in_sequence(setup, drafts, heights.footprints))
    touch_off = touch_off_words(job, setup, ordered, asked, earlier)
    operations = _operations(work, heights, chosen, ordered, touch_off)
    program = Program(
        job=job,
        setup=setup,
        safe_z=work.safe_z,
        operations=operations,
        touch_off=_first_words(operations),
        sizes=tuple(size_lines(setup, job.units)),
        notes=hand_tapping(work),
    )
    return Plan(
        program=program,
        chosen=chosen,
        asked=around.asked,
        load_warnings=load_warnings(work, chosen, operations),
    )


def _operations(
    work: PlanContext,
    heights: Heights,
    chosen: Mapping[str, Chosen],
    ordered: list[PlannedOperation],
    touch_off: Sequence[str],
) -> tuple[Operation, ...]:
    """Drafts in the order they are cut, with low rapids, feeds and loads."""
    setup = work.setup
    whys = reasons(setup, ordered, heights.footprints)
    skies = [Obstacles.of(setup, stage) for stage in range(len(setup.holds))]
    ordered = [
        replace(d, moves=low_rapids(d.moves, d.cutter, skies[d.feature.stage], work.safe_z))
        for d in ordered
    ]
    fed = feeds_by_engagement(ordered, lambda low, high: between(setup, low, high))
    return tuple(
        replace(
            _operation(f.draft, work, words, _stops_before(setup, ordered[:i], f.draft)),
            why=why,
            load=load_of(
                work,
                f.draft,
                chosen[f.draft.feature.name],
                heights.top_of_all(f.draft.feature),
                f.most,
            ),
        )
        for i, (f, words, why) in enumerate(zip(fed, touch_off, whys, strict=True))
    )


def plan_setups(
    job: Job, *, progress: Callable[[str], None] = lambda _: None
) -> list[tuple[PlannedSetup, Plan]]:
    """Every set-up planned in order, each with the metal that those before it leave. Raises
    `PlanError`, all at once."""
    plans: list[tuple[PlannedSetup, Plan]] = []
    faults: list[Fault] = []
    earlier: list[PlannedSetup] = []
    for drawn in job.setups:
        progress(f"planning {drawn.name}")
        setup = begun(drawn, earlier)
        try:
            plan = plan_setup(job, setup, earlier, progress=progress)
        except PlanError as error:
            faults += error.faults
            earlier.append(PlannedSetup(setup, (), taken_by(setup, job.workshop)))
            continue
        done = cut_by(setup, plan.asked)
        earlier.append(done)
        plans.append((done, _with_walls(job, done, plan)))
    if faults:
        raise PlanError(faults)
    return plans


def _with_walls(job: Job, done: PlannedSetup, plan: Plan) -> Plan:
    """With warnings of the thin walls that a set-up leaves."""
    work = work_of(job, done.setup, safe_z=plan.program.safe_z)
    gone = (*done.gone, *offcuts(done.setup))
    bent = wall_warnings(work, plan.program.operations, plan.asked, gone)
    return replace(plan, load_warnings=(*plan.load_warnings, *bent))


def _first_words(operations: tuple[Operation, ...]) -> dict[int, str]:
    """Find where each cutter is touched off when it first comes."""
    return {o.cutter.number: o.touch_off for o in reversed(operations)}


def _stops_before(
    setup: Setup, before: list[PlannedOperation], draft: PlannedOperation
) -> tuple[str, ...]:
    """Find what the operator does between the operation before and this one."""
    stage = before[-1].feature.stage if before else 0
    return tuple(stop.text for stop in setup.stops[stage : draft.feature.stage])


def _operation(
    draft: PlannedOperation, work: PlanContext, touch_off: str, stops: tuple[str, ...]
) -> Operation:
    planned, asked = work.true_to(draft.feature), work.job.tolerance
    return Operation(
        feature=draft.feature.name,
        label=draft.label,
        cutter=draft.cutter,
        speed=draft.speed,
        moves=draft.moves,
        true_to=planned if planned < asked else math.inf,
        touch_off=touch_off,
        stops=stops,
        how=draft.how,
    )
