"""The stock each set-up begins with, as a solid in that set-up's coordinates, mm."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from manifold3d import CrossSection, Manifold

from gcodekit.job.model import Job, Setup
from gcodekit.job.raw_stock import RawStock, Stock
from gcodekit.remaining.solid_frames import Matrix, into, out_of, turned
from gcodekit.remaining.taken_pieces import TakenPiece, piece_of
from gcodekit.target import planar
from gcodekit.target.kind_target import target_kind
from gcodekit.target.volumes import VOLUME_BEYOND, Extent, Finish, joined

# The face that is up when stock stands on its end.
_UP_ON_END = {"x": "right", "y": "back", "z": "top"}


def gone_after_each(job: Job, finishes: Mapping[str, Finish], extent: Extent) -> list[Manifold]:
    """The stock each set-up removes, in the stock's frame."""
    return [
        out_of(
            s, joined([target_kind(f).solid(f, s, finishes[f.name], extent) for f in s.features])
        )
        for s in job.setups
    ]


def begun_with(job: Job, number: int, gone: Sequence[Manifold]) -> Manifold:
    """The stock that set-up `number` (from 0) begins with, its oversize counted in; `gone` is what
    each set-up takes. Empty where it takes a piece that is not there."""
    setup = job.setups[number]
    if setup.piece is not None:
        return _piece_begun_with(job, number, gone)
    loose = [i for i, s in enumerate(job.setups[: number + 1]) if s.loose]
    freed = [out_of(s, offcuts(s)) for s in job.setups[: loose[-1] if loose else 0]]
    return raw_solid(setup) - into(setup, joined([hollow(job.stock), *gone[:number], *freed]))


def _piece_begun_with(job: Job, number: int, gone: Sequence[Manifold]) -> Manifold:
    """The same of a set-up that takes a piece: what the set-ups before have cut of it."""
    setup = job.setups[number]
    own = taken_piece(job, number, gone)
    if own is None:
        return Manifold()
    cut = [hollow(job.stock)]
    for i, other in enumerate(job.setups[:number]):
        its = None if other.piece is None else taken_piece(job, i, gone)
        if its is None or its.is_same(own):
            cut.append(gone[i])
    left = raw_solid(setup) - into(setup, joined(cut))
    # a piece of a piece is what both leave
    at: int | None = number
    while at is not None:
        piece = taken_piece(job, at, gone)
        left = Manifold() if piece is None else piece.of(left, setup)
        parting = _parting(job, at)
        at = parting if job.setups[parting].piece is not None else None
    return left


def _parting(job: Job, number: int) -> int:
    """The set-up that parted the stock of which set-up `number` takes a piece."""
    piece = job.setups[number].piece
    assert piece is not None
    return next(i for i, s in enumerate(job.setups) if s.name == piece.setup)


def taken_piece(job: Job, number: int, gone: Sequence[Manifold]) -> TakenPiece | None:
    """The piece that set-up `number` takes, as the set-up that parted it has left it."""
    parting = _parting(job, number)
    before = job.setups[parting]
    left = begun_with(job, parting, gone) - into(before, gone[parting])
    return piece_of(job.setups[number], before, left)


def raw_solid(setup: Setup, *, drawn: bool = False) -> Manifold:
    """The raw stock as it lies in a set-up."""
    raw, (less_low, less_high) = setup.raw, setup.oversize
    low, high = np.array(raw.low), np.array(raw.high)
    if drawn:
        low, high = low + np.array(less_low), high - np.array(less_high)
    size = high - low
    if raw.shape == "block":
        return Manifold.cube(tuple(size)).translate(tuple(low))
    return _bar(raw, size).translate(tuple((low + high) / 2))


def _bar(raw: RawStock, size: Matrix) -> Manifold:
    """A round bar about 0, 0, 0."""
    along = "xyz".index(raw.axis)
    radius = float(size[0 if along else 1]) / 2
    bar = Manifold.cylinder(float(size[along]), radius, radius, planar.chords(radius), True)
    return bar.rotate(((0, 90, 0), (90, 0, 0), (0, 0, 0))[along])


def hollow(stock: Stock) -> Manifold:
    """The hollow of a tube or shaped plate in its bar or block, in the stock's frame."""
    if stock.hollow is None:
        return Manifold()
    rows, size = turned(_UP_ON_END[stock.axis]), np.array(stock.size)
    corner = np.minimum(0.0, rows @ size)
    height = float(np.abs(rows @ size)[2])
    body = Manifold.extrude(planar.area_from(stock.hollow), height + 2 * VOLUME_BEYOND)
    body = body.translate((0, 0, -VOLUME_BEYOND)).translate(tuple(corner))
    return body.transform(np.column_stack([rows.T, np.zeros(3)]))


def offcuts(setup: Setup) -> Manifold:
    """The offcuts that a set-up parts from the work through all the stock: outside the parts,
    inside a window. What held it counts as cut."""
    parts: list[CrossSection] = []
    slugs: list[CrossSection] = []
    for f in setup.features:
        kind = target_kind(f)
        if kind.parts_stock(f):
            part, window = kind.part(f), kind.window(f)
            parts += [planar.area_of(part)] if part is not None else []
            slugs += [planar.area_of(window)] if window is not None else []
    (x0, y0, low), (x1, y1, high) = setup.raw.low, setup.raw.high
    areas = [planar.union(slugs)]
    if parts:
        whole = planar.box(
            x0 - VOLUME_BEYOND, y0 - VOLUME_BEYOND, x1 + VOLUME_BEYOND, y1 + VOLUME_BEYOND
        )
        areas.append(whole - planar.union(parts))
    height = high - low + 2 * VOLUME_BEYOND
    bodies = [Manifold.extrude(a, height) for a in areas if not a.is_empty()]
    return joined(bodies).translate((0, 0, low - VOLUME_BEYOND))


def heights(body: Manifold, count: int) -> Sequence[float]:
    """So many heights spread evenly inside a body."""
    low, high = body.bounding_box()[2], body.bounding_box()[5]
    return [low + (high - low) * (i + 0.5) / count for i in range(count)]
