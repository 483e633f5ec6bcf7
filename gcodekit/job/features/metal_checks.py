"""Features held against the metal seen from above: outside it, larger than it, or coming free."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from gcodekit.geometry.boolean import common, minus
from gcodekit.geometry.chain import SAME_POINT, Chain, Point, distance
from gcodekit.geometry.region import Region
from gcodekit.geometry.shapes import circle, rectangle, sector
from gcodekit.geometry.tolerances import FARTHEST
from gcodekit.job.keys.reading import Table
from gcodekit.job.model import (
    Bore,
    Boss,
    Edge,
    Face,
    Feature,
    Hole,
    Pocket,
    Profile,
    RawStock,
    Sector,
    Slot,
)

SAG = 0.01  # mm: ample for finding where things are
# Farther from zero, mm, nothing is drawn: what is cut there, with its cutters beside it, must stay
# within what offsets can be worked out for.
FARTHEST_DRAWN = 0.9 * FARTHEST
# A round or a slot this many times as wide as the metal is long was never meant.
MOST_TIMES = 4.0
# How far an outline may stand off the metal before the part is called too large for it.
OVERHANG = 0.05


@dataclass(frozen=True, slots=True)
class Box:
    """Limits in x and y."""

    left: float
    front: float
    right: float
    back: float

    @staticmethod
    def of_metal(raw: RawStock) -> Box:
        """Of the raw stock."""
        return Box(raw.low[0], raw.low[1], raw.high[0], raw.high[1])

    @staticmethod
    def of_chains(chains: Iterable[Chain]) -> Box:
        """Of chains (at least one)."""
        points = [p for c in chains for p in c.flattened(SAG).tolist()]
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        return Box(min(xs), min(ys), max(xs), max(ys))

    def grown(self, by: float) -> Box:
        """Larger all round."""
        return Box(self.left - by, self.front - by, self.right + by, self.back + by)

    def meets(self, other: Box) -> bool:
        """Whether they share more than an edge."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.front < other.back
            and other.front < self.back
        )

    def holds(self, other: Box) -> bool:
        """Whether the other lies in this one."""
        return (
            self.left <= other.left
            and self.front <= other.front
            and self.right >= other.right
            and self.back >= other.back
        )


def _chains(feature: Feature) -> tuple[Chain, ...]:
    if isinstance(feature, Slot):
        return (feature.path,)
    if isinstance(feature, Profile) and feature.path is not None:
        return (feature.path,)
    if isinstance(feature, Pocket):
        return feature.area.rings
    if isinstance(feature, Profile | Face) and feature.outline is not None:
        return feature.outline.rings
    if isinstance(feature, Boss):
        return feature.kept.rings
    return ()


def check_in_metal(table: Table, feature: Feature, raw: RawStock, *, key: str = "") -> None:
    """Note a feature that lies outside the metal, or an outside profile larger than it."""
    if _too_wide(table, feature, raw):
        return
    if isinstance(feature, Hole | Bore):
        _check_places(table, feature, raw, key)
        return
    if isinstance(feature, Edge):
        _check_edge(table, feature, raw, key or "at")
        return
    if isinstance(feature, Sector):
        _check_arc(table, feature, raw, key or "radius")
        return
    chains = _chains(feature)
    if not chains:
        return
    box, metal = Box.of_chains(chains), Box.of_metal(raw)
    reach = feature.width / 2 if isinstance(feature, Slot) else 0.0
    if isinstance(feature, Profile) and feature.side != "inside":
        reach = _ANY_CUTTER
    where = key or next(k for k in ("outline", "outlines", "path", "from", "kind") if table.has(k))
    far = max(map(abs, (box.left, box.front, box.right, box.back)))
    if far > FARTHEST_DRAWN:
        say = table.source.say
        table.error(
            where,
            f"{feature.name} reaches {say(far)} from zero",
            f"at most {say(FARTHEST_DRAWN)}: look at its places and radii",
        )
    elif not box.grown(reach).meets(metal):
        table.error(where, f"{feature.name} lies outside the metal", _extent(table, metal))
    elif _is_outside(feature) and not metal.grown(OVERHANG).holds(box):
        table.warn(where, f"{feature.name} is larger than the metal", _extent(table, metal))
    if isinstance(feature, Boss) and box.meets(metal):
        _check_boss(table, feature, raw, where)


def _too_wide(table: Table, feature: Feature, raw: RawStock) -> bool:
    """Note a width or diameter beyond all sense."""
    if isinstance(feature, Slot):
        key, width = "width", feature.width
    elif isinstance(feature, Bore | Hole):
        key, width = "diameter", feature.diameter
    else:
        return False
    most = MOST_TIMES * math.dist(raw.low[:2], raw.high[:2])
    if width <= most:
        return False
    say = table.source.say
    table.error(key, f"{say(width)} is far wider than the metal", f"at most {say(most)}")
    return True


def _is_outside(feature: Feature) -> bool:
    return isinstance(feature, Boss) or (isinstance(feature, Profile) and feature.side == "outside")


# An open cut may run beside the metal by a cutter's radius and still cut: an ample one.
_ANY_CUTTER = 25.0


def _extent(table: Table, metal: Box) -> str:
    say = table.source.say
    return (
        f"which is x {say(metal.left)} to {say(metal.right)}, "
        f"y {say(metal.front)} to {say(metal.back)}"
    )


def _check_edge(table: Table, edge: Edge, raw: RawStock, key: str) -> None:
    """A plane that has no metal beyond it, or all of it."""
    least, most = _span(edge, raw)
    if most > SAME_POINT and least < -SAME_POINT:
        return
    what = "cuts nothing: no metal is beyond it" if most <= SAME_POINT else "leaves no metal"
    table.error(key, f"{edge.name} {what}", _metal_is(table, raw))


def _span(edge: Edge, raw: RawStock) -> tuple[float, float]:
    """How far the metal reaches beyond the plane: least (negative inside) and most."""
    dx, dy = edge.away
    at = edge.point[0] * dx + edge.point[1] * dy
    if raw.shape == "round" and raw.axis == "z":
        centre = (raw.low[0] + raw.high[0]) / 2 * dx + (raw.low[1] + raw.high[1]) / 2 * dy
        radius = (raw.high[0] - raw.low[0]) / 2
        return centre - radius - at, centre + radius - at
    reach = [
        x * dx + y * dy - at for x in (raw.low[0], raw.high[0]) for y in (raw.low[1], raw.high[1])
    ]
    return min(reach), max(reach)


def _check_arc(table: Table, arc: Sector, raw: RawStock, key: str) -> None:
    """An arc with no metal in what it clears, or with all of it."""
    box, metal = Box.of_metal(raw), seen_from_above(raw)
    corners = [(x, y) for x in (box.left, box.right) for y in (box.front, box.back)]
    far = max(distance(arc.centre, p) for p in corners) + 1.0
    inner, outer = arc.radius, arc.from_radius or far
    if arc.side == "inside":
        inner, outer = arc.from_radius or 0.0, arc.radius
    what = f"cuts nothing: no metal is {arc.side} its radius between its angles"
    if inner < outer:
        cleared = sector(inner, outer, start=arc.start, end=arc.end, centre=arc.centre)
        if not minus(metal, cleared).empty and not common([cleared, metal]).empty:
            return
        if minus(metal, cleared).empty:
            what = "leaves no metal"
    table.error(key, f"{arc.name} {what}", _metal_is(table, raw))


def _metal_is(table: Table, raw: RawStock) -> str:
    return _extent(table, Box.of_metal(raw)).replace("which", "the metal", 1)


def _check_boss(table: Table, boss: Boss, raw: RawStock, key: str) -> None:
    """A boss with no metal round it."""
    metal = seen_from_above(raw)
    round_it = metal if boss.within is None else common([metal, boss.within])
    if minus(round_it, boss.kept).empty:
        table.error(key, f"{boss.name} cuts nothing: it fills the metal", _metal_is(table, raw))


def seen_from_above(raw: RawStock) -> Region:
    """The raw metal's outline in plan."""
    (x0, y0, _), (x1, y1, _) = raw.low, raw.high
    centre = ((x0 + x1) / 2, (y0 + y1) / 2)
    if raw.shape == "round" and raw.axis == "z":
        return circle(x1 - x0, centre=centre)
    return rectangle(x1 - x0, y1 - y0, centre=centre)


def _check_places(table: Table, feature: Hole | Bore, raw: RawStock, key: str) -> None:
    """Places outside the metal, and drilled holes that break its edge."""
    radius = feature.diameter / 2
    outside = [p for p in feature.places if _gap(p, raw) >= radius]
    where = key or next(
        k for k in ("at", "row", "grid", "pitch_circle", "polar", "kind") if table.has(k)
    )
    metal = Box.of_metal(raw)
    if outside:
        more = f" and {len(outside) - 1} more" if len(outside) > 1 else ""
        table.error(
            where,
            f"{feature.name} at {table.source.say_point(outside[0])}{more} lies outside the metal",
            _extent(table, metal),
        )
        return
    edge = [p for p in feature.places if _gap(p, raw) > -radius]
    if edge and isinstance(feature, Hole):
        table.warn(
            where,
            f"{feature.name} at {table.source.say_point(edge[0])} breaks the metal's edge",
            "a drill may wander there",
        )


def _gap(p: Point, raw: RawStock) -> float:
    """How far a point lies outside the metal seen from above, negative inside, mm."""
    centre = ((raw.low[0] + raw.high[0]) / 2, (raw.low[1] + raw.high[1]) / 2)
    half = ((raw.high[0] - raw.low[0]) / 2, (raw.high[1] - raw.low[1]) / 2)
    if raw.shape == "round" and raw.axis == "z":
        return distance(p, centre) - half[0]
    dx, dy = abs(p[0] - centre[0]) - half[0], abs(p[1] - centre[1]) - half[1]
    if dx > 0 and dy > 0:
        return distance((dx, dy), (0.0, 0.0))
    return max(dx, dy)


def clears_top(face: Face, raw: RawStock) -> bool:
    """Whether a face takes the whole top of the metal."""
    if face.outline is None:
        return True
    if len(face.outline.rings) != 1:
        return False
    ring = face.outline.rings[0]
    box = Box.of_chains([ring])
    full = (box.right - box.left) * (box.back - box.front)
    rectangular = abs(abs(ring.area) - full) < 1e-6 * full
    return rectangular and box.grown(1e-6).holds(Box.of_metal(raw))
