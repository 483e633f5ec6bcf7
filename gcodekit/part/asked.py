"""What one feature asks for, as bodies that must go, may go and must stay."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from gcodekit.job.model import Feature, Setup
from gcodekit.part.metal import metal
from gcodekit.part.plane import common, less, union
from gcodekit.part.solids import Solid
from gcodekit.part.tabs import TabPlace
from gcodekit.trade.cutter import Cutter


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishingCut:
    """With what a feature is cut, as the plan chose.

    `cutter` gives the finished surface; `others` are all the rest used on it (roughing mill, spot
    drill, drill before the reamer). `allowance` is what roughing leaves on walls for finishing;
    `left`, `left_on_floor` what is left on purpose when the job wants no finishing, mm. `tabs`:
    where a profile's tabs stand; left out, where `tab_places` puts them.
    """

    cutter: Cutter
    others: tuple[Cutter, ...] = ()
    allowance: float = 0.0
    left: float = 0.0
    left_on_floor: float = 0.0
    tabs: tuple[TabPlace, ...] = ()

    @property
    def cutters(self) -> tuple[Cutter, ...]:
        """All of them."""
        return (self.cutter, *self.others)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One feature's wishes. `kept` are bodies its MAY does not reach into.

    What must and may go is not cut off at the metal's edge: where it meets the edge it overlaps
    the free space beside, so that no hair of metal seems to stand between them.
    """

    name: str
    reach: float
    must: tuple[Solid, ...]
    may: tuple[Solid, ...] = ()
    stay: tuple[Solid, ...] = ()
    kept: tuple[Solid, ...] = ()

    @property
    def levels(self) -> frozenset[float]:
        """Heights where any of it changes."""
        bodies = (*self.must, *self.may, *self.stay, *self.kept)
        return frozenset(z for body in bodies for z in body.levels)

    def must_at(self, z: float) -> BaseGeometry:
        """What has to go at a height."""
        return _sections(self.must, z)

    def stay_at(self, z: float) -> BaseGeometry:
        """What is asked to remain at a height."""
        return _sections(self.stay, z)

    def may_at(self, z: float) -> BaseGeometry:
        """What may go besides at a height."""
        return less(_sections(self.may, z), _sections(self.kept, z))


def _sections(bodies: Iterable[Solid], z: float) -> BaseGeometry:
    return union(body.section(z) for body in bodies)


@dataclass(frozen=True, slots=True)
class Around:
    """What a feature is asked in: the set-up, and what was asked before it."""

    setup: Setup
    earlier: tuple[Asked, ...]

    def standing(self, z: float) -> BaseGeometry:
        """The metal at a height once everything asked earlier is gone."""
        return less(metal(self.setup, z), union(a.must_at(z) for a in self.earlier))

    def top_over(self, area: BaseGeometry) -> float:
        """z of the highest metal over an area when the feature's turn comes; the raw metal's
        bottom where none is left."""
        bottom, top = self.setup.raw.low[2], self.setup.raw.high[2]
        levels = {top, *(z for a in self.earlier for z in a.levels)}
        for z in sorted((z for z in levels if bottom < z <= top), reverse=True):
            # shrunk, so that equal outlines flattened differently count as covered
            if not common(area, self.standing(z - BELOW)).buffer(-COVER).is_empty:
                return z
        return bottom


# Just below a level, mm.
BELOW = 1e-4
# Slivers thinner than twice this are no metal to stand on, mm.
COVER = 0.001


def features_beside(setup: Setup, feature: Feature) -> tuple[Feature, ...]:
    """The set-up's other features."""
    return tuple(f for f in setup.features if f.name != feature.name)
