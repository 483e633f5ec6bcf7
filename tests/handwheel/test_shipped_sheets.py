"""Every shipped job's handwheel sheet, turned back into geometry, makes the drawing."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
from hand_texts import HandText, hand_text, shipped
from sheet_reading import section

from gcodekit.geometry.overlay import common, less

JOBS = sorted(
    p.stem for p in (Path(__file__).parents[2] / "jobs").glob("*.toml") if p.stem != "workshop"
)
# What hands cannot follow: the sheet says what to do instead.
SAID = {
    "setting-circle": {"axis thread", "lead-in", "hours", "title", "rim edge"},
    "dovetail-clamps": {"right word"},
}


@pytest.mark.parametrize("name", JOBS)
def test_the_sheet_makes_the_drawing(name: str) -> None:
    sheet, said = hand_text(shipped(name)), SAID.get(name, set())
    assert {o.feature for hand in sheet.hands for o in hand.operations if o.instead} == said
    for setup, verdict in sheet.judged().items():
        assert [p for p in verdict.problems if not said or "into the part" in p] == [], setup
    for number, hand in enumerate(sheet.hands):
        # every operation of the plan is on the paper, and cuts
        read = sheet.operations(number)
        assert len(read) == len(hand.operations)
        for planned, by_hand in zip(hand.operations, read, strict=True):
            assert bool(by_hand.ways or by_hand.holes) != bool(planned.instead)
        assert {o.cutter for o in read} == {o.cutter.number for o in hand.operations}
        top = hand.setup.left.high[2]
        assert all(z < top for o in read for depths, _ in o.ways for z in depths)
        _finishing_only_skims(sheet, number)


# The most that roughing leaves beside a wall, mm: its allowance and what stays between its steps.
LEFT_BY_ROUGHING = 0.8


def _finishing_only_skims(sheet: HandText, number: int) -> None:
    """What a finishing cut takes at any height is no thicker than what roughing leaves."""
    cutters = {c.number: c for c in sheet.job.workshop.cutters}
    setup, read = sheet.job.setups[number], sheet.operations(number)
    target = sheet.target(setup)
    for low, high in pairwise(sorted(target.levels)):
        z = (low + high) / 2
        standing = less(target.slice(z).required, target.slice(z).air)
        for operation in read:
            cut = common(section(operation, cutters[operation.cutter], z), standing)
            if operation.name.endswith("FINISH"):
                thin = cut.buffer(-LEFT_BY_ROUGHING / 2)
                assert thin.area < 0.01, (operation.name, z, thin.bounds)
            standing = less(standing, cut)


def test_ten_jobs_are_held_to_it() -> None:
    assert len(JOBS) == 10
