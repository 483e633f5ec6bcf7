"""Outlines from DXF and SVG files. A drawing's fault is a fault of the key that names it, with
the file, the layer or id, what is at fault there and its place in the drawing's own units."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches
from pathlib import Path

from gcodekit.drawing import read_drawing
from gcodekit.drawing.assemble import Assembled, OpenLine, assembled, loose_ends
from gcodekit.drawing.drawing_model import Drawing, said
from gcodekit.errors import DrawingError
from gcodekit.geometry.chain import Chain
from gcodekit.geometry.checks import self_crossing
from gcodekit.geometry.region import Region
from gcodekit.job.document.wording import listed, plain, quoted
from gcodekit.job.keys.reading import Table
from gcodekit.units import mm_per

# Names listed where one is not known.
NAMES_LISTED = 8
# Names that are looked through for one like it.
MOST_COMPARED = 2_000


def imported_shape(table: Table, what: str, folder: Path) -> tuple[Region | Chain | None, str]:
    """The outline that a `dxf` or `svg` key's table names, in mm: a region, or one open line and
    what is at its ends, for those who need a closed one."""
    name, scale = table.text(what), table.number("scale")
    under_key = "layer" if what == "dxf" else "id"
    under = table.text(under_key)
    if name is None or scale is None or (table.has(under_key) and under is None):
        return None, ""
    if not name.lower().endswith(f".{what}"):
        table.error(
            what, f"{quoted(name)} is not a .{what} file", f"name a file that ends in .{what}"
        )
        return None, ""
    try:
        drawing = read_drawing(folder / name, name)
    except DrawingError as error:
        for fault in error.faults:
            line = f" line {fault.place.line}:" if fault.place.line else ""
            table.error(what, f"{plain(name)}:{line} {plain(fault.message)}", fault.hint)
        return None, ""
    chosen, known = _chosen(table, drawing, under_key, under)
    return _Import(table, drawing, under_key, chosen).shape(scale) if known else (None, "")


def _chosen(table: Table, drawing: Drawing, key: str, name: str | None) -> tuple[str | None, bool]:
    """The layer or id to be taken, None for all, and whether it can be."""
    there = drawing.drawn_names
    if name is None:
        if drawing.sort == "id" or len(there) == 1:
            return (there[0] if drawing.sort == "layer" else None), True
        message, hint = f"{plain(drawing.file)} has several", f"name one of {_list(there)}"
        if not there:
            message, hint = f"{plain(drawing.file)} has no shapes", "draw them in model space"
        table.error(key, message, hint)
        return None, False
    # capitals do not count in the name of a layer
    layers = (n for n in drawing.names if n.casefold() == name.casefold())
    found = name if name in drawing.names else next(layers, None) if key == "layer" else None
    if found in there:
        return found, True
    if found is None:
        close = get_close_matches(name, there[:MOST_COMPARED], n=4, cutoff=0.6)
        hint = f"the nearest names: {_list(close)}" if close else f"choose from {_list(there)}"
        table.error(key, f"{plain(drawing.file)} has no {key} {quoted(name)}", hint)
    else:
        message = f"nothing is drawn on {quoted(name)} in {plain(drawing.file)}"
        table.error(key, message, f"choose from {_list(there)}")
    return None, False


def _list(names: Sequence[str]) -> str:
    more = [f"{len(names) - NAMES_LISTED} more"] if len(names) > NAMES_LISTED else []
    return listed([*(quoted(n) for n in names[:NAMES_LISTED]), *more], "and") or "none"


class _Import:
    """One layer or id of a drawing, on its way into a job."""

    def __init__(self, table: Table, drawing: Drawing, key: str, name: str | None) -> None:
        self.table, self.drawing, self.name = table, drawing, name
        self.key = key if table.has(key) else "dxf" if key == "layer" else "svg"
        where = f", {key} {plain(name)}" if name is not None else ""
        self.where = f"{plain(drawing.file)}{where}"

    def shape(self, scale: float) -> tuple[Region | Chain | None, str]:
        """Its rings as a region, or its one open line with its ends in words."""
        unit = self.drawing.unit
        if unit is None:
            units = self.table.source.units
            unit = mm_per(units)
            self._warn("has no units", f"read in the units of the job, {units}")
        mm = unit * scale
        found = assembled(self.drawing, self.name, mm=mm)
        for message, hint in found.notes:
            self._warn(message, hint)
        for message, hint in found.errors:
            self._error(message, hint)
        if found.errors:
            return None, ""
        if len(found.loose) == 1 and not found.rings:
            ends = loose_ends(self.drawing, found, mm=mm)[0][0]
            return self._open(found.loose[0], mm), f"{self.where}: {plain(ends)}"
        return self._closed(found, mm), ""

    def _closed(self, found: Assembled, mm: float) -> Region | None:
        for message, hint in loose_ends(self.drawing, found, mm=mm):
            self._error(message, hint)
        if not found.loose and not found.rings:
            self._error("has no line of any length", "draw one")
        return found.region

    def _open(self, loose: OpenLine, mm: float) -> Chain | None:
        at = self_crossing(loose.chain)
        if at is None:
            return loose.chain
        place = said(at, self.drawing, mm)
        self._error(
            f"the line of {loose.first} crosses itself at {place}", "split it where it crosses"
        )
        return None

    def _error(self, message: str, hint: str) -> None:
        self.table.error(self.key, f"{self.where}: {plain(message)}", plain(hint))

    def _warn(self, message: str, hint: str) -> None:
        self.table.warn(self.key, f"{self.where}: {plain(message)}", plain(hint))
