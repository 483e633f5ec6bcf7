"""Drawn paths: arcs in every form, and rounds and bevels between lines and arcs."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gcodekit.errors import FaultList
from gcodekit.geometry.chain import Arc, Chain, Line, distance
from gcodekit.job.document.document import Document
from gcodekit.job.keys import outline_keys
from gcodekit.job.keys.amounts import FileSource
from gcodekit.job.keys.reading import Table
from gcodekit.job.outlines.drawn_shapes import drawn_path


def drawn(entries: list[Any], *, closed: bool = True) -> tuple[Chain | None, list[str]]:
    """The chain of a path and the faults said on the way."""
    document = Document("a.toml", {"path": entries}, {})
    source = FileSource(document, FaultList())
    table = Table(source, (), document.data, outline_keys.OUTLINE)
    chain = drawn_path(table, ("path",), closed=closed)
    return chain, [f"{f.place.key}: {f.message}, {f.hint}" for f in source.faults.faults]


def sound(chain: Chain | None) -> Chain:
    """The chain, after making sure that it hangs together and its arcs are arcs."""
    assert chain is not None
    for a, b in zip(chain.segments, chain.segments[1:], strict=False):
        assert distance(a.end, b.start) == 0
    for s in chain:
        if isinstance(s, Arc):
            assert distance(s.centre, s.end) == pytest.approx(s.radius, abs=1e-6)
    return chain


# Areas by hand: half discs of 10, and a 20 mm chord's segments.
@pytest.mark.parametrize(
    ("arc", "area"),
    [
        pytest.param({"centre": [20, 10], "turn": "ccw"}, 50 * math.pi, id="centre"),
        pytest.param({"radius": 10, "turn": "ccw"}, 50 * math.pi, id="radius"),
        pytest.param({"via": [20, 20]}, 50 * math.pi, id="via"),
        # radius 20 over a chord of 20: sector of 60 degrees less an equilateral triangle
        pytest.param(
            {"radius": 20, "turn": "ccw"},
            400 * math.pi / 6 - math.sqrt(3) / 4 * 400,
            id="small arc",
        ),
        pytest.param(
            {"radius": 20, "turn": "ccw", "large": True},
            400 * math.pi * 5 / 6 + math.sqrt(3) / 4 * 400,
            id="large arc",
        ),
        # walked clockwise the half disc hangs below its chord
        pytest.param({"radius": 10, "turn": "cw"}, -50 * math.pi, id="clockwise"),
    ],
)
def test_arcs(arc: dict[str, Any], area: float) -> None:
    chain, said = drawn([[10, 10], [30, 10], {"to": [10, 10], **arc}])
    assert said == []
    assert sound(chain).area == pytest.approx(area, abs=1e-9)


def test_a_full_circle_by_its_centre() -> None:
    chain, said = drawn([[10, 0], {"to": [10, 0], "centre": [0, 0], "turn": "ccw"}])
    assert said == []
    assert sound(chain).area == pytest.approx(100 * math.pi)


def test_a_centre_as_rough_as_a_drawing_is_put_right() -> None:
    chain, said = drawn([[10, 0], {"to": [0, 10], "centre": [0.0007, 0.0], "turn": "ccw"}, [0, 0]])
    assert said == []
    assert sound(chain).area == pytest.approx(25 * math.pi, abs=0.01)


def test_a_round_between_line_and_arc_is_tangent_to_both() -> None:
    arc = {"to": [10, 10], "centre": [10, 0], "turn": "cw"}
    chain, said = drawn([[-20, 0], {"to": [0, 0], "round": 2}, arc], closed=False)
    assert said == []
    line, corner, after = sound(chain).segments
    assert isinstance(corner, Arc)
    assert corner.radius == pytest.approx(2)
    # the round lies outside the arc it leads into: its centre is at the sum of the radii
    assert distance(corner.centre, (10, 0)) == pytest.approx(12, abs=1e-9)
    assert corner.centre[1] == pytest.approx(2)
    assert corner.tangent_at(0.0) == pytest.approx(line.tangent_at(0.0), abs=1e-9)
    assert corner.tangent_at(corner.length) == pytest.approx(after.tangent_at(0.0), abs=1e-9)


def test_a_round_between_two_arcs() -> None:
    first = {"to": [0, 10], "centre": [0, 0], "turn": "cw", "round": 1}
    second = {"to": [10, 20], "centre": [10, 10], "turn": "cw"}
    chain, said = drawn([[-10, 0], first, second], closed=False)
    assert said == []
    corner = sound(chain).segments[1]
    assert isinstance(corner, Arc)
    assert distance(corner.centre, (0, 0)) == pytest.approx(11)
    assert distance(corner.centre, (10, 10)) == pytest.approx(11)


@given(
    angle=st.floats(10, 170),
    radius=st.floats(0.1, 3),
    turned=st.floats(0, 360),
)
def test_a_round_between_lines_is_tangent(angle: float, radius: float, turned: float) -> None:
    """Whatever the corner, the round touches both sides and the ends stay where they were."""
    a, b = math.radians(turned), math.radians(turned + angle)
    start = [50 * math.cos(a), 50 * math.sin(a)]
    end = [50 * math.cos(b), 50 * math.sin(b)]
    chain, said = drawn([start, {"to": [0, 0], "round": radius}, end], closed=False)
    assert said == []
    before, corner, after = sound(chain).segments
    assert isinstance(corner, Arc)
    assert corner.radius == pytest.approx(radius, abs=1e-6)
    assert corner.tangent_at(0.0) == pytest.approx(before.tangent_at(before.length), abs=1e-6)
    assert corner.tangent_at(corner.length) == pytest.approx(after.tangent_at(0.0), abs=1e-6)
    assert (before.start, after.end) == (pytest.approx(start), pytest.approx(end))
    # the tangent length of a round is its radius over the tangent of half the angle
    assert 50 - before.length == pytest.approx(radius / math.tan(math.radians(angle) / 2), abs=1e-6)


def test_a_bevel_takes_its_leg_of_each_side() -> None:
    chain, said = drawn([[0, 0], {"to": [10, 0], "bevel": 2}, [10, 10], [0, 10]])
    assert said == []
    cut = sound(chain).segments[1]
    assert isinstance(cut, Line)
    assert (cut.start, cut.end) == ((8, 0), (10, 2))


def test_rounds_that_meet_leave_no_straight_between() -> None:
    chain, said = drawn(
        [[0, 0], {"to": [10, 0], "round": 5}, {"to": [10, 10], "round": 5}, [0, 10]]
    )
    assert said == []
    assert len(sound(chain)) == 5
    assert sound(chain).area == pytest.approx(100 - 2 * (25 - 25 * math.pi / 4))


@pytest.mark.parametrize(
    ("entries", "said"),
    [
        pytest.param(
            [[0, 0], {"to": [10, 0], "round": 6}, {"to": [10, 10], "round": 6}, [0, 10]],
            [
                "path 2.round: 6 mm does not fit between its sides, use at most 4 mm",
                "path 3.round: 6 mm does not fit between its sides, use at most 4 mm",
            ],
            id="two rounds on one side",
        ),
        pytest.param(
            [[0, 0], {"to": [30, 0], "round": 40}, [30, 12.3456]],
            [
                # at a right angle a round takes its radius of each side
                "path 2.round: 40 mm does not fit between its sides, use at most 12.3456 mm"
            ],
            id="the largest that fits",
        ),
        pytest.param(
            [[0, 0], {"to": [5, 0], "round": 1}, [10, 0], [5, 9]],
            ["path 2.round: there is no corner: the path goes straight on, remove it"],
            id="no corner",
        ),
        pytest.param(
            [[0, 0], [0, 0]],
            ["path: all its points are the same, give two different points"],
            id="one place",
        ),
        pytest.param(
            [[0, 0], {"to": [10, 0], "radius": 3, "turn": "cw"}, [5, 9]],
            ["path 2.radius: 3 mm is too small: the ends are 10 mm apart, use at least 5 mm"],
            id="radius too small",
        ),
    ],
)
def test_what_is_refused(entries: list[Any], said: list[str]) -> None:
    assert drawn(entries) == (None, said)


def test_an_open_path_has_no_corner_at_its_ends() -> None:
    chain, said = drawn([[0, 0], [10, 0], {"to": [10, 10], "round": 1}], closed=False)
    assert chain is None
    assert said == ["path 3.round: there is no corner at the end of an open path, remove it"]
