"""Vise, clamps, board, table: bodies that no cutter, shank or holder may enter."""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from gcodekit.job.hold import BOARD_KEPT
from gcodekit.job.model import Clamp, Setup, Vise
from gcodekit.job.raw_metal import stock_plan
from gcodekit.part.metal import heights, metal, plan
from gcodekit.part.overlay import common

# What lies flat under the work reaches this far beyond it, mm: the whole of a small table.
TABLE_BEYOND = 500.0


@dataclass(frozen=True, slots=True)
class Body:
    """An upright body: `outline` in plan, from `bottom` to `top`, program coordinates, mm."""

    name: str
    outline: BaseGeometry
    bottom: float
    top: float


def keep_out(setup: Setup) -> tuple[Body, ...]:
    """Every body of the set-up's holding; none where no holding is given."""
    hold = setup.hold
    if not hold.said:
        return ()
    bodies: list[Body] = []
    if hold.vise is not None:
        bodies += _vise(hold.vise, setup)
    else:
        bodies.append(_under(setup))
    bodies += [_clamp(c, n, setup) for n, c in enumerate(hold.clamps, 1)]
    return tuple(bodies)


def _under(setup: Setup) -> Body:
    """What the work lies on: board, rotary table or table."""
    hold, bottom = setup.hold, setup.sure.low[2]
    flat = shapely.box(*plan(setup).bounds).buffer(TABLE_BEYOND, join_style="mitre")
    if hold.board is not None:
        top = bottom - max(0.0, hold.board - BOARD_KEPT)
        return Body("the spoil board's last 2 mm", flat, -math.inf, top)
    return Body("the rotary table" if hold.rotary else "the table", flat, -math.inf, bottom)


def _clamp(clamp: Clamp, number: int, setup: Setup) -> Body:
    """Strap, stud and nut, from the work's top up."""
    (x, y), (width, length) = clamp.at, clamp.size
    plain = shapely.box(x - width / 2, y - length / 2, x + width / 2, y + length / 2)
    outline = affinity.rotate(plain, clamp.angle, origin=(x, y), use_radians=True)
    # it may stand on a top that is higher than drawn
    bottom, top = setup.sure.high[2], setup.left.high[2]
    return Body(f"clamp {number}", outline, bottom, top + clamp.height)


def _vise(vise: Vise, setup: Setup) -> list[Body]:
    """Both jaws, the parallels and the bed. Jaws and bed reach down without end."""
    low, high = gripped(vise, setup)
    work_bottom = setup.sure.low[2]
    height, thick = vise.parallels or (0.0, 0.0)
    bed, top = work_bottom - height, work_bottom + vise.grip
    names = ("front", "back") if vise.along == "x" else ("left", "right")
    bodies = [
        Body(_jaw(names[0], vise), _bar(vise, low - vise.jaw_depth, low), -math.inf, top),
        Body(_jaw(names[1], vise), _bar(vise, high, high + vise.jaw_depth), -math.inf, top),
        Body(
            "the vise's bed",
            _bar(vise, low - vise.jaw_depth, high + vise.jaw_depth),
            -math.inf,
            bed,
        ),
    ]
    if vise.parallels is not None:
        sides = zip(names, ((low, low + thick), (high - thick, high)), strict=True)
        bodies += [Body(f"the {n} parallel", _bar(vise, *s), bed, work_bottom) for n, s in sides]
    return bodies


def _jaw(side: str, vise: Vise) -> str:
    return f"the {side} jaw ({'fixed' if side == vise.fixed else 'moving'})"


def gripped(vise: Vise, setup: Setup) -> tuple[float, float]:
    """Where the jaws' faces stand, across the jaws: at the metal's widest between them."""
    bottom, _ = heights(setup)
    axis = (setup.left.low[2] + setup.left.high[2]) / 2
    widest = metal(setup, min(bottom + vise.grip, axis))
    # jaws may stand as near as the metal is drawn
    x0, y0, x1, y1 = common(widest, stock_plan(setup.sure).envelope).bounds
    return (y0, y1) if vise.along == "x" else (x0, x1)


def _bar(vise: Vise, low: float, high: float) -> BaseGeometry:
    """As long as the jaws, from `low` to `high` across them."""
    x, y = vise.centre
    half = vise.jaw_width / 2
    if vise.along == "x":
        return shapely.box(x - half, low, x + half, high)
    return shapely.box(low, y - half, high, y + half)
