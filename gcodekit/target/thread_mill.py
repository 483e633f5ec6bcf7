"""Milled threads: between crests and roots the stock may go; the helix has to be the thread's."""

from __future__ import annotations

import shapely
from manifold3d import CrossSection, Manifold

from gcodekit.geometry.overlay import less
from gcodekit.job.kinds.thread_mill import ThreadMill
from gcodekit.job.model import Setup
from gcodekit.target import planar
from gcodekit.target.bodies import Box, Upright
from gcodekit.target.demand import Demand, FeatureCutters, ThreadDemand
from gcodekit.target.drawn_areas import discs, framed
from gcodekit.target.kind_target import KindTarget
from gcodekit.target.neighbours import Neighbours
from gcodekit.target.setup_metal import SetupSoFar
from gcodekit.target.volumes import Extent, Finish, upright
from gcodekit.trade.cutter import Cutter


class ThreadTarget(KindTarget[ThreadMill]):
    """In plane sections a thread is a ring that may go; what its grooves are like is asked of the
    moves (`ThreadDemand`). Later features and set-ups may count on its bore alone."""

    def demand(
        self, feature: ThreadMill, used: FeatureCutters, so_far: SetupSoFar, others: Neighbours
    ) -> Demand:
        """The bore, or the room round the boss; the ring of the thread may go."""
        del so_far, others
        limits, places, floor = feature.limits, feature.places, feature.depth.floor
        inside, outside = _ring(feature)
        ring = less(discs(places, outside), discs(places, inside))
        if feature.internal:
            clear = discs(places, limits.crest[0] / 2)
        else:
            rim = limits.crest[1] / 2
            clear = less(discs(places, rim + limits.pitch), discs(places, rim))
        return Demand(
            name=feature.name,
            reach=0.0,
            required=(Upright(clear, floor),),
            allowed=(Upright(ring, _run_out(feature, used.cutter), feature.depth.top),),
            threads=tuple(
                ThreadDemand(
                    feature=feature.name, place=place, limits=limits, left=feature.left,
                    top=feature.depth.top, floor=floor,
                )
                for place in places
            ),
        )  # fmt: skip

    def drawn(self, feature: ThreadMill, whole: Demand) -> list[Box]:
        """Round its places; a boss has the cutter beside it."""
        del whole
        return [framed(shapely.MultiPoint(feature.places), feature.diameter).bounds]

    def in_plan(
        self, feature: ThreadMill, setup: Setup, finish: Finish, extent: Extent
    ) -> CrossSection:
        """Down to the pitch line, where thread and groove are equally wide; at the most to the
        root."""
        del setup, finish
        inside, outside = _ring(feature)
        if extent != "most":
            middle = feature.limits.aim / 2
            inside, outside = (inside, middle) if feature.internal else (middle, outside)
        return planar.discs(feature.places, outside) - planar.discs(feature.places, inside)

    def solid(
        self,
        feature: ThreadMill,
        setup: Setup,
        finish: Finish,
        extent: Extent,
        stock: Manifold | None = None,
    ) -> Manifold:
        """From its floor up, at the most from farther down where the groove runs out; at the least
        nothing."""
        del stock
        if extent == "least":
            return Manifold()
        low = feature.depth.floor - (2 * feature.limits.pitch if extent == "most" else 0.0)
        return upright(self.in_plan(feature, setup, finish, extent), low, setup)


def _ring(thread: ThreadMill) -> tuple[float, float]:
    """The radii between which it may be cut."""
    crest, root = thread.limits.crest, thread.limits.root
    within = (crest[0], root[1]) if thread.internal else (root[0], crest[1])
    return (within[0] / 2, within[1] / 2)


def _run_out(thread: ThreadMill, cutter: Cutter) -> float:
    """z of a cutter's tip where it comes into its groove or leaves it: its lowest row of teeth
    begins half a pitch below the full thread, and comes there in a quarter of a turn."""
    return thread.depth.floor - 3 / 4 * thread.limits.pitch - cutter.rows[0]


TARGET: KindTarget[ThreadMill] = ThreadTarget()
