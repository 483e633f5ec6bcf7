"""Single shapes and drawn paths, from the job's words to geometry."""

from __future__ import annotations

from gcodekit.geometry import shapes
from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.checks import self_crossing
from gcodekit.geometry.region import Region
from gcodekit.job.keys.reading import Path, Table
from gcodekit.job.outlines.drawn_path import build_path
from gcodekit.job.outlines.paths import read_entries


def drawn_shape(table: Table, what: str, *, own_angle: bool) -> Region | Chain | None:
    """A rectangle, circle, obround, polygon or path. `own_angle`: `angle` turns the shape
    about its own centre or corner."""
    angle = (table.angle("angle") if own_angle else None) or 0.0
    if what == "path":
        return _path(table)
    if what == "circle":
        diameter, centre = table.length("circle"), table.point("centre")
        if diameter is None or centre is None:
            return None
        return shapes.circle(diameter, centre=centre)
    if what == "obround":
        return _obround(table, angle)
    return _polygon(table, angle) if what == "polygon" else _rectangle(table, angle)


def _rectangle(table: Table, angle: float) -> Region | None:
    size, corner = table.lengths("rectangle", 2), table.length("round")
    if table.has("corner") and table.has("centre"):
        table.error("corner", "centre is given too", "remove one of them")
        return None
    centre, lower_left = table.point("centre"), table.point("corner")
    if size is None or centre is None or (table.has("corner") and lower_left is None):
        return None
    if table.has("round") and corner is None:
        return None
    width, height = size
    most = min(width, height) / 2
    if corner and corner > most:
        table.error(
            "round",
            f"{table.source.say(corner)} does not fit the rectangle",
            f"use at most {table.source.say(most)}",
        )
        return None
    about = lower_left or centre
    if lower_left is not None:
        centre = (lower_left[0] + width / 2, lower_left[1] + height / 2)
    return shapes.rectangle(width, height, centre=centre, round=corner or 0.0).turned(angle, about)


def _obround(table: Table, angle: float) -> Region | None:
    size, centre = table.lengths("obround", 2), table.point("centre")
    if size is None or centre is None:
        return None
    length, width = size
    if length < width:
        table.error("obround", "is wider than it is long", "write [overall length, width]")
        return None
    return shapes.obround(length, width, centre=centre).turned(angle, centre)


def _polygon(table: Table, angle: float) -> Region | None:
    sides, centre = table.count("polygon"), table.point("centre")
    across = table.one_of("across_flats", "across_corners", what="the size of the polygon")
    size = table.length(across) if across else None
    if sides is None or centre is None or size is None or across is None:
        return None
    if across == "across_flats":
        region = shapes.polygon(sides, across_flats=size, centre=centre)
    else:
        region = shapes.polygon(sides, across_corners=size, centre=centre)
    return region.turned(angle, centre)


def _path(table: Table) -> Region | Chain | None:
    closed = table.flag("closed")
    chain = drawn_path(table, ("path",), closed=closed)
    return Region.of(chain) if chain is not None and closed else chain


_SIDES_APART = "move the lines apart there"


def drawn_path(table: Table, path: Path, *, closed: bool) -> Chain | None:
    """The chain of the list at `path` below the table, its corners rounded, not crossing itself."""
    entries = read_entries(table, path)
    if entries is None:
        return None
    chain = build_path(table, path, entries, closed=closed)
    if chain is None:
        return None
    crossing: Point | None = self_crossing(chain)
    if crossing is not None:
        table.error(path, f"crosses itself at {table.source.say_point(crossing)}", _SIDES_APART)
        return None
    return chain
