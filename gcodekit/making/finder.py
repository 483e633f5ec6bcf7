"""Where the spindle stands when an edge finder touches the stock."""

from __future__ import annotations

from gcodekit.job.model import Job, Setup
from gcodekit.units import format_length


def finder_row(job: Job, setup: Setup) -> dict[str, float] | None:
    """The edge finder's diameter, and the spindle's x or y, program coordinates, mm, as it touches
    each side: what to set there. Sides that may lie further out than drawn are left out; None
    where the workshop names no edge finder."""
    finder = job.workshop.machine.edge_finder
    if finder is None:
        return None
    stock, (over_low, over_high) = setup.sure, setup.oversize
    sides = {
        "left": (stock.low[0] - finder / 2, over_low[0]),
        "right": (stock.high[0] + finder / 2, over_high[0]),
        "front": (stock.low[1] - finder / 2, over_low[1]),
        "back": (stock.high[1] + finder / 2, over_high[1]),
    }
    known = {side: round(at, 6) + 0.0 for side, (at, over) in sides.items() if over == 0.0}
    return {"diameter": finder, **known}


def finder_line(job: Job, setup: Setup) -> str:
    """The same for the bench, in the job's units; "" where there is no finder."""
    row = finder_row(job, setup)
    if row is None or len(row) == 1:
        return ""
    axes = {"left": "X", "right": "X", "front": "Y", "back": "Y"}
    sets = ", ".join(
        f"{side} {axes[side]} {format_length(row[side], job.units)}" for side in axes if side in row
    )
    size = format_length(row["diameter"], job.units)
    return f"{setup.name}: edge finder of {size} touching a side, set there: {sets}"
