"""The cut held against the drawing, in planes just below and just above each level.

Gouge: just below a level (by the tolerance), the cut within the metal may not reach outside what
must or may go. Standing: just above it, what must go may not reach outside the cut.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.part.overlay import EMPTY, common, joined, less, union
from gcodekit.part.target import FeatureSlice, Slice
from gcodekit.proof.blank import Blank
from gcodekit.proof.chords import Segments
from gcodekit.proof.findings import FeatureFinding, Target
from gcodekit.proof.rapids import distances
from gcodekit.proof.reach import FIRST, Reach, reach
from gcodekit.proof.sections import LEVEL, Cut, quarter_chords
from gcodekit.rs274.moves import Move
from gcodekit.rs274.problems import Point3, ProblemList
from gcodekit.trade.fits import planned_tolerance

# A slot exactly as wide as its cutter must count as reached: the opening disc is this much
# smaller than the cutter, mm, a little more than the chords sag. In a right-angled corner it moves
# the limit by 0.0002 mm; where a cutter only just gets in beside a curved wall, by much more.
OPENING_SLACK = 0.0005
# Metal in reach that is nowhere twice this thick, mm, is none.
HAIR = 0.0005
# A cut that leaves the metal is followed this far beside it, mm.
BESIDE = 1.0


@dataclass(slots=True)
class _Worst:
    distance: float = 0.0
    where: Point3 | None = None

    def take(self, found: Reach, z: float) -> None:
        if found.distance > self.distance:
            self.distance = found.distance
            self.where = (found.at[0], found.at[1], z) if found.at else None


@dataclass(slots=True)
class _Feature:
    gouge: _Worst = field(default_factory=_Worst)
    standing: _Worst = field(default_factory=_Worst)
    reachable: _Worst = field(default_factory=_Worst)
    asked: bool = False

    @property
    def finding(self) -> FeatureFinding:
        return FeatureFinding(self.gouge.distance, self.standing.distance, self.reachable.distance)


@dataclass(frozen=True, slots=True)
class Comparison:
    """By feature, and over all (lines of no feature included)."""

    features: dict[str, FeatureFinding]
    gouge: float
    standing: float
    reachable_standing: float


def compare(
    cut: Cut,
    target: Target,
    blank: Blank,
    moves: tuple[Move, ...],
    *,
    tolerance: float,
    problems: ProblemList,
    complete: bool = True,
) -> Comparison:
    """Hold the cut against the target at every level; what is beyond the tolerance is a
    problem. Unless `complete`, what is left standing is not looked at: other programs cut it."""
    found: dict[str, _Feature] = {}
    # upwards: that is how sections are cheap
    for level in sorted(target.levels):
        _gouge(cut, target.slice(level - tolerance), blank, found)
        if complete:
            _standing(cut, target.slice(level + tolerance), blank, found)
    if complete and not any(f.asked for f in found.values()):
        problems.error("nothing is asked of this set-up: there is nothing to prove")
    bands = {f.name: f.band for z in target.levels[:1] for f in target.slice(z).features}
    for name, feature in found.items():
        true_to = planned_tolerance(tolerance, bands.get(name))
        _report(name, feature, cut.segments, moves, true_to, problems)
    every = list(found.values())
    return Comparison(
        {name: f.finding for name, f in found.items() if name},
        max((f.gouge.distance for f in every), default=0.0),
        max((f.standing.distance for f in every), default=0.0),
        max((f.reachable.distance for f in every), default=0.0),
    )


def _gouge(cut: Cut, asked: Slice, blank: Blank, found: dict[str, _Feature]) -> None:
    metal = less(blank.at(asked.z), asked.air)
    allowed = _allowed(asked, metal)
    for owner, taken in cut.by_owner(asked.z).items():
        feature = found.setdefault(owner, _Feature())
        inside = common(taken, metal)
        if not inside.is_empty:
            feature.gouge.take(reach(inside, allowed), asked.z)


def _allowed(asked: Slice, metal: BaseGeometry) -> BaseGeometry:
    """Where a cutter may be: what must and may go less what is to stay, and free space.

    Free space counts because a cut that grazes the edge of the metal by a hair leaves the part
    by that hair, not by the distance to the next feature.
    """
    may = less(joined((asked.must, asked.may)), asked.stay)
    return joined((may, _free(metal)))


def _free(metal: BaseGeometry) -> BaseGeometry:
    """Free space round the metal, to BESIDE beyond it."""
    if metal.is_empty:
        return EMPTY
    x0, y0, x1, y1 = metal.bounds
    frame = shapely.box(x0 - BESIDE, y0 - BESIDE, x1 + BESIDE, y1 + BESIDE)
    return less(frame, metal)


def _standing(cut: Cut, asked: Slice, blank: Blank, found: dict[str, _Feature]) -> None:
    metal = less(blank.at(asked.z), asked.air)
    if metal.is_empty or asked.must.is_empty:
        return
    taken = joined(cut.by_owner(asked.z).values())
    features = asked.features or (FeatureSlice("", asked.must, asked.may, asked.stay, 0.0),)
    for f in features:
        must = less(common(f.must, metal), f.stay)
        if not must.area:
            continue
        feature = found.setdefault(f.name, _Feature())
        feature.asked = True
        whole = reach(must, taken)
        feature.standing.take(whole, asked.z)
        # what stands no more than this is within the tolerance, in reach or not
        if whole.distance > FIRST:
            can = common(must, _reachable(f, asked.stay, metal))
            # a cutter that fits nowhere in the feature is no excuse for leaving all of it
            whole = reach(_substance(can), taken) if can.area else whole
        feature.reachable.take(whole, asked.z)


def _substance(region: BaseGeometry) -> BaseGeometry:
    """Its pieces that are more than hairs: a cutter beside the metal bulges into the mouth of a
    gap that it does not go into."""
    pieces = shapely.get_parts(region)
    return shapely.MultiPolygon(list(pieces[~shapely.is_empty(shapely.buffer(pieces, -HAIR))]))


def _reachable(feature: FeatureSlice, stay: BaseGeometry, metal: BaseGeometry) -> BaseGeometry:
    """Where the feature's finishing cutter can cut within what the feature asks for: a corner
    keeps the cutter's radius whatever is cut beside it. Free space counts, or every corner at the
    metal's edge would be out of reach."""
    inner = max(0.0, feature.reach - OPENING_SLACK)
    room = less(union((feature.must, feature.may)), stay)
    x0, y0, x1, y1 = room.bounds
    margin = 2 * feature.reach + 1.0
    around = shapely.box(x0 - margin, y0 - margin, x1 + margin, y1 + margin)
    if not metal.covers(around):
        room = union((room, less(around, metal)))
    chords = quarter_chords(inner)
    return room.buffer(-inner, quad_segs=chords).buffer(inner, quad_segs=chords)


def _report(
    name: str,
    feature: _Feature,
    segments: tuple[Segments, ...],
    moves: tuple[Move, ...],
    tolerance: float,
    problems: ProblemList,
) -> None:
    of = f" in {name}" if name else ""
    if feature.gouge.distance > tolerance and feature.gouge.where:
        where = feature.gouge.where
        line = moves[_first_through(where, name, segments)].line
        text = f"gouge{of}: cut {feature.gouge.distance:.3f} mm into the finished part"
        problems.error(text, line=line, where=where)
    if feature.reachable.distance > tolerance:
        text = f"metal left{of}: {feature.reachable.distance:.3f} mm stands inside the drawing"
        problems.error(text, where=feature.reachable.where)


def _first_through(where: Point3, owner: str, segments: Iterable[Segments]) -> int:
    """Index of the first move of a feature whose section at a place holds it, or comes nearest."""
    nearest = (float("inf"), 0)
    for s in (s for s in segments if s.owner == owner):
        off = distances(s, where[0], where[1]) - s.cutter.radius
        low = np.minimum(s.start[:, 2], s.end[:, 2])
        off = np.where(low > where[2] + LEVEL, np.inf, np.maximum(off, 0.0))
        best = int(np.argmin(off))
        nearest = min(nearest, (float(off[best]), int(s.move[best])))
    return nearest[1]
