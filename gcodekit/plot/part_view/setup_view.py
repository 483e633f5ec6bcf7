"""A set-up in space: the finished part as it lies in it, z up, in its stock."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from gcodekit.job.model import Setup
from gcodekit.job.raw_stock import RawStock
from gcodekit.job.stock.frames import STOCK_FRAME, Frame, seen_from
from gcodekit.plot.paper import PaperBox, tag
from gcodekit.plot.part_view.body_view import Bounds, body_view
from gcodekit.plot.part_view.dimetric import Dimetric
from gcodekit.plot.part_view.surface_mesh import Array, SurfaceMesh
from gcodekit.plot.part_view.view_drawing import (
    SMALL_LINES,
    Drawing,
    Placed,
    axes,
    axes_room,
    free_corner,
)

# Sides of a round bar: a chord turns by less than what is drawn as an edge.
_BAR_SIDES = 180
# Program zero further from the stock than this many times its size is not drawn.
_FAR = 0.25
# What is tried, from one scale to the next, until all is in the box.
_SMALLER = 0.97


@dataclass(frozen=True, slots=True)
class SetupView:
    """A picture for a place on a sheet: `group` is an SVG group, drawn within `room` (no larger
    than the box that was given, in its middle); `scale`: mm of paper for a mm along x and y, half
    of that along z."""

    group: str
    room: PaperBox
    scale: float


def setup_view(part: SurfaceMesh, setup: Setup, box: PaperBox) -> SetupView:
    """The finished part in the stock of a set-up, its z upwards, for a place on a sheet.

    The part is shaded, its hidden lines left out; the block or bar that the set-up begins with
    (`setup.left`) is drawn round it as what is not the part: long-dashed double-dotted narrow
    lines (ISO 128-2), only those towards the eye. The set-up's axes are drawn from program zero,
    or in a free corner of the box where that is far from the stock; in a box too small for them,
    about 40 mm, they are left out. Nothing is drawn outside the box; there is no frame and no
    caption.

    Parameters
    ----------
    part : in the stock's frame, as `body_view.drawable` has it: the same for every set-up
    setup : in which it is to be seen
    box : the room on the sheet, mm
    """
    view = Dimetric.of("top")
    own = in_setup(part, setup)
    stock = Drawing(body_view(stock_mesh(setup.left), view, shaded=False))
    drawing = Drawing(body_view(own, view))
    bounds = _round_both(drawing.view.bounds, stock.view.bounds)
    zero = view.flat(np.zeros((1, 3)))[0] if _zero_near(setup.left) else None
    own_room = axes_room(view, 0.0, 0.0)
    if own_room.width > box.width / 2 or own_room.height > box.height / 2:
        placed, room = _fitted(view, bounds, None, box)
        return SetupView(_group(drawing, stock, placed), room, placed.scale)
    placed, room = _fitted(view, bounds, zero, box)
    if zero is None:
        both = shapely.union_all([drawing.covered(placed), stock.covered(placed)])
        x, y = free_corner(view, box, both)
        room = _joined(room, axes_room(view, x, y))
    else:
        x, y = placed.to(zero).tolist()
    return SetupView(_group(drawing, stock, placed, axes(view, x, y)), room, placed.scale)


def _group(part: Drawing, stock: Drawing, placed: Placed, above: str = "") -> str:
    return tag("g", part.shaded(placed, SMALL_LINES), stock.phantom(placed), above)


def in_setup(part: SurfaceMesh, setup: Setup) -> SurfaceMesh:
    """A body of the stock's frame in a set-up's program coordinates."""
    seen = seen_from(STOCK_FRAME, Frame.of(setup))
    return SurfaceMesh(part.points @ np.array(seen.turned).T + seen.shift, part.triangles)


def stock_mesh(stock: RawStock) -> SurfaceMesh:
    """The surface of a block or a bar as it lies in its set-up."""
    low, high = np.array(stock.low), np.array(stock.high)
    if stock.shape == "block":
        ring = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
        along = 2
    else:
        turns = np.arange(_BAR_SIDES) * (math.tau / _BAR_SIDES)
        ring = 0.5 + 0.5 * np.column_stack([np.cos(turns), np.sin(turns)])
        along = "xyz".index(stock.axis)
    n = len(ring)
    ends = [np.column_stack([ring, np.full(n, e)]) for e in (0.0, 1.0)]
    # what runs along z is turned, right-handed, to where it runs along its axis
    points = low + np.roll(np.concatenate(ends), along - 2, axis=1) * (high - low)
    a = np.arange(n)
    b = (a + 1) % n
    sides = [np.column_stack(t) for t in ((a, b, b + n), (a, b + n, a + n))]
    inner = np.arange(1, n - 1)
    first = np.zeros_like(inner)
    caps = [
        np.column_stack([first, inner + 1, inner]),
        np.column_stack([first + n, inner + n, inner + 1 + n]),
    ]
    return SurfaceMesh.of(points, np.concatenate([*sides, *caps]))


def _zero_near(stock: RawStock) -> bool:
    """Tell whether program zero is in the stock or near it."""
    far = _FAR * max(h - low for low, h in zip(stock.low, stock.high, strict=True))
    return all(a - far <= 0 <= b + far for a, b in zip(stock.low, stock.high, strict=True))


def _fitted(
    view: Dimetric, bounds: Bounds, zero: Array | None, box: PaperBox
) -> tuple[Placed, PaperBox]:
    """Fit the picture into a box, with the axes at program zero: its place, and its room."""
    x0, y0, x1, y1 = bounds
    scale = min(box.width / (x1 - x0), box.height / (y1 - y0))
    while True:
        placed = Placed(scale, 0.0, 0.0)
        (left, bottom), (right, top) = placed.to(np.array([[x0, y0], [x1, y1]])).tolist()
        room = PaperBox(left, top, right, bottom)
        if zero is not None:
            room = _joined(room, axes_room(view, *placed.to(zero).tolist()))
        if scale < 1e-6 or (room.width <= box.width and room.height <= box.height):
            break
        scale *= _SMALLER
    across = (box.left + box.right - room.left - room.right) / 2
    down = (box.top + box.bottom - room.top - room.bottom) / 2
    moved = PaperBox(room.left + across, room.top + down, room.right + across, room.bottom + down)
    return Placed(scale, across, down), moved


def _round_both(one: Bounds, other: Bounds) -> Bounds:
    return (
        min(one[0], other[0]),
        min(one[1], other[1]),
        max(one[2], other[2]),
        max(one[3], other[3]),
    )


def _joined(one: PaperBox, other: PaperBox) -> PaperBox:
    return PaperBox(
        min(one.left, other.left),
        min(one.top, other.top),
        max(one.right, other.right),
        max(one.bottom, other.bottom),
    )
