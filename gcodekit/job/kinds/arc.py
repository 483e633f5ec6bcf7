"""An arc: a sector of the metal milled to a radius about a centre."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, Self, cast

from gcodekit.geometry.chain import SAME_POINT, Arc, Chain, Point, distance
from gcodekit.geometry.region import Region, Shift
from gcodekit.geometry.shapes import sector
from gcodekit.geometry.tolerances import METAL_SAG
from gcodekit.job.feature import Feature, Rim, Wrong
from gcodekit.job.features.kind import AREA, DEPTH_WAYS, Build, Kind, Surroundings
from gcodekit.job.features.metal_checks import PlanLimits, metal_is, seen_from_above
from gcodekit.job.keys.keys import Key
from gcodekit.job.keys.reading import Table
from gcodekit.job.measured import SizeAcross
from gcodekit.job.raw_stock import RawStock

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

# Angles nearer than this are one, radians: far below what a drawing says.
SAME_ANGLE = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Sector(Feature):
    """Cut to a radius about `centre`, counter-clockwise from angle `start` to `end` (start < end,
    a full turn at most): what lies beyond it (`outside`) or within it goes, from `from_radius`;
    None: from the metal's limit. `open_ends`: the cutter may run on."""

    centre: Point
    radius: float
    start: float
    end: float
    side: Literal["outside", "inside"]
    from_radius: float | None = None
    open_ends: bool = False
    kind = "arc"
    floor_finished = True

    def moved(self, shift: Shift) -> Self:
        """The same elsewhere."""
        start, end = shift.span(self.start, self.end)
        return replace(self, centre=shift.point(self.centre), start=start, end=end)

    def lines(self, metal: BaseGeometry) -> tuple[Chain, ...]:
        """The finished radius."""
        del metal
        if self.whole:
            return (Chain.circle(self.centre, self.radius),)
        ends = [
            (
                self.centre[0] + self.radius * math.cos(a),
                self.centre[1] + self.radius * math.sin(a),
            )
            for a in (self.start, self.end)
        ]
        return (Chain((Arc(ends[0], ends[1], self.centre, True),)),)

    @property
    def whole(self) -> bool:
        """Whether it goes all the way round."""
        return self.end - self.start > math.tau - 1e-9

    @property
    def axis(self) -> Point | None:
        """Its centre."""
        return self.centre

    def radii(self, farthest: float) -> tuple[float, float]:
        """Inner and outer radius of what goes, `farthest` where the metal is its limit."""
        if self.side == "inside":
            return self.from_radius or 0.0, self.radius
        return self.radius, self.from_radius or farthest

    def across(self) -> SizeAcross | Wrong:
        """None: it is one wall."""
        return (
            "an arc is one wall, so it has no size across",
            "remove it, and change its radius by what it is off",
        )

    def taken_area(self, metal: BaseGeometry, narrowest: float) -> BaseGeometry:
        """As drawn, or out to the edge of the metal."""
        from gcodekit.geometry.flattening import to_shapely
        from gcodekit.job.stock.drawn_removal import beyond_metal

        del narrowest
        inner, outer = self.radii(beyond_metal(self.centre, metal))
        cleared = sector(inner, outer, start=self.start, end=self.end, centre=self.centre)
        return to_shapely(cleared, METAL_SAG)

    def rims(self, metal: BaseGeometry) -> tuple[Rim, ...]:
        """Along its radius, and along the one that cutting starts from."""
        radii = [(self.radius, self.side)]
        if self.from_radius is not None:
            radii.append((self.from_radius, "inside" if self.side == "outside" else "outside"))
        found = []
        for radius, side in radii:
            (chain,) = replace(self, radius=radius, side=side).lines(metal)
            if self.whole:
                found.append(Rim(outline=Region.of(chain), side=side))
            else:
                # counter-clockwise, so that its centre is on the left
                found.append(Rim(path=chain, side="right" if side == "outside" else "left"))
        return tuple(found)

    def check_in_metal(self, table: Table, raw: RawStock, key: str) -> None:
        """An arc with no metal in what it clears, or with all of it."""
        from gcodekit.geometry.boolean import common, minus

        box, metal = PlanLimits.of_metal(raw), seen_from_above(raw)
        corners = [(x, y) for x in (box.left, box.right) for y in (box.front, box.back)]
        inner, outer = self.radii(max(distance(self.centre, p) for p in corners) + 1.0)
        what = f"cuts nothing: no stock is {self.side} its radius between its angles"
        if inner < outer:
            cleared = sector(inner, outer, start=self.start, end=self.end, centre=self.centre)
            if not minus(metal, cleared).empty and not common([cleared, metal]).empty:
                return
            if minus(metal, cleared).empty:
                what = "leaves no stock"
        table.error(key or "radius", f"{self.name} {what}", metal_is(table, raw))


def _read(table: Table, _: Surroundings) -> Build | None:
    centre, radius = table.point("centre"), table.length("radius")
    start, end, side = table.angle("start"), table.angle("end"), table.choice("side")
    from_radius, ends = table.length("from_radius"), table.choice("ends")
    if centre is None or radius is None or start is None or end is None or side is None:
        return None
    if (table.has("from_radius") and from_radius is None) or (table.has("ends") and ends is None):
        return None
    if from_radius is not None and not _on_its_side(table, radius, from_radius, side):
        return None
    sweep = _sweep(table, start, end)
    if sweep is None:
        return None
    middle, size, first, last = centre, radius, start, start + sweep
    where = cast("Literal['outside', 'inside']", side)
    return lambda base: Sector(
        centre=middle,
        radius=size,
        start=first,
        end=last,
        side=where,
        from_radius=from_radius,
        open_ends=ends == "open",
        **base,
    )


def _on_its_side(table: Table, radius: float, from_radius: float, side: str) -> bool:
    """Tell whether cutting starts on the side of the radius that is to go."""
    beyond = from_radius - radius if side == "outside" else radius - from_radius
    if beyond > SAME_POINT:
        return True
    say = table.source.say
    which = "larger" if side == "outside" else "smaller"
    table.error(
        "from_radius",
        f"{say(from_radius)} leaves nothing to cut {side} the radius of {say(radius)}",
        f'make it {which} than the radius for side = "{side}"',
    )
    return False


def _sweep(table: Table, start: float, end: float) -> float | None:
    """The angle from start to end: an end at or below the start is a turn further on."""
    sweep = end - start
    if sweep <= SAME_ANGLE:
        sweep += math.tau
    if SAME_ANGLE < sweep <= math.tau + SAME_ANGLE:
        return min(sweep, math.tau)
    table.error(
        "end",
        f"is {math.degrees(end - start):.6g} degrees from the start",
        "give at most a full turn, counter-clockwise from start to end",
    )
    return None


KIND = Kind(
    rank=9,
    keys=(
        Key(name="centre", kind="point", required=True, meaning="centre of the arc"),
        Key(name="radius", kind="length", over=0, required=True, meaning="finished radius"),
        Key(name="start", kind="angle", required=True, meaning="start angle"),
        Key(name="end", kind="angle", required=True, meaning="end angle"),
        Key(
            name="side",
            kind="choice",
            choices=("outside", "inside"),
            required=True,
            meaning="side of the radius to clear",
        ),
        Key(
            name="from_radius",
            kind="length",
            over=0,
            meaning="radius where cutting starts",
            unset="the edge of the stock",
        ),
        Key(
            name="ends",
            kind="choice",
            choices=("open",),
            meaning="open: the cutter may run on past the ends",
            unset="the cutter stops at each end if stock to be kept is there",
        ),
    ),
    text="""\
A sector milled to a radius about a centre, from the angle `start` counter-clockwise to `end`: \
the stock beyond the radius (side = "outside") or within it (side = "inside") is cleared. An end \
at or below the start continues past 360. At each end the cutter leaves along the tangent if it \
meets no stock to be kept there; otherwise it stops, and the corner left uncut is reported.""",
    example="""\
[[setup.feature]]
kind = "arc"
centre = [50, 30]
radius = 20
start = 0
end = 180
side = "outside"
depth = 3""",
    see=("depth", "profile"),
    read=_read,
    ways=AREA,
    one_of=(DEPTH_WAYS,),
)
