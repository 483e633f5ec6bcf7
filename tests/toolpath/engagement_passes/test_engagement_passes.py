"""Clearing at constant engagement: all in reach cleared, nothing beyond, the engagement bounded,
links in air. The engagement is found anew, from the circle and all earlier ways."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cache

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from gcodekit.geometry.chain import Chain
from gcodekit.toolpath.engagement_passes.clearing import ClearedRoom, even_pieces

R = 3.0
SAG = 0.0005


def star(tips: int, outer: float, inner: float) -> shapely.Polygon:
    angles = np.arange(2 * tips) * math.pi / tips
    radii = np.where(np.arange(2 * tips) % 2, inner, outer)
    return shapely.Polygon(np.stack((radii * np.cos(angles), radii * np.sin(angles)), axis=1))


def disc(x: float, y: float, radius: float) -> shapely.Polygon:
    return shapely.Point(x, y).buffer(radius, quad_segs=64)


AREAS = {
    "rectangle": shapely.box(0, 0, 34, 22),
    "circle": disc(0, 0, 12),
    "L": shapely.Polygon([(0, 0), (36, 0), (36, 13), (15, 13), (15, 30), (0, 30)]),
    "island": shapely.box(0, 0, 34, 28) - disc(15, 15, 4),
    "slot": shapely.LineString([(0, 0), (16, 0)]).buffer(4.5, quad_segs=64),
    "star": star(5, 26, 12),
    "two rooms": shapely.box(0, 0, 20, 20)
    | shapely.box(26, 0, 46, 20)
    | shapely.box(18, 8, 28, 13),
    "barely a room": shapely.box(0, 0, 16, 7.4),
}
WIDTHS = (0.6, 1.2, 2.4)


@cache
def pieces(name: str, width: float, *, climb: bool) -> tuple[ClearedRoom, ...]:
    room = AREAS[name].buffer(-R, quad_segs=64)
    return even_pieces(room, radius=R, width=width, climb=climb)


def ways(piece: ClearedRoom) -> list[tuple[bool, np.ndarray]]:
    """The helix's last turn, then every step: whether it cuts, and its places."""
    entry = piece.even.entry
    assert entry.centre is not None
    turn = Chain.circle(entry.centre, entry.radius, ccw=piece.climb)
    return [
        (False, turn.flattened(SAG)),
        *((s.cuts, s.chain.flattened(SAG)) for s in piece.even.steps),
    ]


def engagements(piece: ClearedRoom, every: float) -> Iterator[tuple[bool, float]]:
    """Whether it is a cut and the engagement, radians, at places along all steps."""
    steps = ways(piece)
    entry = piece.even.entry
    assert entry.centre is not None
    open_disc = shapely.Point(entry.centre).buffer(entry.radius + R, quad_segs=128)
    turn = np.radians(np.arange(-89.75, 90, 0.5))
    behind = [steps[0][1]]
    for cuts, places in steps[1:]:
        lengths = np.concatenate(([0], np.cumsum(np.hypot(*np.diff(places, axis=0).T))))
        for s in np.arange(every / 2, lengths[-1], every):
            k = int(np.searchsorted(lengths, s)) - 1
            t = (places[k + 1] - places[k]) / (lengths[k + 1] - lengths[k])
            at = places[k] + t * (s - lengths[k])
            done = shapely.LineString(np.concatenate([*behind, places[: k + 1], [at]]))
            ux = np.cos(turn) * t[0] - np.sin(turn) * t[1]
            uy = np.sin(turn) * t[0] + np.cos(turn) * t[1]
            rim = shapely.points(at[0] + R * ux, at[1] + R * uy)
            shapely.prepare(done)
            gone = shapely.distance(done, rim) < R - 1e-6
            gone |= shapely.covers(open_disc, rim)
            yield cuts, math.radians(0.5 * float((~gone).sum()))
        behind.append(places)


def swept(piece: ClearedRoom) -> shapely.Geometry:
    made = [shapely.LineString(w).buffer(R, quad_segs=64) for _, w in ways(piece)]
    entry = piece.even.entry
    assert entry.centre is not None
    return shapely.union_all([*made, shapely.Point(entry.centre).buffer(R, quad_segs=64)])


EVERY = [
    pytest.param(n, w, c, id=f"{n}, {w:g}, {'climb' if c else 'conventional'}")
    for n in AREAS
    for w, c in ((1.2, True), (1.2, False))
]


@pytest.mark.parametrize(("name", "width", "climb"), EVERY)
def test_all_in_reach_is_cleared_and_nothing_beyond(name: str, width: float, climb: bool) -> None:
    area = AREAS[name]
    room = area.buffer(-R, quad_segs=64)
    found = pieces(name, width, climb=climb)
    assert len(found) == len(shapely.get_parts(room))
    gone = shapely.union_all([swept(p) for p in found])
    reach = room.buffer(R, quad_segs=64)
    assert (gone - reach.buffer(0.002)).area < 1e-6
    left = reach - gone
    assert left.area <= 0.002 * reach.area
    assert left.buffer(-0.05).is_empty


@pytest.mark.parametrize(("name", "width", "climb"), EVERY)
def test_one_step_begins_where_the_last_one_ended(name: str, width: float, climb: bool) -> None:
    for piece in pieces(name, width, climb=climb):
        at = piece.even.entry.start
        for step in piece.even.steps:
            assert math.dist(at, step.chain.start) < 1e-4
            at = step.chain.end


@pytest.mark.parametrize("name", AREAS)
def test_the_engagement_stays_at_its_target(name: str) -> None:
    width = 1.2
    target = math.acos(1 - width / R)
    for piece in pieces(name, width, climb=True):
        found = list(engagements(piece, 3.7))
        cut = np.array([phi for cuts, phi in found if cuts])
        links = [phi for cuts, phi in found if not cuts]
        assert cut.max() <= 1.15 * target
        assert np.median(cut) >= 0.9 * target
        assert max(links, default=0.0) < math.radians(1.5)


@pytest.mark.parametrize("width", WIDTHS)
def test_conventional_is_the_other_way_round(width: float) -> None:
    (climb,) = pieces("circle", width, climb=True)
    (against,) = pieces("circle", width, climb=False)
    turns = []
    for piece in (climb, against):
        x, y = np.array(piece.even.entry.centre)
        rim = np.concatenate([w for c, w in ways(piece) if c]) - (x, y)
        turns.append(np.unwrap(np.arctan2(rim[:, 1], rim[:, 0]))[[0, -1]] @ (-1, 1))
    assert turns[0] > 0 > turns[1]


def _cleared(wide: float, high: float, turned: float, width: float, *, island: bool) -> None:
    """Clear a room with or without an island in its middle: all in reach, nothing beyond."""
    area = shapely.affinity.rotate(shapely.box(0, 0, wide, high), turned, use_radians=True)
    if island:
        area = area - area.centroid.buffer(3.5)
    room = area.buffer(-R, quad_segs=64)
    gone = shapely.union_all(
        [swept(p) for p in even_pieces(room, radius=R, width=width, climb=True)]
    )
    reach = room.buffer(R, quad_segs=64)
    assert (gone - reach.buffer(0.002)).area < 1e-6
    assert (reach - gone).buffer(-0.05).is_empty


@settings(max_examples=6, deadline=None)
@given(
    wide=st.floats(8, 32),
    high=st.floats(8, 26),
    island=st.booleans(),
    turned=st.floats(0, 1.5),
    width=st.sampled_from(WIDTHS),
)
def test_any_room_is_cleared(
    wide: float, high: float, island: bool, turned: float, width: float
) -> None:
    """Round an island there is room for a pass of the widest; in narrower rings some may be left
    for the passes along the outline that follow."""
    _cleared(wide, high, turned, width, island=island and min(wide, high) > 7 + 2 * (2 * R + 2.4))


@pytest.mark.parametrize(("wide", "turned", "width"), [(22.75, 0.0, 1.2), (23.0, 0.5, 0.6)])
def test_a_ring_narrower_than_that(wide: float, turned: float, width: float) -> None:
    """A pass ends so near to metal that no way leads on from there but back."""
    _cleared(wide, 23.0, turned, width, island=True)
