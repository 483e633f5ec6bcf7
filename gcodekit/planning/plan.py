"""From a checked set-up to a neutral program."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from gcodekit.errors import Fault, PlanError
from gcodekit.geometry.overlay import common
from gcodekit.job.features.size_words import size_lines
from gcodekit.job.model import (
    Bore,
    Boss,
    Edge,
    Face,
    Feature,
    Hole,
    Job,
    Pocket,
    Profile,
    Sector,
    Setup,
    Slot,
)
from gcodekit.job.stock.taken import offcuts, taken_by
from gcodekit.operations.arc import arc_drafts
from gcodekit.operations.bore import bore_drafts
from gcodekit.operations.boss import boss_drafts
from gcodekit.operations.chosen import Chosen
from gcodekit.operations.draft import Draft, Work, refuse, wall_allowance, work_of
from gcodekit.operations.edge import edge_drafts
from gcodekit.operations.face import face_drafts
from gcodekit.operations.hole import hole_drafts
from gcodekit.operations.pocket import pocket_drafts
from gcodekit.operations.profile import profile_drafts
from gcodekit.operations.slot import slot_drafts
from gcodekit.operations.tapping import hand_tapping
from gcodekit.part.ask import ask, asked_of
from gcodekit.part.asked import BELOW, Around, Asked, FinishingCut
from gcodekit.part.beside import beside
from gcodekit.part.metal import between, metal, metal_levels
from gcodekit.planning.choice import choose_all
from gcodekit.planning.conflicts import (
    neighbours_cut,
    overreached,
    skins_cut,
    tabs_cut,
)
from gcodekit.planning.earlier import Done, begun, cut_by
from gcodekit.planning.feeds import feeds_by_engagement
from gcodekit.planning.from_outside import check_from_outside
from gcodekit.planning.heights import Heights, safe_height
from gcodekit.planning.load_warnings import load_warnings
from gcodekit.planning.loads import load_of
from gcodekit.planning.low_rapids import Sky, low_rapids
from gcodekit.planning.nearer_end import from_nearer_end
from gcodekit.planning.program import Operation, Program
from gcodekit.planning.reasons import reasons
from gcodekit.planning.sequence import in_sequence
from gcodekit.planning.spot_room import with_spot_room
from gcodekit.planning.tabs_apart import tabs_apart
from gcodekit.planning.touch_off import touch_off_words
from gcodekit.planning.wall_warnings import wall_warnings

# Less metal than this in plan, mm^2, is none: what grazing along an edge takes.
LEAST_AREA = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A set-up's program, the cutters each feature was given, and what the features ask;
    `load_warnings`: where its cuts ask more of cutters, spindle or walls than they stand."""

    program: Program
    chosen: dict[str, Chosen]
    asked: tuple[Asked, ...]
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
    earlier: Sequence[Done] = (),
    *,
    progress: Callable[[str], None] = lambda _: None,
) -> Plan:
    """Choose cutters, make every operation, put them in order. Raises `PlanError`, all at once."""
    work, heights, chosen = choose_cutters(job, setup)
    around = Around(setup)
    drafts = _all_drafts(work, heights, chosen, around, progress)
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


def _all_drafts(
    work: Work,
    heights: Heights,
    chosen: dict[str, Chosen],
    around: Around,
    progress: Callable[[str], None],
) -> list[Draft]:
    """Every feature's operations, as written; `chosen` loses the spot drills that have no room.
    Raises `PlanError` with all that is wrong."""
    setup = work.setup
    drafts: list[Draft] = []
    faults: list[Fault] = neighbours_cut(work, chosen)
    for feature in setup.features:
        progress(f"{setup.name}: {feature.name}")
        cut = finishing_cut(feature, chosen[feature.name])
        wish = ask(feature, cut, around)
        try:
            top = heights.top_of(feature)
            _check_metal_over(work, feature, chosen[feature.name], top, wish)
            # one that runs into another part need not be told so twice
            if isinstance(feature, Profile) and not _blamed(feature, faults):
                overreached(work, feature, chosen[feature.name], around)
            check_from_outside(work, feature, wish, cut)
            if isinstance(feature, Hole):
                chosen[feature.name] = with_spot_room(
                    work, feature, chosen[feature.name], top, around
                )
            if not _all_gone(work, feature, top):
                top = heights.top_of_all(feature)
                drafts += _drafts(work, feature, chosen[feature.name], top, around)
        except PlanError as error:
            faults += error.faults
        around.add(wish)
    asked = {a.name: a for a in around.asked}
    faults += tabs_cut(work, asked, chosen)
    faults += skins_cut(work, asked, chosen)
    faults += tabs_apart(work, asked, finishing_cuts(setup, chosen))
    if faults:
        # copies have their first one's faults
        raise PlanError(dict.fromkeys(faults))
    return drafts


def _operations(
    work: Work,
    heights: Heights,
    chosen: Mapping[str, Chosen],
    ordered: list[Draft],
    touch_off: Sequence[str],
) -> tuple[Operation, ...]:
    """Drafts in the order they are cut, with low rapids, feeds and loads."""
    setup = work.setup
    whys = reasons(setup, ordered, heights.footprints)
    skies = [Sky.of(setup, stage) for stage in range(len(setup.holds))]
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
) -> list[tuple[Done, Plan]]:
    """Every set-up planned in order, each with the metal that those before it leave. Raises
    `PlanError`, all at once."""
    plans: list[tuple[Done, Plan]] = []
    faults: list[Fault] = []
    earlier: list[Done] = []
    for drawn in job.setups:
        progress(f"planning {drawn.name}")
        setup = begun(drawn, earlier)
        try:
            plan = plan_setup(job, setup, earlier, progress=progress)
        except PlanError as error:
            faults += error.faults
            earlier.append(Done(setup, (), taken_by(setup, job.workshop)))
            continue
        done = cut_by(setup, plan.asked)
        earlier.append(done)
        plans.append((done, _with_walls(job, done, plan)))
    if faults:
        raise PlanError(faults)
    return plans


def _with_walls(job: Job, done: Done, plan: Plan) -> Plan:
    """With warnings of the thin walls that a set-up leaves."""
    work = work_of(job, done.setup, safe_z=plan.program.safe_z)
    gone = (*done.gone, *offcuts(done.setup))
    bent = wall_warnings(work, plan.program.operations, plan.asked, gone)
    return replace(plan, load_warnings=(*plan.load_warnings, *bent))


def finished_with(job: Job) -> tuple[Job, dict[str, FinishingCut], tuple[Fault, ...]]:
    """Without planning: the job with the metal that each of its set-ups begins with, with what
    every feature is finished, and what the rack lacks for that or may not do well."""
    setups: list[Setup] = []
    cuts: dict[str, FinishingCut] = {}
    faults: list[Fault] = []
    earlier: list[Done] = []
    for drawn in job.setups:
        setup = begun(drawn, earlier)
        setups.append(setup)
        try:
            chosen = choose_cutters(job, setup)[2]
        except PlanError as error:
            faults += error.faults
            earlier.append(Done(setup, (), taken_by(setup, job.workshop)))
            continue
        faults += doubts_of(chosen)
        found = finishing_cuts(setup, chosen)
        cuts |= found
        if drawn is not job.setups[-1]:
            earlier.append(cut_by(setup, asked_of(setup, found)))
    return replace(job, setups=tuple(setups)), cuts, tuple(faults)


def choose_cutters(job: Job, setup: Setup) -> tuple[Work, Heights, dict[str, Chosen]]:
    """The cutters of every feature of a set-up. Raises `PlanError` with every refusal."""
    work = work_of(job, setup, safe_z=safe_height(setup))
    heights = Heights(work)
    chosen, errors = choose_all(work, setup.features, heights)
    if errors:
        # copies have their first one's faults
        raise PlanError(dict.fromkeys(f for e in errors for f in e.faults))
    return work, heights, chosen


def doubts_of(chosen: Mapping[str, Chosen]) -> tuple[Fault, ...]:
    """Warnings that belong to the choice of cutters, each once: copies share one place."""
    return tuple(dict.fromkeys(doubt for each in chosen.values() for doubt in each.doubts))


def left_on_walls(feature: Feature, chosen: Chosen) -> float:
    """What the plan leaves on the feature's walls on purpose, mm."""
    return 0.0 if feature.cutting.finish else wall_allowance(feature, chosen.rough)


def finishing_cut(feature: Feature, chosen: Chosen) -> FinishingCut:
    """With what the feature is cut, as the target of the proof is told."""
    last = chosen.finishing(feature.cutting)
    on_purpose = not feature.cutting.finish and not feature.depth.through
    return FinishingCut(
        cutter=last,
        others=tuple(c for c in chosen.every if c.number != last.number),
        allowance=wall_allowance(feature, chosen.rough),
        left=left_on_walls(feature, chosen),
        left_on_floor=(feature.cutting.floor_allowance or 0.0) if on_purpose else 0.0,
    )


def finishing_cuts(setup: Setup, chosen: Mapping[str, Chosen]) -> dict[str, FinishingCut]:
    """Of all of a set-up's features, by name."""
    return {f.name: finishing_cut(f, chosen[f.name]) for f in setup.features}


def _check_metal_over(
    work: Work, feature: Feature, chosen: Chosen, top: float, wish: Asked
) -> None:
    """Refuse a feature that would cut nothing: beside the metal, or where it is all gone when the
    feature's turn comes. What is cut back to a wall may well have lost its metal to another."""
    if work.setup.gone and not isinstance(feature, Hole) and not _lies_on_metal(work, wish):
        raise refuse(
            feature,
            f"{feature.name} takes no metal away: no stock is left where it would cut",
            "leave it out, or look at its place and at the set-up's zero",
            key="kind",
        )
    if isinstance(feature, Edge | Boss | Sector):
        return
    if isinstance(feature, Profile) and not _meets_metal(work, feature, chosen):
        raise refuse(
            feature,
            f"{feature.name} takes no metal away: its cutter runs beside the metal",
            "look at its side, and at the outline's place",
            key="side",
        )
    if isinstance(feature, Face | Pocket | Slot | Bore) and not _lies_on_metal(work, wish):
        raise refuse(
            feature,
            f"{feature.name} takes no metal away: it lies beside the metal",
            "look at its place, and at the set-up's zero",
            key="kind",
        )
    spot = isinstance(feature, Hole) and not feature.drilled
    bottom = work.setup.left.low[2]
    floor = bottom if spot else max(bottom, feature.depth.cut_to)
    if top <= floor + 1e-6:
        raise refuse(
            feature,
            f"features written before it have cut all of its metal, down to z {work.say(top)}",
            "leave it out" if spot else "go deeper, or leave it out",
            key="spot" if spot else "through" if feature.depth.through else "depth",
        )


def _lies_on_metal(work: Work, wish: Asked) -> bool:
    bottom = work.setup.left.low[2]
    levels = {*(max(z, bottom) for z in wish.levels), *metal_levels(work.setup)}
    heights = (z + BELOW for z in levels)
    there = (common(wish.must_at(z), metal(work.setup, z)) for z in heights)
    if not work.setup.gone:
        return any(area.area > LEAST_AREA for area in there)
    # along what was cut before there may be slivers
    return any(not area.buffer(-work.job.tolerance).is_empty for area in there)


def _all_gone(work: Work, feature: Feature, top: float) -> bool:
    """Whether what was cut before has taken all that lies beyond a wall."""
    floor = max(work.setup.left.low[2], feature.depth.cut_to)
    return isinstance(feature, Edge | Boss | Sector) and top <= floor + 1e-6


def _blamed(feature: Feature, faults: list[Fault]) -> bool:
    return any(f.place.key.startswith(f"{feature.place.key}.") for f in faults)


def _meets_metal(work: Work, profile: Profile, chosen: Chosen) -> bool:
    kerf = beside(profile).band(0.0, chosen.finish.diameter)
    return bool(kerf.intersection(work.metal).area > LEAST_AREA)


def _drafts(
    work: Work, feature: Feature, chosen: Chosen, top: float, around: Around
) -> list[Draft]:
    match feature:
        case Face():
            return face_drafts(work, feature, chosen, top)
        case Pocket():
            return pocket_drafts(work, feature, chosen, top)
        case Slot():
            return slot_drafts(work, feature, chosen, top, around)
        case Profile():
            return profile_drafts(work, feature, chosen, top)
        case Bore():
            return bore_drafts(work, feature, chosen, top)
        case Hole():
            return hole_drafts(work, feature, chosen, top)
        case Edge():
            return edge_drafts(work, feature, chosen, top)
        case Boss():
            return boss_drafts(work, feature, chosen, top)
        case Sector():
            return arc_drafts(work, feature, chosen, top)


def _first_words(operations: tuple[Operation, ...]) -> dict[int, str]:
    """Where each cutter is touched off when it first comes."""
    return {o.cutter.number: o.touch_off for o in reversed(operations)}


def _stops_before(setup: Setup, before: list[Draft], draft: Draft) -> tuple[str, ...]:
    """What the operator does between the operation before and this one."""
    stage = before[-1].feature.stage if before else 0
    return tuple(stop.text for stop in setup.stops[stage : draft.feature.stage])


def _operation(draft: Draft, work: Work, touch_off: str, stops: tuple[str, ...]) -> Operation:
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
