"""What usual pairs are for, held against the limits of the pairs."""

from __future__ import annotations

import pytest

from gcodekit.trade.fit_uses import use_of
from gcodekit.trade.fits import Fit, fit, fits_table

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
