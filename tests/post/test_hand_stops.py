"""Stops for the hand as written: what is asked, in how few stops."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from gcodekit.errors import PostError
from gcodekit.job.workshop.machine import Dial
from gcodekit.post.find import find_post
from gcodekit.post.hand_stops import HandWheels
from gcodekit.post.numbers import ControlGrid
from gcodekit.post.tape import Tape
from gcodekit.post.writer import write_program
from gcodekit.toolpath.moves import Feed, HoleCycle, OperatorStop, Rapid

Z = (2,)
DIAL = Dial(divisions=(0.02, 0.02, 0.05), turns=(2.5, 2.5, 2.5))


def tape_of(axes: tuple[int, ...] = Z, post: str = "rs274_full", dial: Dial | None = None) -> Tape:
    """A tape with the cutter over (1, 2) at 5, nothing written yet."""
    grid = ControlGrid(inch=False, decimals=4, feed_decimals=1, point=False)
    tape = Tape(find_post(post), grid, HandWheels(axes, grid, dial))
    tape.rapid(None, None, 5.0)
    tape.rapid(1.0, 2.0, None)
    tape.settle()
    tape.lines.clear()
    return tape


def test_down_in_one_go() -> None:
    tape = tape_of()
    tape.rapid(None, None, 1.0)
    tape.feed(1.0, 2.0, -1.66667, 60.0)
    tape.feed(4.0, 2.0, -1.66667, 200.0)
    assert tape.lines == ["(MSG, by hand: feed down to Z-1.667)", "M0", "G1 X4 F200"]


def test_a_lift_of_which_nothing_comes_is_not_asked_for() -> None:
    tape = tape_of()
    tape.feed(1.0, 2.0, -1.0, 60.0)
    tape.settle()
    tape.lines.clear()
    tape.rapid(None, None, 5.0)
    tape.rapid(None, None, 1.0)
    tape.feed(1.0, 2.0, -2.0, 60.0)
    tape.settle()
    assert tape.lines == ["(MSG, by hand: feed down to Z-2.000)", "M0"]


def test_what_was_cut_is_cut() -> None:
    tape = tape_of()
    tape.feed(1.0, 2.0, -1.0, 60.0)
    tape.rapid(None, None, 5.0)
    tape.settle()
    assert tape.lines == ["(MSG, by hand: feed down to Z-1.000, then raise to Z5.000)", "M0"]


@pytest.mark.parametrize(
    ("kind", "asked"),
    [
        ("drill", "drill to Z-7.000, dial -3+10, then raise to Z5.000, dial 2+0"),
        ("peck", "drill to Z-7.000 in pecks of 2.000, dial -3+10, then raise to Z5.000, dial 2+0"),
        ("ream", "feed down to Z-7.000, dial -3+10, then feed up to Z5.000, dial 2+0"),
    ],
)
def test_a_hole_is_one_stop(kind: Any, asked: str) -> None:
    tape = tape_of(dial=DIAL)
    tape.rapid(None, None, 1.0)
    tape.drill(HoleCycle(kind, 1.0, 2.0, 1.0, -7.0, 60.0, peck=2.0 if kind == "peck" else 0.0))
    tape.rapid(None, None, 5.0)
    tape.settle()
    assert tape.lines == [f"(MSG, by hand: {asked})", "M0"]


def test_a_stop_for_each_hole_beside_the_last() -> None:
    tape = tape_of((1, 2))
    for y in (2.0, 8.0):
        tape.rapid(1.0, y, None)
        tape.drill(HoleCycle("drill", 1.0, y, 1.0, -7.0, 60.0))
        tape.rapid(None, None, 5.0)
    tape.settle()
    assert tape.lines == [
        "(MSG, by hand: drill to Z-7.000, then raise to Z5.000)",
        "M0",
        "(MSG, by hand: move to Y8.000, then drill to Z-7.000, then raise to Z5.000)",
        "M0",
    ]


def test_strokes_by_hand_are_all_asked_for() -> None:
    tape = tape_of((0, 1, 2))
    for x in (9.0, 1.0, 4.0):
        tape.feed(x, 2.0, 5.0, 60.0)
    tape.settle()
    assert tape.lines == [
        "(MSG, by hand: feed to X9.000, then feed to X1.000, then feed to X4.000)",
        "M0",
    ]


def test_a_short_line_takes_several() -> None:
    tape = tape_of((1, 2), post="motion_only", dial=DIAL)
    tape.rapid(1.0, 8.0, None)
    tape.drill(HoleCycle("peck", 1.0, 8.0, 1.0, -17.0, 60.0, peck=2.0))
    tape.settle()
    assert tape.lines == [
        "(by hand: move to Y8.000, dial 3+25)",
        "(by hand: drill to Z-17.000 in pecks of 2.000, dial -7+10)",
        "(by hand: raise to Z1.000, dial 0+20)",
        "M0",
    ]


def test_no_axis_by_hand_goes_with_another() -> None:
    with pytest.raises(PostError, match="moves Z together with other axes"):
        tape_of().feed(4.0, 2.0, 1.0, 60.0)


def test_own_words_ask_nothing_of_the_hand(kit: Any) -> None:
    moves = (
        Rapid(0.0, 0.0),
        OperatorStop("by hand: raise to Z-5"),
        Feed(0.0, 0.0, -1.0, 60.0),
        Rapid(z=kit.SAFE_Z),
    )
    program = kit.plate(kit.machine(converted=("x", "y")))
    operation = replace(program.operations[0], feature="by hand", moves=moves)
    text = write_program(replace(program, operations=(operation,)), find_post("rs274_full")).text
    assert "(MSG, note: by hand: raise to Z-5)" in text
    assert "(note: by hand: " in text
    assert "(MSG, by hand: feed down to Z-1.000, then raise to Z15.000)\nM0" in text
    assert "(Z by hand: at each stop marked by hand go where it says, then start again)" in text
