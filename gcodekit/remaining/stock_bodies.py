"""Bodies of stock: their pieces, plates and sides, mm."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from manifold3d import Manifold

from gcodekit.job.model import Setup
from gcodekit.remaining.work_holding import FEEL
from gcodekit.target import planar

# A piece thinner than this, mm, is a crumb: the mean of twice its volume over its surface.
THINNEST_PIECE = 0.1
# A tab or a skin of which less than this share is stock holds nothing.
IN_STOCK = 0.1
# Plates of a stack are parted so far on either side of where they meet, mm.
PLATE = 0.001


def pieces_of(body: Manifold) -> list[Manifold]:
    """The separate pieces; crumbs left out."""
    return [p for p in body.decompose() if 2 * p.volume() > THINNEST_PIECE * p.surface_area()]


def plates_of(setup: Setup, stock: Manifold) -> Iterator[tuple[int, Manifold]]:
    """The plates of a stack, from the lowest: each holds by itself. 0: no stack."""
    plates = setup.raw.plates
    low, high = setup.raw.low[2], setup.raw.high[2]
    if plates < 2:
        yield 0, stock
        return
    edges = [low + (high - low) * k / plates for k in range(plates + 1)]
    for number, (a, b) in enumerate(pairwise(edges), 1):
        body = stock.trim_by_plane((0, 0, 1), a + PLATE).trim_by_plane((0, 0, -1), -(b - PLATE))
        if not body.is_empty():
            yield number, body


def inside(piece: Manifold, stock: Manifold) -> bool:
    """Tell whether a piece reaches none of the stock's sides in plan."""
    own, all_ = piece.bounding_box(), stock.bounding_box()
    return all(abs(own[i] - all_[i]) > FEEL for i in (0, 1, 3, 4))


def enclosed(piece: Manifold, stock: Manifold) -> bool:
    """Tell whether a piece touches no side of the box round all the stock but two opposite ones."""
    own, all_ = piece.bounding_box(), stock.bounding_box()
    return len({i % 3 for i in range(6) if abs(own[i] - all_[i]) < FEEL}) <= 1


def on_board(rim: list[Manifold]) -> list[Manifold]:
    """The piece, of those that reach the stock's sides, that board or table alone is taken to hold:
    the largest of those that lie on it."""
    bottom = min((p.bounding_box()[2] for p in rim), default=0.0)
    lying = [p for p in rim if p.bounding_box()[2] < bottom + FEEL]
    return [max(lying, key=lambda p: float(p.volume()))] if lying else []


def in_air(body: Manifold, raw: Manifold, stock: Manifold) -> bool:
    """Tell whether a body lies where there was stock once and is none now."""
    whole = float((body ^ raw).volume())
    return whole > 0.5 * body.volume() and float((body ^ stock).volume()) < IN_STOCK * whole


def middle_of(piece: Manifold) -> tuple[float, float]:
    """A place of a piece, in plan: its middle if it is there."""
    seen = piece.project()
    x0, y0, x1, y1 = seen.bounds()
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    if (seen ^ planar.discs([middle], 0.01)).area() > 0:
        return middle
    x, y = seen.to_polygons()[0][0]
    return (float(x), float(y))
