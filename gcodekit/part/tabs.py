"""Where a profile's tabs stand: one rule for the planner and for the target."""

from __future__ import annotations

from dataclasses import dataclass

from gcodekit.geometry.chain import Chain, Line, Point
from gcodekit.job.model import Profile


@dataclass(frozen=True, slots=True)
class TabPlace:
    """A tab's middle on the outline, and the outline's direction there."""

    point: Point
    direction: Point


def tab_places(profile: Profile, cutter_radius: float) -> tuple[TabPlace, ...]:
    """Tabs spread evenly over the outer rings, moved onto straights that can take them."""
    if profile.tabs is None or profile.outline is None:
        return ()
    rings = [part.outer for part in profile.outline.parts]
    total = sum(r.length for r in rings)
    places: list[TabPlace] = []
    for ring in rings:
        count = max(1, round(profile.tabs.count * ring.length / total))
        room = profile.tabs.width / 2 + cutter_radius
        for i in range(count):
            s = _on_straight(ring, (i + 0.5) * ring.length / count, room)
            places.append(TabPlace(ring.point_at(s), ring.tangent_at(s)))
    return tuple(places)


def _on_straight(ring: Chain, wanted: float, room: float) -> float:
    """The place nearest to `wanted` on a straight with `room` on both sides, if there is one."""
    best: float | None = None
    at = 0.0
    for segment in ring:
        if isinstance(segment, Line) and segment.length > 2 * room:
            lo, hi = at + room, at + segment.length - room
            s = min(max(wanted, lo), hi)
            if best is None or abs(s - wanted) < abs(best - wanted):
                best = s
        at += segment.length
    return wanted if best is None or abs(best - wanted) > ring.length / 4 else best
