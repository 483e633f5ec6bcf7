"""Pieces that come free: the metal in plan once everything cut through is gone, piece by piece."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.flat import polygons_of, to_shapely
from gcodekit.job.holdings import Clamp, Hold
from gcodekit.job.machine import Workshop
from gcodekit.job.metal_checks import SAG, seen_from_above
from gcodekit.job.model import Boss, Edge, Face, Feature, Pocket, Profile, Sector, Setup, Slot
from gcodekit.job.reading import Table
from gcodekit.job.taken import taken_area

# A piece narrower than twice this is no piece, and metal touches what is as near as this, mm.
NEAR = 0.05


def warn_of_slugs(setup: Setup, table: Table, workshop: Workshop) -> None:
    """Warn of every piece that comes free with neither tabs, nor a skin, nor a clamp on it."""
    cuts = {f.name: area for f in setup.features if (area := _gone(f, setup, workshop))}
    if not any(
        isinstance(f, Boss | Profile | Pocket | Slot) for f in setup.features if f.name in cuts
    ):
        return
    metal = to_shapely(seen_from_above(setup.left), SAG)
    left = shapely.difference(metal, shapely.union_all(list(cuts.values())))
    pieces = [p for p in polygons_of(left) if not p.buffer(-NEAR).is_empty]
    if len(pieces) == 1 and pieces[0].distance(metal.boundary) < NEAR:
        return
    found: dict[tuple[object, str], list[BaseGeometry]] = {}
    for piece in pieces:
        feature = _freed_by(piece, setup.features, cuts)
        hold = setup.holds[feature.stage if feature else 0]
        if feature is None or _held(piece, pieces, metal, hold):
            continue
        what = "the part" if _is_part(piece, feature) else "a slug"
        found.setdefault((feature.place, what), []).append(piece)
    for feature in setup.features:
        for what in ("the part", "a slug"):
            freed = found.pop((feature.place, what), [])
            if freed:
                _warn(feature, what, freed, table)


def _warn(feature: Feature, what: str, freed: list[BaseGeometry], table: Table) -> None:
    middle = freed[0].centroid
    if not freed[0].covers(middle):
        middle = freed[0].representative_point()
    at = table.source.say_point((round(middle.x, 3), round(middle.y, 3)))
    more = f" and {len(freed) - 1} more" if len(freed) > 1 else ""
    how = "give tabs, or a clamp on it"
    if isinstance(feature, Boss):
        how = "give a clamp on it"
    elif not isinstance(feature, Profile):
        how = "put a clamp on it, or cut round it with a profile that has tabs"
    table.source.faults.warn(
        feature.place, f"{what} comes free at {at}{more} with nothing to hold it", how
    )


def _is_part(piece: BaseGeometry, feature: Feature) -> bool:
    """Whether a piece is what an outside profile or a boss is drawn round."""
    if isinstance(feature, Boss):
        return bool(to_shapely(feature.kept, SAG).buffer(NEAR).covers(piece))
    if not isinstance(feature, Profile) or feature.outline is None or feature.side == "inside":
        return False
    return bool(to_shapely(feature.outline, SAG).buffer(NEAR).covers(piece))


def _freed_by(
    piece: BaseGeometry, features: tuple[Feature, ...], cuts: dict[str, BaseGeometry]
) -> Feature | None:
    """The last feature written that cuts along a piece."""
    rim = piece.buffer(NEAR)
    along = (f for f in reversed(features) if f.name in cuts and cuts[f.name].intersects(rim))
    return next(along, None)


def _held(
    piece: BaseGeometry, pieces: Sequence[BaseGeometry], metal: BaseGeometry, hold: Hold
) -> bool:
    """Whether something holds a piece: a clamp, both jaws, or, where neither is said, what holds
    the largest piece that reaches the metal's edge."""
    # a bolt holds the piece that its hole's rim belongs to
    if hold.bolts is not None and any(
        piece.distance(shapely.Point(p)) < hold.bolts.diameter / 2 + NEAR for p in hold.bolts.places
    ):
        return True
    if any(_under(clamp).intersection(piece).area > NEAR for clamp in hold.clamps):
        return True
    x0, y0, x1, y1 = piece.bounds
    left, front, right, back = metal.bounds
    if hold.vise is not None:
        low, high = (y0 - front, back - y1) if hold.vise.along == "x" else (x0 - left, right - x1)
        return low < NEAR and high < NEAR
    if hold.chuck is not None:
        return max(abs(a - b) for a, b in zip(piece.bounds, metal.bounds, strict=True)) < NEAR
    if hold.clamps:
        return False
    edge = [p for p in pieces if p.distance(metal.boundary) < NEAR]
    return bool(edge) and piece is max(edge, key=lambda p: p.area)


def _under(clamp: Clamp) -> BaseGeometry:
    (x, y), (w, h) = clamp.at, clamp.size
    box = shapely.box(x - w / 2, y - h / 2, x + w / 2, y + h / 2)
    return shapely.affinity.rotate(box, clamp.angle, origin=(x, y), use_radians=True)


def _gone(feature: Feature, setup: Setup, workshop: Workshop) -> BaseGeometry | None:
    """What a feature takes at the metal's bottom, in plan; None where it holds on to it, and of
    what leaves no wall beside a piece."""
    if feature.depth.cut_to > setup.left.low[2] + SAG or isinstance(feature, Edge | Face | Sector):
        return None
    if isinstance(feature, Profile) and feature.tabs:
        return None
    return taken_area(feature, setup, workshop)
