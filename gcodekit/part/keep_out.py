"""Vise, clamps, board, table: bodies that no cutter, shank or holder may enter."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.flattening import disc
from gcodekit.geometry.overlay import common, less
from gcodekit.job.holdings import Bolts, Chuck, Clamp, Hold, Vise
from gcodekit.job.model import Setup
from gcodekit.job.stock.hold import BOARD_KEPT
from gcodekit.job.stock.raw_metal import stock_plan
from gcodekit.part.setup_stock import between, heights, metal, metal_levels, plan

# Of a chuck's diameter, how wide a jaw is. Common practice, no source.
JAW_WIDTH = 0.2
# How wide the washer, and how high head and washer are, of the hole's diameter. Common practice, no
# source.
BOLT_WIDE, BOLT_HIGH = 2.2, 1.3
# Of the grip, what may be given up before the work sits loose. Common practice, no source.
GRIP_SPARE = 0.5
# Just below a height, mm.
JUST_BELOW = 1e-5
# What lies flat under the work reaches this far beyond it, mm: the whole of a small table.
TABLE_BEYOND = 500.0
# What is changed about a body that is in the way: where it stands, how deep it grips, the thickness
# of the board, the height of the parallels, or a board put on the table.
Remedy = Literal["", "move", "grip", "board", "parallels", "thinner", "table"]


@dataclass(frozen=True, slots=True)
class Body:
    """An upright body: `outline` in plan, from `bottom` to `top`, program coordinates, mm.
    `remedy`: what is changed to get it out of a cutter's way; `spare`: by how much it can be
    lowered."""

    name: str
    outline: BaseGeometry
    bottom: float
    top: float
    remedy: Remedy = ""
    spare: float = math.inf


def keep_out(setup: Setup) -> tuple[Body, ...]:
    """Every body that ever holds the work in the set-up; none where no holding is given."""
    found: list[Body] = []
    for hold in setup.holds:
        found += [b for b in held_by(hold, setup) if b not in found]
    return tuple(found)


def held_by(hold: Hold, setup: Setup) -> tuple[Body, ...]:
    """The bodies of one holding, which a stop may change for another."""
    if not hold.said:
        return ()
    bodies: list[Body] = []
    if hold.vise is not None:
        bodies += _vise(hold.vise, setup)
    elif hold.chuck is not None:
        bodies += _chuck(hold.chuck, setup)
    else:
        bodies.append(_under(hold, setup))
    bodies += [_clamp(c, n, setup) for n, c in enumerate(hold.clamps, 1)]
    if hold.bolts is not None:
        bodies += [_bolt(hold.bolts, n, setup) for n in range(len(hold.bolts.places))]
    return tuple(bodies)


def _under(hold: Hold, setup: Setup) -> Body:
    """The body that the work lies on: board, rotary table or table."""
    bottom = setup.sure.low[2]
    flat = shapely.box(*plan(setup).bounds).buffer(TABLE_BEYOND, join_style="mitre")
    if hold.board is not None:
        top = bottom - max(0.0, hold.board - BOARD_KEPT)
        return Body("the underside of the spoil board", flat, -math.inf, top, "board")
    if hold.rotary:
        return Body("the rotary table", flat, -math.inf, bottom)
    return Body("the table", flat, -math.inf, bottom, "table")


def _bolt(bolts: Bolts, number: int, setup: Setup) -> Body:
    """A bolt's head and washer, on the highest metal under it."""
    head = disc(bolts.places[number], BOLT_WIDE * bolts.diameter / 2)
    top = setup.left.high[2]
    levels = [z for z in metal_levels(setup) if z < top]
    under = next(
        (z for z in (top, *reversed(levels)) if metal(setup, z - JUST_BELOW).intersects(head)), top
    )
    name = f"bolt {number + 1} through {bolts.feature}"
    return Body(name, head, under, under + BOLT_HIGH * bolts.diameter)


def _clamp(clamp: Clamp, number: int, setup: Setup) -> Body:
    """Strap, stud and nut, from the work's top up."""
    (x, y), (width, length) = clamp.at, clamp.size
    plain = shapely.box(x - width / 2, y - length / 2, x + width / 2, y + length / 2)
    outline = affinity.rotate(plain, clamp.angle, origin=(x, y), use_radians=True)
    # it may stand on a top that is higher than drawn
    bottom, top = setup.sure.high[2], setup.left.high[2]
    return Body(f"clamp {number}", outline, bottom, top + clamp.height, "move")


def _chuck(chuck: Chuck, setup: Setup) -> list[Body]:
    """The chuck, from its face down without end, and its jaws, each from the work's rim outwards
    to that of the chuck."""
    (x0, y0, bottom), (x1, y1, _) = setup.sure.low, setup.sure.high
    x, y, radius = (x0 + x1) / 2, (y0 + y1) / 2, chuck.diameter / 2
    round_ = disc((x, y), radius)
    gripped_ = metal(setup, bottom + chuck.grip / 2).convex_hull
    bar = shapely.box(x, y - JAW_WIDTH * radius, x + radius, y + JAW_WIDTH * radius)
    top = bottom + chuck.grip
    face = top - chuck.jaw_height
    spare = GRIP_SPARE * chuck.grip
    bodies = [Body("the chuck", round_, -math.inf, face, "grip", spare)]
    for k in range(chuck.jaws):
        turned = affinity.rotate(
            bar, chuck.angle + math.tau * k / chuck.jaws, origin=(x, y), use_radians=True
        )
        jaw = less(common(turned, round_), gripped_)
        bodies.append(Body(f"chuck jaw {k + 1}", jaw, face, top, "grip", spare))
    return bodies


def _vise(vise: Vise, setup: Setup) -> list[Body]:
    """Both jaws, the parallels and the bed. Jaws and bed reach down without end."""
    low, high = gripped(vise, setup)
    work_bottom = setup.sure.low[2]
    height, thick = vise.parallels or (0.0, 0.0)
    bed, top = work_bottom - height, work_bottom + vise.grip
    names = ("front", "back") if vise.along == "x" else ("left", "right")
    bars = _bar(vise, low - vise.jaw_depth, low), _bar(vise, high, high + vise.jaw_depth)
    spare = GRIP_SPARE * vise.grip
    bodies = [
        Body(_jaw(name, vise), bar, -math.inf, top, "grip", spare)
        for name, bar in zip(names, bars, strict=True)
    ]
    beneath = _bar(vise, low - vise.jaw_depth, high + vise.jaw_depth)
    bodies.append(Body("the vise's bed", beneath, -math.inf, bed, "parallels"))
    if vise.parallels is not None:
        sides = zip(names, ((low, low + thick), (high - thick, high)), strict=True)
        bodies += [
            Body(f"the {n} parallel", _bar(vise, *s), bed, work_bottom, "thinner") for n, s in sides
        ]
    return bodies


def _jaw(side: str, vise: Vise) -> str:
    return f"the {side} jaw ({'fixed' if side == vise.fixed else 'moving'})"


def gripped(vise: Vise, setup: Setup) -> tuple[float, float]:
    """The places of the jaws' faces, across the jaws: at the stock's widest between them."""
    bottom, _ = heights(setup)
    axis = (setup.left.low[2] + setup.left.high[2]) / 2
    everywhere = between(setup, bottom, min(bottom + vise.grip, axis))
    # jaws may stand as near as the metal is drawn
    drawn = common(everywhere, stock_plan(setup.sure).envelope)
    x0, y0, x1, y1 = drawn.bounds
    jaws = shapely.box(*((vise.centre[0] - vise.jaw_width / 2, y0 - 1.0,
                          vise.centre[0] + vise.jaw_width / 2, y1 + 1.0)
                         if vise.along == "x" else
                         (x0 - 1.0, vise.centre[1] - vise.jaw_width / 2,
                          x1 + 1.0, vise.centre[1] + vise.jaw_width / 2)))  # fmt: skip
    met = common(drawn, jaws)
    # jaws that meet nothing are refused elsewhere
    x0, y0, x1, y1 = (drawn if met.is_empty else met).bounds
    return (y0, y1) if vise.along == "x" else (x0, x1)


def _bar(vise: Vise, low: float, high: float) -> BaseGeometry:
    """A bar as long as the jaws, from `low` to `high` across them."""
    x, y = vise.centre
    half = vise.jaw_width / 2
    if vise.along == "x":
        return shapely.box(x - half, low, x + half, high)
    return shapely.box(low, y - half, high, y + half)
