"""The cutters given to the features of a set-up, the cuts that finish them, and the stock that the
set-ups after it begin with."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from gcodekit.errors import Fault, PlanError
from gcodekit.job.feature import Feature
from gcodekit.job.model import Job, Setup
from gcodekit.job.stock.drawn_removal import offcuts, taken_by
from gcodekit.job.stock.pieces import others_gone, piece_at, pieces_after
from gcodekit.job.stock.removed_stock import Slab
from gcodekit.operations.choosing.tool_reasons import picks
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.kind_cutting import cutting_of
from gcodekit.operations.planned_operation import PlanContext, wall_allowance, work_of
from gcodekit.part.other_setups import OtherSetup, removed, surely_gone
from gcodekit.part.planned_target import FeatureContext, FinishingCut, PlannedTarget
from gcodekit.planning.given_rates import rate_warnings
from gcodekit.planning.heights import Heights, safe_height
from gcodekit.planning.shared_cutters import with_those_in_use

# Pieces that are not there for a set-up: in the coordinates of the set-up that parted them.
Apart = tuple[Setup, tuple[Slab, ...]]


@dataclass(frozen=True, slots=True)
class PlannedSetup:
    """A set-up, its features' targets and the stock that is sure to be cut when it is done. Where
    it cannot be planned, only that as the drawing alone gives it. `apart`: the other pieces where
    it takes one of several."""

    setup: Setup
    asked: tuple[PlannedTarget, ...]
    gone: tuple[Slab, ...]
    apart: tuple[Apart, ...] = ()

    def seen_from(self, setup: Setup) -> OtherSetup:
        """The stock it takes or may take, as a later set-up sees it."""
        return OtherSetup(self.setup, self.asked, setup)


def cut_by(
    setup: Setup, asked: tuple[PlannedTarget, ...], earlier: Sequence[PlannedSetup]
) -> PlannedSetup:
    """Return a set-up as those after it find it cut."""
    return PlannedSetup(setup, asked, surely_gone(setup, asked), parted_off(setup, earlier))


def parted_off(setup: Setup, earlier: Sequence[PlannedSetup]) -> tuple[Apart, ...]:
    """The pieces that a set-up does not take, of all that earlier ones have parted. Raises
    `PlanError` where the cutters chosen leave no such piece."""
    if setup.piece is None:
        return ()
    parting = next(e for e in earlier if e.setup.name == setup.piece.setup)
    pieces = pieces_after(parting.setup, parting.gone)
    found = piece_at(pieces, setup.piece)
    if len(pieces) < 2 or len(found) != 1:
        text = f"{setup.name}: {parting.setup.name} does not part the stock as it is cut"
        hint = "cut right through it, past its edges"
        raise PlanError([Fault(setup.place.at(f"{setup.place.key}.piece"), text, hint)])
    rest = others_gone(parting.setup, pieces, pieces[found[0]])
    return (*parting.apart, (parting.setup, rest))


def on_same_stock(setup: Setup, earlier: Sequence[PlannedSetup]) -> list[PlannedSetup]:
    """The set-ups before one that cut what it cuts."""
    return [e for e in earlier if setup.shares_stock(e.setup)]


def taken_out(setup: Setup, earlier: Sequence[PlannedSetup]) -> Sequence[PlannedSetup]:
    """The set-ups whose offcuts are no longer there: those before the last that is loose."""
    loose = [i for i, s in enumerate((*(e.setup for e in earlier), setup)) if s.loose]
    return earlier[: loose[-1]] if loose else ()


def begun(setup: Setup, earlier: Sequence[PlannedSetup]) -> Setup:
    """Return the set-up with the stock that all those before it have left."""
    same = on_same_stock(setup, earlier)
    gone = [*setup.missing, *(removed(e.setup, e.gone, setup) for e in same)]
    gone += [removed(e.setup, offcuts(e.setup), setup) for e in taken_out(setup, same)]
    gone += [removed(other, rest, setup) for other, rest in parted_off(setup, earlier)]
    return replace(setup, gone=tuple(gone)) if gone else setup


def choose_all(
    work: PlanContext, features: tuple[Feature, ...], heights: Heights
) -> tuple[dict[str, Chosen], list[PlanError]]:
    """Every feature's cutters, and every refusal."""
    chosen: dict[str, Chosen] = {}
    errors: list[PlanError] = []
    for feature in features:
        try:
            found = _choose(work, feature, heights)
            found = replace(found, picks=picks(work, feature, found, heights.top_of(feature)))
            chosen[feature.name] = found
        except PlanError as error:
            errors.append(error)

    chosen = with_those_in_use(work, features, chosen, heights)
    for feature in features:
        if (own := chosen.get(feature.name)) is not None:
            warnings = rate_warnings(work, feature, own, heights.top_of(feature))
            chosen[feature.name] = replace(own, warnings=(*own.warnings, *warnings))
    return chosen, errors


def _choose(work: PlanContext, feature: Feature, heights: Heights) -> Chosen:
    footprint = heights.footprints[feature.name]
    return cutting_of(feature).choose(work, feature, heights.top_of(feature), footprint)


def choose_cutters(job: Job, setup: Setup) -> tuple[PlanContext, Heights, dict[str, Chosen]]:
    """The cutters of every feature of a set-up. Raises `PlanError` with every refusal."""
    work = work_of(job, setup, safe_z=safe_height(setup))
    heights = Heights(work)
    chosen, errors = choose_all(work, setup.features, heights)
    if errors:
        # copies have their first one's faults
        raise PlanError(dict.fromkeys(f for e in errors for f in e.faults))
    return work, heights, chosen


def possible(job: Job, setup: Setup) -> tuple[Setup, tuple[Fault, ...]]:
    """The set-up without those of its optional features that cannot be cut, and a warning of each.
    What else is wrong is told where its cutters are chosen."""
    if not any(f.optional for f in setup.features):
        return setup, ()
    work = work_of(job, setup, safe_z=safe_height(setup))
    heights, around = Heights(work), FeatureContext(setup)
    kept: list[Feature] = []
    warnings: list[Fault] = []
    for feature in setup.features:
        kind = cutting_of(feature)
        try:
            own = _choose(work, feature, heights)
            if feature.optional:
                kind.check_beside(work, feature, own, around)
        except PlanError as error:
            if feature.optional:
                warnings.append(_without(feature, error.faults[0]))
                continue
        else:
            around.add(kind.asked(feature, finishing_cut(feature, own), around))
        kept.append(feature)
    return replace(setup, features=tuple(kept)), tuple(warnings)


def _without(feature: Feature, fault: Fault) -> Fault:
    """The warning that the job goes on without an optional feature."""
    return Fault(
        feature.place, f"{feature.name} is left out: {fault.message}", fault.hint, "warning"
    )


def choice_warnings(chosen: Mapping[str, Chosen]) -> tuple[Fault, ...]:
    """Warnings that belong to the choice of cutters, each once: copies share one place."""
    return tuple(dict.fromkeys(warning for each in chosen.values() for warning in each.warnings))


def left_on_walls(feature: Feature, chosen: Chosen) -> float:
    """The allowance that the plan leaves on the feature's walls on purpose, mm."""
    return 0.0 if feature.cutting.finish else wall_allowance(feature, chosen.rough)


def finishing_cut(feature: Feature, chosen: Chosen) -> FinishingCut:
    """The cut that finishes a feature, as the proof's target is told of it."""
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
    """The finishing cuts of all of a set-up's features, by name."""
    return {f.name: finishing_cut(f, chosen[f.name]) for f in setup.features}


def asked_of(setup: Setup, finishing: Mapping[str, FinishingCut]) -> tuple[PlannedTarget, ...]:
    """The planned targets of the set-up's features, in the order listed; none for those not named
    in `finishing`."""
    around = FeatureContext(setup)
    for feature in setup.features:
        if feature.name in finishing:
            around.add(cutting_of(feature).asked(feature, finishing[feature.name], around))
    return around.asked


def finished_with(job: Job) -> tuple[Job, dict[str, FinishingCut], tuple[Fault, ...]]:
    """Return the job, without planning it, with the stock that each of its set-ups begins with, the
    cuts that finish every feature, and what the rack lacks for that or may not do well."""
    setups: list[Setup] = []
    cuts: dict[str, FinishingCut] = {}
    faults: list[Fault] = []
    earlier: list[PlannedSetup] = []
    for drawn in job.setups:
        try:
            setup, left_out = possible(job, begun(drawn, earlier))
        except PlanError as error:
            return job, cuts, (*faults, *error.faults)
        faults += left_out
        setups.append(setup)
        try:
            chosen = choose_cutters(job, setup)[2]
        except PlanError as error:
            faults += error.faults
            earlier.append(PlannedSetup(setup, (), taken_by(setup, job.workshop)))
            continue
        faults += choice_warnings(chosen)
        found = finishing_cuts(setup, chosen)
        cuts |= found
        if drawn is not job.setups[-1]:
            earlier.append(cut_by(setup, asked_of(setup, found), earlier))
    return replace(job, setups=tuple(setups)), cuts, tuple(faults)
