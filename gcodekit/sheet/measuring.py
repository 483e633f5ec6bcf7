"""Sizes to check when a set-up is done, their limits, and what to measure them with."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from gcodekit.job.feature import Feature, Round
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.boss import Boss
from gcodekit.job.kinds.hole import Hole
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.kinds.slot import Slot
from gcodekit.job.model import Setup

# Between the limits of a size, mm: up to the one it takes a gauge, up to the other a micrometer;
# beyond it a caliper does. Common practice, no source.
_GAUGED, _MICROMETER = 0.05, 0.1
# A plug gauge or pin for a hole up to this diameter, mm. Common practice, no source.
_WIDEST_PLUG = 20.0
# Of an outline's chords, mm: less than is read.
_SAG = 1e-4
_CALIPER, _DEPTH_GAUGE = "caliper", "depth gauge"


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeRow:
    """One size: the feature it is of with how many there are, in words `what` it is, lengths in mm
    (limits None where the drawing gives none), and what to measure it with."""

    feature: str
    what: str
    nominal: float
    least: float | None = None
    most: float | None = None
    tool: str


def size_rows_of(setup: Setup) -> Iterator[SizeRow]:
    """Every size that can be measured once the set-up is done, copies with what they are of."""
    for feature in setup.features:
        if feature.copy_of:
            continue
        yield from _across(feature, _named(feature, setup))
        yield from _counterbore(feature, _named(feature, setup))
        if (depth := _depth(feature, setup)) is not None:
            yield depth
        if (pins := _over_pins(feature)) is not None:
            yield pins


def _named(feature: Feature, setup: Setup) -> str:
    copies = sum(f.copy_of == feature.name for f in setup.features) + 1
    count = copies * (len(feature.places) if isinstance(feature, Round) else 1)
    return f"{feature.name}, {count} times" if count > 1 else feature.name


def _outside(feature: Feature) -> bool:
    """Tell whether its walls are measured from outside."""
    outside = isinstance(feature, Profile) and feature.side == "outside"
    return outside or isinstance(feature, Boss)


def _across(feature: Feature, name: str) -> Iterator[SizeRow]:
    """Diameters, widths and lengths."""
    round_, band = isinstance(feature, Round), feature.band
    if isinstance(feature, Hole) and feature.thread is not None:
        return
    if band is not None and band.sizes:
        for size in band.sizes:
            fit = f" {band.fit}" if band.fit else ""
            yield SizeRow(
                feature=name,
                what=f"{'diameter' if round_ else 'across'}{fit}",
                nominal=size,
                least=size + band.lower,
                most=size + band.upper,
                tool=_tool(band.width, size, outside=_outside(feature), round_=round_),
            )
    elif isinstance(feature, Round) and feature.has_depth:
        tool = "plug gauge or pin" if _reamed(feature) else _CALIPER
        yield SizeRow(feature=name, what="diameter", nominal=feature.diameter, tool=tool)
    elif isinstance(feature, Slot) and band is None:
        yield SizeRow(feature=name, what="width", nominal=feature.width, tool=_CALIPER)
    elif band is None and _outside(feature):
        yield from _overall(feature, name)


def _counterbore(feature: Feature, name: str) -> Iterator[SizeRow]:
    if not isinstance(feature, Hole) or feature.counterbore is None:
        return
    bore = feature.counterbore
    for what, mm, tool in (
        ("counterbore diameter", bore.diameter, _CALIPER),
        ("counterbore depth", feature.depth.top - bore.floor, _DEPTH_GAUGE),
    ):
        yield SizeRow(feature=name, what=what, nominal=mm, tool=tool)


def _reamed(feature: Feature) -> bool:
    """Tell whether a reamer gives it its size."""
    if isinstance(feature, Bore):
        return feature.finish_with == "reamer"
    return isinstance(feature, Hole) and feature.ream


def _tool(width: float, size: float, *, outside: bool, round_: bool) -> str:
    """Common practice, no source."""
    if width > _MICROMETER:
        return _CALIPER
    if outside:
        return "micrometer"
    if width <= _GAUGED and size <= _WIDEST_PLUG:
        return "plug gauge, go and not go" if round_ else "gauge blocks"
    return "bore gauge" if round_ else "inside micrometer"


def _overall(feature: Feature, name: str) -> Iterator[SizeRow]:
    """Along X and Y, of what stays inside an outline without limits."""
    points = [
        p for region in feature.keeps for part in region.parts for p in part.outer.flattened(_SAG)
    ]
    for axis, letter in enumerate("XY"):
        along = [p[axis] for p in points]
        if along:
            far = round(max(along) - min(along), 4)
            yield SizeRow(feature=name, what=f"along {letter}", nominal=far, tool=_CALIPER)


def _depth(feature: Feature, setup: Setup) -> SizeRow | None:
    """How deep it is; of a top that is faced, how high the work is then."""
    depth, bottom = feature.depth, setup.sure.low[2]
    if depth.through or not feature.has_depth:
        return None
    if feature.whole_top:
        # a side that the saw left is no datum
        if setup.oversize[0][2]:
            return None
        high = depth.floor - bottom
        return SizeRow(feature=feature.name, what="height", nominal=high, tool=_CALIPER)
    deep = depth.top - depth.floor
    return SizeRow(feature=feature.name, what="depth", nominal=deep, tool=_DEPTH_GAUGE)


def _over_pins(feature: Feature) -> SizeRow | None:
    """Of holes for pins, the two that lie farthest apart, measured over a pin in each."""
    if not isinstance(feature, Round) or len(feature.places) < 2:
        return None
    if not _reamed(feature) and feature.band is None:
        return None
    pin = feature.band.nominal if feature.band is not None else feature.diameter
    far = _farthest(feature.places)
    return SizeRow(
        feature=feature.name,
        what="over pins in the two farthest apart",
        nominal=far + pin,
        tool="two pins and a caliper",
    )


def _farthest(places: Sequence[tuple[float, float]]) -> float:
    return max(math.dist(a, b) for a, b in combinations(places, 2))
