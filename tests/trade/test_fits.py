"""ISO 286 limits against worked examples of the standard's tables."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gcodekit.trade.fits import (
    FINEST_PROOF,
    HOLES,
    SHAFTS,
    UnknownFitError,
    deviations,
    plain_class,
    planned_tolerance,
)


# ISO 286-2:2010, tables of limit deviations: size in mm, lower and upper in micrometres.
@pytest.mark.parametrize(
    ("size", "name", "lower", "upper"),
    [
        (3, "H7", 0, 10),
        (3, "P7", -16, -6),
        (4, "H8", 0, 18),
        (6, "H7", 0, 12),
        (6, "F8", 10, 28),
        (6, "N7", -16, -4),
        (6, "m6", 4, 12),
        (8, "H7", 0, 15),
        (8, "K7", -10, 5),
        (8, "h9", -36, 0),
        (10, "JS7", -7.5, 7.5),
        (10, "p6", 15, 24),
        (12, "E9", 32, 75),
        (12, "g6", -17, -6),
        (14, "G7", 6, 24),
        (16, "h11", -110, 0),
        (20, "H7", 0, 21),
        (20, "s6", 35, 48),
        (22, "H11", 0, 130),
        (25, "n6", 15, 28),
        (30, "K7", -15, 6),
        (31, "K7", -18, 7),
        (50, "s6", 43, 59),
        (51, "s6", 53, 72),
        (100, "E8", 72, 126),  # ISO 286-2:1988/Cor.1:2006
        (110, "r6", 54, 76),
        (120, "H7", 0, 35),
        (150, "h6", -25, 0),
        (240, "r6", 84, 113),
    ],
)
def test_limit_deviations(size: float, name: str, lower: float, upper: float) -> None:
    found = deviations(size, name)
    assert (found.lower, found.upper) == (lower / 1000, upper / 1000)


@given(
    size=st.floats(0.5, 250),
    letter=st.sampled_from([*HOLES, *SHAFTS]),
    grade=st.integers(5, 11),
)
def test_a_class_is_as_wide_as_its_grade(size: float, letter: str, grade: int) -> None:
    # ISO 286-1: the width is the grade's alone, whatever the letter
    if letter in ("K", "N", "P"):
        grade = 7
    found, basic = deviations(size, f"{letter}{grade}"), deviations(size, f"H{grade}")
    assert found.upper - found.lower == pytest.approx(basic.upper, abs=1e-9)


@pytest.mark.parametrize(
    ("size", "name", "text", "hint"),
    [
        pytest.param(10, "H", "'H' is no tolerance class of the table", "holes E F G", id="bare"),
        pytest.param(10, "Z7", "'Z7' is no tolerance class of the table", "holes", id="letter"),
        pytest.param(10, "H3", "H3: grade 3 is not in the table", "grades 5 to 11", id="fine"),
        pytest.param(10, "K6", "K6 is not in the table", "K7 is", id="only in one grade"),
        pytest.param(300, "H7", "300 mm is not in the table of fits", "250 mm", id="large"),
        pytest.param(0, "H7", "0 mm is not in the table of fits", "over 0", id="nothing"),
    ],
)
def test_what_the_table_does_not_have(size: float, name: str, text: str, hint: str) -> None:
    with pytest.raises(UnknownFitError) as error:
        deviations(size, name)
    assert text in str(error.value)
    assert hint in error.value.hint


def test_ten_millimetres_in_inches_is_ten_millimetres() -> None:
    assert deviations(0.39370 * 25.4, "H7") == deviations(10, "H7")


def test_a_class_as_people_write_it() -> None:
    assert [plain_class(w) for w in ("H7", " H7 ", "H 7", "JS07")] == ["H7", "H7", "H7", "JS7"]


@pytest.mark.parametrize(
    ("tolerance", "band", "planned"),
    [
        pytest.param(0.01, None, 0.01, id="no band"),
        pytest.param(0.01, 0.05, 0.01, id="five times the tolerance"),
        pytest.param(0.01, 0.0499, 0.00499, id="less"),
        pytest.param(0.01, 0.015, 0.0015, id="8 H7"),
        pytest.param(0.01, 0.004, FINEST_PROOF, id="finer than any proof"),
    ],
)
def test_a_narrow_band_is_planned_at_a_tenth(
    tolerance: float, band: float | None, planned: float
) -> None:
    # the job file's contract
    assert planned_tolerance(tolerance, band) == pytest.approx(planned)
