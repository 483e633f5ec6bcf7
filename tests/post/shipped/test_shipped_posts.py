"""What every post must keep: words its control understands, and all that the operator must know.

A new post joins by its file alone, and by a row of `WORDS`.
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from gcodekit.post.contract import Post
from gcodekit.post.find import shipped

UP = 15.0
EXAMPLE = Path(__file__).parents[1] / "example_post" / "shed_mill.py"
FILES = sorted([*shipped("postprocessors").glob("*.py"), EXAMPLE])

# G and M numbers, letters, and whether an arc may be a helix or a full turn. NISTIR 6556, tables
# 3, 5 and 7; ISO 6983-1's own words; what the other two say of themselves.
_NIST_G = "0 1 2 3 4 17 20 21 40 43 49 54 55 56 57 58 59 61 80 81 82 83 85 89 90 94 98 99"
_ISO_G = "0 1 2 3 4 17 20 21 40 54 55 56 57 58 59 80 81 82 83 90 94"
_SHED_G = "0 1 2 3 17 21 40 49 54 55 56 57 58 59 61 80 81 90 94 98 99"
WORDS: dict[str, tuple[str, str, str, str]] = {
    "rs274_full": (_NIST_G, "0 2 3 5 6 7 8 9", "GMXYZIJRQPFSTH", "helix, full turn"),
    "iso6983": (_ISO_G, "0 3 5 6 7 8 9 30", "NGMXYZIJRQPFST", ""),
    "motion_only": ("0 1 2 3", "0 2 3 5 7 8 9", "GMXYZIJFS", ""),
    "bare": ("0 1", "0 2 3 5 7 8 9", "GMXYZFS", "no arc"),
    "shed_mill": (_SHED_G, "0 3 5 6 7 8 9 30", "NGMXYZIJRFST", "full turn"),
}
# What the operator is asked to set where no word says it.
SETTINGS = {
    "G90": "absolute distances",
    "G17": "XY plane",
    "G94": "feed per minute",
    "G40": "no cutter compensation",
    "G49": "no tool length offset",
    "G61": "exact path",
}


def test_every_run_of_cycles_is_ended(cases: list[Any]) -> None:
    """A control may repeat a cycle at any block until G80."""
    for case in cases:
        running = False
        for block in case.blocks:
            if re.search(r"\bG8[1-9]\b", block):
                running = True
            elif block == "G80":
                running = False
            else:
                assert not running or re.fullmatch(r"[XY]\S+( Y\S+)?", block)


def test_first_motion_is_z_alone_upwards(cases: list[Any]) -> None:
    for case in cases:
        first = next(b for b in case.blocks if re.search(r"[XYZ]", b))
        height = re.fullmatch(r"G0?0 Z([\d.]+)", first)
        assert height
        scale = 25.4 if case.written.units == "inch" else 1.0
        assert float(height[1]) * scale == pytest.approx(UP, abs=case.count)


def test_after_a_stop_nothing_is_left_unsaid(cases: list[Any]) -> None:
    """The operator may have moved every axis: Z alone first, then X with Y."""
    for case in cases:
        halts = [i for i, b in enumerate(case.blocks) if re.fullmatch(r"M0?0", b)]
        for i in halts:
            after = [b for b in case.blocks[i:] if re.search(r"[XYZ]", b)]
            assert re.fullmatch(r"G0?0 Z\S+", after[0])
            assert re.search(r"X\S+ Y", next(b for b in after if re.search(r"[XY]", b)))


def test_what_no_word_says_the_header_asks_for(cases: list[Any]) -> None:
    for case in cases:
        said, head = case.before_motion, case.comments
        unit_said = ("G20" in said) if case.written.units == "inch" else ("G21" in said)
        other = "G21" if case.written.units == "inch" else "G20"
        assert other not in said
        assert f"units: {case.written.units}" in head
        assert unit_said != (f"set the control to: {case.written.units}" in head)
        assert unit_said != ("if Z misses the safe height" in head)
        for word, words in SETTINGS.items():
            asked = f"set the control to: {words}" in head
            assert asked != (word in said)
        offset = f"G{53 + case.program.setup.work_offset}"
        held = f"work offset: {offset}" in head
        assert held == (offset in said) != ("no work offset: set zero on the control" in head)


def test_header_has_what_the_operator_must_know(cases: list[Any]) -> None:
    for case in cases:
        head = case.comments
        for words in ("Polar axis plate: Top side", "plate.toml", "aluminium", "x left", "dry run"):
            assert words in head
        assert f"post {case.post.name}" in head
        for cutter in {o.cutter for o in case.operations}:
            assert f"cutter T{cutter.number}: {cutter.name}" in head
        waits = any(re.search(r"\bP\d", b) for b in case.blocks)
        assert not waits or "dwell P is in seconds" in head


def test_only_the_words_of_its_control(cases: list[Any]) -> None:
    for case in cases:
        assert case.post.name in WORDS, "say in WORDS what this post's control understands"
        g, m, letters, _ = WORDS[case.post.name]
        for line in case.lines:
            bare = re.sub(r"\(.*?\)|;.*", "", line).strip()
            if bare in ("", "%"):
                continue
            assert re.fullmatch(r"([A-Z]-?\d+(\.\d*)?)( [A-Z]-?\d+(\.\d*)?)*", bare)
            words = [(w[0], w[1:]) for w in bare.split()]
            assert {letter for letter, _ in words} <= set(letters)
            assert {float(n) for letter, n in words if letter == "G"} <= set(map(float, g.split()))
            assert {float(n) for letter, n in words if letter == "M"} <= set(map(float, m.split()))
            others = [letter for letter, _ in words if letter not in "GM"]
            assert len(others) == len(set(others))
            assert others.index("N") == 0 if "N" in others else not case.post.line_numbers


def test_only_the_arcs_of_its_control(cases: list[Any]) -> None:
    for case in cases:
        arcs = WORDS[case.post.name][3]
        for move in case.reading.moves:
            if move.kind == "arc":
                assert arcs != "no arc"
                assert "helix" in arcs or move.start[2] == move.end[2]
                assert "full turn" in arcs or move.start[:2] != move.end[:2]


def test_two_digits_and_line_numbers(cases: list[Any]) -> None:
    for case in cases:
        short = any(re.search(r"\b[GM]\d\b", b) for b in case.blocks)
        assert short != case.post.two_digits
        numbers = [int(n) for n in re.findall(r"^N(\d+) ", case.text, re.MULTILINE)]
        step = case.post.line_numbers
        assert numbers == [
            i * step for i, line in enumerate(case.lines, 1) if step and re.match(r"N", line)
        ]


def test_coordinates_have_the_posts_decimals(cases: list[Any]) -> None:
    for case in cases:
        inch = case.written.units == "inch"
        most = case.post.decimals_inch if inch else case.post.decimals_mm
        words = re.findall(r"\b[XYZIJRQ](\S+)", " ".join(case.blocks))
        assert words
        for number in words:
            assert re.fullmatch(rf"-?\d+(\.\d{{0,{most}}})?", number)
            assert ("." in number) or not case.post.decimal_point
            assert number.rstrip("0").rstrip(".") != "-"
            assert not re.match(r"-0\.?0*$", number)


def test_plain_short_lines(cases: list[Any]) -> None:
    for case in cases:
        assert case.text.endswith("\n")
        assert not case.text.endswith("\n\n")
        for line in case.lines:
            assert re.fullmatch(r"[!-~]([ -~]*[!-~])?", line)
            assert len(line) <= case.post.longest_line
            assert re.fullmatch(r"[^()]*|\([^()]*\)", line)
            assert "%" not in line or line == "%"


def test_ends_up_and_off(cases: list[Any]) -> None:
    for case in cases:
        blocks = case.blocks
        assert sum(bool(re.search(r"\bM(0?2|30)\b", b)) for b in blocks) == 1
        while blocks[-1] == "%":
            blocks = blocks[:-1]
        assert re.fullmatch(r"M(0?2|30)", blocks[-1])
        tail = blocks[-5:]
        off = next(i for i, b in enumerate(tail) if re.fullmatch(r"M0?5", b))
        coolant = case.program.job.workshop.machine.coolant
        assert coolant == "none" or re.fullmatch(r"M0?9", tail[off - 1])
        last = case.reading.moves[-1]
        assert last.end[2] == pytest.approx(UP, abs=case.count)
        assert last.kind == "rapid"
        park = case.program.job.workshop.machine.park
        assert park is None or last.end[:2] == pytest.approx(park, abs=case.count)


def test_each_operation_can_be_begun_at(cases: list[Any]) -> None:
    """Motion and feed are said anew, so that the program may be taken up again there."""
    for case in cases:
        for r in case.written.ranges:
            own = case.lines[r.first_line - 1 : r.last_line]
            bare = [re.sub(r"\(.*?\)|;.*|^N\d+ ", "", line).strip() for line in own]
            first = next(b for b in bare if re.search(r"[XYZ]", b))
            assert re.match(r"G\d", first)
            cut = next(b for b in bare if re.search(r"\bG(0?[123]|8[1-9])\b", b))
            assert re.search(r"\bF\d", cut)


EVIL = {
    "block": "a)\nG0 Z-50\n(b",
    "brackets": "(((",
    "percent": "50 % done\n%\nM30",
    "message": "MSG, press start",
    "semicolon": "a ; b\r\nM3 S9000",
    "long": "x" * 3000,
    "controls": "Träger № 5 ⌀12 \x00\x1b[2J\u202e \u2028G1 Z-9 \x85M3",
}


@pytest.mark.parametrize("text", [pytest.param(t, id=k) for k, t in EVIL.items()])
@pytest.mark.parametrize("style", ["brackets", "semicolon", "none"])
def test_no_text_of_a_job_is_a_word_for_the_control(
    post: Post, style: Any, text: str, kit: Any, case_of: Any
) -> None:
    post = replace(post, comments=style)
    calm = case_of(post, kit.program(kit.milling(*kit.POCKET)), None)
    cutter = replace(kit.MILL, name=text)
    work = replace(kit.milling(*kit.POCKET), feature=text, label=text, cutter=cutter)
    job = {"name": text, "file": text, "setup_name": text, "setup_zero_text": text}
    mill = replace(kit.machine(), name=text)
    evil = case_of(post, kit.program(work, mill=mill, touch_off={1: text}, **job), None)
    assert evil.blocks == calm.blocks
    test_plain_short_lines([evil])
    assert not re.search(r"[!?~]", evil.text)
    assert evil.text.count("%") == calm.text.count("%")
    orders = re.findall(r"(?im)^\(\s*M\s*S\s*G\s*,.*", evil.text)
    assert all(line.startswith("(MSG, ") for line in orders)
    assert bool(orders) == (post.messages and style == "brackets")


@pytest.mark.parametrize("units", ["mm", "inch"])
def test_a_control_of_one_unit_gets_it_whatever_the_job_is_in(
    post: Post, units: Any, kit: Any, case_of: Any
) -> None:
    def texts(job: str) -> str:
        one = replace(post, units=units)
        return "\n".join(case_of(one, kit.plate(units=job), n).text for n in (1, 2))

    assert texts("mm") == texts("inch")
    assert f"units: {units}" in texts("mm")


def test_the_three_dialects_are_shipped() -> None:
    assert {"rs274_full", "iso6983", "motion_only"} <= {file.stem for file in FILES}


@pytest.mark.parametrize("file", FILES, ids=lambda f: f.stem)
def test_a_dialect_is_small(file: Path) -> None:
    most = 60 if file == EXAMPLE else 100
    assert len(file.read_text(encoding="utf-8").splitlines()) < most
