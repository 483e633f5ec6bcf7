"""Milled threads: radial passes on a helix, in a bore or round a boss of the right size."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from gcodekit.errors import PlanError
from gcodekit.geometry.chain import Point, distance
from gcodekit.geometry.overlay import less
from gcodekit.job.kinds.thread_mill import ThreadMill
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.cycles import in_short_order
from gcodekit.operations.kind_cutting import KindCutting
from gcodekit.operations.planned_operation import (
    Phase,
    PlanContext,
    PlannedOperation,
    overridden,
    refuse,
)
from gcodekit.operations.thread_places import ThreadReach, check_place
from gcodekit.part.plane_regions import discs
from gcodekit.part.planned_target import FeatureContext, FinishingCut, PlannedTarget
from gcodekit.part.solids import Prism
from gcodekit.toolpath.path import APPROACH, Path
from gcodekit.toolpath.thread_turns import ThreadTurns, lead_to
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.thread_milling import (
    ROOM_IN_BORE,
    Groove,
    groove,
    reached,
    suits,
    thread_milling,
    widest,
)

# A cutter comes down beside a boss this far from it, mm. Common practice, no source.
OFF_BOSS = 1.0
# It goes into its groove and out of it on a quarter of a turn at the most, in pitches.
ON_THE_WAY = 0.25
# More turns than this are a slip of the pen. Common practice, no source.
MOST_TURNS = 4000
# The last turn is one that begins no more than this share of the pitch short.
NO_TURN = 1e-6


@dataclass(frozen=True, slots=True)
class Turns:
    """Turns on one helix: the lowest height of the lowest row of teeth, and how many."""

    low: float
    count: int


def reach_of(thread: ThreadMill, cutter: Cutter, top: float) -> ThreadReach:
    """The room that a cutter takes round and in a thread: all turns, with its teeth and leads."""
    cut, pitch = groove(cutter, thread.limits), thread.limits.pitch
    turns = turns_of(thread, cutter, top)
    lowest = min(t.low for t in turns) - ON_THE_WAY * pitch - cutter.rows[0]
    highest = max(t.low + t.count * pitch for t in turns) + ON_THE_WAY * pitch - cutter.rows[0]
    return ThreadReach(cutter, cut.orbit, lowest, highest, _lead(thread, cut))


def turns_of(thread: ThreadMill, cutter: Cutter, top: float) -> list[Turns]:
    """All turns, upwards: from half a pitch below the floor, where the groove is as deep at every
    angle, to half a pitch above the top. Several rows of teeth cut as many turns in one."""
    pitch, rows = thread.limits.pitch, len(cutter.rows)
    low = thread.depth.floor - pitch / 2
    turns = max(1, math.ceil((top + pitch / 2 - low) / pitch - NO_TURN))
    if rows == 1:
        return [Turns(low, turns)]
    return [Turns(low + n * rows * pitch, 1) for n in range(math.ceil(turns / rows))]


class ThreadMilling(KindCutting[ThreadMill]):
    """How threads are milled."""

    def asked(
        self, feature: ThreadMill, cut: FinishingCut, around: FeatureContext
    ) -> PlannedTarget:
        """The bore, or the room round the boss, and the ring that the thread may be cut into: what
        is left of the thread itself is a matter of its helix."""
        del around
        limits, places, floor = feature.limits, feature.places, feature.depth.floor
        if feature.internal:
            clear = discs(places, limits.crest[0] / 2)
            ring = less(discs(places, limits.root[1] / 2), clear)
        else:
            boss = discs(places, limits.crest[1] / 2)
            clear = less(discs(places, limits.crest[1] / 2 + limits.pitch), boss)
            ring = less(boss, discs(places, limits.root[0] / 2))
        # it comes into its groove, and leaves it, in a quarter of a turn below the full thread
        low = floor - limits.pitch / 2 - cut.cutter.rows[0] - limits.pitch / 4
        return PlannedTarget(
            name=feature.name,
            reach=0.0,
            required=(Prism(clear, floor),),
            allowed=(Prism(ring, low, feature.depth.top),),
        )

    def footprint(self, work: PlanContext, feature: ThreadMill) -> BaseGeometry | None:
        """Bore and thread, or the thread and what is clear round the boss: it comes after what
        cuts that."""
        del work
        limits = feature.limits
        if feature.internal:
            return discs(feature.places, limits.root[0] / 2)
        outer = discs(feature.places, limits.crest[1] / 2 + limits.pitch)
        return less(outer, discs(feature.places, limits.root[1] / 2))

    def choose(
        self, work: PlanContext, feature: ThreadMill, top: float, footprint: BaseGeometry | None
    ) -> Chosen:
        """The cutter named; or, of those that can, the largest, of several rows of teeth."""
        del footprint, top
        named = feature.cutting.cutter
        if named is not None:
            if (why := _unfit(work, feature, named)) is not None:
                raise refuse(feature, f"{work.called(named)} {why[0]}", why[1])
            return Chosen(finish=named, rough=named)
        mills = [c for c in work.job.workshop.cutters if c.kind == "thread mill"]
        able = [
            c
            for c in mills
            if feature.bad_cutter(c, "cutter", work.say) is None
            and _unfit(work, feature, c) is None
        ]
        if not able:
            raise refuse(feature, *_none_fits(work, feature, mills))
        best = max(able, key=lambda c: (len(c.rows) > 1, c.diameter))
        return Chosen(finish=best, rough=best)

    def check_beside(
        self, work: PlanContext, feature: ThreadMill, chosen: Chosen, around: FeatureContext
    ) -> None:
        """Refuse a bore or boss of another size than the thread's, and what is in the cutter's
        way."""
        reach = reach_of(feature, chosen.finish, feature.depth.top)
        deepest = work.setup.left.low[2] - work.setup.breakthrough
        if reach.low < deepest - NO_TURN:
            wanted = work.say(round(work.setup.left.low[2] - reach.low, 3))
            raise refuse(
                feature,
                f"{work.called(chosen.finish)} has to run out {wanted} below the stock",
                f"set breakthrough = {wanted} on the set-up, or make the thread less deep",
                key="through" if feature.depth.through else "depth",
            )
        for place in feature.places:
            check_place(work, feature, place, reach, around)

    def misses(self, work: PlanContext, feature: ThreadMill, chosen: Chosen) -> PlanError | None:
        """The refusal of a thread that lies beside the stock."""
        del chosen
        ring = self.footprint(work, feature)
        if ring is not None and ring.intersects(work.metal):
            return None
        text = f"{feature.name} cuts nothing: it lies beside the stock"
        return refuse(feature, text, "check its place and the set-up's zero", key="kind")

    def drafts(
        self,
        work: PlanContext,
        feature: ThreadMill,
        chosen: Chosen,
        top: float,
        around: FeatureContext,
    ) -> list[PlannedOperation]:
        """At every place pass after pass, each deeper than the one before."""
        del around
        cutter, limits, top = chosen.finish, feature.limits, feature.depth.top
        cut = groove(cutter, limits)
        found = thread_milling(
            work.job.material, cutter, work.limits, cut, limits, length=top - feature.depth.floor
        )
        rates = overridden(found.rates, feature.cutting)
        path = work.path(rates)
        full = found.depths[-1]
        depths = (*found.depths, *(full,) * feature.cutting.spring_passes)
        turns = sum(t.count for t in turns_of(feature, cutter, top)) * len(depths)
        if turns * len(feature.places) > MOST_TURNS:
            text = f"{turns * len(feature.places):,} turns, at most {MOST_TURNS:,}"
            raise refuse(feature, text, "make it less deep, or use several rows of teeth")
        for place in in_short_order(work, feature.places):
            for depth in depths:
                off = (full - depth) * (-1 if feature.internal else 1)
                _pass(path, feature, cutter, place, cut.orbit + off, _lead(feature, cut, off))
        draft = work.draft(feature, "thread", cutter, rates.speed, path, Phase.SIZE)
        return [draft]


def _pass(
    path: Path, thread: ThreadMill, cutter: Cutter, place: Point, orbit: float, lead: float | None
) -> None:
    """All turns at one distance from the axis."""
    top, pitch = thread.depth.top, thread.limits.pitch
    ccw = (thread.cutting.direction == "climb") == thread.internal
    upwards = ccw != thread.left
    rise = pitch if upwards else -pitch
    turns = ThreadTurns(centre=place, orbit=orbit, rise=rise, ccw=ccw, lead=lead)
    stages = turns_of(thread, cutter, top)
    for stage in stages if upwards else reversed(stages):
        first = stage.low if upwards else stage.low + stage.count * pitch
        z = first - cutter.rows[0]
        if not (thread.internal and path.at is not None and distance(path.at, place) < NO_TURN):
            path.over(turns.start)
        if path.z > top + APPROACH:
            path.drop(max(top + APPROACH, z - turns.climb_in))
        path.sink(z - turns.climb_in, feed=path.travel.feed)
        path.rise(z - turns.climb_in)
        turns.cut(path, z, stage.count)


def _lead(thread: ThreadMill, cut: Groove, off: float = 0.0) -> float | None:
    """The radius of the arcs in and out; None in a bore, where they come from the axis."""
    if thread.internal:
        return None
    away = thread.limits.crest[1] / 2 + cut.cutter.radius + OFF_BOSS
    return lead_to(cut.orbit + off, away)


def _unfit(work: PlanContext, thread: ThreadMill, cutter: Cutter) -> tuple[str, str] | None:
    """Why a thread mill of the right pitch and angle cannot cut this thread."""
    limits, say = thread.limits, work.say
    room = limits.crest[0] - 2 * ROOM_IN_BORE
    if thread.internal and cutter.diameter > room:
        return f"is too large for a bore of {say(round(limits.crest[0], 3))}", (
            f"use one of {say(round(room, 2))} at most"
        )
    if not suits(cutter, limits):
        most = math.floor(widest(cutter, limits) * 10) / 10
        return "is so large for this bore that it would distort the flanks", (
            f"use one of {say(most)} at most" if most > 0 else "use one with a finer tip_flat"
        )
    deep = abs(
        reached(groove(cutter, limits), limits) - limits.crest[0 if thread.internal else 1] / 2
    )
    if cutter.tooth_height < deep - NO_TURN:
        return (
            f"has teeth that stand out {say(round(cutter.tooth_height, 3))}, and the thread is "
            f"{say(round(deep, 3))} deep",
            "use one for this pitch, or give its reach and neck",
        )
    return None


def _none_fits(work: PlanContext, thread: ThreadMill, mills: list[Cutter]) -> tuple[str, str]:
    """What is wrong with every thread mill there is, in one sentence."""
    pitch = work.say(round(thread.limits.pitch, 4))
    wanted = f"add one of 60 degrees and pitch {pitch}, or with a single row of teeth"
    if not mills:
        return "the rack has no thread mill", wanted
    return f"no thread mill of the rack can cut it: {'; '.join(_whys(work, thread, mills))}", wanted


def _whys(work: PlanContext, thread: ThreadMill, mills: list[Cutter]) -> Iterator[str]:
    for cutter in mills[:3]:
        bad = thread.bad_cutter(cutter, "cutter", work.say) or _unfit(work, thread, cutter)
        if bad is not None:
            yield f"{work.called(cutter)} {bad[0]}"


CUTTING: KindCutting[ThreadMill] = ThreadMilling()
