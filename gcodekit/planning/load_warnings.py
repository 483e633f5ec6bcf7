"""Warnings of operations that overload cutter or spindle: one for each feature and cause, with the
figure, the limit and the remedy."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from gcodekit.errors import Fault
from gcodekit.job.feature import Feature
from gcodekit.job.kinds.bore import Bore
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.planned_operation import PlanContext
from gcodekit.planning.given_rates import three_figures
from gcodekit.planning.program import Operation
from gcodekit.trade.cut_load import Load
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.materials import Material
from gcodekit.trade.milling import THINNEST_CUT, bent_less, finest_chip
from gcodekit.trade.milling_force import MillingCut, feed_share
from gcodekit.trade.rates import MOTOR_SHARE

# So little over a limit is at it: a pass at constant engagement meets up to a tenth more than its
# width for a moment (tests/benchmarks/roughing.py measures 1.02 to 1.10), and feeds go in steps.
OVER_LIMIT = 1.1
# Of the width of a size's limits a finishing pass may bend its cutter: about half of a turn's
# greatest force pushes across the wall (common practice, no source), so two walls together are out
# by as much as it bends, and from the middle it is half the width to either limit.
BAND_SHARE = 0.5
STIFFER = "use a stiffer cutter (less stick-out, larger or carbide)"
# Less than this on a wall is nothing to cut, mm.
NOTHING_LEFT = 1e-4
# More passes over the same wall are not worth their time. Common practice, no source.
MOST_SPRING_PASSES = 4


@dataclass(frozen=True, slots=True)
class LoadWarning:
    """`over`: how many times the limit."""

    cause: str
    over: float
    fault: Fault


def worst_each(warnings: Sequence[LoadWarning]) -> tuple[Fault, ...]:
    """The worst warning of every feature and cause; copies share their place with the first."""
    worst: dict[tuple[object, str], LoadWarning] = {}
    for w in warnings:
        key = (w.fault.place, w.cause)
        if key not in worst or w.over > worst[key].over:
            worst[key] = w
    return tuple(w.fault for w in worst.values())


def load_warnings(
    work: PlanContext, chosen: Mapping[str, Chosen], operations: Sequence[Operation]
) -> tuple[Fault, ...]:
    """The warnings of every operation whose load is known."""
    features = {f.name: f for f in work.setup.features}
    found: list[LoadWarning] = []
    for o in operations:
        if o.load is not None:
            feature = features[o.feature]
            warned = _warned_already(feature, chosen[o.feature])
            found += _judged(work, feature, o, o.load, warned=warned)
    return worst_each(found)


def _warned_already(feature: Feature, chosen: Chosen) -> bool:
    """Tell whether the feature's own figures are warned of already, with those that would do."""
    places = set(feature.cutting.places.values())
    return any(w.place in places for w in chosen.warnings)


def _judged(
    work: PlanContext, feature: Feature, o: Operation, load: Load, *, warned: bool
) -> Iterator[LoadWarning]:
    finishing = load.stepover is None and load.deflection is not None
    if not warned:
        yield from _power(work, feature, o, load, finishing=finishing)
    if finishing:
        yield from _finishing(work, feature, o, load)
    elif not warned:
        yield from _roughing(work, feature, o, load)


def _power(
    work: PlanContext, feature: Feature, o: Operation, load: Load, *, finishing: bool
) -> Iterator[LoadWarning]:
    motor = work.limits.spindle.power
    available = None if motor is None else MOTOR_SHARE * motor
    if available is None or load.power is None or load.power <= available * OVER_LIMIT:
        return
    share = available / load.power
    slower = load.feed * feed_share(work.job.material, share)
    text = (
        f"{o.label} with {work.called(o.cutter)} takes {load.power:.0f} W, but only "
        f"{available:.0f} W "
        f"of the spindle's {motor:g} W reach the cutter"
    )
    hint = f"lower the feed to {_at_most(work, slower)}/min"
    if load.deflection is not None and not finishing:
        hint = f"lower stepdown to {_at_most(work, load.depth * share)}"
        if load.depth * share < THINNEST_CUT * o.cutter.diameter:
            hint = "use a smaller cutter"
    yield _warning("power", 1 / share, feature, text, hint)


def _finishing(
    work: PlanContext, feature: Feature, o: Operation, load: Load
) -> Iterator[LoadWarning]:
    cut = cut_of(work.job.material, o.cutter, load)
    allowed, why = load.deflection_allowed or 0.0, ""
    if feature.band is not None and BAND_SHARE * feature.band.width < allowed:
        allowed = BAND_SHARE * feature.band.width
        named = feature.band.fit or "limits"
        why = f" ({named}, {say_fine(work, feature.band.width)} wide)"
    given = feature.cutting.spring_passes
    after = after_springs(cut, lambda c: c.bend)
    still = after[min(given, MOST_SPRING_PASSES)]
    if still <= allowed * OVER_LIMIT:
        return
    sprung = " after its spring passes" if given else ""
    text = (
        f"{o.label} deflects {work.called(o.cutter)} by {say_fine(work, still)}{sprung}, "
        f"allowed {say_fine(work, allowed)}{why}"
    )
    enough = next((n for n, bent in enumerate(after) if bent <= allowed), None)
    ways = [] if enough is None else [f"set spring_passes = {enough}"]
    if "feed" in load.asked:
        slower = load.feed * feed_share(work.job.material, allowed / after[0])
        if slower >= finest_chip(o.cutter) * load.speed * o.cutter.flutes:
            ways.insert(0, f"lower the feed to {_at_most(work, slower)}/min")
    if isinstance(feature, Bore) and feature.band is not None:
        ways.append('set finish_with = "boring head"')
    ways.append(STIFFER)
    yield _warning("finishing", still / allowed, feature, text, " or ".join(ways))


def after_springs(cut: MillingCut, bent: Callable[[MillingCut], float]) -> list[float]:
    """The uncut thickness that a finishing pass leaves on the wall, mm, then that after each spring
    pass at the same depth: each cuts what the one before has left, and is deflected by that."""
    left = [bent(cut)]
    for _ in range(MOST_SPRING_PASSES):
        width = min(left[-1], cut.width)
        left.append(min(width, bent(replace(cut, width=width))) if width > NOTHING_LEFT else width)
    return left


def _roughing(
    work: PlanContext, feature: Feature, o: Operation, load: Load
) -> Iterator[LoadWarning]:
    bent, allowed = load.deflection, load.deflection_allowed
    if bent is None or allowed is None or bent <= allowed * OVER_LIMIT:
        return
    text = (
        f"{o.label} deflects {work.called(o.cutter)} by {say_fine(work, bent)}, allowed "
        f"{say_fine(work, allowed)}, half of the allowance it leaves on a wall"
    )
    lower = bent_less(cut_of(work.job.material, o.cutter, load), allowed)
    hint = STIFFER
    if lower.bend <= allowed * OVER_LIMIT:
        hint = f"lower stepdown to {_at_most(work, lower.depth)} or {hint}"
    yield _warning("roughing", bent / allowed, feature, text, hint)


def cut_of(material: Material, cutter: Cutter, load: Load) -> MillingCut:
    """The cut that a load is of."""
    return MillingCut(
        material=material,
        cutter=cutter,
        width=load.width,
        depth=load.depth,
        speed=load.speed,
        feed=load.feed,
    )


def say_fine(work: PlanContext, mm: float) -> str:
    """Return a deflection in words, in the job's units."""
    return work.say(round(mm, 4 if work.job.units == "inch" else 3))


def _at_most(work: PlanContext, mm: float) -> str:
    """Three figures of it in words, no more than it is."""
    return work.say(three_figures(mm, work.job.units, up=False))


def _warning(cause: str, over: float, feature: Feature, text: str, hint: str) -> LoadWarning:
    return LoadWarning(cause, over, Fault(feature.place, text, hint, "warning"))
