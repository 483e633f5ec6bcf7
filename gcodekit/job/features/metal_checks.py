"""Features held against the metal seen from above: outside it, larger than it, or coming free."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import ClassVar, Literal

from gcodekit.geometry.chain import SAME_POINT, Chain, Point, distance
from gcodekit.geometry.region import Region
from gcodekit.geometry.shapes import circle, rectangle
from gcodekit.geometry.tolerances import FARTHEST_OUT
from gcodekit.job.feature import Feature, Round
from gcodekit.job.keys.reading import Table
from gcodekit.job.raw_stock import RawStock

LOOSE_SAG = 0.01  # mm: ample for finding where things are
# Farther from zero, mm, nothing is drawn: what is cut there, with its cutters beside it, must stay
# within what offsets can be worked out for.
FARTHEST_DRAWN = 0.9 * FARTHEST_OUT
# A round or a slot this many times as wide as the metal is long was never meant.
MOST_TIMES = 4.0
# How far an outline may stand off the metal before the part is called too large for it.
OVERHANG = 0.05


@dataclass(frozen=True, slots=True)
class PlanLimits:
    """Limits in x and y."""

    left: float
    front: float
    right: float
    back: float

    SIDES: ClassVar = ("left", "right", "front", "back")

    @staticmethod
    def of_metal(raw: RawStock) -> PlanLimits:
        """Of the raw stock."""
        return PlanLimits(raw.low[0], raw.low[1], raw.high[0], raw.high[1])

    @staticmethod
    def of_chains(chains: Iterable[Chain]) -> PlanLimits:
        """Of chains (at least one)."""
        points = [p for c in chains for p in c.flattened(LOOSE_SAG).tolist()]
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        return PlanLimits(min(xs), min(ys), max(xs), max(ys))

    def grown(self, by: float) -> PlanLimits:
        """Larger all round."""
        return PlanLimits(self.left - by, self.front - by, self.right + by, self.back + by)

    def zero_at(self, *sides: str) -> Literal["x", "y"] | None:
        """The axis whose zero lies on one of these sides."""
        for side in sides:
            if abs(getattr(self, side)) < SAME_POINT:
                return "x" if side in ("left", "right") else "y"
        return None

    def meets(self, other: PlanLimits) -> bool:
        """Tell whether they share more than an edge."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.front < other.back
            and other.front < self.back
        )

    def holds(self, other: PlanLimits) -> bool:
        """Tell whether the other lies in this one."""
        return (
            self.left <= other.left
            and self.front <= other.front
            and self.right >= other.right
            and self.back >= other.back
        )


def check_lines(
    table: Table,
    feature: Feature,
    chains: Sequence[Chain],
    raw: RawStock,
    key: str,
    *,
    reach: float = 0.0,
    round_part: bool = False,
) -> str:
    """Note a feature that lies outside the metal, or `round_part` larger than it; at which key.

    Parameters
    ----------
    chains : what it is drawn by; none is no fault
    key : where to note it; empty: at what draws it
    reach : how far from its lines it cuts, mm
    """
    where = key or next((k for k in _DRAWN_BY if table.has(k)), "kind")
    if not chains:
        return where
    box, metal, say = PlanLimits.of_chains(chains), PlanLimits.of_metal(raw), table.source.say
    far = max(map(abs, (box.left, box.front, box.right, box.back)))
    if far > FARTHEST_DRAWN:
        hint = f"check its points and radii, at most {say(FARTHEST_DRAWN)} is allowed"
        table.error(where, f"{feature.name} reaches {say(far)} from zero", hint)
    elif not box.grown(reach).meets(metal):
        table.error(where, f"{feature.name} is outside the stock", _extent(table, metal))
    elif round_part and not metal.grown(OVERHANG).holds(box):
        table.warn(where, f"{feature.name} is larger than the stock", _extent(table, metal))
    return where


_DRAWN_BY = ("outline", "outlines", "path", "from")


def too_wide(table: Table, key: str, width: float, raw: RawStock) -> bool:
    """Tell whether a width or diameter is beyond all sense; then the fault is noted."""
    most = MOST_TIMES * math.dist(raw.low[:2], raw.high[:2])
    if width <= most:
        return False
    say = table.source.say
    table.error(key, f"{say(width)} is far wider than the stock", f"use at most {say(most)}")
    return True


def _extent(table: Table, metal: PlanLimits) -> str:
    say = table.source.say
    return (
        f"check its size and place: the stock is X {say(metal.left)} to {say(metal.right)}, "
        f"Y {say(metal.front)} to {say(metal.back)}"
    )


def metal_is(table: Table, raw: RawStock) -> str:
    """Find where the metal is, as a hint."""
    return _extent(table, PlanLimits.of_metal(raw))


def seen_from_above(raw: RawStock) -> Region:
    """The raw metal's outline in plan."""
    (x0, y0, _), (x1, y1, _) = raw.low, raw.high
    centre = ((x0 + x1) / 2, (y0 + y1) / 2)
    if raw.shape == "round" and raw.axis == "z":
        return circle(x1 - x0, centre=centre)
    return rectangle(x1 - x0, y1 - y0, centre=centre)


def check_places(table: Table, feature: Round, raw: RawStock, key: str) -> None:
    """Note places outside the metal, and drilled holes that break its edge."""
    radius = feature.diameter / 2
    outside = [p for p in feature.places if _gap(p, raw) >= radius]
    where = key or next(
        k for k in ("at", "row", "grid", "pitch_circle", "polar", "kind") if table.has(k)
    )
    metal = PlanLimits.of_metal(raw)
    if outside:
        more = f" (and {len(outside) - 1} more)" if len(outside) > 1 else ""
        table.error(
            where,
            f"{feature.name} at {table.source.say_point(outside[0])}{more} is outside the stock",
            _extent(table, metal),
        )
        return
    edge = [p for p in feature.places if _gap(p, raw) > -radius]
    if edge and not (feature.milled or feature.aimed):
        table.warn(
            where,
            f"{feature.name} at {table.source.say_point(edge[0])} breaks through the edge of the "
            "stock",
            "move it inward, or mill it as a bore: a drill may wander there",
        )


def _gap(p: Point, raw: RawStock) -> float:
    """Find how far a point lies outside the metal seen from above, negative inside, mm."""
    centre = ((raw.low[0] + raw.high[0]) / 2, (raw.low[1] + raw.high[1]) / 2)
    half = ((raw.high[0] - raw.low[0]) / 2, (raw.high[1] - raw.low[1]) / 2)
    if raw.shape == "round" and raw.axis == "z":
        return distance(p, centre) - half[0]
    dx, dy = abs(p[0] - centre[0]) - half[0], abs(p[1] - centre[1]) - half[1]
    if dx > 0 and dy > 0:
        return distance((dx, dy), (0.0, 0.0))
    return max(dx, dy)
