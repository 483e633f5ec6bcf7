"""Every operation of a set-up's features, as they are written."""

from __future__ import annotations

from collections.abc import Callable

from gcodekit.errors import Fault, PlanError
from gcodekit.geometry.overlay import common
from gcodekit.job.feature import Feature
from gcodekit.job.kinds.arc import Sector
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.boss import Boss
from gcodekit.job.kinds.edge import Edge
from gcodekit.job.kinds.face import Face
from gcodekit.job.kinds.hole import Hole
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.kinds.slot import Slot
from gcodekit.operations.arc import arc_drafts
from gcodekit.operations.bore import bore_drafts
from gcodekit.operations.boss import boss_drafts
from gcodekit.operations.chosen import Chosen
from gcodekit.operations.draft import Draft, Work, refuse
from gcodekit.operations.edge import edge_drafts
from gcodekit.operations.face import face_drafts
from gcodekit.operations.hole import hole_drafts
from gcodekit.operations.pocket import pocket_drafts
from gcodekit.operations.profile import profile_drafts
from gcodekit.operations.slot import slot_drafts
from gcodekit.part.ask import ask
from gcodekit.part.asked import BELOW, Around, Asked
from gcodekit.part.beside import beside
from gcodekit.part.metal import metal, metal_levels
from gcodekit.part.plane import discs
from gcodekit.planning.conflicts import (
    neighbours_cut,
    overreached,
    skins_cut,
    tabs_cut,
)
from gcodekit.planning.from_outside import check_from_outside
from gcodekit.planning.given_cutters import finishing_cut, finishing_cuts
from gcodekit.planning.heights import Heights
from gcodekit.planning.spot_room import with_spot_room
from gcodekit.planning.tabs_apart import tabs_apart

# Less metal than this in plan, mm^2, is none: what grazing along an edge takes.
LEAST_AREA = 1e-3


def all_drafts(
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
            top = _surface(feature, heights, around)
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
                if isinstance(feature, Edge | Boss | Sector):
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


def _surface(feature: Feature, heights: Heights, around: Around) -> float:
    """Height of the highest metal over a feature when its turn comes. A spot alone is measured from
    there, and may lie in a kerf, which heights do not count."""
    top = heights.top_of(feature)
    if isinstance(feature, Hole) and not (feature.drilled or feature.countersink):
        return min(top, around.top_over(discs(feature.places, feature.diameter / 2)))
    return top


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
    raise NotImplementedError(feature.kind)
