"""Fits as people write them, and what usual pairs are for, held against their limits."""

from __future__ import annotations

import pytest

from gcodekit.trade.fits import Fit, fit, use_of
from gcodekit.trade.size_limits import UnknownFitError, fits_table

PAIRS = [(pair, row["for"]) for row in fits_table()["use"] for pair in row["pairs"]]


def paired(size: float, pair: str) -> Fit:
    found = fit(size, pair)
    assert isinstance(found, Fit)
    return found


@pytest.mark.parametrize(("pair", "purpose"), PAIRS, ids=[p for p, _ in PAIRS])
def test_a_purpose_agrees_with_the_limits(pair: str, purpose: str) -> None:
    """What runs, slides or goes together always has room, what is pressed never has: of sizes over
    3 mm, H7/p6 below is a transition fit, and H7/s6 up to there is barely tight."""
    for size in (3.5, 8, 20, 45, 90, 170, 240, 300, 450):
        sort = paired(size, pair).sort
        if purpose.startswith("pressed"):
            assert sort == "interference", size
        elif purpose.startswith(("loose", "runs", "slides", "goes")):
            assert sort == "clearance", size
        else:
            assert sort == "transition", size


def test_every_pair_is_there_once() -> None:
    assert len({pair for pair, _ in PAIRS}) == len(PAIRS)


def test_letters_of_another_grade_name_the_usual_pair() -> None:
    use = use_of(paired(10, "H6/g7"))
    assert use is not None
    assert (use[0].pair, use[1]) == ("H7/g6", False)


def test_letters_that_never_go_together() -> None:
    assert use_of(paired(10, "F8/k6")) is None


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        pytest.param("H7/H6", "a hole in capitals and a shaft in small letters", id="two holes"),
        pytest.param("g6/h6", "a hole in capitals and a shaft in small letters", id="two shafts"),
        pytest.param("H7/g6/h6", "write the hole's class, then the shaft's", id="three"),
        pytest.param("", "write the hole's class, then the shaft's", id="none"),
        pytest.param("H7/z9", "the nearest is s9", id="unknown"),
    ],
)
def test_what_is_no_fit(text: str, hint: str) -> None:
    with pytest.raises(UnknownFitError) as error:
        fit(10, text)
    assert hint in error.value.hint


@pytest.mark.parametrize("text", ["H7/g6", "g6/H7", "H7-g6", "H7 g6", "H7g6", " H 7 / g 6 "])
def test_a_fit_as_people_write_it(text: str) -> None:
    assert fit(10, text) == fit(10, "H7/g6")
