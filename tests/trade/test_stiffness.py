"""A machine's rigidity as a depth agrees with the words for it."""

from __future__ import annotations

import pytest

from gcodekit.trade.cutter import usual_end_mill
from gcodekit.trade.materials import find_material
from gcodekit.trade.milling import milling
from gcodekit.trade.rates import CuttingLimits, Rigidity, SpindleLimits

STEEL = find_material("mild steel")
assert STEEL is not None


def free(rigidity: Rigidity) -> CuttingLimits:
    spindle = SpindleLimits(slowest=1, fastest=1e6)
    return CuttingLimits(spindle=spindle, feed_max=1e6, rigidity=rigidity)


def depth(rigidity: Rigidity, diameter: float = 10) -> float:
    assert STEEL is not None
    mill = usual_end_mill(diameter, 4, "carbide", stickout=2.5 * diameter)
    return milling(STEEL, mill, free(rigidity)).stepdown


@pytest.mark.parametrize("rigidity", [0.5, 1.5, 2.0, 4.0])
def test_a_depth_is_what_a_10_mm_end_mill_takes(rigidity: float) -> None:
    assert depth(rigidity) == pytest.approx(rigidity)
    assert depth(rigidity, 5) == pytest.approx(rigidity / 2)


def test_words_are_depths() -> None:
    assert [depth(word) for word in ("light", "medium", "heavy")] == pytest.approx([2, 3.2, 5])


def test_a_clearing_pass_is_as_wide_as_that_of_the_word_below() -> None:
    assert STEEL is not None
    mill = usual_end_mill(10, 4, "carbide")
    widths = [milling(STEEL, mill, free(r)).stepover / 10 for r in (0.5, 2.0, 3.1, 3.2, 6.0)]
    assert widths == pytest.approx([0.4, 0.4, 0.4, 0.45, 0.5])
