"""What the drawing asks of a set-up at every height: the target a program is held against.

AIR: no metal now. MUST: metal that has to go. MAY: metal that may go beside it. STAY: metal
asked to remain inside MAY (tabs, skin, allowance left on purpose).
"""

from __future__ import annotations

from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry


@dataclass(frozen=True, slots=True)
class FeatureSlice:
    """One feature at one height. `reach` is the radius of its finishing cutter, mm: corners
    tighter than that are out of reach."""

    name: str
    must: BaseGeometry
    may: BaseGeometry
    stay: BaseGeometry
    reach: float


@dataclass(frozen=True, slots=True)
class Slice:
    """The whole set-up at one height z: unions over its features, AIR of the raw stock."""

    z: float
    air: BaseGeometry
    must: BaseGeometry
    may: BaseGeometry
    stay: BaseGeometry
    features: tuple[FeatureSlice, ...]
