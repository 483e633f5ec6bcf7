"""Depth until a feature breaks into what an earlier set-up has cut."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from shapely.geometry.base import BaseGeometry

from gcodekit.expr import nearest
from gcodekit.job.document.wording import quoted
from gcodekit.job.feature import Feature
from gcodekit.job.keys.reading import Table
from gcodekit.job.model import Setup
from gcodekit.job.stock.drawn_removal import taken
from gcodekit.job.stock.earlier_work import EarlierWork
from gcodekit.job.stock.frames import Frame, seen_from
from gcodekit.job.stock.removed_stock import Removed
from gcodekit.job.workshop.machine import Workshop

# A rim that lies on the other's, flattened otherwise, counts as within it, mm.
_SAME_RIM = 0.001
# Just off a height, and how near the height sought is found, mm.
_OFF, _NEAR = 1e-6, 1e-7
# Of the way to the other side of what it breaks into a feature goes no farther than this. Common
# practice, no source.
_OF_ROOM = 0.5


def broken_into(
    table: Table,
    feature: Feature,
    earlier: EarlierWork,
    frame: Frame,
    workshop: Workshop,
    *,
    bottom: float,
    breakthrough: float,
) -> Feature | None:
    """The feature as deep as `until` says: to the highest place at which all of it lies in the
    other, and farther by the breakthrough, but no more than half-way to the other's far side;
    None where that is at fault, which is noted. `bottom`: z of the stock's, mm."""
    name = str(table.raw("until"))
    area = feature.all_round()
    assert area is not None  # no other kind may have the key
    if name not in earlier.features:
        close = nearest(name, list(earlier.features))
        hint = f"did you mean {quoted(close)}?" if close else "name a feature of an earlier set-up"
        table.error("until", f"no earlier set-up cuts {quoted(name)}", hint)
        return None
    other, setup = earlier.features[name][1], earlier.setups[name]
    hollow = _hollow(other, setup, frame, workshop)
    floor = _first_within(area, hollow)
    if floor is None or floor >= feature.depth.top - _OFF:
        table.error(
            "until",
            f"{feature.name} does not break into {quoted(name)} with its full width",
            "check its place and size, or give a depth",
        )
        return None
    far = _last_within(area, hollow, floor)
    room = floor - max(far, bottom)
    cut_to = floor - min(breakthrough, _OF_ROOM * room)
    # what is open below goes on beyond the stock
    far = far if far > bottom else -math.inf
    depth = replace(feature.depth, floor=floor, cut_to=cut_to, into=name, far=far)
    return replace(feature, depth=depth)


def _hollow(other: Feature, setup: Setup, frame: Frame, workshop: Workshop) -> Removed:
    return Removed(taken(other, setup, workshop), seen_from(Frame.of(setup), frame))


def _first_within(area: BaseGeometry, hollow: Removed) -> float | None:
    """The highest place at which an area lies within a hollow."""
    inner = area.buffer(-_SAME_RIM)
    for upper, lower in pairwise(reversed(hollow.levels)):
        top, bottom = upper - _OFF, lower + _OFF
        if _within(inner, hollow, top):
            return upper
        if _within(inner, hollow, bottom):
            return _turning(inner, hollow, bottom, top)
    return None


def _last_within(area: BaseGeometry, hollow: Removed, floor: float) -> float:
    """The place below a floor down to which an area lies within a hollow."""
    inner = area.buffer(-_SAME_RIM)
    inside = floor
    for lower in (z for z in reversed(hollow.levels) if z < floor - 2 * _OFF):
        if not _within(inner, hollow, lower + _OFF):
            return _turning(inner, hollow, inside - 2 * _OFF, lower + _OFF)
        if not _within(inner, hollow, lower - _OFF):
            return lower
        inside = lower
    return inside


def _within(inner: BaseGeometry, hollow: Removed, z: float) -> bool:
    return bool(hollow.section(z).covers(inner))


def _turning(inner: BaseGeometry, hollow: Removed, inside: float, outside: float) -> float:
    """The place up or down to which it lies within, between one that does and one that does not."""
    while abs(outside - inside) > _NEAR:
        middle = (inside + outside) / 2
        inside, outside = (middle, outside) if _within(inner, hollow, middle) else (inside, middle)
    return inside
