"""The target of one feature as planning sees it: bodies required, allowed and kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import common, less, union
from gcodekit.job.model import Setup
from gcodekit.job.stock.raw_metal import stock_levels
from gcodekit.part.kept_bodies import KeptBodies
from gcodekit.part.setup_stock import metal, metal_levels
from gcodekit.part.solids import Solid
from gcodekit.trade.cutter import Cutter


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishingCut:
    """The cutters that a feature is finished with, as the plan chose.

    `cutter` gives the finished surface; `others` are all the rest used on it (roughing mill, spot
    drill, drill before the reamer). `allowance` is what roughing leaves on walls for finishing;
    `left`, `left_on_floor` what is left on purpose when the job wants no finishing, mm.
    """

    cutter: Cutter
    others: tuple[Cutter, ...] = ()
    allowance: float = 0.0
    left: float = 0.0
    left_on_floor: float = 0.0

    @property
    def cutters(self) -> tuple[Cutter, ...]:
        """All of them."""
        return (self.cutter, *self.others)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedTarget:
    """The target of one feature: required, allowed and kept. `box` holds all that is required;
    `protected` are bodies of other features that `allowed` does not reach into.

    What must and may go is not cut off at the metal's edge: where it meets the edge it overlaps
    the free space beside, so that no hair of metal seems to stand between them.
    """

    name: str
    reach: float
    required: tuple[Solid, ...]
    allowed: tuple[Solid, ...] = ()
    kept: tuple[Solid, ...] = ()
    protected: tuple[Solid, ...] = ()
    box: tuple[float, float, float, float] = field(init=False)
    _must_found: dict[float, BaseGeometry] = field(
        init=False, default_factory=dict, compare=False, repr=False
    )

    def __post_init__(self) -> None:
        boxes = [body.bounds for body in self.required]
        low = [min(b[i] for b in boxes) for i in (0, 1)]
        high = [max(b[i] for b in boxes) for i in (2, 3)]
        object.__setattr__(self, "box", (*low, *high))

    @property
    def levels(self) -> frozenset[float]:
        """Heights where any of it changes."""
        bodies = (*self.required, *self.allowed, *self.kept, *self.protected)
        return frozenset(z for body in bodies for z in body.levels)

    def required_at(self, z: float) -> BaseGeometry:
        """The area that has to be cut at a height."""
        if z not in self._must_found:
            self._must_found[z] = _sections(self.required, z)
        return self._must_found[z]

    def kept_at(self, z: float) -> BaseGeometry:
        """The area that has to remain at a height."""
        return _sections(self.kept, z)

    def allowed_at(self, z: float) -> BaseGeometry:
        """The area that may be cut as well at a height."""
        return less(_sections(self.allowed, z), _sections(self.protected, z))


def _sections(bodies: Sequence[Solid], z: float) -> BaseGeometry:
    found = [s for body in bodies if not (s := body.section(z)).is_empty]
    return found[0] if len(found) == 1 else union(found)


# Just below a level, mm.
BELOW = 1e-4
# Slivers thinner than twice this are no metal to stand on, mm.
SLIVER = 0.001


class FeatureContext:
    """The context of a feature: the set-up, and the targets of the features before it."""

    def __init__(self, setup: Setup, earlier: Sequence[PlannedTarget] = ()) -> None:
        self.setup, self._earlier = setup, list(earlier)
        self.kept = KeptBodies(setup)

    def add(self, asked: PlannedTarget) -> None:
        """Take in what the next feature asks."""
        self._earlier.append(asked)

    @property
    def asked(self) -> tuple[PlannedTarget, ...]:
        """All taken in so far."""
        return tuple(self._earlier)

    def standing(self, area: BaseGeometry, z: float) -> BaseGeometry:
        """The metal within an area at a height once everything asked earlier is gone."""
        near = common(area, metal(self.setup, z))
        return less(near, union(a.required_at(z) for a in self.near(area)))

    def standing_above(self, area: BaseGeometry, floor: float) -> BaseGeometry:
        """The same seen from above: all that stands anywhere over a floor, be it hollow below."""
        bottom, top = self.setup.left.low[2], self.setup.left.high[2]
        floor = max(floor, bottom)
        levels = {*metal_levels(self.setup), *(z for a in self.near(area) for z in a.levels)}
        looks = {floor + BELOW, *(z + BELOW for z in levels if floor < z < top)}
        # a lying bar is widest at its axis
        looks.add(max(floor + BELOW, (bottom + top) / 2))
        # off a level cut from the side it may widen downwards as well
        if not all(r.upright for r in self.setup.gone):
            looks |= {z - BELOW for z in levels if floor + BELOW < z <= top}
        return union(self.standing(area, z) for z in looks)

    def top_over(self, area: BaseGeometry) -> float:
        """z of the highest metal over an area when the feature's turn comes; the raw metal's
        bottom where none is left."""
        bottom, top = self.setup.left.low[2], self.setup.left.high[2]
        levels = {top, *metal_levels(self.setup), *(z for a in self.near(area) for z in a.levels)}
        heights = [*sorted((z for z in levels if bottom < z <= top), reverse=True), bottom]
        upright = all(r.upright for r in self.setup.gone)
        lying = bool(stock_levels(self.setup.raw))
        for z, lower in pairwise(heights):
            if self._stands(area, z - BELOW):
                return z
            # cut from the side a ridge may come to a point: what stands at its foot goes up to it
            if (lying or not upright) and self._stands(area, lower + BELOW):
                return self._flank_over(area, lower + BELOW, z) if lying else z
        return bottom

    def _stands(self, area: BaseGeometry, z: float) -> bool:
        # shrunk, so that equal outlines flattened differently count as covered
        return not self.standing(area, z).buffer(-SLIVER).is_empty

    def _flank_over(self, area: BaseGeometry, low: float, high: float) -> float:
        """The height to which a lying bar's flank lies over an area; it does at `low` and not at
        `high`."""
        while high - low > BELOW:
            middle = (low + high) / 2
            low, high = (middle, high) if self._stands(area, middle) else (low, middle)
        return high

    def near(self, area: BaseGeometry) -> list[PlannedTarget]:
        """The targets of earlier features anywhere near an area."""
        x0, y0, x1, y1 = area.bounds
        return [
            a
            for a in self._earlier
            if a.box[0] <= x1 and a.box[2] >= x0 and a.box[1] <= y1 and a.box[3] >= y0
        ]
