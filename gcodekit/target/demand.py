"""The demand of one feature: bodies required, allowed and kept; and the cutters it is cut with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.overlay import less, union
from gcodekit.job.feature import Feature
from gcodekit.target.bodies import Box, DemandBody, sections
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.milling_force import left_on_walls
from gcodekit.trade.thread_limits import ThreadLimits


@dataclass(frozen=True, slots=True, kw_only=True)
class FeatureCutters:
    """The cutters of a feature. `cutter` gives its surface. mm: `allowance` is the most that
    roughing leaves on its walls for finishing; `left` and `left_on_floor` what stays on purpose."""

    cutter: Cutter
    others: tuple[Cutter, ...] = ()
    allowance: float = 0.0
    left: float = 0.0
    left_on_floor: float = 0.0

    @property
    def cutters(self) -> tuple[Cutter, ...]:
        """All of them."""
        return (self.cutter, *self.others)

    @property
    def widest(self) -> float:
        """The largest radius."""
        return max(c.radius for c in self.cutters)


def used_on(feature: Feature, cutters: Sequence[Cutter]) -> FeatureCutters:
    """The cutters of a feature, the finishing one first, with the allowances that the job leaves:
    its own figures, else the usual ones."""
    last, *others = cutters
    cutting = feature.cutting

    def wall(cutter: Cutter) -> float:
        given = cutting.wall_allowance
        return left_on_walls(cutter.diameter) if given is None else given

    floor = 0.0 if cutting.finish or feature.depth.through else cutting.floor_allowance or 0.0
    return FeatureCutters(
        cutter=last,
        others=tuple(others),
        allowance=max(wall(c) for c in cutters),
        left=0.0 if cutting.finish else wall(last),
        left_on_floor=floor,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadDemand:
    """A thread that the helical moves of a feature have to cut about an axis at `place`: its
    limits, its hand, and from where to where it has to be full, z."""

    feature: str
    place: Point
    limits: ThreadLimits
    left: bool
    top: float
    floor: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """The demand of one feature: what it requires, allows and keeps.

    `protected`: bodies that its `allowed` does not reach into; `points`, part of its `allowed`, go
    through another's tabs and skin as well. `reach`: radius of its finishing cutter, or of the
    tightest round it has to get into. `band`: width of its size's limits, mm. `room`: the box in
    plan that its cutters do not leave at the stock's height. `along`: it is cut along its line,
    and in a corner the cutter turns, metal or not. `into`: the feature that it breaks into, free
    space down to `opens_to`. `threads` are not to be seen in any section. `beyond_reach`: of what
    is required the part that no radius tells: a sloping flank does not get there.
    """

    name: str
    reach: float
    required: tuple[DemandBody, ...]
    allowed: tuple[DemandBody, ...] = ()
    kept: tuple[DemandBody, ...] = ()
    protected: tuple[DemandBody, ...] = ()
    points: tuple[DemandBody, ...] = ()
    beyond_reach: tuple[DemandBody, ...] = ()
    band: float | None = None
    room: Box | None = None
    along: bool = False
    into: str = ""
    opens_to: float = 0.0
    threads: tuple[ThreadDemand, ...] = ()
    _found: dict[float, BaseGeometry] = field(
        init=False, default_factory=dict, compare=False, repr=False
    )

    @property
    def levels(self) -> frozenset[float]:
        """Heights where any of it changes."""
        bodies = (*self.required, *self.allowed, *self.kept, *self.protected)
        return frozenset(z for body in bodies for z in body.levels)

    def required_at(self, z: float) -> BaseGeometry:
        """The area that has to be cut at a height."""
        if z not in self._found:
            self._found[z] = sections(self.required, z)
        return self._found[z]

    def allowed_at(self, z: float) -> BaseGeometry:
        """The area that may be cut as well."""
        return less(sections(self.allowed, z), sections(self.protected, z))

    def kept_at(self, z: float) -> BaseGeometry:
        """The area that has to remain."""
        return sections(self.kept, z)

    def beyond_reach_at(self, z: float) -> BaseGeometry:
        """The area of what is required that the cutter's flank does not reach."""
        return sections(self.beyond_reach, z)

    def through_at(self, z: float) -> BaseGeometry:
        """The area of another feature's tabs and skin that goes."""
        return union((self.required_at(z), sections(self.points, z)))

    def near(self, area: BaseGeometry) -> bool:
        """Tell whether anything that must go may lie over an area."""
        x0, y0, x1, y1 = area.bounds
        boxes = (body.bounds for body in self.required)
        return any(b[0] <= x1 and b[2] >= x0 and b[1] <= y1 and b[3] >= y0 for b in boxes)
