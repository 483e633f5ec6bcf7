"""Programs as written: golden files, the machine's habits, and what every program must have."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest

from gcodekit.errors import PostError
from gcodekit.job.workshop.machine import Spindle
from gcodekit.post.contract import Post
from gcodekit.post.find import find_post
from gcodekit.post.writer import write_program
from gcodekit.toolpath.moves import Feed, HoleCycle, OperatorStop, Rapid

HABITS: dict[str, dict[str, Any]] = {
    "by-hand": {},
    "automatic-table": {
        "tool_change": "automatic",
        "tool_length": "table",
        "coolant": "flood",
        "park": (0.0, 150.0),
    },
    "hand-set-spindle": {
        "spindle": Spindle(
            slowest=120, fastest=2000, steps=(1800.0, 2000.0), by_hand=True, start_time=3
        ),
        "coolant": "mist",
    },
}


def lines_of(text: str) -> list[str]:
    """The blocks, comments taken away."""
    bare = [re.sub(r"\(.*\)", "", line).strip() for line in text.splitlines()]
    return [line for line in bare if line]


@pytest.mark.parametrize("units", ["mm", "inch"])
@pytest.mark.parametrize("habit", HABITS)
def test_golden(kit: Any, golden: Any, habit: str, units: str) -> None:
    touch = {2: "touch off on the vise jaw and set z to -8"}
    program = kit.plate(kit.machine(**HABITS[habit]), units=units, touch_off=touch)
    written = write_program(program, find_post("rs274_full"))
    golden(f"post/{habit}-{units}.nc", written.text)


@pytest.mark.parametrize("units", ["mm", "inch"])
@pytest.mark.parametrize(
    ("name", "cutter"), [("iso6983", None), ("motion_only", 1), ("motion_only", 2)]
)
def test_golden_dialect(kit: Any, golden: Any, name: str, cutter: int | None, units: str) -> None:
    """Both cutters of the plate, and with the second a spot face: the drill waits at its bottom."""
    touch = {2: "touch off on the vise jaw and set z to -8"}
    program = kit.plate(kit.machine(**HABITS["hand-set-spindle"]), units=units, touch_off=touch)
    face = HoleCycle("drill", 60.0, 40.0, 2.0, -0.5, 60.0, dwell=0.5)
    moves = (Rapid(60.0, 40.0), Rapid(z=2.0), face, Rapid(z=kit.SAFE_Z))
    last = replace(program.operations[-1], feature="spot face", moves=moves)
    program = replace(program, operations=(*program.operations, last))
    written = write_program(kit.of_cutter(program, cutter), find_post(name))
    file = f"{name}-{units}" + (f"-t{cutter}" if cutter else "")
    golden(f"post/{file}.nc", written.text)


def test_golden_plain_control(kit: Any, golden: Any) -> None:
    """A control with nothing but straight lines."""
    post = Post(
        name="plain",
        description="",
        arcs=False,
        cycles=(),
        tool_change=False,
        one_cutter_a_file=True,
        chord_error=0.05,
        line_numbers=10,
        decimals_mm=3,
        decimal_point=True,
        comments="semicolon",
        messages=False,
    )
    written = write_program(kit.of_cutter(kit.plate(), 1), post)
    golden("post/plain-control.nc", written.text)


def test_a_control_without_comments_gets_the_same_blocks(kit: Any) -> None:
    silent = write_program(kit.plate(), Post(name="p", description="", comments="none")).text
    assert "(" not in silent
    assert ";" not in silent
    assert lines_of(silent) == lines_of(write_program(kit.plate(), find_post("rs274_full")).text)


@pytest.mark.parametrize("habit", HABITS)
def test_first_motion_is_z_up_alone(kit: Any, habit: str) -> None:
    text = write_program(kit.plate(kit.machine(**HABITS[habit])), find_post("rs274_full")).text
    motion = next(line for line in lines_of(text) if re.search(r"[XYZ]", line))
    assert motion == "G0 Z15"


def test_safe_state_before_anything_moves(kit: Any) -> None:
    blocks = lines_of(write_program(kit.plate(), find_post("rs274_full")).text)
    before = " ".join(blocks[: blocks.index("G0 Z15")]).split()
    assert {"G17", "G21", "G90", "G94", "G40", "G49", "G80", "G54", "G61"} <= set(before)


def test_end_is_up_off_and_over(kit: Any) -> None:
    mill = kit.machine(park=(0.0, 150.0), coolant="flood")
    blocks = lines_of(write_program(kit.plate(mill), find_post("rs274_full")).text)
    assert blocks[-4:] == ["M9", "M5", "G0 X0 Y150", "M2"]


def test_no_length_offset_when_touching_off(kit: Any) -> None:
    text = write_program(kit.plate(touch_off={2: "set z to -8"}), find_post("rs274_full")).text
    assert "G43" not in text
    assert re.search(r"\(MSG, load cutter 2: 3\.2 mm drill, then set z to -8\)\nT2 M6\nM0\n", text)


def test_table_lengths_follow_each_change(kit: Any) -> None:
    mill = kit.machine(tool_change="automatic", tool_length="table")
    blocks = lines_of(write_program(kit.plate(mill), find_post("rs274_full")).text)
    for number in (1, 2):
        at = blocks.index(f"T{number} M6")
        assert blocks[at + 1 : at + 3] == [f"G43 H{number}", "G0 Z15"]
    assert "M0" not in blocks


def test_hand_set_speed_stops_with_the_speed(kit: Any) -> None:
    mill = kit.machine(**HABITS["hand-set-spindle"])
    text = write_program(kit.plate(mill), find_post("rs274_full")).text
    first, second = (line for line in text.splitlines() if "set the spindle" in line)
    assert "load cutter 1" in first
    assert "set the spindle to 2000 rev/min" in first
    assert "load cutter 2" in second
    assert "set the spindle to 1800 rev/min" in second
    assert re.search(r"T2 M6\nM0\nG0 Z15\nS1800 M3\nG4 P3\nM7\n", text)


def test_another_speed_for_the_same_cutter_is_a_stop_of_its_own(kit: Any) -> None:
    one = kit.milling(*kit.POCKET)
    program = kit.program(
        one,
        replace(one, label="finish", speed=1800.0),
        mill=kit.machine(**HABITS["hand-set-spindle"]),
    )
    text = write_program(program, find_post("rs274_full")).text
    pattern = r"\(MSG, set the spindle to 1800 rev/min\)\nM0\nG0 Z15\nS1800 M3\nG4 P3\nM7\n"
    assert re.search(pattern, text)


def test_one_cutter_alone_is_a_complete_program(kit: Any) -> None:
    whole = kit.plate(kit.machine(tool_change="separate files"))
    written = write_program(kit.of_cutter(whole, 2), find_post("rs274_full"))
    blocks = lines_of(written.text)
    assert [b for b in blocks if "M6" in b] == ["T2 M6"]
    assert "cutter T1" not in written.text
    assert blocks[-1] == "M2"
    assert [r.feature for r in written.ranges] == ["holes"]


def test_a_second_operation_with_the_same_cutter_needs_no_change(kit: Any) -> None:
    one = kit.milling(*kit.POCKET)
    text = write_program(
        kit.program(one, replace(one, label="finish", speed=2400.0)), find_post("rs274_full")
    ).text
    assert text.count("M6") == 1
    assert "\nS2400\n" in text


def test_ranges_hold_exactly_the_cutting(kit: Any) -> None:
    written = write_program(kit.plate(), find_post("rs274_full"))
    lines = written.text.splitlines()
    inside: set[int] = set()
    for span in written.ranges:
        inside |= set(range(span.first_line, span.last_line + 1))
        assert lines[span.first_line - 1] == f"({span.feature}: {span.label})"
    cutting = {n for n, line in enumerate(lines, 1) if re.match(r"(G[123]\b|G9[89]|X)", line)}
    assert cutting <= inside
    assert not any(re.search(r"\b[TSM]\d", lines[n - 1]) for n in inside if lines[n - 1][0] != "(")


def test_stop_waits_and_goes_back_z_first(kit: Any) -> None:
    moves = (Rapid(1.0, 2.0), Rapid(z=15.0), OperatorStop("turn the clamp"), Rapid(z=1.0))
    work = kit.milling(*moves, Feed(5.0, 2.0, 1.0, 100.0), Rapid(z=15.0))
    text = write_program(kit.program(work), find_post("rs274_full")).text
    assert "M5\n(MSG, turn the clamp)\nM0\nG0 Z15\nX1 Y2\nS2000 M3\nZ1\n" in text


@pytest.mark.parametrize(
    ("post", "habit", "key"),
    [
        pytest.param(
            {"tool_change": False, "one_cutter_a_file": True},
            {"tool_change": "automatic"},
            "tool_change",
            id="M6",
        ),
        pytest.param({"length_offsets": False}, {"tool_length": "table"}, "tool_length", id="G43"),
    ],
)
def test_a_control_that_cannot_serve_the_machine(
    kit: Any, post: dict[str, Any], habit: dict[str, Any], key: str
) -> None:
    program = kit.plate(kit.machine(**habit))
    with pytest.raises(
        PostError, match=rf"^workshop\.toml: machine\.{key}: post p does not support"
    ):
        write_program(program, Post(name="p", description="", **post))


def test_unproven_is_said_at_both_ends_of_the_header(kit: Any) -> None:
    text = write_program(kit.plate(), find_post("rs274_full"), unproven=True).text
    assert text.startswith("(UNPROVEN")
    assert text.count("UNPROVEN") == 2
    assert "UNPROVEN" not in write_program(kit.plate(), find_post("rs274_full")).text


@pytest.mark.parametrize(
    "name",
    [
        pytest.param("a)\nG0 Z-50\n(b", id="block-in-a-name"),
        pytest.param("(((", id="brackets"),
        pytest.param("MSG, press start", id="message"),
        pytest.param("m s g ,press start", id="spaced-message"),
        pytest.param("x" * 3000, id="long"),
        pytest.param("Träger № 5 ⌀12 \x00\x1b[2J\u202e %", id="odd-characters"),
    ],
)
def test_job_text_stays_a_comment(kit: Any, name: str) -> None:
    work = replace(kit.milling(*kit.POCKET), feature=name)
    cutter = replace(kit.MILL, name=name)
    evil = kit.program(
        replace(work, cutter=cutter), name=name, setup_name=name, setup_zero_text=name
    )
    calm = kit.program(kit.milling(*kit.POCKET))
    post = find_post("rs274_full")
    text = write_program(evil, post).text
    assert lines_of(text) == lines_of(write_program(calm, post).text)
    for line in text.splitlines():
        assert len(line) <= 256
        assert re.fullmatch(r"[ -~]*", line)
        assert not re.search(r"[!?~%]", line)
        assert re.fullmatch(r"[^()]*|\([^()]*\)", line)
    messages = [line for line in text.splitlines() if re.match(r"\(\s*M\s*S\s*G\s*,", line)]
    assert all(line.startswith("(MSG, ") for line in messages)
    assert messages[0].startswith("(MSG, load cutter 1: ")
