"""The stock each set-up begins with, as a solid in that set-up's coordinates, mm."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from manifold3d import CrossSection, Manifold
from numpy.typing import NDArray

from gcodekit.job.model import Job, Setup
from gcodekit.job.raw_stock import RawStock, Stock
from gcodekit.target import planar
from gcodekit.target.kind_target import target_kind
from gcodekit.target.volumes import VOLUME_BEYOND, Extent, Finish, joined

# How the block is turned about x and y, degrees, so that each of its faces comes up.
_TURNS = {
    "top": (0, 0),
    "bottom": (180, 0),
    "front": (-90, 0),
    "back": (90, 0),
    "left": (0, 90),
    "right": (0, -90),
}
# The face that is up when stock stands on its end.
_UP_ON_END = {"x": "right", "y": "back", "z": "top"}
Matrix = NDArray[np.float64]


def turned(up: str, turn: float = 0.0) -> Matrix:
    """The 3 by 3 matrix from the stock's axes to a set-up's; `turn` about its z, radians."""
    about_x, about_y = _TURNS[up]
    (cx, sx), (cy, sy), (cz, sz) = (_quarter(a) for a in (about_x, about_y, math.degrees(turn)))
    x = np.array([[1, 0, 0], [0, cx, -sx], [0, sx, cx]], dtype=np.float64)
    y = np.array([[cy, 0, sy], [0, 1, 0], [-sy, 0, cy]], dtype=np.float64)
    z = np.array([[cz, -sz, 0], [sz, cz, 0], [0, 0, 1]], dtype=np.float64)
    return np.asarray(z @ y @ x)


def _quarter(degrees: float) -> tuple[int, int]:
    """Cosine and sine of a whole number of quarter turns."""
    return ((1, 0), (0, 1), (-1, 0), (0, -1))[round(degrees / 90) % 4]


def into(setup: Setup, body: Manifold) -> Manifold:
    """A body of the stock's frame in a set-up's coordinates."""
    rows = turned(setup.up, setup.turn)
    return body.transform(np.column_stack([rows, -rows @ np.array(setup.origin)]))


def out_of(setup: Setup, body: Manifold) -> Manifold:
    """A body of a set-up's coordinates in the stock's frame."""
    back = turned(setup.up, setup.turn).T
    return body.transform(np.column_stack([back, np.array(setup.origin)]))


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
    each set-up takes."""
    setup = job.setups[number]
    loose = [i for i, s in enumerate(job.setups[: number + 1]) if s.loose]
    freed = [out_of(s, offcuts(s)) for s in job.setups[: loose[-1] if loose else 0]]
    return raw_solid(setup) - into(setup, joined([hollow(job.stock), *gone[:number], *freed]))


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
