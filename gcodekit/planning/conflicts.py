"""Features that cannot both be as drawn."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from shapely import STRtree
from shapely.geometry.base import BaseGeometry

from gcodekit.errors import Fault, PlanError
from gcodekit.geometry.overlay import less
from gcodekit.job.feature import Feature
from gcodekit.job.kinds.profile import Profile
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.kerf_reach import common_ground, widest_kerf
from gcodekit.operations.kerf_roughing import tab_cores
from gcodekit.operations.kind_cutting import cutting_of
from gcodekit.operations.planned_operation import PlanContext, refuse
from gcodekit.part.plane_regions import area_of
from gcodekit.part.planned_target import PlannedTarget

# So many more tabs than asked for are tried where one of them would be cut away, or stands by a
# clamp.
MOST_MORE_TABS = 5


def neighbours_cut(work: PlanContext, chosen: Mapping[str, Chosen]) -> list[Fault]:
    """Warn of outside profiles whose kerf cuts into what another one keeps, at least as deep.

    A kerf that lies all within another outline is a groove or a step in that part, and meant.
    """
    outside = [
        (f, area_of(f.outline))
        for f in work.setup.features
        if isinstance(f, Profile) and f.side == "outside" and f.outline is not None
    ]
    faults: list[Fault] = []
    tree = STRtree([kept for _, kept in outside])
    for feature, _ in outside:
        cutters = chosen[feature.name]
        widest = 2 * max(cutters.rough.radius, cutters.finish.radius)
        kerf = widest_kerf(feature, cutters)
        for other, kept in (outside[i] for i in sorted(tree.query(kerf))):
            if other is feature or feature.depth.cut_to > other.depth.cut_to:
                continue
            if not kept.covers(kerf) and not common_ground(kerf, kept).is_empty:
                faults += _fault(work, feature, other, widest).faults
    return faults


def _fault(work: PlanContext, feature: Feature, other: Feature, width: float) -> PlanError:
    return refuse(
        feature,
        f"{feature.name}: its cutter, {work.say(width)}, would cut into {other.name}",
        "draw them farther apart, or use a smaller cutter",
        key="outline",
    )


def tabs_cut(
    work: PlanContext, asked: Mapping[str, PlannedTarget], chosen: Mapping[str, Chosen]
) -> list[Fault]:
    """Profiles with a tab that another feature would cut away."""
    faults: list[Fault] = []
    for held in work.setup.features:
        if not isinstance(held, Profile) or held.tabs is None:
            continue
        for other, height in _reaching(work, held, held.tabs.height):
            taken = cutting_of(other).taken(other, chosen[other.name], asked[other.name], height)
            met = common_ground(taken, asked[held.name].kept_at(height))
            if not met.is_empty:
                hint = _tabs_that_fit(held, chosen[held.name], taken)
                faults += _tab_fault(work, held, other, met, hint).faults
    return faults


def skins_cut(
    work: PlanContext, asked: Mapping[str, PlannedTarget], chosen: Mapping[str, Chosen]
) -> list[Fault]:
    """Profiles with an onion skin into which another feature's cutter runs where it is not drawn;
    where it is drawn the skin goes with the rest."""
    faults: list[Fault] = []
    for held in work.setup.features:
        if not isinstance(held, Profile) or held.skin is None:
            continue
        for other, height in _reaching(work, held, held.skin):
            wanted = asked[other.name]
            taken = cutting_of(other).taken(other, chosen[other.name], wanted, height)
            past = less(taken, wanted.required_at(height))
            met = common_ground(past, asked[held.name].kept_at(height))
            if not met.is_empty:
                faults += _skin_fault(work, other, held, met).faults
    return faults


def _reaching(work: PlanContext, held: Profile, thick: float) -> Iterator[tuple[Feature, float]]:
    """The other features that reach into what is left `thick` at the metal's bottom to hold a
    piece, each with the height at which that is looked at: half way up it."""
    bottom = work.setup.left.low[2]
    for other in work.setup.features:
        if other.name != held.name and other.depth.cut_to < bottom + thick:
            yield other, bottom + thick / 2


def _tab_fault(
    work: PlanContext, held: Profile, other: Feature, met: BaseGeometry, hint: str
) -> PlanError:
    return refuse(
        held,
        f"{other.name} cuts through its tab at {work.say_at(met)}",
        hint,
        key="tabs",
    )


def _tabs_that_fit(held: Profile, chosen: Chosen, taken: BaseGeometry) -> str:
    """What would keep the tabs: the nearest count of which none is cut, or places for them."""
    tabs = held.tabs
    by_hand = "draw them apart, or place the tabs with at"
    if tabs is None or not tabs.count:
        return by_hand
    widest = max(chosen.rough.radius, chosen.finish.radius)
    for count in other_counts(tabs.count):
        tried = replace(held, tabs=replace(tabs, count=count))
        try:
            cores = tab_cores(tried, 2 * widest, widest)
        except PlanError:
            continue  # no room for so many
        if common_ground(taken, cores).is_empty:
            return f"set count = {count}, which misses it, or place the tabs with at"
    return by_hand


def other_counts(count: int) -> list[int]:
    """The numbers of tabs that are tried in place of one that does not fit, the nearest first."""
    others = (n for n in range(1, count + MOST_MORE_TABS) if n != count)
    return sorted(others, key=lambda n: abs(n - count))


def _skin_fault(work: PlanContext, feature: Feature, held: Profile, met: BaseGeometry) -> PlanError:
    return refuse(
        feature,
        f"its cutter would cut through the onion skin of {held.name} at {work.say_at(met)}",
        f"draw them apart, use a smaller cutter, or give {held.name} tabs instead of a skin",
    )
