"""Warnings of tabs that stand under or beside a clamp, where no hand tool gets at them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from gcodekit.errors import Fault, PlanError
from gcodekit.job.kinds.profile import Profile
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.planned_operation import PlanContext, refuse
from gcodekit.part.tab_obstacles import clamp_distance, clamp_room
from gcodekit.part.tab_places import TabPlace, tab_places
from gcodekit.planning.conflicts import other_counts
from gcodekit.units import format_point


def clamped_tabs(work: PlanContext, chosen: Mapping[str, Chosen]) -> tuple[Fault, ...]:
    """One for each profile whose tabs, spread by count, find no room off the clamps. Tabs that are
    placed with `at` are where they are wanted."""
    found: list[Fault] = []
    for feature in work.setup.features:
        if not isinstance(feature, Profile) or feature.tabs is None or not feature.tabs.count:
            continue
        cutters = chosen[feature.name]
        widest = max(cutters.rough.radius, cutters.finish.radius)
        clamped = next(_too_near(feature, widest), None)
        if clamped is not None:
            found.append(_warning(work, feature, widest, *clamped))
    return tuple(dict.fromkeys(found))


def _too_near(held: Profile, widest: float) -> Iterator[tuple[TabPlace, str]]:
    """The tabs with too little room, each with the clamp's name."""
    tabs = held.tabs
    assert tabs is not None  # asked by the caller
    named = (held.cutting.cutter, held.cutting.rough_with)
    room = clamp_room(tabs, max(widest, *(c.radius for c in named if c is not None), 0.0))
    for place in tab_places(held, widest):
        for clamp, name in tabs.clamps:
            # one that was shifted stands just as far away as it must
            if clamp_distance(clamp, place.point) < room - 1e-6:
                yield place, name


def _warning(work: PlanContext, held: Profile, widest: float, place: TabPlace, clamp: str) -> Fault:
    x, y = (round(v, 3) for v in place.point)
    (fault,) = refuse(
        held,
        f"its tab at {format_point(x, y, work.job.units)} is too near {clamp} to be cut off with "
        "the work in place",
        f"{_fitting_count(held, widest)}move the clamp, or place the tabs with at",
        key="tabs",
    ).faults
    return replace(fault, severity="warning")


def _fitting_count(held: Profile, widest: float) -> str:
    """The nearest count of which every tab has room, as the beginning of a remedy."""
    assert held.tabs is not None  # asked by the caller
    for count in other_counts(held.tabs.count):
        tried = replace(held, tabs=replace(held.tabs, count=count))
        try:
            if next(_too_near(tried, widest), None) is None:
                return f"set count = {count}, "
        except PlanError:
            continue  # no room for so many
    return ""
