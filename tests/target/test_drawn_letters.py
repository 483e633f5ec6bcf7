"""Letters set out twice, by planner and proof: the same strokes, straight and round, moved and
mirrored."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from gcodekit.geometry.region import Shift
from gcodekit.job.features.lettering import Baseline, Lettering, standing_at
from gcodekit.target.drawn_letters import letter_middles

PLACES = st.tuples(st.floats(-50, 50), st.floats(-50, 50))
ANGLES = st.floats(-math.pi, math.pi)
ARCS = st.builds(
    Baseline,
    centre=PLACES,
    radius=st.floats(30, 200),
    start=ANGLES,
    tops=st.sampled_from(("outward", "inward")),
)
LINES = st.builds(
    Lettering,
    text=st.text("AQgj1Ø° ", min_size=1, max_size=9).filter(str.strip),
    height=st.floats(0.5, 10),
    at=PLACES,
    angle=ANGLES,
    align=st.sampled_from(("left", "centre", "right")),
    arc=st.none() | ARCS,
)
SHIFTS = st.builds(
    Shift,
    mirror=st.sampled_from((None, "x", "y")),
    angle=ANGLES,
    about=PLACES,
    move=PLACES,
)


def planned(line: Lettering) -> list[np.ndarray]:
    return [np.array([s.start, *(each.end for each in s)]) for s in line.laid_out()]


def demanded(line: Lettering) -> list[np.ndarray]:
    return [shapely.get_coordinates(s) for s in shapely.get_parts(letter_middles([line]))]


@given(LINES, SHIFTS)
def test_both_set_out_the_same(line: Lettering, shift: Shift) -> None:
    for each in (line, line.moved(shift)):
        one, other = planned(each), demanded(each)
        assert len(one) == len(other)
        for a, b in zip(one, other, strict=True):
            assert a == pytest.approx(b, abs=1e-9)


@pytest.mark.parametrize("align", ["left", "centre", "right"])
def test_an_i_stands_where_it_is_aligned(align: str) -> None:
    """A capital I is a single upright stroke: whichever way it is aligned it is on its place, from
    the line up to the height of capitals."""
    line = Lettering(text="I", height=5.0, at=standing_at((10, 20), 0, 5), align=align)  # type: ignore[arg-type]  # one of the three
    (stroke,) = demanded(line)
    assert stroke == pytest.approx(np.array([[10, 25], [10, 20]]), abs=1e-12)


@pytest.mark.parametrize(
    ("start", "tops", "foot", "top"),
    [
        (90, "outward", (0, 20), (0, 25)),
        (0, "outward", (20, 0), (25, 0)),
        (-90, "inward", (0, -20), (0, -15)),
        (180, "inward", (-20, 0), (-15, 0)),
    ],
)
def test_an_i_on_an_arc(
    start: float, tops: str, foot: tuple[float, float], top: tuple[float, float]
) -> None:
    arc = Baseline(centre=(0, 0), radius=20, start=math.radians(start), tops=tops)  # type: ignore[arg-type]  # one of the two
    (stroke,) = demanded(Lettering(text="I", height=5.0, arc=arc))
    assert stroke == pytest.approx(np.array([top, foot]), abs=1e-9)


def turn_of_l(line: Lettering) -> float:
    """The sense in which an L is drawn: down its upright, then along its foot; the other way round
    in a mirror."""
    upright, foot = demanded(line)
    (ax, ay), (bx, by) = upright[1] - upright[0], foot[1] - foot[0]
    return float(ax * by - ay * bx)


@given(st.floats(-math.pi, math.pi), SHIFTS, st.none() | ARCS)
def test_no_letter_is_ever_mirrored(angle: float, shift: Shift, arc: Baseline | None) -> None:
    line = Lettering(text="L", height=5.0, angle=angle, arc=arc)
    assert turn_of_l(line) > 0
    assert turn_of_l(line.moved(shift)) > 0


@pytest.mark.parametrize("mirror", ["x", "y"])
@pytest.mark.parametrize("align", ["left", "centre", "right"])
def test_a_mirrored_line_fills_the_mirror_image_of_its_place(mirror: str, align: str) -> None:
    line = Lettering(text="HH", height=5.0, at=(30, 12), align=align)  # type: ignore[arg-type]  # one of the three
    moved = line.moved(Shift(mirror=mirror))
    x0, y0, x1, y1 = letter_middles([line]).bounds
    image = (x0, -y1, x1, -y0) if mirror == "x" else (-x1, y0, -x0, y1)
    assert letter_middles([moved]).bounds == pytest.approx(image)
    assert math.cos(moved.angle) == pytest.approx(1.0)
