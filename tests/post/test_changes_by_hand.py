"""A change of cutter by hand: one stop, and room for the cutter to go in."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest

from gcodekit.errors import PostError
from gcodekit.job.workshop.machine import Spindle
from gcodekit.post.change_height import GRIPPED, change_height
from gcodekit.post.find import find_post
from gcodekit.post.writer import write_program
from gcodekit.toolpath.moves import HoleCycle

BY_HAND = Spindle(slowest=100, fastest=2800, by_hand=True)


def text_of(program: Any) -> str:
    return write_program(program, find_post("rs274_full")).text


def test_the_longest_cutter_to_come_has_room(kit: Any) -> None:
    program = kit.plate()
    mill, drill = (o.cutter for o in program.operations)
    long = replace(drill, stickout=mill.stickout + 40)
    assert change_height(program, mill, [long, mill]) == program.safe_z + 40 + GRIPPED
    # a shorter one goes in where the one before has come out, a little higher
    assert change_height(program, long, [mill]) == program.safe_z
    assert change_height(program, mill, []) == program.safe_z


@pytest.mark.parametrize("travel", [500.0, 60.0, 10.0])
def test_no_higher_than_the_travel(kit: Any, travel: float) -> None:
    program = kit.plate(kit.machine(travel=(300.0, 150.0, travel)))
    mill, drill = (o.cutter for o in program.operations)
    long = replace(drill, stickout=mill.stickout + 60)
    height = change_height(program, mill, [long])
    holes = [m for m in program.operations[1].moves if isinstance(m, HoleCycle)]
    reached = min(m.bottom for m in holes) + travel
    assert height == max(program.safe_z, min(program.safe_z + 60 + GRIPPED, reached))


def test_a_changer_needs_no_room(kit: Any) -> None:
    program = kit.plate(kit.machine(tool_change="automatic", tool_length="table"))
    mill, drill = (o.cutter for o in program.operations)
    assert change_height(program, mill, [replace(drill, stickout=200)]) == program.safe_z


def test_the_spindle_goes_where_it_is_parked(kit: Any) -> None:
    text = text_of(kit.plate(kit.machine(park=(0.0, 150.0), park_z=60.0)))
    assert re.search(r"Z60\nM5\n(G0 )?X0 Y150\n\(MSG, load cutter 2", text)
    assert re.search(r"Z60\nM5\n(G0 )?X0 Y150\n\(end\)", text)


def test_a_park_in_the_work_is_refused(kit: Any) -> None:
    with pytest.raises(PostError) as caught:
        text_of(kit.plate(kit.machine(park_z=3.0)))
    (fault,) = caught.value.faults
    assert fault.place.key == "machine.park.z"
    assert fault.hint == "set z = 15 or more"


def test_one_stop_a_change(kit: Any) -> None:
    text = text_of(kit.plate(kit.machine(spindle=BY_HAND), touch_off={2: "set Z to -8"}))
    blocks = text.splitlines()
    assert blocks.count("M0") == 2
    (told,) = [line for line in blocks if "load cutter 2" in line]
    assert told == (
        "(MSG, load cutter 2: 3.2 mm drill, set the spindle to 1800 rev/min, then set Z to -8)"
    )


def test_the_speed_it_has_is_not_asked_for_again(kit: Any) -> None:
    program = kit.plate(kit.machine(spindle=BY_HAND))
    same = tuple(replace(o, speed=1800.0) for o in program.operations)
    text = text_of(replace(program, operations=same))
    assert text.count("set the spindle") == 1
    assert text.count("S1800 M3") == 2


def test_a_file_ends_high_enough_for_the_next_one(kit: Any) -> None:
    whole = kit.plate(kit.machine(tool_change="separate files"))
    first, second = whole.visits
    assert first.then == (second.operations[0].cutter,)
    mill, drill = (o.cutter for o in whole.operations)
    risen = change_height(first, mill, first.then)
    assert risen == whole.safe_z + max(0.0, drill.stickout + GRIPPED - mill.stickout)
    assert f"Z{risen:g}\nM5\n(end)" in text_of(first)
