"""ISO 286 limits against worked examples of the standard's tables."""

from __future__ import annotations

import math
import tomllib
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gcodekit.trade.fits import Fit, FitPart, fit
from gcodekit.trade.size_limits import (
    FINEST_PROOF,
    HOLES,
    SHAFTS,
    UnknownFitError,
    deviations,
    plain_class,
    planned_tolerance,
)

ISO_286 = tomllib.loads((Path(__file__).parent / "iso286.toml").read_text(encoding="utf-8"))
# The upper ends of the ranges, and the formulas of ISO 286-1 in `iso286.toml`, go on to 500 mm.
RANGES = [(r["over"], r["to"]) for r in ISO_286["it"]] + [(250, 315), (315, 400), (400, 500)]


def limits(size: float, name: str) -> tuple[float, float]:
    """Lower and upper deviation, micrometres."""
    found = deviations(size, name)
    return round(found.lower * 1000, 6), round(found.upper * 1000, 6)


def ends(row: dict[str, Any]) -> tuple[float, float]:
    """Sizes at both ends of a row's range."""
    return row["over"] + 0.01, row["to"]


@pytest.mark.parametrize("row", ISO_286["it"], ids=lambda r: f"to {r['to']}")
def test_standard_tolerances(row: dict[str, Any]) -> None:
    for size, grade in product(ends(row), range(5, 12)):
        assert limits(size, f"H{grade}") == (0, row[f"IT{grade}"])


@pytest.mark.parametrize("row", ISO_286["deviation"], ids=lambda r: f"to {r['to']}")
def test_fundamental_deviations(row: dict[str, Any]) -> None:
    for size, grade in product(ends(row), (5, 6, 7)):
        for letter, es in row["shaft_es"].items():
            assert limits(size, f"{letter}{grade}")[1] == es
        for letter, ei in row["shaft_ei"].items():
            assert limits(size, f"{letter}{grade}")[0] == ei
        for letter, lower in row["hole_EI"].items():
            assert limits(size, f"{letter}{grade}")[0] == lower
    for size, (name, upper) in product(ends(row), row["hole_ES"].items()):
        assert limits(size, name)[1] == upper


@pytest.mark.parametrize("row", ISO_286["deviation_rs"], ids=lambda r: f"to {r['to']}")
def test_deviations_of_the_finer_ranges(row: dict[str, Any]) -> None:
    for size, letter, grade in product(ends(row), "rs", (6, 7, 9)):
        assert limits(size, f"{letter}{grade}")[0] == row[letter]


@pytest.mark.parametrize("row", ISO_286["limits"], ids=lambda r: f"{r['nominal_mm']} {r['class']}")
def test_limit_deviations(row: dict[str, Any]) -> None:
    assert limits(row["nominal_mm"], row["class"]) == (row["lower_um"], row["upper_um"])
    part = fit(row["nominal_mm"], row["class"])
    assert isinstance(part, FitPart)
    assert (part.least, part.greatest) == pytest.approx((row["min_mm"], row["max_mm"]), abs=1e-9)


@pytest.mark.parametrize(
    "row", ISO_286["fit"], ids=lambda r: f"{r['nominal_mm']} {r['hole']} {r['shaft']}"
)
def test_fits(row: dict[str, Any]) -> None:
    found = fit(row["nominal_mm"], f"{row['hole']}/{row['shaft']}")
    assert isinstance(found, Fit)
    assert found.sort == row["kind"]
    assert found.least * 1000 == pytest.approx(row["min_clearance_um"], abs=1e-6)
    assert found.greatest * 1000 == pytest.approx(row["max_clearance_um"], abs=1e-6)


# ANSI B4.2-1978, preferred metric fits, hole basis and shaft basis, from memory: limits of size,
# lower and upper.
@pytest.mark.parametrize(
    ("size", "name", "lower", "upper"),
    [
        (1, "c11", 0.880, 0.940),
        (1, "d9", 0.955, 0.980),
        (1, "N7", 0.986, 0.996),
        (10, "c11", 9.830, 9.920),
        (16, "c11", 15.795, 15.905),
        (20, "c11", 19.760, 19.890),
        (20, "d9", 19.883, 19.935),
        (20, "S7", 19.952, 19.973),
        (40, "c11", 39.720, 39.880),
        (100, "c11", 99.610, 99.830),
        (100, "d9", 99.793, 99.880),
        (300, "H11", 300.000, 300.320),
        (300, "c11", 299.350, 299.670),
        (300, "d9", 299.680, 299.810),
        (300, "f7", 299.892, 299.944),
        (300, "g6", 299.951, 299.983),
        (300, "k6", 300.004, 300.036),
        (300, "n6", 300.034, 300.066),
        (300, "p6", 300.056, 300.088),
        (300, "s6", 300.170, 300.202),
        (300, "K7", 299.964, 300.016),
        (300, "N7", 299.934, 299.986),
        (300, "S7", 299.798, 299.850),
        (400, "c11", 399.240, 399.600),
        (400, "D9", 400.210, 400.350),
        (400, "s6", 400.208, 400.244),
        (500, "c11", 499.120, 499.520),
        (500, "d9", 499.615, 499.770),
        (500, "F8", 500.068, 500.165),
        (500, "g6", 499.940, 499.980),
        (500, "K7", 499.955, 500.018),
        (500, "P7", 499.892, 499.955),
        (500, "s6", 500.252, 500.292),
    ],
)
def test_preferred_fits(size: float, name: str, lower: float, upper: float) -> None:
    off = deviations(size, name)
    assert (size + off.lower, size + off.upper) == pytest.approx((lower, upper), abs=1e-9)


# ISO 286-2:2010, from memory: what the rule for holes from K on makes of the shafts' deviations.
@pytest.mark.parametrize(
    ("size", "name", "lower", "upper"),
    [
        (2, "K6", -6, 0),
        (2, "N9", -29, -4),
        (4, "M8", -16, 2),
        (5, "P6", -17, -9),
        (8, "N6", -16, -7),
        (8, "M7", -15, 0),
        (8, "N9", -36, 0),
        (8, "P9", -51, -15),
        (12, "K6", -9, 2),
        (12, "R7", -34, -16),
        (12, "P8", -45, -18),
        (300, "M6", -41, -9),
        (20, "k8", 0, 33),
    ],
)
def test_holes_from_k_on(size: float, name: str, lower: float, upper: float) -> None:
    assert limits(size, name) == (lower, upper)


@pytest.mark.parametrize(("over", "to"), RANGES[1:], ids=str)
def test_the_table_is_near_the_standard_s_formulas(over: float, to: float) -> None:
    """ISO 286-1, from memory: `rules` of iso286.toml. It rounds by its own rules, to 5 or 10 where
    the figures are large, so a formula comes only near the table; the first range departs more."""
    middle = math.sqrt(over * to)
    unit = 0.45 * middle ** (1 / 3) + 0.001 * middle
    for grade, times in zip(range(5, 12), (7, 10, 16, 25, 40, 64, 100), strict=True):
        assert limits(to, f"H{grade}")[1] == pytest.approx(times * unit, rel=0.03, abs=0.7)
    for letter, es in (
        ("d", 16 * middle**0.44),
        ("e", 11 * middle**0.41),
        ("f", 5.5 * middle**0.41),
        ("g", 2.5 * middle**0.34),
    ):
        assert -limits(to, f"{letter}7")[1] == pytest.approx(es, rel=0.03, abs=1)
    seven, six = limits(to, "H7")[1], limits(to, "H6")[1]
    assert limits(to, "k6")[0] == pytest.approx(0.6 * middle ** (1 / 3), abs=1)
    assert limits(to, "m6")[0] == pytest.approx(seven - six, abs=1)
    assert limits(to, "n6")[0] == pytest.approx(5 * middle**0.34, rel=0.03, abs=1)
    assert seven - 1 <= limits(to, "p6")[0] <= seven + 6


FINER = [(r["over"], r["to"]) for r in ISO_286["deviation_rs"] if r["over"] >= 50]


@pytest.mark.parametrize(
    ("over", "to"), [*FINER, (250, 280), (280, 315), (315, 355), (355, 400), (400, 450), (450, 500)]
)
def test_the_finer_ranges_are_near_the_standard_s_formulas(over: float, to: float) -> None:
    # ISO 286-1, from memory: c 95 + 0.8 D, s IT7 + 0.4 D, r the geometric mean of p and s
    middle = math.sqrt(over * to)
    assert -limits(to, "c7")[1] == pytest.approx(95 + 0.8 * middle, rel=0.03)
    p, s = limits(to, "p6")[0], limits(to, "s6")[0]
    assert s == pytest.approx(limits(to, "H7")[1] + 0.4 * middle, rel=0.03)
    assert limits(to, "r6")[0] == pytest.approx(math.sqrt(p * s), rel=0.03)


@given(
    size=st.floats(0.5, 500),
    letter=st.sampled_from([*HOLES, *SHAFTS]),
    grade=st.integers(5, 11),
)
def test_a_class_is_as_wide_as_its_grade(size: float, letter: str, grade: int) -> None:
    # ISO 286-1: the width is the grade's alone, whatever the letter
    if letter in ("K", "M"):
        grade = min(grade, 8)
    found, basic = deviations(size, f"{letter}{grade}"), deviations(size, f"H{grade}")
    assert found.upper - found.lower == pytest.approx(basic.upper, abs=1e-9)


@pytest.mark.parametrize(
    ("size", "name", "text", "hint"),
    [
        pytest.param(
            10, "H", "'H' is not a tolerance class in the table", "holes C D E F G", id="bare"
        ),
        pytest.param(10, "Z7", "'Z7' is not a tolerance class in the table", "holes", id="letter"),
        pytest.param(10, "H3", "H3: grade 3 is not in the table", "grades 5 to 11", id="fine"),
        pytest.param(10, "t6", "'t6' is not a tolerance class", "the nearest is s6; ", id="near"),
        pytest.param(
            10, "T6", "'T6' is not a tolerance class", "the nearest is S6; ", id="near hole"
        ),
        pytest.param(10, "K9", "K9 is not in the table", "use K5 to K8", id="no such grade"),
        pytest.param(501, "H7", "501 mm is not in the table of fits", "500 mm", id="large"),
        pytest.param(0, "H7", "0 mm is not in the table of fits", "greater than 0", id="nothing"),
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
