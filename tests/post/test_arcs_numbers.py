"""Arcs and numbers on a control's grid."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gcodekit.post.arc_blocks import chord_count, fit_centre, mismatch, rise_of_chord, sweep_of
from gcodekit.post.comments import printable, remarks
from gcodekit.post.numbers import ControlGrid, seconds, whole_speed

MM = ControlGrid(inch=False, decimals=4, feed_decimals=1, point=False)
INCH = ControlGrid(inch=True, decimals=5, feed_decimals=2, point=False)
# 0.002 mm at 4 decimals, 0.0002 inch at 5 (NISTIR 6556, 3.5.3.2)
RULE = 20.0


@given(st.floats(-1e6, 1e6), st.sampled_from([MM, INCH]))
def test_number_reads_back_within_half_a_count(value: float, grid: ControlGrid) -> None:
    text = grid.text(grid.count(value))
    back = float(text) * (25.4 if grid.inch else 1)
    assert abs(back - value) <= 0.5001 / grid.counts_per_mm
    assert text != "-0"
    assert not ("." in text and text.endswith(("0", ".")))


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_no_number_is_never_written(value: float) -> None:
    with pytest.raises(ValueError, match="cannot be written"):
        MM.count(value)
    with pytest.raises(ValueError, match="cannot be written"):
        MM.feed(value)


@pytest.mark.parametrize("feed", [0.0, -5.0])
def test_a_feed_is_above_zero(feed: float) -> None:
    with pytest.raises(ValueError, match="cannot be written"):
        MM.feed(feed)


def test_slow_feed_is_not_rounded_away() -> None:
    assert MM.feed(0.01) == "0.1"
    assert INCH.feed(25.4) == "1"


@given(
    st.floats(1, 5000), st.floats(0.5, 1), st.booleans(), st.sampled_from([(0, 0), (1, 2), (4, 4)])
)
def test_a_feed_is_not_rounded_over_what_the_machine_feeds(
    most: float, share: float, inch: bool, decimals: tuple[int, int]
) -> None:
    grid = ControlGrid(
        inch=inch, decimals=4, feed_decimals=decimals[inch], point=False, feed_max=26 * most
    )
    asked = 26 * most * share
    unit = 25.4 if inch else 1.0
    written = float(grid.feed(asked)) * unit
    assert written <= 26 * most * (1 + 1e-9)
    # and no slower than it has to be: by half a count, or by one where that would be too fast
    assert written > asked - 1.0001 * unit / 10 ** decimals[inch]
    # the count it stands at is the nearest one, wherever the machine has that
    nearest = round(asked / unit * 10 ** decimals[inch]) * unit / 10 ** decimals[inch]
    assert written == pytest.approx(nearest) or nearest > 26 * most


@given(st.floats(1, 5000), st.floats(0, 5000), st.floats(0, 1))
def test_a_speed_is_not_rounded_out_of_what_the_spindle_turns(
    slowest: float, more: float, share: float
) -> None:
    fastest = slowest + more
    speed = min(slowest + share * more, fastest)
    written = whole_speed(speed, slowest, fastest)
    assert slowest * (1 - 1e-6) <= written <= fastest * (1 + 1e-6)
    assert abs(written - speed) < 1 + 1e-6
    # fractions only where the spindle has no whole speed at all
    assert written == int(written) or math.floor(fastest) < math.ceil(slowest)


def test_dwell_is_not_shortened() -> None:
    assert seconds(1.001) == "1.01"
    assert seconds(3) == "3"


counts = st.integers(-3_000_000, 3_000_000)


@given(counts, counts, st.floats(1, 6.5), st.floats(0, math.tau), st.floats(0.001, 6.28))
def test_centre_keeps_the_radius_rule(
    x: int, y: int, decade: float, toward: float, sweep: float
) -> None:
    radius = 10**decade
    centre = (x + radius * math.cos(toward), y + radius * math.sin(toward))
    away = toward + math.pi + sweep
    end = (
        round(centre[0] + radius * math.cos(away)),
        round(centre[1] + radius * math.sin(away)),
    )
    found = fit_centre((x, y), end, centre, rule=RULE)
    assert found is not None
    assert mismatch((x, y), end, found) <= RULE
    assert math.dist((found[0] + x, found[1] + y), centre) <= 1


@pytest.mark.parametrize("rule", [20.0, 2.0, 0.5])
def test_crooked_arc_is_mended(rule: float) -> None:
    """The end 40 counts too near the centre: I and J move, the rule holds."""
    start, end, centre = (0, 0), (10_000, 9_960), (10_000.0, 0.0)
    assert mismatch(start, end, (10_000, 0)) == pytest.approx(40)
    found = fit_centre(start, end, centre, rule=rule)
    assert found is not None
    assert mismatch(start, end, found) <= rule
    assert math.dist(found, centre) < 40


@pytest.mark.parametrize(
    ("end", "ccw", "wanted"),
    [
        pytest.param((0.0, 1.0), True, math.pi / 2, id="quarter"),
        pytest.param((0.0, 1.0), False, 1.5 * math.pi, id="three-quarters"),
        pytest.param((1.0, 0.0), True, math.tau, id="full"),
        pytest.param((-1.0, 0.0), False, math.pi, id="half"),
    ],
)
def test_sweep(end: tuple[float, float], ccw: bool, wanted: float) -> None:
    assert sweep_of((1.0, 0.0), end, (0.0, 0.0), ccw=ccw) == pytest.approx(wanted)


@given(st.floats(0.01, 500), st.floats(0.01, math.tau), st.floats(1e-4, 0.05))
def test_enough_chords(radius: float, sweep: float, error: float) -> None:
    count = chord_count(radius, sweep, error)
    assert rise_of_chord(radius, sweep / count) <= max(error * (1 + 1e-6), radius * 0.3)


@given(st.text())
def test_any_text_becomes_a_safe_comment(text: str) -> None:
    for piece in [printable(text), *remarks(text, 80)]:
        assert all(" " <= c <= "~" for c in piece)
        assert not set(piece) & set("()!?~%;")
    for piece in remarks(text, 80):
        assert len(piece) <= 80
        assert not piece.replace(" ", "").upper().startswith("MSG,")
