"""What every shipped post must keep, whatever its control can do."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from gcodekit.post.find import find_post, shipped
from gcodekit.post.writer import write_program

NAMES = sorted(f.stem for f in shipped("postprocessors").glob("*.py"))


@pytest.fixture(params=NAMES)
def name(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(params=["mm", "inch"])
def text(kit: Any, name: str, request: pytest.FixtureRequest) -> str:
    program = kit.plate(units=request.param, name="Träger (1) " + "lang " * 100)
    return write_program(program, find_post(name)).text


def blocks(text: str) -> list[str]:
    bare = (re.sub(r"\(.*?\)|;.*", "", line).strip() for line in text.splitlines())
    return [b for b in bare if b]


def test_there_is_the_published_language() -> None:
    assert "rs274_full" in NAMES


def test_a_dialect_is_small(name: str) -> None:
    file = shipped("postprocessors") / f"{name}.py"
    assert len(file.read_text(encoding="utf-8").splitlines()) < 100


def test_first_motion_is_z_alone_upwards(text: str, kit: Any) -> None:
    first = next(b for b in blocks(text) if re.search(r"[XYZ]", b))
    assert re.search(r"G0?0\b", first)
    height = re.search(r"Z([\d.]+)", first)
    assert not re.search(r"[XY]", first)
    assert height
    scale = 25.4 if "G20" in text else 1.0
    assert float(height[1]) * scale == pytest.approx(kit.SAFE_Z, abs=1e-3)


def test_units_plane_and_distance_are_said_before_any_motion(text: str) -> None:
    found = blocks(text)
    first = next(i for i, b in enumerate(found) if re.search(r"[XYZ]", b))
    said = " ".join(found[:first]).split()
    assert {"G17", "G90", "G94", "G40", "G80", "G54"} <= set(said)
    assert ("G21" in said) != ("G20" in said)


def test_ends_with_everything_off(text: str) -> None:
    found = blocks(text)
    assert re.search(r"\bM(2|30)$", found[-1])
    assert any(re.search(r"\bM0?5\b", b) for b in found[-5:])
    assert sum(bool(re.search(r"\bM(2|30)\b", b)) for b in found) == 1


def test_plain_short_lines(name: str, text: str) -> None:
    post = find_post(name)
    assert text.endswith("\n")
    for line in text.splitlines():
        assert re.fullmatch(r"[ -~]*", line)
        assert len(line) <= post.longest_line
        assert line.count("(") == line.count(")") <= 1


def test_one_block_has_no_letter_twice_but_g_and_m(text: str) -> None:
    for block in blocks(text):
        letters = [c for c in re.findall(r"[A-Z]", block) if c not in "GM"]
        assert len(letters) == len(set(letters))


def test_the_file_is_found_under_its_name(name: str) -> None:
    assert find_post(name).name == name
    assert Path(shipped("postprocessors") / f"{name}.py").is_file()
