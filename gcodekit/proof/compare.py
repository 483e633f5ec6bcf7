"""The cut held against the drawing, in planes just below and just above each level.

Gouge: just below a level (by the tolerance), the cut within the stock may not reach outside what is
required or allowed to go. Uncut: just above it, what is required to go may not reach outside the
cut. What is beyond the tolerance there is measured upright too (`reach.py`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import EMPTY, common, joined, less, union
from gcodekit.proof.broken_through import check_broken_through
from gcodekit.proof.cutter_room import (
    check_run_off,
    reachable,
    room_at,
    substance,
    with_free,
    without_hairs,
)
from gcodekit.proof.feature_worst import FeatureWorst, report_worst
from gcodekit.proof.findings import Blank, FeatureFinding, TargetSlices
from gcodekit.proof.gouges import Gouges
from gcodekit.proof.reach import FIRST_GROWTH, Reach, nearer_upright, penetration, reach
from gcodekit.proof.sections import ProgramCut, quarter_chords
from gcodekit.proof.sloping_walls import SlopingMetal
from gcodekit.rs274.program_read import Move, ProblemList
from gcodekit.target.disc_sweep import resized
from gcodekit.target.target import FeatureSlice, Slice
from gcodekit.trade.size_limits import planned_tolerance

# Metal in reach that is nowhere thicker than the tolerance is within it, however far it lies from
# what is cut: half of that, its inscribed circle's radius.
LEAST_LEFT = 0.5
# Two sections of one shape are no farther apart than this, mm.
EXACT = 0.001


@dataclass(frozen=True, slots=True)
class Comparison:
    """The findings by feature, and over all (lines of no feature included)."""

    features: dict[str, FeatureFinding]
    gouge: float
    uncut: float
    reachable_uncut: float


def compare(
    cut: ProgramCut,
    target: TargetSlices,
    blank: Blank,
    moves: tuple[Move, ...],
    *,
    tolerance: float,
    problems: ProblemList,
    complete: bool = True,
) -> Comparison:
    """Hold the cut against the target at every level; what is beyond the tolerance is a
    problem. Unless `complete`, what is left standing is not looked at: other programs cut it."""
    gouges = Gouges(cut.segments, moves, target, blank, tolerance=tolerance)
    first = [f for z in target.levels[:1] for f in target.slice(z).features]
    bands = {f.name: f.band for f in first}
    rooms = {f.name: f.room for f in first if f.room is not None}
    check_run_off(cut.segments, rooms, moves, top=blank.top, problems=problems)
    held = _Held(cut, target, blank, tolerance, gouges, bands)
    # upwards: that is how sections are cheap
    levels = sorted({*target.levels, *blade_levels(cut, blank)})
    blades = bool(cut.undercuts)
    if complete:
        check_broken_through(cut, target, first, blank, tolerance=tolerance, problems=problems)
    for level in levels:
        held.gouge(level)
        if blades:
            # over a kerf there is stock again
            held.gouge(level, up=True)
        if blank.hollow:
            # with hollows in it the metal may be more further down: look above the level too
            held.gouge(level + 2 * tolerance)
        if complete:
            held.uncut(level)
            if blades:
                held.uncut(level, down=True)
    sloping = SlopingMetal(cut, target, blank, tolerance)
    for lower, upper in pairwise(levels):
        worst = sloping.worst(lower + tolerance, upper - tolerance)
        if worst is not None:
            held.gouge(worst + tolerance)
    found = held.found
    if complete and not target.threads and not any(f.asked for f in found.values()):
        problems.error("the drawing has nothing to cut in this set-up: nothing to check")
    for name, feature in found.items():
        report_worst(name, feature, gouges, held.true_to(name), problems)
    every = list(found.values())
    return Comparison(
        {name: f.finding for name, f in found.items() if name},
        max((f.gouge.distance for f in every), default=0.0),
        max((f.uncut.distance for f in every), default=0.0),
        max((f.reachable.distance for f in every), default=0.0),
    )


@dataclass(frozen=True, slots=True)
class _Held:
    """A cut held against a drawing, `near`: the tolerance, mm. `bands`: how wide the limits of a
    feature's size are. What is found, by feature, gathers in `found`; in `corners` what may
    stand, out of its cutter's reach: over that more may, a corner being as round all the way up."""

    cut: ProgramCut
    target: TargetSlices
    blank: Blank
    near: float
    gouges: Gouges
    bands: Mapping[str, float | None]
    found: dict[str, FeatureWorst] = field(default_factory=dict)
    corners: dict[str, BaseGeometry] = field(default_factory=dict)

    def true_to(self, name: str) -> float:
        """The tolerance of a feature, mm."""
        return planned_tolerance(self.near, self.bands.get(name))

    def gouge(self, level: float, *, up: bool = False) -> None:
        """Measure how far the cuts of each feature gouge just below a level, or just above it."""
        sign = 1.0 if up else -1.0
        z = level + sign * self.near
        cuts = self.cut.by_owner(z)
        for owner in cuts:
            self.found.setdefault(owner, FeatureWorst())
        cuts = {owner: taken for owner, taken in cuts.items() if not taken.is_empty}
        if not cuts:
            return
        here = room_at(self.target.slice(z), self.blank)
        for owner, taken in cuts.items():
            seen, depth = here.gouge(taken), self.near
            if seen.distance > self.true_to(owner):
                self.gouges.look(owner, here, z, allowed=self.true_to(owner))
            if seen.distance > self.near:
                seen, depth = self._gouge_in_space(owner, seen, level, sign)
            self.found[owner].gouge.take(seen, level + sign * depth)

    def _gouge_in_space(
        self, owner: str, seen: Reach, level: float, sign: float
    ) -> tuple[Reach, float]:
        """The same fault as large as it reaches, and how far below the level (`sign` -1) or above
        it (1)."""
        own = ProgramCut(s for s in self.cut.distinct if s.owner == owner)

        def taken(z: float) -> BaseGeometry:
            return joined(own.by_owner(z).values())

        def gouged(depth: float) -> Reach:
            z = level + sign * depth
            return room_at(self.target.slice(z), self.blank).gouge(taken(z))

        seen, depth = penetration(seen, self.near, gouged)
        if sign > 0:
            return seen, depth
        lowest = room_at(self.target.slice(level - depth), self.blank)
        inside = common(taken(level - depth), lowest.metal)

        def is_out(rise: float) -> bool:
            above = room_at(self.target.slice(level - depth + rise), self.blank)
            return reach(inside, above.allowed).distance <= EXACT

        return nearer_upright(seen, depth, is_out, least=self.near), depth

    def uncut(self, level: float, *, down: bool = False) -> None:
        """Measure what the cuts leave uncut of each feature just above a level, or just below."""
        sign = -1.0 if down else 1.0
        if not self.target.asks(level + sign * self.near):
            return
        asked = self.target.slice(level + sign * self.near)
        metal = less(self.blank.at(asked.z), asked.air)
        if metal.is_empty or asked.required.is_empty:
            return
        taken = joined(self.cut.by_owner(asked.z).values())
        for f in _features(asked):
            required = less(common(f.required, metal), f.kept)
            if not required.area:
                continue
            feature = self.found.setdefault(f.name, FeatureWorst())
            feature.asked = True
            whole = reach(required, taken)
            feature.uncut.take(whole, asked.z)
            # what stands no more than that is within the tolerance, in reach or not
            far = whole.distance > FIRST_GROWTH
            seen, height = self._in_reach(f, asked, required, taken) if far else whole, self.near
            if seen.distance > self.near:
                seen, height = self._left_in_space(f.name, seen, level, sign)
            feature.reachable.take(seen, level + sign * height)
            if far and not f.beyond_reach.is_empty:
                feature.sharp.take(reach(common(required, f.beyond_reach), taken), asked.z)
            if self.near < whole.distance and seen.distance <= self.near:
                if f.along:
                    feature.from_edge.take(self._from_edge(f, asked, required, taken), asked.z)
                feature.between.take(self._between(f, asked, required, taken), asked.z)
            if far and seen.distance <= self.near:
                standing = (self.corners.get(f.name, EMPTY), less(required, taken))
                self.corners[f.name] = union(standing)

    def _from_edge(
        self, f: FeatureSlice, asked: Slice, required: BaseGeometry, taken: BaseGeometry
    ) -> Reach:
        """Return how far stock is uncut where a cutter could get at it from beyond the edge of the
        stock, but not along the line."""
        return self._left(replace(f, along=False), asked, required, taken) or Reach()

    def _between(
        self, f: FeatureSlice, asked: Slice, required: BaseGeometry, taken: BaseGeometry
    ) -> Reach:
        """Return how far stock is uncut where the cutter gets only through what others clear."""
        room = less(
            union(s for each in _features(asked) for s in (each.required, each.allowed)), asked.kept
        )
        room = with_free(room, f.reach, self.blank.outer(asked.z))
        can = less(common(required, reachable(room, f.reach)), f.beyond_reach)
        return self._stands(f, can, taken, asked.z)

    def _left_in_space(
        self, name: str, seen: Reach, level: float, sign: float
    ) -> tuple[Reach, float]:
        """The same metal as far as it stands, and how far above the level (`sign` 1) or below."""
        cut = ProgramCut(self.cut.distinct)

        def left(height: float) -> Reach:
            asked = self.target.slice(level + sign * height)
            f = next((f for f in _features(asked) if f.name == name), None)
            if f is None:
                return Reach()
            required = less(common(f.required, less(self.blank.at(asked.z), asked.air)), f.kept)
            if not required.area:
                return Reach()
            taken = joined(cut.by_owner(asked.z).values())
            return self._in_reach(f, asked, required, taken)

        return penetration(seen, self.near, left)

    def _in_reach(
        self, f: FeatureSlice, asked: Slice, required: BaseGeometry, taken: BaseGeometry
    ) -> Reach:
        """Return how far stock is uncut where the feature's cutter can reach it."""
        found = self._left(f, asked, required, taken)
        # a cutter that fits nowhere in the feature is no excuse for leaving all of it
        return reach(required, taken) if found is None else found

    def _left(
        self, f: FeatureSlice, asked: Slice, required: BaseGeometry, taken: BaseGeometry
    ) -> Reach | None:
        """Return how far what its cutter can reach is uncut; None where that is nothing."""
        can = self._can(f, asked, required)
        return self._stands(f, can, taken, asked.z) if can.area else None

    def _stands(self, f: FeatureSlice, can: BaseGeometry, taken: BaseGeometry, z: float) -> Reach:
        """Return how far what a cutter can reach is uncut, other than over a corner."""
        here = substance(less(can, self.corners.get(f.name, EMPTY)), LEAST_LEFT * self.near)
        found = reach(here, taken) if here.area else Reach()
        if found.distance <= self.true_to(f.name):
            return found
        # a hair of rounding along a wall stands far from what is cut
        here = without_hairs(here)
        found = reach(here, taken) if here.area else Reach()
        # and so does a foil along the metal's edge, which is within the tolerance
        chords = quarter_chords(self.near)
        deep = resized(self.blank.outer(z), -self.near, chords=chords)
        if found.at is not None and deep.contains(shapely.Point(found.at)):
            return found
        inside = common(here, deep)
        return reach(inside, taken) if inside.area else Reach()

    def _can(self, f: FeatureSlice, asked: Slice, required: BaseGeometry) -> BaseGeometry:
        """Return the part of the stock to be cut that the feature's cutter can reach."""
        room = less(union((f.required, f.allowed)), asked.kept)
        if not f.along:
            room = with_free(room, f.reach, self.blank.outer(asked.z))
        return less(common(required, reachable(room, f.reach)), f.beyond_reach)


def blade_levels(cut: ProgramCut, blank: Blank) -> tuple[float, ...]:
    """Heights within the stock where blades cut, whatever the drawing says: between its levels a
    kerf may be seen at none of them."""
    return tuple(z for z in cut.undercuts if blank.bottom < z < blank.top)


def _features(asked: Slice) -> tuple[FeatureSlice, ...]:
    """Those asked at a height; a target without any is one as a whole."""
    return asked.features or (FeatureSlice("", asked.required, asked.allowed, asked.kept, 0.0),)
