"""The finished part as a closed solid, and as a file of triangles."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.flattening import polygons_of
from gcodekit.job.model import Setup
from gcodekit.job.raw_stock import Stock
from gcodekit.job.stock.frames import STOCK_FRAME, Frame, seen_from
from gcodekit.job.stock.hollow_stock import upright
from gcodekit.job.stock.raw_metal import stock_section
from gcodekit.job.stock.removed_stock import Slab
from gcodekit.part.finished_part import SetupCut

if TYPE_CHECKING:
    from manifold3d import Manifold

# Round walls are chords this near the drawing's, mm: coarser than the proof's, with a sixth of the
# triangles.
SOLID_SAG = 0.005
# What goes at a height goes above it as well, the cutter came from there: slabs lap over the next
# by so much, mm. And they go so much deeper that cuts which just meet, from two sides, leave no
# skin of rounding errors between them.
LAP, HAIR = 1e-3, 1e-6
# A file of triangles: name, count, then of each its normal, corners and two idle bytes.
_TRIANGLE = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("idle", "<u2")])


def solid(stock: Stock, cuts: Sequence[SetupCut]) -> Manifold:
    """The raw stock without all that has gone, in the stock's frame (corner left front bottom at
    0, 0, 0), mm. Round walls are chords."""
    from manifold3d import Manifold, OpType

    pieces = [body for cut in cuts for body in _gone(cut)]
    raw = _raw(stock)
    return raw - Manifold.batch_boolean(pieces, OpType.Add) if pieces else raw


def _gone(cut: SetupCut) -> list[Manifold]:
    """What a set-up has taken, none of it of pieces that were not there."""
    from manifold3d import Manifold, OpType

    own = [_slab(slab, cut.setup) for slab in cut.gone]
    others = [_slab(slab, setup) for setup, slabs in cut.apart for slab in slabs]
    if not own or not others:
        return own
    apart = Manifold.batch_boolean(others, OpType.Add)
    return [Manifold.batch_boolean(own, OpType.Add) - apart]


def _slab(slab: Slab, setup: Setup) -> Manifold:
    return _placed(_upright(slab.area, slab.low - HAIR, slab.high + LAP), Frame.of(setup))


def _raw(stock: Stock) -> Manifold:
    """The raw stock; a bar is made standing up."""
    sitting, frame = upright(stock)
    raw = sitting.raw((0.0, 0.0, 0.0))
    area = stock_section(raw, raw.low[2])
    if stock.hollow is not None:
        area = area.difference(stock.hollow)
    return _placed(_upright(area, raw.low[2], raw.high[2]), frame)


def _upright(area: BaseGeometry, low: float, high: float) -> Manifold:
    from manifold3d import CrossSection, FillRule, Manifold

    plain = shapely.simplify(area, SOLID_SAG)
    rings = [
        shapely.get_coordinates(ring)[:-1]
        for p in map(shapely.geometry.polygon.orient, polygons_of(plain))
        for ring in (p.exterior, *p.interiors)
    ]
    plane = CrossSection(rings, FillRule.Positive)
    return Manifold.extrude(plane, high - low).translate((0.0, 0.0, low))


def _placed(body: Manifold, frame: Frame) -> Manifold:
    """Turn a frame's coordinates into the stock's."""
    seen = seen_from(frame, STOCK_FRAME)
    rows = zip(seen.turned, seen.shift, strict=True)
    return body.transform(np.array([[*row, shift] for row, shift in rows]))


def stl(body: Manifold, name: str) -> bytes:
    """The solid as a binary file of triangles, mm; `name` stands in its head."""
    mesh = body.to_mesh64()
    points: NDArray[np.float64] = np.asarray(mesh.vert_properties)[:, :3]
    corners = points[np.asarray(mesh.tri_verts)]
    rows = np.zeros(len(corners), _TRIANGLE)
    rows["corners"] = corners
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    length = np.linalg.norm(normals, axis=1, keepdims=True)
    rows["normal"] = np.divide(normals, length, out=np.zeros_like(normals), where=length > 0)
    head = name.encode("ascii", "replace")[:80].ljust(80)
    return head + np.uint32(len(rows)).tobytes() + rows.tobytes()
