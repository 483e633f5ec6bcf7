"""Bosses: what lies round an outline to a floor, the outline left standing."""

from __future__ import annotations

from manifold3d import CrossSection

from gcodekit.geometry.overlay import less, union
from gcodekit.geometry.region import Region
from gcodekit.job.kinds.boss import Boss
from gcodekit.job.model import Setup
from gcodekit.target import planar
from gcodekit.target.bodies import Box
from gcodekit.target.demand import Demand, FeatureCutters
from gcodekit.target.drawn_areas import area_of, framed, tightest
from gcodekit.target.floors import ASKED_BEYOND, to_floor
from gcodekit.target.kind_target import KindTarget
from gcodekit.target.measured_walls import over_walls
from gcodekit.target.neighbours import Neighbours, kept_beside, kept_higher, spared
from gcodekit.target.setup_metal import SetupSoFar, plan
from gcodekit.target.volumes import SLOT_SLACK, Extent, Finish, everywhere
from gcodekit.units import Units


class BossTarget(KindTarget[Boss]):
    """It goes as far as `within` or beyond the metal."""

    def demand(
        self, feature: Boss, used: FeatureCutters, so_far: SetupSoFar, others: Neighbours
    ) -> Demand:
        """The demand round the boss; not what other features keep, unless the boss stands on it."""
        del others
        setup, kept = so_far.setup, area_of(feature.kept)
        whole, within = plan(setup), feature.within
        round_ = framed(whole, ASKED_BEYOND) if within is None else area_of(within)
        area = less(round_, union((kept, *spared(feature, kept, setup))))
        reach = min(
            used.cutter.radius,
            tightest(feature.kept.rings, left=False, within=whole),
            tightest(within.rings if within else (), left=True, within=whole),
        )
        return to_floor(feature, area, used, setup, reach, over_walls(feature))

    def drawn(self, feature: Boss, whole: Demand) -> list[Box]:
        """Round what is cleared, or what is kept."""
        del whole
        return [area_of(feature.within or feature.kept).bounds]

    def kept(self, feature: Boss) -> tuple[Region, ...]:
        """Itself."""
        return (feature.kept,)

    def part(self, feature: Boss) -> Region | None:
        """Itself."""
        return feature.kept

    def parts_stock(self, feature: Boss) -> bool:
        """Tell whether the stock is cut through all round it."""
        return feature.within is not None and feature.depth.through

    def in_plan(self, feature: Boss, setup: Setup, finish: Finish, extent: Extent) -> CrossSection:
        """Round it, less what others keep. One that stands on another's boss is cut out of that;
        how much of it is not said at the least. At the most what stands apart from it stays."""
        del finish
        rim = everywhere(setup) if feature.within is None else planar.area_of(feature.within)
        own = planar.area_of(feature.kept)
        if extent == "most":
            higher = [k for k in kept_higher(feature, setup) if (own ^ k).is_empty()]
            return rim - own - planar.union(higher)
        kept = kept_beside(feature, setup)
        if extent == "drawn":
            kept = [k for k in kept if (own - k).area() > SLOT_SLACK]
        return rim - own - planar.union(kept)

    def remedy(self, feature: Boss, plate: int, units: Units) -> str:
        """A clamp, for it has no tabs."""
        del feature, plate, units
        return "clamp it"


TARGET: KindTarget[Boss] = BossTarget()
