"""What the drawing asks of a set-up at every height: the target a program is held against.

AIR: no metal now. MUST: metal that has to go. MAY: metal that may go beside it. STAY: metal
asked to remain inside MAY (tabs, skin).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.job.model import (
    Bore,
    Boss,
    Edge,
    Face,
    Feature,
    Hole,
    Job,
    Pocket,
    Profile,
    Sector,
    Setup,
    Slot,
)
from gcodekit.part.asked import Around, Asked, FinishingCut
from gcodekit.part.asked_plain import ask_bore, ask_face, ask_hole, ask_pocket
from gcodekit.part.asked_profile import ask_profile
from gcodekit.part.asked_slot import ask_slot
from gcodekit.part.asked_walls import ask_arc, ask_boss, ask_edge
from gcodekit.part.elsewhere import Elsewhere
from gcodekit.part.metal import heights, metal, metal_levels
from gcodekit.part.overlay import joined, less, union

# Levels nearer than this are one, mm.
SAME_LEVEL = 1e-6
# AIR is given this far beyond the metal, mm: farther than any cutter reaches from it.
AIR_BEYOND = 200.0


@dataclass(frozen=True, slots=True)
class FeatureSlice:
    """One feature at one height. `reach` is the radius of its finishing cutter, mm: corners
    tighter than that are out of reach; `band` the width of the limits its size has, mm."""

    name: str
    must: BaseGeometry
    may: BaseGeometry
    stay: BaseGeometry
    reach: float
    band: float | None = None


@dataclass(frozen=True, slots=True)
class Slice:
    """The whole set-up at one height z: unions over its features, AIR of the metal there is.

    `must` and `may` are joined off the grid: between features that only touch a hair may stand.
    """

    z: float
    air: BaseGeometry
    must: BaseGeometry
    may: BaseGeometry
    stay: BaseGeometry
    features: tuple[FeatureSlice, ...]


class Target:
    """What a set-up asks, at any height."""

    def __init__(
        self, setup: Setup, asked: tuple[Asked, ...], elsewhere: tuple[Elsewhere, ...]
    ) -> None:
        self._setup, self._asked, self._elsewhere = setup, asked, elsewhere
        self._slices: dict[float, Slice] = {}
        self.levels: tuple[float, ...] = self._levels()

    def _levels(self) -> tuple[float, ...]:
        """Descending: where the drawing or the metal changes, within the metal's height."""
        bottom, top = heights(self._setup)
        found = {bottom, top, *metal_levels(self._setup)}
        found.update(z for a in self._asked for z in a.levels)
        found.update(z for other in self._elsewhere for z in other.levels)
        kept: list[float] = []
        for z in sorted((z for z in found if bottom <= z <= top), reverse=True):
            if not kept or kept[-1] - z > SAME_LEVEL:
                kept.append(z)
        return tuple(kept)

    def slice(self, z: float) -> Slice:
        """What is asked at a height."""
        if z not in self._slices:
            self._slices[z] = self._sliced(z)
        return self._slices[z]

    def asks(self, z: float) -> bool:
        """Whether anything has to go at a height."""
        return any(not a.must_at(z).is_empty for a in self._asked)

    def _sliced(self, z: float) -> Slice:
        musts = [a.must_at(z) for a in self._asked]
        features = tuple(
            FeatureSlice(a.name, must, a.may_at(z), self._stay(i, z), a.reach, a.band)
            for i, (a, must) in enumerate(zip(self._asked, musts, strict=True))
        )
        elsewhere = (s for other in self._elsewhere for s in other.cut_at(z))
        return Slice(
            z=z,
            air=self._air(z),
            must=joined(musts),
            may=joined((*(f.may for f in features), *elsewhere)),
            stay=union(f.stay for f in features),
            features=features,
        )

    def _stay(self, index: int, z: float) -> BaseGeometry:
        """A feature's tabs and skin; where another feature takes the metal nothing can stay."""
        stay = self._asked[index].stay_at(z)
        if stay.is_empty:
            return stay
        others = (a.through_others_at(z) for i, a in enumerate(self._asked) if i != index)
        return less(stay, union(m for m in others if m.intersects(stay)))

    def _air(self, z: float) -> BaseGeometry:
        (x0, y0, _), (x1, y1, _) = self._setup.left.low, self._setup.left.high
        d = AIR_BEYOND
        return less(shapely.box(x0 - d, y0 - d, x1 + d, y1 + d), metal(self._setup, z))


def build_target(
    job: Job,
    setup: Setup,
    finishing: Mapping[str, FinishingCut],
    *,
    known: Mapping[str, tuple[Asked, ...]] = MappingProxyType({}),
) -> Target:
    """What the drawing asks of one set-up.

    Parameters
    ----------
    finishing : with what each feature is finished, by name: all of this set-up's, and those of
        other set-ups, whose metal may go too. A feature of another set-up that is not named counts
        as metal to be kept.
    known : what set-ups ask with those cuts, by their names, where that is worked out already
    """
    elsewhere = [
        Elsewhere(other, known.get(other.name) or asked_of(other, finishing), setup)
        for other in job.setups
        if other.name != setup.name
    ]
    missing = [f.name for f in setup.features if f.name not in finishing]
    if missing:
        raise KeyError(f"no finishing cut for {', '.join(missing)}")
    own = known.get(setup.name) or asked_of(setup, finishing)
    return Target(setup, own, tuple(elsewhere))


def asked_of(setup: Setup, finishing: Mapping[str, FinishingCut]) -> tuple[Asked, ...]:
    """What the set-up's features ask, in the order written; those not named in `finishing` ask
    nothing."""
    around = Around(setup)
    for feature in setup.features:
        if feature.name in finishing:
            around.add(ask(feature, finishing[feature.name], around))
    return around.asked


def ask(feature: Feature, cut: FinishingCut, around: Around) -> Asked:
    """What one feature asks, and how true."""
    band = feature.band
    return replace(_ask(feature, cut, around), band=band.width if band else None)


def _ask(feature: Feature, cut: FinishingCut, around: Around) -> Asked:
    """A new kind is one more line here."""
    match feature:
        case Face():
            return ask_face(feature, cut, around)
        case Pocket():
            return ask_pocket(feature, cut, around)
        case Slot():
            return ask_slot(feature, cut, around)
        case Profile():
            return ask_profile(feature, cut, around)
        case Bore():
            return ask_bore(feature, cut, around)
        case Hole():
            return ask_hole(feature, cut, around)
        case Edge():
            return ask_edge(feature, cut, around)
        case Boss():
            return ask_boss(feature, cut, around)
        case Sector():
            return ask_arc(feature, cut, around)
