"""The pieces that the work was parted into, and which set-up takes which: for report and user."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, TypedDict

from gcodekit.job.model import Job
from gcodekit.units import MM_PER_INCH, format_length

if TYPE_CHECKING:
    from manifold3d import Manifold

    from gcodekit.remaining.loose_pieces import Parting

# A place is felt for in a cube of this half width, mm.
PLACE = 0.01


class PieceRow(TypedDict):
    """A piece as the report has it: mm and mm3, in the coordinates of the set-up that parted it;
    `taken_by`: the set-ups after it that take it, by name."""

    setup: str
    low: list[float]
    high: list[float]
    volume: float
    taken_by: list[str]


def piece_rows(job: Job, partings: Sequence[Parting]) -> list[PieceRow]:
    """Every piece of every set-up that parts the work."""
    return [_row(job, parting, body) for parting in partings for body in parting.pieces]


def _row(job: Job, parting: Parting, body: Manifold) -> PieceRow:
    box = [round(v, 4) + 0.0 for v in body.bounding_box()]
    name = parting.setup.name
    takes = (s for s in job.setups if s.piece is not None and s.piece.setup == name)
    taken = [s.name for s in takes if s.piece is not None and _is_at(body, s.piece.at)]
    return {
        "setup": name,
        "low": box[:3],
        "high": box[3:],
        "volume": float(body.volume()),
        "taken_by": taken,
    }


def _is_at(body: Manifold, at: Sequence[float]) -> bool:
    """Tell whether a piece stands at a place of two or three figures."""
    box = body.bounding_box()
    low, high = (at[2], at[2]) if len(at) > 2 else (box[2], box[5])
    size = (2 * PLACE, 2 * PLACE, high - low + 2 * PLACE)
    corner = (at[0] - PLACE, at[1] - PLACE, low - PLACE)
    return not (body ^ type(body).cube(size).translate(corner)).is_empty()


def pieces_lines(job: Job, rows: Sequence[PieceRow]) -> Iterator[str]:
    """A line for each piece: its limits, and what takes it."""
    for row in rows:
        number = [r for r in rows if r["setup"] == row["setup"]].index(row) + 1
        spans = (
            f"{axis} {_said(low, job).split()[0]} to {_said(high, job)}"
            for axis, low, high in zip("XYZ", row["low"], row["high"], strict=True)
        )
        size = f"{row['volume'] / 1000:.2f} cm3"
        if job.units == "inch":
            size = f"{row['volume'] / MM_PER_INCH**3:.3f} in3"
        takes = (
            f"taken by {', '.join(row['taken_by'])}" if row["taken_by"] else "taken by no set-up"
        )
        yield f"{row['setup']}: piece {number}: {', '.join(spans)}, {size}, {takes}"


def _said(mm: float, job: Job) -> str:
    """A length to what a rule or a caliper tells."""
    step = 0.01 if job.units == "mm" else 0.001 * MM_PER_INCH
    return format_length(round(mm / step) * step + 0.0, job.units)
