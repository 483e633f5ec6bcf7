"""Tables of a handwheel sheet: stops, holes and turns as they read on the machine's scales."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from gcodekit.geometry.chain import Point
from gcodekit.handwheel.axis_scales import AxisScale, TableScales
from gcodekit.handwheel.strokes import HoleTable, StrokeTable, TableStop, TurnTable
from gcodekit.sheet.blocks import Cell, Column, SheetTable, Tick
from gcodekit.sheet.figures import figure, unit_of

# No more stops than these stand one on a line.
FEW = 6
# Decimals of an angle, degrees: rotary tables have verniers to a minute, or 0.02 degrees.
ANGLE_PLACES = 2


def unit_line(scale: AxisScale) -> str:
    """The unit under a column's head."""
    if not scale.dial:
        return unit_of(scale.units)
    return "turns+div" if scale.turn is not None else "div"


def depths_read(scales: TableScales, depths: Sequence[float]) -> str:
    """Depths in words as they read, from the top: never deeper than planned."""
    read = [scales.z.reads(scales.z.shallow(z)) for z in depths]
    unit = f" ({unit_line(scales.z)})" if scales.z.dial else ""
    if len(read) == 1:
        return f"at Z {read[0]}{unit}"
    return f"at each depth in turn, Z {', '.join(read)}{unit}"


def stop_table(scales: TableScales, table: StrokeTable, first: int) -> SheetTable:
    """The stops of a table, numbered from `first`, two on a line: a table may go on over pages."""
    rows = _stop_rows(scales, table.stops, first)
    head = (
        Column("", align="right"),
        Column("turn"),
        Column("X", unit_line(scales.x), "right"),
        Column("Y", unit_line(scales.y), "right"),
    )
    gap = Column(" ", share=1.0)
    if len(rows) <= FEW:
        return SheetTable((*head, gap), tuple((*row, "") for row in rows))
    rows += [("", "", "", "")] * (len(rows) % 2)
    pairs = zip(rows[::2], rows[1::2], strict=True)
    return SheetTable((*head, gap, *head, gap), tuple((*a, "", *b, "") for a, b in pairs))


def _stop_rows(
    scales: TableScales, stops: Sequence[TableStop], first: int
) -> list[tuple[Cell, ...]]:
    """Number, handles and readings of each stop; what is not turned has no reading."""
    rows: list[tuple[Cell, ...]] = []
    for n, (before, stop) in enumerate(pairwise((None, *stops)), first):
        assert stop is not None  # only the first of all is preceded by nothing
        here = before.at if before is not None else stop.at
        if stop.handle == "down":
            rows.append((str(n), "down", *scales.place(stop.at)))
            continue
        signs = ["+" if b > a else "-" for a, b in zip(here, stop.at, strict=True)]
        words = [f"{h.upper()}{signs['xy'.index(h)]}" for h in stop.handle]
        cells = [
            _reading(scales, axis, stop.at, signs[axis]) if "xy"[axis] in stop.handle else ""
            for axis in (0, 1)
        ]
        rows.append((str(n), " ".join(words), *cells))
    return rows


def _reading(scales: TableScales, axis: int, at: Point, sign: str) -> str:
    scale = (scales.x, scales.y)[axis]
    backlash = scales.backlash[axis] if scales.backlash else None
    return scale.reads(at[axis] if sign == "+" else scale.from_plus(at[axis], backlash))


def hole_table(scales: TableScales, table: HoleTable) -> SheetTable:
    """Every hole, each with a box to tick."""
    pecked = any(h.peck for h in table.holes)
    columns = [
        Column("", align="right"),
        Column("X", unit_line(scales.x), "right"),
        Column("Y", unit_line(scales.y), "right"),
        Column("Z of tip", unit_line(scales.z), "right"),
    ]
    rows: list[tuple[Cell, ...]] = []
    for n, hole in enumerate(table.holes, 1):
        # a tip goes a division short of its depth at most
        z = scales.z.reads(scales.z.shallow(hole.bottom))
        peck = [figure(hole.peck, scales.units, 2 if scales.units == "mm" else 3)] * pecked
        rows.append((str(n), *scales.place(hole.at), z, *peck, Tick()))
    if pecked:
        columns.append(Column("pecks of", unit_of(scales.units), "right"))
    return SheetTable((*columns, Column("")), tuple(rows))


def turn_table(scales: TableScales, table: TurnTable, first: int) -> SheetTable:
    """Every cut on the rotary table: where X stands, how far from the table's centre that is, and
    the angles."""
    places = 2 if scales.units == "mm" else 4
    columns = (
        Column("", align="right"),
        Column("X", unit_line(scales.x), "right"),
        Column("from table centre", unit_of(scales.units), "right"),
        Column("from angle", "degrees", "right"),
        Column("to angle", "degrees", "right"),
        Column("turn the work"),
        Column(" ", share=1.0),
    )
    rows: list[tuple[Cell, ...]] = []
    for n, turn in enumerate(table.turns, first):
        way = "clockwise" if turn.end > turn.start else "anticlockwise"
        angles = [f"{math.degrees(a):.{ANGLE_PLACES}f}" for a in (turn.start, turn.end)]
        x = scales.x.reads(table.centre[0] + turn.radius)
        rows.append((str(n), x, figure(turn.radius, scales.units, places), *angles, way, ""))
    return SheetTable(columns, tuple(rows))
