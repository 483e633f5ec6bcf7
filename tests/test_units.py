"""Lengths in words, and quantities that meet."""

import math

import pytest

from gcodekit.units import (
    SUFFIXES,
    Quantity,
    QuantityError,
    Reckoner,
    format_both,
    format_length,
    mm_per,
)


@pytest.mark.parametrize(
    ("mm", "units", "text"),
    [
        pytest.param(12.5, "mm", "12.5 mm", id="mm"),
        pytest.param(12.7, "inch", "0.5 in", id="inch"),
        pytest.param(-0.00001, "mm", "0 mm", id="no minus nought"),
        pytest.param(100.0, "mm", "100 mm", id="noughts before the point stay"),
        pytest.param(0.0254, "inch", "0.001 in", id="a thou"),
    ],
)
def test_length_in_words(mm, units, text):
    assert format_length(mm, units) == text


def test_both_units():
    assert format_both(25.4, "mm") == "25.4 mm (1 in)"
    assert format_both(25.4, "inch") == "1 in (25.4 mm)"


def test_an_inch():
    # Source: the international inch of 1959 is 25.4 mm exactly (ISO 31, NIST SP 811).
    assert mm_per("inch") == 25.4
    assert SUFFIXES["thou"][1] * 1000 == pytest.approx(25.4, rel=1e-15)
    assert SUFFIXES["deg"][1] * 180 == math.pi


def test_powers_come_back_from_roots():
    reckoner = Reckoner("mm")
    side = Quantity(3.0, "length")
    volume = reckoner.power(side, Quantity(3.0))
    assert str(volume) == "a volume"
    root = reckoner.power(volume, Quantity(1 / 3))
    assert root.kind == "length"
    assert root.value == pytest.approx(3.0)


def test_length_and_angle_do_not_meet():
    with pytest.raises(QuantityError, match="cannot be combined"):
        Reckoner("mm").add(Quantity(1.0, "length"), Quantity(1.0, "angle"))


def test_ratio_of_lengths_is_a_number_without_a_unit_of_its_own():
    ratio = Reckoner("mm").divide(Quantity(2.0, "length", True), Quantity(4.0, "length"))
    assert ratio == Quantity(0.5, "number", False)
