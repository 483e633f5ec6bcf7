"""The cutters of the rack, and the shape that each one sweeps."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

ToolMaterial = Literal["hss", "carbide"]
CutterKind = Literal[
    "end mill",
    "roughing end mill",
    "ball-nose end mill",
    "bull-nose end mill",
    "face mill",
    "fly cutter",
    "drill",
    "spot drill",
    "reamer",
    "tap",
    "boring head",
    "chamfer mill",
    "engraving cutter",
    "thread mill",
    "slitting saw",
]
CUTTER_KINDS: tuple[CutterKind, ...] = CutterKind.__args__  # type: ignore[attr-defined]  # Literal keeps its members there

POINTED: frozenset[str] = frozenset({"drill", "spot drill", "chamfer mill", "engraving cutter"})
# What may have a point ground flat at its end.
FLAT_TIPPED: frozenset[str] = frozenset({"chamfer mill", "engraving cutter"})
# A shank so much slimmer than a hole, mm, goes down it without rubbing. Common practice, no source.
SHANK_CLEAR = 0.1
# What may mill sideways with a flat floor.
FLAT_MILLS: frozenset[str] = frozenset({"end mill", "roughing end mill", "face mill", "fly cutter"})
SIDE_MILLS: frozenset[str] = FLAT_MILLS | {"ball-nose end mill", "bull-nose end mill"}


@dataclass(frozen=True, slots=True)
class Holder:
    """The collet chuck or holder above the stick-out: diameter and length, mm."""

    diameter: float
    length: float


@dataclass(frozen=True, slots=True)
class Nut:
    """The screw head, nut or washer below a blade on its arbor: diameter and length, mm."""

    diameter: float
    length: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutter:
    """One cutter of the rack, as measured. Lengths in mm, angles in radians.

    `tip_angle` is the full included angle of the point, of a thread mill that between the flanks of
    a tooth; `tip_flat` the width of the flat at the tip of that tooth; `tip_diameter` how wide a
    point is ground flat at its end. `lead` is the axial length over which a reamer or tap comes to
    full size; `reach` the length free below a relieved shank, `neck` its diameter there; `range`
    the least and largest bore of a boring head, whose `diameter` is whatever it is set to. A thread
    mill has a tooth every `pitch`, without one a single tooth. Of a saw the tip is the underside of
    its blade, `shank` is its arbor, and its `nut` is below the tip.
    """

    number: int
    name: str
    kind: CutterKind
    diameter: float
    flutes: int = 2
    material: ToolMaterial = "hss"
    flute_length: float
    stickout: float
    shank: float
    reach: float | None = None
    neck: float | None = None
    holder: Holder | None = None
    centre_cutting: bool = False
    corner_radius: float = 0.0
    tip_angle: float = math.pi
    tip_flat: float = 0.0
    tip_diameter: float = 0.0
    pitch: float | None = None
    lead: float = 0.0
    fit: str | None = None
    thickness: float | None = None
    range: tuple[float, float] | None = None
    nut: Nut | None = None

    @property
    def radius(self) -> float:
        """Half the diameter, mm."""
        return self.diameter / 2

    @property
    def is_blade(self) -> bool:
        """Tell whether it is a thin disc: all that it is at a height is cut there and no more."""
        return self.kind == "slitting saw"

    @property
    def lowest(self) -> float:
        """The lowest point of all that turns, mm above the tip: below it where there is a nut."""
        return -self.nut.length if self.nut is not None else 0.0

    @property
    def point_length(self) -> float:
        """Height above the tip at which the full diameter is reached, mm."""
        if self.kind in POINTED:
            return (self.radius - self.tip_diameter / 2) / math.tan(self.tip_angle / 2)
        if self.kind == "ball-nose end mill":
            return self.radius
        if self.kind == "bull-nose end mill":
            return self.corner_radius
        if self.kind in ("reamer", "tap"):
            return self.lead
        return 0.0

    @property
    def undercuts(self) -> bool:
        """Tell whether it cuts wider than it leaves open above it: what is there stays."""
        return self.is_blade or self.leaves_ridges

    @property
    def leaves_ridges(self) -> bool:
        """Tell whether stock stays between the grooves of its teeth."""
        return self.kind == "thread mill"

    @property
    def rows(self) -> tuple[float, ...]:
        """Heights above the tip at which the teeth of a thread mill have their middles, mm."""
        if self.pitch is None:
            return (self.flute_length / 2,)
        count = max(1, math.floor(self.flute_length / self.pitch + 1e-6))
        return tuple((row + 0.5) * self.pitch for row in range(count))

    @property
    def tooth_height(self) -> float:
        """How far a tooth of a thread mill stands out of its neck, or of the gap beside it, mm."""
        base = self.flute_length if self.pitch is None else self.pitch
        pointed = (base - self.tip_flat) / 2 / math.tan(self.tip_angle / 2)
        if self.pitch is not None:
            return pointed
        return min(pointed, self.radius - self.body_radius_at(self.flute_length))

    @property
    def missing_point(self) -> float:
        """Height from where a point ground flat would end, were it sharp, to the tip, mm."""
        return self.tip_diameter / 2 / math.tan(self.tip_angle / 2) if self.tip_diameter else 0.0

    def radius_at(self, height: float) -> float:
        """Cutting radius at a height above the tip: the profile r(h), mm.

        Below the tip there is nothing (negative: -1 so that callers can skip it).
        """
        if height < 0:
            return -1.0
        full = self.point_length
        if height >= full:
            return self.radius
        if self.kind == "ball-nose end mill" or self.kind == "bull-nose end mill":
            corner = full
            return self.radius - corner + math.sqrt(max(0.0, corner**2 - (corner - height) ** 2))
        if self.kind in POINTED:
            return self.tip_diameter / 2 + height * math.tan(self.tip_angle / 2)
        # a reamer's or tap's lead: a 45 degree cone up to its full size
        return max(0.0, self.radius - (full - height))

    def follows(self, hole: float) -> float:
        """The depth to which a reamer or tap may follow a hole of this diameter, mm: as far as its
        flutes go or its relieved neck, and with a shank slimmer than the hole by all its
        stick-out."""
        free = max(self.flute_length, self.reach or 0.0)
        if self.shank > hole - SHANK_CLEAR:
            return free
        return max(free, self.stickout - self.point_length)

    def bores(self, diameter: float) -> bool:
        """Tell whether a boring head can be set to a diameter, mm."""
        if self.kind != "boring head" or self.range is None:
            return False
        return self.range[0] - 1e-6 <= diameter <= self.range[1] + 1e-6

    def body_radius_at(self, height: float) -> float:
        """The radius of the turning body at a height above the tip, shank and holder included,
        mm."""
        if self.nut is not None and self.lowest <= height < 0:
            return self.nut.diameter / 2
        if height < self.flute_length:
            return self.radius_at(height)
        if self.holder is not None and height >= self.stickout:
            return self.holder.diameter / 2
        if self.reach is not None and height < self.reach:
            return min(self.shank, self.diameter if self.neck is None else self.neck) / 2
        return self.shank / 2


# Of the diameter. Common practice, no source: what end mills are sold and held like.
USUAL_FLUTES = 2.5
USUAL_STICKOUT = 4.0


def usual_end_mill(
    diameter: float, flutes: int, material: ToolMaterial, *, stickout: float | None = None
) -> Cutter:
    """An end mill of which only this is known, mm; its number is 0."""
    out = USUAL_STICKOUT * diameter if stickout is None else stickout
    return Cutter(
        number=0,
        name=f"{diameter:g} mm end mill",
        kind="end mill",
        diameter=diameter,
        flutes=flutes,
        material=material,
        flute_length=min(USUAL_FLUTES * diameter, out),
        stickout=out,
        shank=diameter,
    )
