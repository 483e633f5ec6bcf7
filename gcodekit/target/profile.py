"""Profiles: the kerf beside an outline or path, less the tabs and the skin that hold the piece."""

from __future__ import annotations

import math

from manifold3d import CrossSection, Manifold
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.overlay import less, union
from gcodekit.geometry.region import Region
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.model import Setup
from gcodekit.target import planar
from gcodekit.target.bodies import Box, DemandBody, Upright
from gcodekit.target.cutter_side import Side, side_of
from gcodekit.target.demand import Demand, FeatureCutters
from gcodekit.target.drawn_areas import area_of, line_of, tightest
from gcodekit.target.kind_target import RUN_OFF, KindTarget
from gcodekit.target.measured_walls import Moved, between_walls, over_walls
from gcodekit.target.neighbours import Neighbours
from gcodekit.target.setup_metal import SetupSoFar, bottom_of, plan
from gcodekit.target.tab_metal import tab_metal
from gcodekit.target.tab_spread import middles
from gcodekit.target.volumes import SLOT_SLACK, Extent, Finish, Middle, joined
from gcodekit.trade.cutter import Cutter
from gcodekit.units import Units, format_length

# Largest radius of a tangential lead-in beside a kerf, mm. Common practice, no source.
LARGEST_LEAD = 5.0
# A corner of waste at the stock's side is no wider than so many cutters. Common practice, no
# source.
SCRAP = 2


class ProfileTarget(KindTarget[Profile]):
    """Cut outside it keeps what it goes round, cut inside the plate round its window."""

    pierced = True
    kerf_wide = True

    def demand(
        self, feature: Profile, used: FeatureCutters, so_far: SetupSoFar, others: Neighbours
    ) -> Demand:
        """The finishing cutter's kerf must go; what roughing and leads take on the cutter's side
        of the line may, but nothing that others keep."""
        moved, stock_bottom = _moved(feature), bottom_of(so_far.setup)
        # roughed off the drawn wall, finished at the one moved by what was measured
        drawn, side = side_of(feature), side_of(feature, moved.wall)
        off, lead = max(used.allowance, used.left), _lead_of(used.cutter)
        far, past = 2 * used.widest + off + lead, used.widest + lead + RUN_OFF
        room = drawn.room(far, past)
        kerf = side.taken(used.cutter.radius, used.left)
        if moved.wall:
            room = union((room, side.room(far, past)))
        low, required, kept = feature.depth.cut_to - moved.floor, [], list[DemandBody]()
        allowed = room
        if feature.skin is not None:
            low = max(low, stock_bottom + feature.skin)
            kept.append(Upright(kerf, -math.inf, low))
        if feature.tabs is not None:
            top, tabs = stock_bottom + feature.tabs.height, tab_metal(feature, used, side)
            required = [Upright(less(kerf, tabs.missed), low, top)]
            kept.append(Upright(tabs.stays, -math.inf, top))
            # beside a tab the kerf need not go, but may
            allowed = union((room, kerf))
            required.append(Upright(kerf, max(low, top)))
        else:
            required = [Upright(kerf, low)]
        line = _line(feature)
        return Demand(
            name=feature.name,
            reach=min(used.cutter.radius, _tightest(feature, so_far)),
            required=tuple(required),
            allowed=(Upright(allowed, low),),
            kept=tuple(kept),
            along=True,
            protected=others.beside(feature.name, line, room, _along(side, used, off)),
        )

    def drawn(self, feature: Profile, whole: Demand) -> list[Box]:
        """Round its line."""
        del whole
        return [_line(feature).bounds]

    def kept(self, feature: Profile) -> tuple[Region, ...]:
        """The body it is cut outside of."""
        part = self.part(feature)
        return () if part is None or feature.side == "on" else (part,)

    def window(self, feature: Profile) -> Region | None:
        """The piece it is cut inside of."""
        return feature.outline if feature.side == "inside" else None

    def part(self, feature: Profile) -> Region | None:
        """The part it is cut outside of, or along the rim of."""
        return feature.outline if feature.side != "inside" else None

    def parts_stock(self, feature: Profile) -> bool:
        """Tell whether it goes through all, or would but for its skin."""
        return feature.depth.through or feature.skin is not None

    def in_plan(
        self, feature: Profile, setup: Setup, finish: Finish, extent: Extent
    ) -> CrossSection:
        """Its kerf."""
        del setup, extent
        return _solid_kerf(feature, finish.diameter)

    def low(self, feature: Profile, finish: Finish, extent: Extent, setup: Setup) -> float:
        """To its depth, at the least no farther than its tabs."""
        low = super().low(feature, finish, extent, setup)
        if extent == "least" and feature.tabs is not None:
            low = max(low, bottom_of(setup) + feature.tabs.height)
        return low

    def solid(
        self,
        feature: Profile,
        setup: Setup,
        finish: Finish,
        extent: Extent,
        stock: Manifold | None = None,
    ) -> Manifold:
        """Its kerf less its tabs; along a path nothing at the least."""
        if extent == "least" and feature.path is not None:
            return Manifold()
        whole = super().solid(feature, setup, finish, extent, stock)
        if extent != "drawn" or feature.tabs is None:
            return whole
        return whole - joined([body for _, body in self.tabs(feature, setup, finish)])

    def tab_middles(self, feature: Profile, widest: float) -> tuple[Middle, ...]:
        """By the published rule."""
        return () if feature.tabs is None else tuple(middles(feature, feature.tabs, widest))

    def tabs(self, feature: Profile, setup: Setup, finish: Finish) -> list[tuple[Point, Manifold]]:
        """The kerf wide; of an outline's corner no more than its straight piece."""
        if feature.tabs is None:
            return []
        kerf, across = _solid_kerf(feature, finish.diameter), 2 * finish.diameter + SLOT_SLACK
        width, height = feature.tabs.width, feature.tabs.height
        strips = ((t, planar.turned_box(t.point, t.along, width, across)) for t in finish.tabs)
        return [(t.point, _on_bottom(strip ^ kerf, height, setup)) for t, strip in strips]

    def skin(self, feature: Profile, setup: Setup, finish: Finish) -> Manifold | None:
        """All along its kerf."""
        if feature.skin is None:
            return None
        return _on_bottom(_solid_kerf(feature, finish.diameter), feature.skin, setup)

    def scrap(self, feature: Profile, finish: Finish) -> float:
        """A corner between its kerf and the stock's sides."""
        del feature
        return SCRAP * finish.diameter

    def remedy(self, feature: Profile, plate: int, units: Units) -> str:
        """Tabs that reach what holds, or a clamp."""
        if feature.tabs is None:
            return "add tabs, or clamp it"
        if plate:
            height = format_length(feature.tabs.height, units)
            return f"its tabs are {height} high: make them high enough to reach into every plate"
        return "its tabs meet no stock beyond the kerf: use larger stock, or clamp it"


def _moved(profile: Profile) -> Moved:
    """The move of its wall and floor: a cutter outside it leaves what is measured over its
    walls."""
    return over_walls(profile) if profile.side == "outside" else between_walls(profile)


def _line(profile: Profile) -> BaseGeometry:
    """The line it follows: an outline as the area within, a path as a line."""
    if profile.outline is not None:
        return area_of(profile.outline)
    assert profile.path is not None  # the job gives one of both
    return line_of(profile.path)


def _lead_of(cutter: Cutter) -> float:
    """The largest radius of a lead-in: the cutter's own, for a smaller arc turns harder."""
    return min(cutter.radius, LARGEST_LEAD)


def _along(side: Side, used: FeatureCutters, off: float) -> BaseGeometry:
    """The area that the cutters sweep along the line, off the wall and on it, and past open
    ends."""
    past = (side.past_ends(c.radius, w) for c in used.cutters for w in (0.0, off))
    return union((side.band(2 * used.widest + off), *past))


def _tightest(profile: Profile, so_far: SetupSoFar) -> float:
    """The smallest drawn round that the cutter lies in."""
    if profile.side == "on":
        return math.inf
    left = profile.side in ("inside", "left")
    return tightest(profile.chains, left=left, within=plan(so_far.setup))


def _solid_kerf(profile: Profile, width: float) -> CrossSection:
    """Its kerf for the solids, as wide as its cutter."""
    if profile.path is not None:
        if profile.side == "on":
            return planar.swept(profile.path, width / 2)
        return planar.beside(profile.path, width, left=profile.side == "left")
    assert profile.outline is not None
    area = planar.area_of(profile.outline)
    match profile.side:
        case "outside":
            return planar.grown(area, width) - area
        case "inside":
            return area - planar.grown(area, -width)
        case _:
            return planar.grown(area, width / 2) - planar.grown(area, -width / 2)


def _on_bottom(area: CrossSection, height: float, setup: Setup) -> Manifold:
    """The solid on the stock's bottom over an area."""
    return Manifold.extrude(area, height).translate((0, 0, bottom_of(setup)))


TARGET: KindTarget[Profile] = ProfileTarget()
