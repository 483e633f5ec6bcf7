"""Features that cannot both be as drawn."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from shapely import STRtree
from shapely.geometry.base import BaseGeometry

from gcodekit.errors import Fault, PlanError
from gcodekit.geometry.overlay import common, less, union
from gcodekit.job.feature import Feature
from gcodekit.job.kinds.arc import Sector
from gcodekit.job.kinds.profile import Profile
from gcodekit.operations.chosen import Chosen
from gcodekit.operations.draft import Work, refuse, wall_allowance
from gcodekit.operations.wide_kerf import beyond_kerf
from gcodekit.part.asked import Around, Asked
from gcodekit.part.beside import beside
from gcodekit.part.plane import area_of

# Less common ground in plan, mm^2, is none: edges drawn to touch.
LEAST_AREA = 1e-3


def neighbours_cut(work: Work, chosen: Mapping[str, Chosen]) -> list[Fault]:
    """Outside profiles whose kerf runs into what another one keeps, at least as deep.

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
        kerf = _widest_kerf(feature, cutters)
        for other, kept in (outside[i] for i in sorted(tree.query(kerf))):
            if other is feature or feature.depth.cut_to > other.depth.cut_to:
                continue
            if kerf.intersection(kept).area > LEAST_AREA and not kept.covers(kerf):
                faults += _fault(work, feature, other, widest).faults
    return faults


def _fault(work: Work, feature: Feature, other: Feature, width: float) -> PlanError:
    return refuse(
        feature,
        f"{feature.name}: its cutter, {work.say(width)}, runs into {other.name}, which is to stay",
        "draw them farther apart, or name a smaller cutter",
        key="outline",
    )


def overreached(work: Work, profile: Profile, chosen: Chosen, around: Around) -> None:
    """Refuse a profile whose roughing, wider than the kerf it leaves, or whose cutter past the ends
    of a path, runs into what others keep.

    In a body that the whole profile is drawn in, that is a step in it, and meant.
    """
    cutting = profile.cutting
    if profile.side == "on":
        return
    last = chosen.finish if cutting.finish else chosen.rough
    rough = chosen.rough if cutting.rough else last
    line, wall = beside(profile), wall_allowance(profile, rough) if cutting.rough else 0.0
    finished, wide = 2 * last.radius, 2 * rough.radius + wall + beyond_kerf(profile, chosen)
    past = (
        line.past_ends(last.radius, off=0.0),
        line.past_ends(rough.radius, off=wall),
    )
    over = less(union((line.band(0.0, wide), *past)), line.band(0.0, finished))
    swept = union((line.band(0.0, max(finished, wide)), *past))
    what, hint = "its cutter", "draw them farther apart, or name a smaller cutter"
    if cutting.rough:
        what = "its roughing"
        hint = "draw them farther apart, name a smaller cutter, or write allowance = { wall = 0 }"
    if beyond_kerf(profile, chosen):
        hint = "draw them farther apart, name a smaller cutter, or leave rough out"
    for body in around.kept.near(profile, over, swept):
        meets = common(over, body.area)
        if meets.area > LEAST_AREA:
            raise refuse(
                profile,
                f"{what}, {work.say(wide)} wide, runs into what another feature keeps, at "
                f"{work.say_at(meets)}",
                hint,
                key="outline" if profile.outline is not None else "path",
            )


def tabs_cut(work: Work, asked: Mapping[str, Asked], chosen: Mapping[str, Chosen]) -> list[Fault]:
    """Profiles with a tab that another feature would cut away."""
    faults: list[Fault] = []
    for held in work.setup.features:
        if not isinstance(held, Profile) or held.tabs is None:
            continue
        for other, height in _reaching(work, held, held.tabs.height):
            taken = _taken(other, chosen[other.name], asked[other.name], height)
            if (met := common(asked[held.name].stay_at(height), taken)).area > LEAST_AREA:
                faults += _tab_fault(work, held, other, met).faults
    return faults


def skins_cut(work: Work, asked: Mapping[str, Asked], chosen: Mapping[str, Chosen]) -> list[Fault]:
    """Profiles with an onion skin into which another feature's cutter runs where it is not drawn;
    where it is drawn the skin goes with the rest."""
    faults: list[Fault] = []
    for held in work.setup.features:
        if not isinstance(held, Profile) or held.skin is None:
            continue
        for other, height in _reaching(work, held, held.skin):
            wanted = asked[other.name]
            past = less(_taken(other, chosen[other.name], wanted, height), wanted.must_at(height))
            if (met := common(asked[held.name].stay_at(height), past)).area > LEAST_AREA:
                faults += _skin_fault(work, other, held, met).faults
    return faults


def _reaching(work: Work, held: Profile, thick: float) -> Iterator[tuple[Feature, float]]:
    """The other features that reach into what is left `thick` at the metal's bottom to hold a
    piece, each with the height at which that is looked at: half way up it."""
    bottom = work.setup.left.low[2]
    for other in work.setup.features:
        if other.name != held.name and other.depth.cut_to < bottom + thick:
            yield other, bottom + thick / 2


def _taken(feature: Feature, chosen: Chosen, asked: Asked, z: float) -> BaseGeometry:
    """All that a feature's cutters take in plan at a height."""
    if isinstance(feature, Profile):
        return less(_widest_kerf(feature, chosen), asked.stay_at(z))
    if isinstance(feature, Sector):
        # past its open ends
        return union((asked.must_at(z), asked.may_at(z)))
    return asked.must_at(z)


def _widest_kerf(profile: Profile, chosen: Chosen) -> BaseGeometry:
    """All that a profile's cutters take in plan."""
    wide = 2 * max(chosen.rough.radius, chosen.finish.radius)
    off = 0.0 if profile.side == "on" else wall_allowance(profile, chosen.rough)
    return beside(profile).band(0.0, wide + off + beyond_kerf(profile, chosen))


def _tab_fault(work: Work, held: Profile, other: Feature, met: BaseGeometry) -> PlanError:
    return refuse(
        held,
        f"{other.name} cuts through its tab at {work.say_at(met)}",
        "draw them apart, or give the tabs their places with at",
        key="tabs",
    )


def _skin_fault(work: Work, feature: Feature, held: Profile, met: BaseGeometry) -> PlanError:
    return refuse(
        feature,
        f"its cutter runs into the onion skin of {held.name} at {work.say_at(met)}, beside what it "
        "is drawn to cut",
        f"draw them apart, name a smaller cutter, or give {held.name} tabs instead of a skin",
    )
