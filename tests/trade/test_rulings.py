"""Sentences of limits, in the units of whoever reads them."""

from __future__ import annotations

import pytest

from gcodekit.trade.rulings import Ruling, feed_text, length_text, surface_text
from gcodekit.units import Units


@pytest.mark.parametrize(
    ("units", "said"),
    [
        # 25.4 mm to the inch, 304.8 mm to the foot
        ("mm", "0.25 mm of 6.35 mm at 508 mm/min and 30.5 m/min"),
        ("inch", "0.00984 in of 0.25 in at 20 in/min and 100 ft/min"),
    ],
)
def test_figures_in_both_units(units: Units, said: str) -> None:
    figures = (0.25, 6.35, 508.0, 30.48)
    sentence = "{0} of {1} at {2:feed} and {3:surface}"
    assert Ruling("drawing", sentence, 1.0, lengths=figures).text(units) == said


@pytest.mark.parametrize(
    ("mm", "said"),
    [
        (0.0, "0 mm"),
        (0.0000754, "0.0000754 mm"),
        (0.09996, "0.1 mm"),
        (1234.5, "1230 mm"),
        (-2.5, "-2.5 mm"),
    ],
)
def test_three_figures_written_out(mm: float, said: str) -> None:
    assert length_text(mm, "mm") == said


def test_a_limit_with_its_reason() -> None:
    assert Ruling("spindle power", "350 W", 0.5).named("mm") == "spindle power, 350 W"
    deep = Ruling("flute length", "flutes {0} long", 0.5, lengths=(12.7,))
    assert deep.named("inch") == "flute length: flutes 0.5 in long"
    assert (feed_text(254, "inch"), surface_text(100, "mm")) == ("10 in/min", "100 m/min")
