"""The piece that a set-up takes of stock that an earlier one has parted, as a solid.

A second opinion on `job.stock.pieces`: found by taking solids apart, never by sections.
"""

from __future__ import annotations

from dataclasses import dataclass

from manifold3d import Manifold

from gcodekit.job.model import Setup
from gcodekit.remaining.solid_frames import into, out_of
from gcodekit.remaining.stock_bodies import pieces_of
from gcodekit.target.volumes import VOLUME_BEYOND, joined

# A place is felt for in a cube of this half width, mm.
PLACE = 0.01
# Pieces that share less than this of the smaller are two, not one.
SAME_PIECE = 0.5
# A piece ends where the stock did, within this, mm.
AT_STOCK = 1e-3


@dataclass(frozen=True, slots=True)
class TakenPiece:
    """A piece, and the others that were parted from it, in the stock's frame."""

    body: Manifold
    others: Manifold

    def of(self, stock: Manifold, setup: Setup) -> Manifold:
        """What of the stock of a set-up (its coordinates) is this piece: oversize beside it counts
        in, that beside the others does not."""
        own = into(setup, self.body)
        whole = own + into(setup, self.others)
        box, outer = own.bounding_box(), whole.bounding_box()
        low = [box[i] - (VOLUME_BEYOND if box[i] < outer[i] + AT_STOCK else 0.0) for i in range(3)]
        high = [
            box[i] + (VOLUME_BEYOND if box[i] > outer[i] - AT_STOCK else 0.0) for i in range(3, 6)
        ]
        size = tuple(b - a for a, b in zip(low, high, strict=True))
        room = Manifold.cube(size).translate(tuple(low))
        return (stock - into(setup, self.others)) ^ room

    def is_same(self, other: TakenPiece) -> bool:
        """Tell whether two are one piece, or one is a part of the other."""
        shared = float((self.body ^ other.body).volume())
        least = min(float(self.body.volume()), float(other.body.volume()))
        return shared > SAME_PIECE * least


def piece_of(setup: Setup, parting: Setup, left: Manifold) -> TakenPiece | None:
    """The piece that a set-up takes of what the one before has `left`, in that one's coordinates;
    None where none is at its place, or several are."""
    assert setup.piece is not None
    at = setup.piece.at
    x, y = at[:2]
    low, high = (at[2], at[2]) if len(at) > 2 else left.bounding_box()[2::3]
    size = (2 * PLACE, 2 * PLACE, high - low + 2 * PLACE)
    feeler = Manifold.cube(size).translate((x - PLACE, y - PLACE, low - PLACE))
    pieces = pieces_of(left)
    found = [p for p in pieces if not (p ^ feeler).is_empty()]
    if len(pieces) < 2 or len(found) != 1:
        return None
    others = joined([p for p in pieces if p is not found[0]])
    return TakenPiece(out_of(parting, found[0]), out_of(parting, others))
