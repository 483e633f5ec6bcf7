"""The target of a set-up at every height, from the drawing: what a program is held against.

Air: no stock now. Required: stock that has to go. Allowed: stock beside it that may go. Kept: stock
to be left inside that (tabs, skin). Nothing here is known to what plans, cuts or writes: of those
come only the cutters that were chosen, as the rack has them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import EMPTY, joined, less, union
from gcodekit.job.feature import Feature
from gcodekit.job.model import Job, Setup
from gcodekit.target.bodies import Box
from gcodekit.target.demand import Demand, FeatureCutters, ThreadDemand, used_on
from gcodekit.target.drawn_areas import framed
from gcodekit.target.kind_target import RUN_OFF, target_kind
from gcodekit.target.neighbours import Neighbours
from gcodekit.target.other_setups import OtherSetup
from gcodekit.target.setup_metal import SetupSoFar, bottom_of, metal, metal_levels, plan, top_of
from gcodekit.trade.cutter import Cutter

# Levels nearer than this are one, mm.
ONE_LEVEL = 1e-6
# AIR is given so far beyond the metal, mm: farther than any cutter reaches from it.
AIR_BEYOND = 200.0


@dataclass(frozen=True, slots=True)
class FeatureSlice:
    """One feature at one height. `reach` is the radius of its finishing cutter, mm: corners
    tighter than that are out of reach; `band` the width of the limits its size has, mm. `room`: the
    box in plan that its cutters do not leave where there is metal beside them. `along`: they go
    along its line and turn in its corners, in the metal or beyond its edge. `into`: the feature
    that it breaks into, and goes on in free space down to `opens_to`. `find_beyond_reach` finds
    `beyond_reach`, for which few ask."""

    name: str
    required: BaseGeometry
    allowed: BaseGeometry
    kept: BaseGeometry
    reach: float
    band: float | None = None
    room: Box | None = None
    along: bool = False
    into: str = ""
    opens_to: float = 0.0
    find_beyond_reach: Callable[[], BaseGeometry] = lambda: EMPTY

    @property
    def beyond_reach(self) -> BaseGeometry:
        """Of what is required the part that the flanks of its cutters do not get to."""
        return self.find_beyond_reach()


@dataclass(frozen=True, slots=True)
class Slice:
    """The whole set-up at one height z: unions over its features, AIR of the metal there is.

    `required` and `allowed` are joined off the grid: a hair may be left between features that only
    touch.
    """

    z: float
    air: BaseGeometry
    required: BaseGeometry
    allowed: BaseGeometry
    kept: BaseGeometry
    features: tuple[FeatureSlice, ...]


class Target:
    """The target of a set-up, at any height."""

    def __init__(
        self, setup: Setup, demands: Sequence[Demand], elsewhere: Sequence[OtherSetup]
    ) -> None:
        self._setup, self._demands, self._elsewhere = setup, tuple(demands), tuple(elsewhere)
        self._slices: dict[float, Slice] = {}
        self.levels: tuple[float, ...] = self._levels()

    def _levels(self) -> tuple[float, ...]:
        """Descending: where the drawing or the metal changes, within the metal's height."""
        bottom, top = bottom_of(self._setup), top_of(self._setup)
        found = {bottom, top, *metal_levels(self._setup)}
        found.update(z for demand in self._demands for z in demand.levels)
        found.update(z for other in self._elsewhere for z in other.levels)
        # where one breaks into free space its metal ends, at no level of its own
        found.update(f.depth.floor for f in self._setup.features if f.depth.into)
        kept: list[float] = []
        for z in sorted((z for z in found if bottom <= z <= top), reverse=True):
            if not kept or kept[-1] - z > ONE_LEVEL:
                kept.append(z)
        return tuple(kept)

    @property
    def threads(self) -> tuple[ThreadDemand, ...]:
        """The threads of all its features."""
        return tuple(thread for demand in self._demands for thread in demand.threads)

    def slice(self, z: float) -> Slice:
        """The demand at a height."""
        if z not in self._slices:
            self._slices[z] = self._sliced(z)
        return self._slices[z]

    def asks(self, z: float) -> bool:
        """Tell whether anything has to go at a height."""
        return any(not d.required_at(z).is_empty for d in self._demands)

    def _sliced(self, z: float) -> Slice:
        features = tuple(
            FeatureSlice(
                name=d.name,
                required=d.required_at(z),
                allowed=d.allowed_at(z),
                kept=self._stay(d, z),
                reach=d.reach,
                band=d.band,
                room=d.room,
                along=d.along,
                into=d.into,
                opens_to=d.opens_to,
                find_beyond_reach=partial(d.beyond_reach_at, z),
            )
            for d in self._demands
        )
        elsewhere = (s for other in self._elsewhere for s in other.cut_at(z))
        return Slice(
            z=z,
            air=less(framed(plan(self._setup), AIR_BEYOND), metal(self._setup, z)),
            required=joined(f.required for f in features),
            allowed=joined((*(f.allowed for f in features), *elsewhere)),
            kept=union(f.kept for f in features),
            features=features,
        )

    def _stay(self, demand: Demand, z: float) -> BaseGeometry:
        """A feature's tabs and skin; where another feature takes the metal nothing can stay."""
        kept = demand.kept_at(z)
        if kept.is_empty:
            return kept
        others = (d.through_at(z) for d in self._demands if d is not demand)
        return less(kept, union(m for m in others if m.intersects(kept)))


def build_target(job: Job, setup: Setup, cutters: Mapping[str, Sequence[Cutter]]) -> Target:
    """Return the target of one set-up: what its drawing requires, allows and keeps.

    Parameters
    ----------
    cutters : with what each feature is cut, by name, the one that gives its surface first: all of
        this set-up's, and those of other set-ups, whose metal may go too. A feature of another
        set-up that is not named counts as metal to be kept.
    """
    used = {
        f.name: used_on(f, cutters[f.name])
        for each in job.setups
        for f in each.features
        if f.name in cutters
    }
    return target_of(job, setup, used)


def target_of(job: Job, setup: Setup, used: Mapping[str, FeatureCutters]) -> Target:
    """The same, what is left on each feature being known."""
    missing = [f.name for f in setup.features if f.name not in used]
    if missing:
        raise KeyError(f"no cutters for {', '.join(missing)}")
    others = (s for s in job.setups if s.name != setup.name and setup.shares_stock(s))
    elsewhere = [OtherSetup(other, demands_of(other, used), setup) for other in others]
    return Target(setup, demands_of(setup, used), elsewhere)


def demands_of(setup: Setup, used: Mapping[str, FeatureCutters]) -> tuple[Demand, ...]:
    """The demands of the set-up's features, in the order listed; none for those without cutters."""
    so_far, others = SetupSoFar(setup), Neighbours(setup)
    for feature in setup.features:
        if feature.name in used:
            so_far.demands.append(demand_of(feature, used[feature.name], so_far, others))
    return tuple(so_far.demands)


def demand_of(
    feature: Feature, used: FeatureCutters, so_far: SetupSoFar, others: Neighbours
) -> Demand:
    """The demand of one feature, its tolerance, and where its cutters may be."""
    band = feature.band
    whole = target_kind(feature).demand(feature, used, so_far, others)
    return replace(
        whole,
        band=band.width if band is not None else None,
        room=_cutters_room(feature, used, so_far.setup, whole),
        into=feature.depth.into,
        opens_to=feature.depth.cut_to,
    )


def _cutters_room(feature: Feature, used: FeatureCutters, setup: Setup, whole: Demand) -> Box:
    """The box in plan that no edge of a feature's cutters leaves at the metal's height: round the
    metal and what is drawn, wider by a whole cutter that runs off, and by what its kind asks.
    `whole`: what the feature demands."""
    kind = target_kind(feature)
    off = 2 * used.widest + RUN_OFF + kind.beyond(feature, used)
    every = [plan(setup).bounds, *kind.drawn(feature, whole)]
    x0, y0 = (min(b[i] for b in every) - off for i in (0, 1))
    x1, y1 = (max(b[i] for b in every) + off for i in (2, 3))
    return (x0, y0, x1, y1)
