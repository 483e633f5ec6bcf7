"""Errors planted in a sheet's text are found by what turns it back into geometry."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from hand_texts import HandText, hand_text, shipped


@pytest.fixture(scope="module")
def block() -> HandText:
    return hand_text(shipped("worm-block"))


@pytest.fixture(scope="module")
def clip() -> HandText:
    return hand_text(shipped("cable-clip"))


def _in(text: str, operation: str, change: Callable[[str], str]) -> str:
    """A text with one operation's part changed."""
    start = re.search(rf"^\d+\. {operation}$", text, re.M)
    assert start is not None
    end = re.compile(r"^(\d+\. [^a-z]+|! .*)$", re.M).search(text, start.end())
    assert end is not None
    part = text[start.end() : end.start()]
    changed = change(part)
    assert changed != part
    return text[: start.end()] + changed + text[end.start() :]


def _replaced(old: str, new: str) -> Callable[[str], str]:
    assert len(old) == len(new), "columns must not move"
    return lambda part: part.replace(old, new)


def _problems(sheet: HandText, operation: str, change: Callable[[str], str]) -> str:
    verdict = sheet.judged(lambda text: _in(text, operation, change))
    return "; ".join(p for v in verdict.values() for p in v.problems)


def test_both_are_sound_as_they_are(block: HandText, clip: HandText) -> None:
    assert not [p for s in (block, clip) for v in s.judged().values() for p in v.problems]


def test_a_forgotten_cutter_radius(block: HandText) -> None:
    found = _problems(block, "FRONT: FINISH", _replaced("-26.00", "-20.00"))
    assert "6.000 into the part" in found


def test_the_wrong_side_of_a_wall(block: HandText) -> None:
    found = _problems(block, "LEFT: FINISH", _replaced("-37.00", "-25.00"))
    assert "12.000 into the part" in found


def test_a_wall_by_two_divisions_too_far_out(block: HandText) -> None:
    found = _problems(block, "LEFT: FINISH", _replaced("-37.00", "-37.02"))
    assert "0.020 left at a straight wall" in found
    assert "into the part" not in found


def test_a_wall_by_two_divisions_too_far_in(block: HandText) -> None:
    found = _problems(block, "LEFT: FINISH", _replaced("-37.00", "-36.98"))
    assert "0.020 into the part" in found


def test_a_hole_off_its_row(clip: HandText) -> None:
    found = _problems(clip, "SCREWS: DRILL", _replaced(" 12.00  0.00", " 12.00  0.15"))
    assert "0.150 into the part" in found
    assert "left at a curve" in found


def test_a_hole_left_out(clip: HandText) -> None:
    found = _problems(clip, "SCREWS: DRILL", lambda p: re.sub(r"^ *2 .*\n", "", p, flags=re.M))
    assert "left at" in found


def test_a_depth_a_pass_short(clip: HandText) -> None:
    both = clip.judged(
        lambda text: _in(
            _in(text, "GROOVE: FINISH", lambda p: p.replace("at Z -1.50", "at Z -0.75")),
            "GROOVE: ROUGH",
            lambda p: p.replace("at each depth in turn, Z -0.75, -1.50", "at Z -0.75"),
        )
    )
    assert "left at a straight wall" in str(both)


def test_a_depth_too_deep(clip: HandText) -> None:
    found = _problems(clip, "GROOVE: FINISH", _replaced("at Z -1.50", "at Z -1.70"))
    assert "into the part" in found


def test_a_tab_cut_through(clip: HandText) -> None:
    def through(part: str) -> str:
        return part.replace("at Z -3.00", "at Z -4.50")

    assert "into the part" in _problems(clip, "OUTSIDE: FINISH", through)


def test_steps_in_the_wrong_order_of_handles(block: HandText) -> None:
    found = _problems(block, "CURVED END: FINISH", lambda p: re.sub(r"X\+ Y\+", "Y+ X+", p))
    assert "into the part" in found


def test_a_step_left_out(block: HandText) -> None:
    """Two steps made one leave a cusp too high, and one handle turned the other way round the
    curve goes into it."""

    def without(part: str) -> str:
        rows = re.findall(r"^ *\d+  X\+ Y\+ .*$", part, re.M)
        return part.replace(rows[3] + "\n", "")

    assert "left at a curve" in _problems(block, "CURVED END: FINISH", without)


def test_a_finer_filing_than_the_steps_leave(block: HandText) -> None:
    found = block.judged(lambda text: text.replace("at most: 0.1 mm", "at most: .05 mm"))
    assert "left at a curve" in str(found)
