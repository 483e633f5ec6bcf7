"""What one feature demands: bodies that must go, may go and must stay; and with what it is cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import common, less, union
from gcodekit.job.feature import Feature
from gcodekit.job.model import Setup
from gcodekit.target.bodies import Body, Box, sections
from gcodekit.target.metal import bottom_of, metal, metal_levels, top_of
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.milling_force import left_on_walls

# Just under a level, mm.
UNDER = 1e-4
# Metal nowhere thicker than twice this is none, mm: equal outlines drawn in other chords.
HAIR = 0.001


@dataclass(frozen=True, slots=True, kw_only=True)
class Used:
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


def used_on(feature: Feature, cutters: Sequence[Cutter]) -> Used:
    """What the job leaves on a feature with these cutters, the finishing one first: its own
    figures, else what the trade leaves."""
    last, *others = cutters
    cutting = feature.cutting

    def wall(cutter: Cutter) -> float:
        given = cutting.wall_allowance
        return left_on_walls(cutter.diameter) if given is None else given

    floor = 0.0 if cutting.finish or feature.depth.through else cutting.floor_allowance or 0.0
    return Used(
        cutter=last,
        others=tuple(others),
        allowance=max(wall(c) for c in cutters),
        left=0.0 if cutting.finish else wall(last),
        left_on_floor=floor,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """One feature's. `kept`: bodies that its `may` does not reach into; `points`, of its `may`, go
    through another's tabs and skin as well. `reach`: radius of its finishing cutter, or of the
    tightest round it has to get into. `band`: width of its size's limits, mm. `room`: the box in
    plan that its cutters do not leave at the metal's height. `along`: it is cut along its line, and
    in a corner the cutter turns, metal or not."""

    name: str
    reach: float
    must: tuple[Body, ...]
    may: tuple[Body, ...] = ()
    stay: tuple[Body, ...] = ()
    kept: tuple[Body, ...] = ()
    points: tuple[Body, ...] = ()
    band: float | None = None
    room: Box | None = None
    along: bool = False
    _found: dict[float, BaseGeometry] = field(
        init=False, default_factory=dict, compare=False, repr=False
    )

    @property
    def levels(self) -> frozenset[float]:
        """Heights where any of it changes."""
        bodies = (*self.must, *self.may, *self.stay, *self.kept)
        return frozenset(z for body in bodies for z in body.levels)

    def must_at(self, z: float) -> BaseGeometry:
        """What has to go at a height."""
        if z not in self._found:
            self._found[z] = sections(self.must, z)
        return self._found[z]

    def may_at(self, z: float) -> BaseGeometry:
        """What may go besides."""
        return less(sections(self.may, z), sections(self.kept, z))

    def stay_at(self, z: float) -> BaseGeometry:
        """What has to remain."""
        return sections(self.stay, z)

    def through_at(self, z: float) -> BaseGeometry:
        """What goes of another feature's tabs and skin."""
        return union((self.must_at(z), sections(self.points, z)))

    def near(self, area: BaseGeometry) -> bool:
        """Whether anything that must go may lie over an area."""
        x0, y0, x1, y1 = area.bounds
        boxes = (body.bounds for body in self.must)
        return any(b[0] <= x1 and b[2] >= x0 and b[1] <= y1 and b[3] >= y0 for b in boxes)


class Bench:
    """A set-up with what its features demand, one after another in the order written."""

    def __init__(self, setup: Setup) -> None:
        self.setup = setup
        self.demands: list[Demand] = []

    def metal_over(self, area: BaseGeometry, z: float) -> BaseGeometry:
        """The metal over an area at a height when the next feature's turn comes."""
        gone = union(d.must_at(z) for d in self.demands if d.near(area))
        return less(common(area, metal(self.setup, z)), gone)

    def top_over(self, area: BaseGeometry) -> float:
        """z of the highest metal over an area then; the metal's bottom where none is left."""
        bottom, top = bottom_of(self.setup), top_of(self.setup)
        found = {z for d in self.demands if d.near(area) for z in d.levels}
        levels = {top, *metal_levels(self.setup), *found}
        down = [*sorted((z for z in levels if bottom < z <= top), reverse=True), bottom]
        # what was cut from the side may come to an edge at its top: it stands at its foot
        askew = not all(r.upright for r in self.setup.gone)
        for z, below in pairwise(down):
            heights = (z - UNDER, below + UNDER) if askew else (z - UNDER,)
            if any(not self.metal_over(area, at).buffer(-HAIR).is_empty for at in heights):
                return z
        return bottom
