"""What a callout says of a feature: how large, how deep, to which fit (ISO 129-1, ISO 6410-1 for
threads), in the job's units."""

from __future__ import annotations

import math

from gcodekit.job.band import Band
from gcodekit.job.feature import Feature, Round
from gcodekit.job.kinds.arc import Sector
from gcodekit.job.kinds.boss import Boss
from gcodekit.job.kinds.chamfer import Chamfer
from gcodekit.job.kinds.edge import Edge
from gcodekit.job.kinds.face import Face
from gcodekit.job.kinds.hole import Hole
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.kinds.slot import Slot
from gcodekit.job.kinds.thread_mill import ThreadMill
from gcodekit.plot.scale import said
from gcodekit.units import Units


def size_of(feature: Feature, units: Units) -> str:
    """Its size and depth in a line, as "Ø5 through", "M4 × 8 deep", "Ø16 H7 through" or "12 wide,
    3 deep"."""
    if words := feature.size_words(lambda size: said(size, units)):
        return words
    if isinstance(feature, Hole):
        return _hole(feature, units)
    if isinstance(feature, ThreadMill):
        return _thread(feature, units)
    if isinstance(feature, Round):
        return f"Ø{_nominal(feature, units)}{_after(feature, units)}"
    if feature.undercut is not None:
        low, high = feature.undercut
        return f"Z {said(low, units)} to {said(high, units)}"
    if isinstance(feature, Chamfer):
        angle = math.degrees(feature.slope)
        return f"{said(feature.width, units)} × {angle:.3g}°"
    if isinstance(feature, Slot):
        width = _sized(2 * feature.half_width, feature.band, units)
        return f"{width} wide, {_deep(feature, units)}"
    if isinstance(feature, Sector):
        return f"R{said(feature.radius, units)}, {_deep(feature, units)}"
    if isinstance(feature, Pocket):
        corner = f", R{said(feature.corner, units)}" if feature.corner else ""
        return f"{_across(feature.band, units)}{_deep(feature, units)}{corner}"
    if isinstance(feature, Profile):
        return f"{_across(feature.band, units)}{_deep(feature, units)}"
    if isinstance(feature, Boss | Edge | Face):
        return f"{_across(feature.band, units)}down to Z {said(feature.depth.floor, units)}"
    return _deep(feature, units)


def _hole(hole: Hole, units: Units) -> str:
    """Diameter or thread, depth, and what its mouth is shaped to."""
    if hole.thread is not None:
        deep = " through" if hole.depth.through else f" × {_deep(hole, units)}"
        what = f"{hole.thread.name}{deep}"
    elif not hole.drilled:
        what = "spot only" if hole.countersink is None else "not drilled"
    else:
        what = f"Ø{_nominal(hole, units)}{_after(hole, units)}"
    mouths = ""
    if hole.counterbore is not None:
        deep_bore = said(hole.depth.top - hole.counterbore.floor, units)
        mouths += f", c'bore Ø{said(hole.counterbore.diameter, units)} × {deep_bore}"
    if hole.countersink is not None:
        angle = math.degrees(hole.countersink.angle)
        mouths += f", csk Ø{said(hole.countersink.diameter, units)} × {angle:.3g}°"
    return f"{what}{mouths}"


def _thread(thread: ThreadMill, units: Units) -> str:
    """Its name, class and hand (LH for left: ISO 965-1), and how deep it is."""
    deep = " through" if thread.depth.through else f" × {_deep(thread, units)}"
    hand = " LH" if thread.left else ""
    return f"{thread.called.replace(' mm', '')}-{thread.limits.fit}{hand}{deep}"


def _nominal(feature: Round, units: Units) -> str:
    return _sized(feature.diameter, feature.band, units)


def _sized(size: float, band: Band | None, units: Units) -> str:
    """A size, with its fit or its limits where it has any."""
    if band is None or not band.sizes:
        return said(size, units)
    return f"{said(band.nominal, units)} {_limits(band, units)}"


def _limits(band: Band, units: Units) -> str:
    """The tolerance class, or both limits."""
    if band.fit:
        return band.fit
    upper, lower = (
        "0" if abs(v) < 5e-7 else ("+" if v > 0 else "") + said(v, units, 4 if units == "mm" else 5)
        for v in (band.upper, band.lower)
    )
    return f"{upper}/{lower}"


def _across(band: Band | None, units: Units) -> str:
    """The sizes across of an outline that has limits."""
    if band is None or not band.sizes:
        return ""
    sizes = " × ".join(said(s, units) for s in band.sizes)
    return f"{sizes} {_limits(band, units)}, "


def _after(feature: Feature, units: Units) -> str:
    """How deep it is, after its diameter."""
    return (" " if feature.depth.through else ", ") + _deep(feature, units)


def _deep(feature: Feature, units: Units) -> str:
    depth = feature.depth
    return "through" if depth.through else f"{said(depth.top - depth.floor, units)} deep"
