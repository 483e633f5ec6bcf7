"""The plan of a set-up: from a checked job to a neutral program."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from gcodekit.errors import Fault, PlanError
from gcodekit.job.features.size_words import correction_lines, size_lines
from gcodekit.job.model import Job, Setup
from gcodekit.job.stock.drawn_removal import offcuts, taken_by
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.kind_cutting import cutting_of
from gcodekit.operations.planned_operation import Phase, PlanContext, PlannedOperation, work_of
from gcodekit.operations.tapping import hand_tapping
from gcodekit.part.planned_target import FeatureContext, PlannedTarget
from gcodekit.part.setup_stock import between
from gcodekit.planning.clamped_tabs import clamped_tabs
from gcodekit.planning.cutter_assignment import (
    PlannedSetup,
    begun,
    choice_warnings,
    choose_cutters,
    cut_by,
    on_same_stock,
    possible,
)
from gcodekit.planning.feature_operations import all_drafts
from gcodekit.planning.feeds import feeds_by_engagement
from gcodekit.planning.heights import Heights
from gcodekit.planning.load_warnings import load_warnings
from gcodekit.planning.loads import load_of
from gcodekit.planning.low_rapids import Obstacles, low_rapids
from gcodekit.planning.program import Operation, Program, first_touch_off
from gcodekit.planning.sequence import from_nearer_end, in_sequence
from gcodekit.planning.sequence_reasons import reasons
from gcodekit.planning.settled_speeds import settled_speeds
from gcodekit.planning.touch_off import touch_off_words
from gcodekit.planning.wall_warnings import wall_warnings


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The plan of a set-up: its program, the cutters of each feature, and the features' targets;
    `load_warnings`: cuts that overload cutters, spindle or walls; `tab_warnings`: tabs too near
    clamps; `left_out`: of optional features that cannot be cut. `touched_off`: where cutters are
    touched off in operations that remain once others, by their places, are cut already; `done`:
    those others, where the program is a part, `in_order` where all of them come before it."""

    program: Program
    chosen: dict[str, Chosen]
    asked: tuple[PlannedTarget, ...]
    touched_off: Callable[[frozenset[int]], tuple[str, ...]]
    done: Program | None = None
    in_order: bool = True
    load_warnings: tuple[Fault, ...] = ()
    tab_warnings: tuple[Fault, ...] = ()
    left_out: tuple[Fault, ...] = ()

    @property
    def feature_warnings(self) -> tuple[Fault, ...]:
        """Warnings about the cutters chosen, and of optional features left out."""
        return (*choice_warnings(self.chosen), *self.left_out)

    @property
    def warnings(self) -> tuple[Fault, ...]:
        """Those, where cuts ask too much, and where tabs cannot be cut off."""
        return (*self.feature_warnings, *self.load_warnings, *self.tab_warnings)


def plan_setup(
    job: Job,
    setup: Setup,
    earlier: Sequence[PlannedSetup] = (),
    *,
    progress: Callable[[str], None] = lambda _: None,
) -> Plan:
    """Choose the cutters, make every operation and put them in sequence. Raises `PlanError`, all at
    once."""
    work, heights, chosen = choose_cutters(job, setup)
    around = FeatureContext(setup)
    drafts = all_drafts(work, heights, chosen, around, progress)
    asked = {a.name: a for a in around.asked}
    ordered = from_nearer_end(work, in_sequence(setup, drafts, heights.footprints))
    words = partial(_touched_off, job, setup, ordered, asked, earlier)
    touch_off = words(frozenset())
    operations = _operations(work, heights, chosen, ordered, touch_off)
    program = Program(
        job=job,
        setup=setup,
        safe_z=work.safe_z,
        operations=operations,
        touch_off=first_touch_off(operations),
        sizes=tuple(size_lines(setup, job.units)),
        corrections=tuple(correction_lines(setup, job.units)),
        notes=hand_tapping(work),
        cautions=_cautions(work, chosen),
    )
    return Plan(
        program=program,
        chosen=chosen,
        asked=around.asked,
        load_warnings=load_warnings(work, chosen, operations),
        tab_warnings=clamped_tabs(work, chosen),
        touched_off=words,
    )


def _touched_off(
    job: Job,
    setup: Setup,
    ordered: Sequence[PlannedOperation],
    asked: Mapping[str, PlannedTarget],
    earlier: Sequence[PlannedSetup],
    left_out: frozenset[int],
) -> tuple[str, ...]:
    """Where each cutter is touched off, those operations `left_out` being cut already."""
    done = [d for i, d in enumerate(ordered) if i in left_out]
    drafts = [d for i, d in enumerate(ordered) if i not in left_out]
    return touch_off_words(job, setup, drafts, asked, earlier, done=done)


def _operations(
    work: PlanContext,
    heights: Heights,
    chosen: Mapping[str, Chosen],
    ordered: list[PlannedOperation],
    touch_off: Sequence[str],
) -> tuple[Operation, ...]:
    """The operations in the order they are cut, with low rapids, feeds and loads."""
    setup = work.setup
    whys = reasons(setup, ordered, heights.footprints)
    obstacles = [Obstacles.of(setup, stage) for stage in range(len(setup.holds))]
    ordered = [
        replace(d, moves=low_rapids(d.moves, d.cutter, obstacles[d.feature.stage], work.safe_z))
        for d in ordered
    ]
    fed = feeds_by_engagement(ordered, lambda low, high: between(setup, low, high))
    settled = settled_speeds(work.job, [f.draft for f in fed])
    return tuple(
        replace(
            _operation(draft, work, words, _stops_before(setup, ordered[:i], draft)),
            why=why,
            load=load_of(
                work,
                draft,
                chosen[draft.feature.name],
                heights.top_of_all(draft.feature),
                f.most,
            ),
        )
        for i, (f, draft, words, why) in enumerate(zip(fed, settled, touch_off, whys, strict=True))
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
        try:
            setup, left_out = possible(job, begun(drawn, earlier))
        except PlanError as error:
            raise PlanError((*faults, *error.faults)) from error
        try:
            same = on_same_stock(setup, earlier)
            plan = plan_setup(job, setup, same, progress=progress)
        except PlanError as error:
            faults += error.faults
            earlier.append(PlannedSetup(setup, (), taken_by(setup, job.workshop)))
            continue
        done = cut_by(setup, plan.asked, earlier)
        earlier.append(done)
        plan = replace(plan, left_out=left_out)
        plans.append((done, _with_walls(job, done, plan)))
    if faults:
        raise PlanError(faults)
    return plans


def _with_walls(job: Job, done: PlannedSetup, plan: Plan) -> Plan:
    """The plan with warnings of the thin walls that a set-up leaves."""
    work = work_of(job, done.setup, safe_z=plan.program.safe_z)
    gone = (*done.gone, *offcuts(done.setup))
    bent = wall_warnings(work, plan.program.operations, plan.asked, gone)
    return replace(plan, load_warnings=(*plan.load_warnings, *bent))


def _cautions(work: PlanContext, chosen: Mapping[str, Chosen]) -> tuple[str, ...]:
    """The cautions of all features, each once."""
    every = (cutting_of(f).cautions(work, f, chosen[f.name]) for f in work.setup.features)
    return tuple(dict.fromkeys(line for lines in every for line in lines))


def _stops_before(
    setup: Setup, before: list[PlannedOperation], draft: PlannedOperation
) -> tuple[str, ...]:
    """Return what the operator does between the operation before and this one."""
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
        stage=draft.feature.stage,
        finishing=_finishes(draft),
    )


def _finishes(draft: PlannedOperation) -> bool:
    """Tell whether an operation brings walls or a floor to size: a finishing pass, or the one pass
    of what is not roughed. What drills, reamers and boring heads make is none."""
    feature = draft.feature
    sized = feature.floor_finished and not feature.in_one_pass()
    in_one = not feature.cutting.rough and draft.phase in (Phase.ROUGH, Phase.FREE)
    return sized and (draft.label == "finish" or in_one)
