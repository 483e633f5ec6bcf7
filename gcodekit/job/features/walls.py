"""Features that cut the metal back to a wall: edges, bosses and arcs."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal, cast

from gcodekit.geometry.chain import SAME_POINT, Point
from gcodekit.geometry.region import Region
from gcodekit.job.features.sizes import sized_outline
from gcodekit.job.keys.reading import Table
from gcodekit.job.model import Boss, Edge, Sector

if TYPE_CHECKING:  # they are made there, and that module reads these kinds
    from gcodekit.job.features.features import Around, Build

# Where each side of the work looks.
AWAY: dict[str, Point] = {
    "left": (-1.0, 0.0),
    "right": (1.0, 0.0),
    "front": (0.0, -1.0),
    "back": (0.0, 1.0),
}
# Angles nearer than this are one, radians: far below what a drawing says.
SAME_ANGLE = 1e-9


def read_edge(table: Table, _: Around) -> Build | None:
    """side, at."""
    side, at = table.choice("side"), table.length("at")
    if side is None or at is None:
        return None
    away = AWAY[side]
    point = (at, 0.0) if away[0] else (0.0, at)
    return lambda base: Edge(point=point, away=away, **base)


def read_boss(table: Table, around: Around) -> Build | None:
    """outline or outlines, within."""
    way = table.one_of("outline", "outlines", what="what stays standing")
    kept = None if way is None else _kept(table, way, around)
    within = around.outlines.region(table, "within") if table.has("within") else None
    if kept is None or (table.has("within") and within is None):
        return None
    kept, band = sized_outline(table, kept, inside=False) or (kept, None)
    if within is not None:
        left = around.outlines.combined(table, "within", "minus", [within, kept])
        if left is None:
            return None
        if left.empty:
            table.error("within", "lies inside what stays standing", "nothing is left to clear")
            return None
    standing = kept
    return lambda base: Boss(kept=standing, within=within, band=band, **base)


def _kept(table: Table, way: str, around: Around) -> Region | None:
    if way == "outline":
        return around.outlines.region(table, way)
    value = table.raw(way)
    if not isinstance(value, list) or not value:
        table.error(way, "is not a list of outlines", "write outlines = [...]")
        return None
    if table.many(way, value):
        return None
    found = [around.outlines.region(table, (way, i)) for i in range(len(value))]
    regions = [r for r in found if r is not None]
    if len(regions) < len(found):
        return None
    return around.outlines.combined(table, way, "union", regions)


def read_arc(table: Table, _: Around) -> Build | None:
    """centre, radius, start, end, side, from_radius, ends."""
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
    """Whether cutting starts on the side of the radius that is to go."""
    beyond = from_radius - radius if side == "outside" else radius - from_radius
    if beyond > SAME_POINT:
        return True
    say = table.source.say
    which = "larger" if side == "outside" else "smaller"
    table.error(
        "from_radius",
        f"{say(from_radius)} leaves nothing to cut {side} the radius of {say(radius)}",
        f'with side = "{side}" it is {which} than the radius',
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
        "an arc is a full turn at most, counter-clockwise from start to end",
    )
    return None
