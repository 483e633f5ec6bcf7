"""What a set-up loses hold of: pieces that come free, and edges that zero was set on."""

from __future__ import annotations

from gcodekit.geometry.chain import SAME_POINT, distance
from gcodekit.job.features.metal_checks import Box
from gcodekit.job.features.walls import AWAY
from gcodekit.job.keys.reading import Table
from gcodekit.job.model import Boss, Edge, Feature, Profile, Setup
from gcodekit.job.stock.taken import kerf_width
from gcodekit.job.workshop.machine import Workshop


def frees_part(feature: object) -> bool:
    """Whether a feature cuts the part out of its metal."""
    if isinstance(feature, Boss):
        return feature.depth.through and feature.within is not None
    return (
        isinstance(feature, Profile)
        and feature.outline is not None
        and feature.depth.through
        and feature.tabs is None
        and feature.side in ("outside", "on")
    )


def warn_of_lost_zero(setup: Setup, table: Table, workshop: Workshop) -> None:
    """Warn where zero was set on an edge that this set-up cuts away.

    A top that is faced away needs none: program and sheet name another surface for it.
    """
    for feature in setup.features:
        axis = _axis_lost(feature, setup, workshop)
        if axis is not None:
            table.warn(
                ("zero", axis),
                f"zero is on the edge that {feature.name} cuts away",
                "it cannot be found again afterwards",
            )
            return


def _axis_lost(feature: Feature, setup: Setup, workshop: Workshop) -> str | None:
    """The axis whose zero lies on an edge that a feature cuts away for good."""
    if not feature.depth.through:
        return None
    metal = Box.of_metal(setup.sure)
    limits = {"left": metal.left, "right": metal.right, "front": metal.front, "back": metal.back}
    if isinstance(feature, Profile):
        return _edge_lost(feature, setup, workshop)
    if isinstance(feature, Edge):
        side = next((s for s, away in AWAY.items() if distance(away, feature.away) < 1e-6), None)
        sides = [side] if side else []
    else:
        sides = list(limits) if isinstance(feature, Boss) and feature.within is None else []
    axes = ["x" if s in ("left", "right") else "y" for s in sides if abs(limits[s]) < SAME_POINT]
    return axes[0] if axes else None


def _edge_lost(profile: Profile, setup: Setup, workshop: Workshop) -> str | None:
    """The axis whose zero lies on an edge that the profile's kerf reaches along its length."""
    if profile.outline is None or profile.side != "outside" or not profile.depth.through:
        return None
    width = kerf_width(profile, workshop)
    part, metal = Box.of_chains(profile.outline.rings), Box.of_metal(setup.sure)
    long_y = part.back - part.front > (metal.back - metal.front) / 2
    long_x = part.right - part.left > (metal.right - metal.left) / 2
    edges = (
        ("x", metal.left, part.left - metal.left, long_y),
        ("x", metal.right, metal.right - part.right, long_y),
        ("y", metal.front, part.front - metal.front, long_x),
        ("y", metal.back, metal.back - part.back, long_x),
    )
    for axis, at, gap, long in edges:
        if abs(at) < SAME_POINT and long and SAME_POINT < gap <= width:
            return axis
    return None
