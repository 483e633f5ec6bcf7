"""How low a turning body comes over each place of a grid on one piece of its way.

Flat cutters on lines, arcs and helices about an upright axis: exact. Ball and pointed cutters on
lines, and every cutter on a level way: exact. Other profiles on a slope: by bisection to less than
a nanometre of the way. Cutters that are not flat come here on the chords of a helix, and all of
them on those of an arc in an upright plane.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from gcodekit.proof.chords import Array
from gcodekit.rs274.program_read import Point3
from gcodekit.trade.cutter import POINTED, Cutter

# Of the way on a slope, halved this often: 40 mm come down to a tenth of a nanometre.
_SLOPE_HALVINGS = 40


@dataclass(frozen=True, slots=True)
class BodyProfile:
    """A body's height above its lowest point, by distance from its axis: flat out to `flat`, then a
    cone of `slope` (height a distance) or a round of `corner` radius, out to `radius`; mm."""

    radius: float
    flat: float
    slope: float = 0.0
    corner: float = 0.0

    @property
    def is_flat(self) -> bool:
        """Tell whether it is a plain cylinder."""
        return self.flat >= self.radius

    def height(self, distance: Array) -> Array:
        """Height over the tip; infinite beyond the radius."""
        beyond = np.maximum(distance - self.flat, 0.0)
        if self.corner:
            inside = np.maximum(self.corner**2 - beyond**2, 0.0)
            found = self.corner - np.sqrt(inside)
        else:
            found = self.slope * beyond
        return np.where(distance <= self.radius, found, np.inf)

    def steepness(self, distance: Array) -> Array:
        """Rise of `height` for a step outwards."""
        beyond = np.maximum(distance - self.flat, 0.0)
        if self.corner:
            return beyond / np.sqrt(np.maximum(self.corner**2 - beyond**2, 1e-18))
        return np.where(distance > self.flat, self.slope, 0.0)


def cylinder(radius: float) -> BodyProfile:
    """A flat body: an end mill, a shank, a holder."""
    return BodyProfile(radius, radius)


def profile_of(cutter: Cutter) -> BodyProfile:
    """The profile of the cutter below its full diameter."""
    r, full = cutter.radius, cutter.point_length
    if full <= 0.0:
        return cylinder(r)
    if cutter.kind == "ball-nose end mill":
        return BodyProfile(r, 0.0, corner=r)
    if cutter.kind == "bull-nose end mill":
        return BodyProfile(r, r - full, corner=full)
    if cutter.kind in POINTED:
        flat = cutter.tip_diameter / 2
        return BodyProfile(r, flat, slope=full / (r - flat))
    # a lead: 45 degrees up to the full size
    return BodyProfile(r, max(0.0, r - full), slope=1.0)


def bodies_above(cutter: Cutter) -> list[tuple[str, BodyProfile, float]]:
    """The parts wider than the cutter above its flutes: name, body, and where each begins over the
    tip. What is no wider only meets what the flutes should have cut."""
    found = []
    if cutter.shank / 2 > cutter.radius:
        begins = max(cutter.flute_length, cutter.reach or 0.0)
        found.append(("shank", cylinder(cutter.shank / 2), begins))
    if cutter.holder is not None and cutter.holder.diameter / 2 > cutter.radius:
        found.append(("holder", cylinder(cutter.holder.diameter / 2), cutter.stickout))
    return found


def low_on_line(start: Point3, end: Point3, profile: BodyProfile, xs: Array, ys: Array) -> Array:
    """(rows, columns) the lowest the body comes over each place, infinite where it does not."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = math.hypot(dx, dy)
    if length == 0.0:
        off = np.hypot(xs[None, :] - start[0], ys[:, None] - start[1])
        return min(start[2], end[2]) + profile.height(off)
    ux, uy = dx / length, dy / length
    rise = (end[2] - start[2]) / length
    x, y = xs[None, :] - start[0], ys[:, None] - start[1]
    along, off = x * ux + y * uy, np.abs(y * ux - x * uy)
    return start[2] + _lowest_along(along, off, length, rise, profile)


def _lowest_along(
    along: Array, off: Array, length: float, rise: float, profile: BodyProfile
) -> Array:
    """The least of `rise` s + height(hypot(off, s - along)) for s within the length. It is convex
    in s, so where the body comes lowest without ends is brought within them."""
    half = np.sqrt(np.maximum(profile.radius**2 - off**2, 0.0))
    first, last = np.maximum(along - half, 0.0), np.minimum(along + half, length)
    inside = (off <= profile.radius) & (first <= last)
    s = np.clip(_free_lowest(along, off, half, rise, profile, (first, last)), first, last)
    found = rise * s + profile.height(np.minimum(np.hypot(off, s - along), profile.radius))
    return np.where(inside, found, np.inf)


def _free_lowest(
    along: Array,
    off: Array,
    half: Array,
    rise: float,
    profile: BodyProfile,
    ends: tuple[Array, Array],
) -> Array:
    """The place on the way where the body comes lowest over each place."""
    if rise == 0.0:
        return along
    if profile.is_flat:
        return along - math.copysign(1.0, rise) * half
    if profile.corner and profile.flat == 0.0:
        return along - rise / math.sqrt(1.0 + rise**2) * half
    if profile.slope and profile.flat == 0.0:
        if profile.slope <= abs(rise):
            return along - math.copysign(1.0, rise) * half
        return along - rise / math.sqrt(profile.slope**2 - rise**2) * off
    low, high = ends[0].copy(), ends[1].copy()
    for _ in range(_SLOPE_HALVINGS):
        middle = (low + high) / 2
        distance = np.hypot(off, middle - along)
        share = (middle - along) / np.maximum(distance, 1e-12)
        rises = rise + profile.steepness(distance) * share > 0
        low, high = np.where(rises, low, middle), np.where(rises, middle, high)
    return (low + high) / 2


def low_on_level_arc(
    centre: tuple[float, float],
    start: Point3,
    sweep: float,
    profile: BodyProfile,
    xs: Array,
    ys: Array,
) -> Array:
    """The same of any body on a level arc, from `start` over `sweep` radians (counter-clockwise
    positive): by the distance to its circle between its ends, to the nearer end beyond them."""
    ax, ay = start[0] - centre[0], start[1] - centre[1]
    arc, first = math.hypot(ax, ay), math.atan2(ay, ax)
    x, y = xs[None, :] - centre[0], ys[:, None] - centre[1]
    place = np.mod(math.copysign(1.0, sweep) * (np.arctan2(y, x) - first), math.tau)
    last = first + sweep
    ends = np.minimum(
        np.hypot(x - ax, y - ay), np.hypot(x - arc * math.cos(last), y - arc * math.sin(last))
    )
    distance = np.where(place <= abs(sweep), np.abs(np.hypot(x, y) - arc), ends)
    return start[2] + profile.height(distance)


def low_on_helix(
    centre: tuple[float, float],
    start: Point3,
    sweep: float,
    rise: float,
    radius: float,
    xs: Array,
    ys: Array,
) -> Array:
    """The same of a flat body of `radius` on a helix about an upright axis: its tip goes from
    `start` over `sweep` radians (counter-clockwise positive) and rises by `rise` in all."""
    ax, ay = start[0] - centre[0], start[1] - centre[1]
    arc = math.hypot(ax, ay)
    x, y = xs[None, :] - centre[0], ys[:, None] - centre[1]
    rho = np.hypot(x, y)
    turning, whole = math.copysign(1.0, sweep), abs(sweep)
    # how far round each place is from the start, and how far before and after that it is covered
    place = np.mod(turning * (np.arctan2(y, x) - math.atan2(ay, ax)), math.tau)
    ratio = (rho**2 + arc**2 - radius**2) / np.maximum(2 * rho * arc, 1e-12)
    reach = np.arccos(np.clip(ratio, -1.0, 1.0))
    always = ratio <= -1.0
    if rise <= 0:
        turns = np.floor((whole - place + reach) / math.tau)
        at = np.minimum(place + math.tau * turns + reach, whole)
        inside = (ratio <= 1.0) & (place + math.tau * turns + reach >= 0.0)
        at = np.where(always, whole, at)
    else:
        turns = np.ceil((-reach - place) / math.tau)
        at = np.maximum(place + math.tau * turns - reach, 0.0)
        inside = (ratio <= 1.0) & (place + math.tau * turns - reach <= whole)
        at = np.where(always, 0.0, at)
    return np.where(inside | always, start[2] + rise * at / whole, np.inf)
