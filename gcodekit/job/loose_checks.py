"""What a set-up loses hold of: pieces that come free, and edges that zero was set on."""

from __future__ import annotations

from itertools import pairwise

from gcodekit.geometry.chain import SAME_POINT, Point, distance
from gcodekit.geometry.region import Region
from gcodekit.job.metal_checks import SAG, Box
from gcodekit.job.model import Boss, Edge, Feature, Profile, Setup, Workshop
from gcodekit.job.reading import Table
from gcodekit.job.walls import AWAY
from gcodekit.trade.cutter import FLAT_MILLS


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


def warn_of_slugs(setup: Setup, table: Table, workshop: Workshop) -> None:
    """Warn of what comes free with neither tabs nor a clamp on it."""
    for feature in setup.features:
        loose = [p for p in _pieces(feature, workshop) if not _clamped(p, setup)]
        if not loose:
            continue
        at = table.source.say_point(loose[0].rings[0].start)
        inside = isinstance(feature, Profile) and feature.side != "outside"
        what = "a slug" if inside else "the part"
        table.source.faults.warn(
            feature.place,
            f"{what} comes free at {at} with nothing to hold it",
            "give a clamp on it" if isinstance(feature, Boss) else "give tabs, or a clamp on it",
        )


def _pieces(feature: Feature, workshop: Workshop) -> list[Region]:
    """What a feature leaves with nothing round it."""
    if isinstance(feature, Boss):
        return [Region((part,)) for part in feature.kept.parts] if feature.depth.through else []
    if not isinstance(feature, Profile) or feature.outline is None:
        return []
    if not feature.depth.through or feature.tabs is not None:
        return []
    return _freed(feature, workshop)


def _freed(feature: Profile, workshop: Workshop) -> list[Region]:
    """The pieces a through profile leaves loose; a slug narrower than the cutter is chips."""
    assert feature.outline is not None
    pieces = [Region((part,)) for part in feature.outline.parts]
    if feature.side == "outside":
        return pieces
    width = _width(feature, workshop)
    if feature.side == "on":
        width /= 2
    # A disc of radius r has area / length r / 2: what the cutter does not sweep is left.
    return [p for p in pieces if 2 * p.area / p.length > width]


def _width(profile: Profile, workshop: Workshop) -> float:
    """The kerf, as narrow as it may be: of the cutter named, or else of the rack's narrowest."""
    if profile.cutting.cutter is not None:
        return profile.cutting.cutter.diameter
    return min((c.diameter for c in workshop.cutters if c.kind in FLAT_MILLS), default=0.0)


def _clamped(piece: Region, setup: Setup) -> bool:
    return any(_inside(c.at, piece) for c in setup.hold.clamps)


def _inside(p: Point, region: Region) -> bool:
    """Whether a point lies in a region: crossings of a ray to the right, counted."""
    crossings = 0
    for ring in region.rings:
        points = ring.flattened(SAG).tolist()
        for (ax, ay), (bx, by) in pairwise(points):
            if (ay > p[1]) != (by > p[1]) and p[0] < ax + (p[1] - ay) / (by - ay) * (bx - ax):
                crossings += 1
    return crossings % 2 == 1


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
    metal = Box.of_metal(setup.raw)
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
    width = _width(profile, workshop)
    part, metal = Box.of_chains(profile.outline.rings), Box.of_metal(setup.raw)
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
