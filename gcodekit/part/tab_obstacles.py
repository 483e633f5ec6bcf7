"""Where along a profile a tab would meet a round hole, or stand under or beside a clamp."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from gcodekit.geometry.chain import Chain, Line, Point, Segment
from gcodekit.job.features.tabs import HAND_TOOL, Tabs
from gcodekit.job.holdings import Clamp

# A cutter passes what it may not touch by this much, mm, and is not as near as a round figure.
OFF = 0.01

Span = tuple[float, float]


def by_holes(chain: Chain, tabs: Tabs, radius: float) -> list[Span]:
    """The spans of a chain where a tab or a cutter beside it would meet a round hole."""
    found: list[Span] = []
    at = 0.0
    for segment in chain:
        for centre, hole in tabs.clear_of:
            near = hole + tabs.width / 2 + 2 * radius + OFF
            found += [
                (at + max(a, 0.0), at + min(b, segment.length))
                for a, b in _within(segment, centre, near)
                if b > 0.0 and a < segment.length
            ]
        at += segment.length
    return found


def by_clamps(chain: Chain, tabs: Tabs, radius: float) -> list[Span]:
    """The spans of a chain where a tab would have no room for a hand tool beside a clamp."""
    found: list[Span] = []
    near = clamp_room(tabs, radius)
    at = 0.0
    for segment in chain:
        for clamp, _ in tabs.clamps:
            marks = {0.0, segment.length, *_marks(segment, clamp, near)}
            within = sorted(s for s in marks if 0.0 <= s <= segment.length)
            found += [
                (at + a, at + b)
                for a, b in pairwise(within)
                if clamp_distance(clamp, segment.point_at((a + b) / 2)) < near
            ]
        at += segment.length
    return found


def clamp_room(tabs: Tabs, radius: float) -> float:
    """The distance from the line that a clamp leaves a tab: half of it, a cutter, a hand tool."""
    return tabs.width / 2 + 2 * radius + HAND_TOOL + OFF


def clamp_distance(clamp: Clamp, point: Point) -> float:
    """The distance of a point from a clamp in plan, 0 under it."""
    x, y = _seen_from(clamp, point)
    width, length = clamp.size
    return math.hypot(max(abs(x) - width / 2, 0.0), max(abs(y) - length / 2, 0.0))


def _seen_from(clamp: Clamp, point: Point) -> Point:
    """A point in the clamp's own axes, from its middle."""
    dx, dy = point[0] - clamp.at[0], point[1] - clamp.at[1]
    c, s = math.cos(clamp.angle), math.sin(clamp.angle)
    return c * dx + s * dy, c * dy - s * dx


def _marks(segment: Segment, clamp: Clamp, near: float) -> Iterator[float]:
    """The places along a segment among which are all where it comes `near` to a clamp: on the
    straights and round the corners of the clamp grown by that."""
    c, s = math.cos(clamp.angle), math.sin(clamp.angle)
    (x, y), (width, length) = clamp.at, clamp.size
    for (ux, uy), half in (((c, s), width / 2), ((-s, c), length / 2)):
        for off in (half + near, -half - near):
            yield from _across(segment, (ux, uy), x * ux + y * uy + off)
    for i in (-width / 2, width / 2):
        for j in (-length / 2, length / 2):
            corner = (x + i * c - j * s, y + i * s + j * c)
            for span in _within(segment, corner, near):
                yield from span


def _across(segment: Segment, normal: Point, off: float) -> Iterator[float]:
    """The places along a segment where it crosses the line this far off along a normal, mm."""
    (nx, ny), (ux, uy) = normal, segment.tangent_at(0.0)
    if isinstance(segment, Line):
        slope = nx * ux + ny * uy
        if abs(slope) > 1e-12:
            yield (off - nx * segment.start[0] - ny * segment.start[1]) / slope
        return
    share = (off - nx * segment.centre[0] - ny * segment.centre[1]) / segment.radius
    if abs(share) <= 1.0:
        turn = 1.0 if segment.ccw else -1.0
        for angle in (math.acos(share), -math.acos(share)):
            swept = turn * (math.atan2(ny, nx) + angle - segment.start_angle) % math.tau
            yield segment.radius * swept


def _within(segment: Segment, centre: Point, near: float) -> list[Span]:
    """The spans where a segment, run on beyond its ends, is nearer to a point than that; mm along
    it."""
    if isinstance(segment, Line):
        (ux, uy), (x, y) = segment.tangent_at(0.0), segment.start
        along = (centre[0] - x) * ux + (centre[1] - y) * uy
        away = (centre[0] - x) * uy - (centre[1] - y) * ux
        half = math.sqrt(max(near**2 - away**2, 0.0))
        return [(along - half, along + half)] if half else []
    dx, dy = centre[0] - segment.centre[0], centre[1] - segment.centre[1]
    apart, radius = math.hypot(dx, dy), segment.radius
    share = math.inf
    if apart:
        share = (radius**2 + apart**2 - near**2) / (2 * radius * apart)
    elif radius < near:
        share = -1.0
    if share >= 1.0:
        return []
    half = radius * math.acos(max(share, -1.0))
    turn = 1.0 if segment.ccw else -1.0
    angle = turn * (math.atan2(dy, dx) - segment.start_angle) % math.tau
    turns = (angle - math.tau, angle)
    return [(radius * t - half, radius * t + half) for t in turns]
