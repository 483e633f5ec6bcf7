"""The solids that features take of the stock, in their set-up's own coordinates, mm.

Of every feature three volumes: what the drawing wants gone (`drawn`), what is gone at the most
(`most`, with all that a drill's point or lead may take) and at the least (`least`, without the
corners that its cutter does not reach).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from manifold3d import CrossSection, Manifold, OpType

from gcodekit.geometry.chain import Point
from gcodekit.job.feature import Feature
from gcodekit.job.model import Setup
from gcodekit.job.raw_stock import RawStock
from gcodekit.target import planar
from gcodekit.trade.cutter import Cutter

# Volumes go on this far beyond the stock, mm: more than a bar may be oversize.
VOLUME_BEYOND = 20.0
# What is left for finishing where the job does not say how much, mm: more than any is.
AMPLE = 1.0
# A cutter as wide as its slot counts as reaching all of it, mm.
SLOT_SLACK = 0.005
Extent = Literal["drawn", "most", "least"]


@dataclass(frozen=True, slots=True)
class Middle:
    """A tab's middle on the line and the line's unit direction there. `longer`: how many times
    the kerf's width its metal may be long, where it crosses a corner."""

    point: Point
    along: Point
    longer: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Finish:
    """The finish of a feature: its cutter's diameter and corner radius, mm, and its tabs; `cutter`
    itself for what is as its point is."""

    diameter: float
    corner_radius: float = 0.0
    tabs: tuple[Middle, ...] = ()
    cutter: Cutter | None = None


def joined(bodies: Sequence[Manifold]) -> Manifold:
    """All of some bodies."""
    return Manifold.batch_boolean(list(bodies), OpType.Add) if bodies else Manifold()


def upright(area: CrossSection, low: float, setup: Setup) -> Manifold:
    """Over an area all from a height up."""
    high = setup.raw.high[2] + VOLUME_BEYOND
    if area.is_empty() or low >= high:
        return Manifold()
    return Manifold.extrude(area, high - low).translate((0, 0, low))


def everywhere(setup: Setup) -> CrossSection:
    """The stock in plan and all round it, as far as volumes go."""
    return planar.grown(_plan(setup.raw), VOLUME_BEYOND)


def beyond_stock(point: Point, setup: Setup) -> float:
    """Beyond the stock's farthest corner from a point."""
    low, high = setup.raw.low, setup.raw.high
    xs, ys = (low[0], high[0]), (low[1], high[1])
    return max(math.dist(point, (x, y)) for x in xs for y in ys) + VOLUME_BEYOND


def unfinished(area: CrossSection, feature: Feature) -> CrossSection:
    """The part of an area that a feature's cutters take for certain: nearer to its walls only where
    they finish it."""
    cutting = feature.cutting
    if cutting.finish:
        return area
    wall = cutting.wall_allowance
    return planar.grown(area, -(AMPLE if wall is None else wall))


def reached(area: CrossSection, setup: Setup, finish: Finish) -> CrossSection:
    """The part of an area that a cutter reaches, from inside it and from beside the stock."""
    radius = finish.diameter / 2 - SLOT_SLACK
    if radius <= 0:
        return area
    left = _plan(setup.left)
    room = area + (planar.grown(left, VOLUME_BEYOND + 2 * radius) - left)
    return planar.grown(planar.grown(room, -radius), radius) ^ area


def _plan(raw: RawStock) -> CrossSection:
    """The box of the stock in plan."""
    return planar.box(raw.low[0], raw.low[1], raw.high[0], raw.high[1])
