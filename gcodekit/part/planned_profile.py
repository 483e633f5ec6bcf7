"""Profiles: the kerf beside an outline or path, with tabs and skin left standing."""

from __future__ import annotations

import math
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import EMPTY, less, union
from gcodekit.job.kinds.profile import Profile
from gcodekit.part.plane_regions import RUN_OFF, lead_radius, tightest_round
from gcodekit.part.planned_target import FeatureContext, FinishingCut, PlannedTarget
from gcodekit.part.profile_side import ProfileSide, beside
from gcodekit.part.setup_stock import plan
from gcodekit.part.solids import Prism
from gcodekit.part.tab_cores import core_of, missed_by
from gcodekit.part.tab_places import tab_places


def ask_profile(profile: Profile, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
    """The finishing cutter's kerf must go, less tabs and skin; roughing and leads may take more
    on the cutter's side, but no other feature's kept body."""
    line = beside(profile)
    room = line.room(_widest(cut), past=_past_ends(cut))
    kerf = line.kerf(cut.cutter.radius, cut.left)
    low = _low(profile, around)
    tabs = _Standing.of(profile, cut, line)
    required = [Prism(kerf, max(low, _tab_top(profile, around)))]
    if profile.tabs is not None:
        required.append(Prism(less(kerf, tabs.gaps), low, _tab_top(profile, around)))
    kept = [Prism(tabs.cores, -math.inf, _tab_top(profile, around))] if profile.tabs else []
    if profile.skin is not None:
        kept.append(Prism(kerf, -math.inf, low))
    return PlannedTarget(
        name=profile.name,
        reach=min(cut.cutter.radius, _tightest(profile, around)),
        required=tuple(required),
        # beside a tab the kerf need not go, but may
        allowed=(Prism(union((room, kerf)) if profile.tabs else room, low),),
        kept=tuple(kept),
        protected=around.kept.near(profile, room, _swept(line, cut)),
    )


def _low(profile: Profile, around: FeatureContext) -> float:
    if profile.skin is None:
        return profile.depth.cut_to
    return max(profile.depth.cut_to, around.setup.left.low[2] + profile.skin)


def _tab_top(profile: Profile, around: FeatureContext) -> float:
    if profile.tabs is None:
        return -math.inf
    return around.setup.left.low[2] + profile.tabs.height


def _swept(line: ProfileSide, cut: FinishingCut) -> BaseGeometry:
    """The area that the cutters sweep along the line, roughing off the wall and finishing on it;
    past an open path's ends each takes half of its own disc."""
    off = max(cut.allowance, cut.left)
    along = line.band(0.0, max(2 * c.radius for c in cut.cutters) + off)
    past = (line.past_ends(c.radius, off=w) for c in cut.cutters for w in (0.0, off))
    return union((along, *past))


def _widest(cut: FinishingCut) -> float:
    """The farthest that cutters may be from the wall: kerf, allowance and lead."""
    kerf = max(2 * c.radius for c in cut.cutters)
    return kerf + max(cut.allowance, cut.left) + lead_radius(cut.cutter)


def _past_ends(cut: FinishingCut) -> float:
    """The farthest that cutters may be past an open path's ends: a lead's arc and the cutter on
    it."""
    return max(c.radius for c in cut.cutters) + lead_radius(cut.cutter) + RUN_OFF


def _tightest(profile: Profile, around: FeatureContext) -> float:
    """The smallest drawn round that the cutter lies in."""
    if profile.side == "on":
        return math.inf
    left = profile.side in ("inside", "left")
    chains = profile.outline.rings if profile.outline else (profile.path,) if profile.path else ()
    return tightest_round(chains, left=left, within=plan(around.setup))


@dataclass(frozen=True, slots=True)
class _Standing:
    """The tabs in plan: `cores` of full width must stay; within `gaps` the kerf need not be cut."""

    cores: BaseGeometry = EMPTY
    gaps: BaseGeometry = EMPTY

    @staticmethod
    def of(profile: Profile, cut: FinishingCut, line: ProfileSide) -> _Standing:
        """The profile's tabs across its kerf."""
        if profile.tabs is None:
            return _Standing()
        radius, half = cut.cutter.radius, profile.tabs.width / 2
        # a tab stands across all that the cutter takes, off the wall by what is left on it
        off = 0.0 if profile.side == "on" else cut.left
        across = line.band(0.0, 2 * radius + off)
        places = tab_places(profile, max(c.radius for c in cut.cutters))
        cores, gaps = [], []
        for tab in places:
            core = core_of(tab, line, across, half=half, radius=radius + off / 2)
            cores.append(core)
            gaps.append(missed_by(core, line, radius=radius, off=off))
        return _Standing(union(cores), union(gaps))
