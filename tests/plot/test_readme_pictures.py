"""The pictures that the README shows are what the tool draws today; `--update-golden` renews
them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from gcodekit.making.make import make

ROOT = Path(__file__).parents[2]
PICTURES = ROOT / "jobs" / "pictures"
# What the README shows, and what `make` calls it.
SHOWN = {
    "eyepiece-plate.svg": "1-flat-on-the-spoil-board.svg",
    "eyepiece-plate-part.svg": "part.svg",
}
NUMBER = re.compile(r"-?\d+\.\d+|-?\d+")
# Another release of a geometry library may round a point differently: mm on the paper, and digits
# of a time or a feed.
NEAR = 0.05


def near(one: str, other: str) -> bool:
    """Whether two pictures are the same but for rounding."""
    if NUMBER.sub("#", one) != NUMBER.sub("#", other):
        return False
    pairs = zip(NUMBER.findall(one), NUMBER.findall(other), strict=True)
    return all(abs(float(a) - float(b)) <= NEAR for a, b in pairs)


def test_the_readme_shows_what_is_drawn(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    outcome = make(ROOT / "jobs" / "eyepiece-plate.toml", tmp_path, date="2026-11-30")
    assert outcome.verdict == "pass"
    for name, made in SHOWN.items():
        drawn = (tmp_path / made).read_text(encoding="utf-8")
        if request.config.getoption("--update-golden"):
            (PICTURES / name).write_text(drawn, encoding="utf-8", newline="\n")
        assert near(drawn, (PICTURES / name).read_text(encoding="utf-8")), name
        assert f"jobs/pictures/{name}" in (ROOT / "README.md").read_text(encoding="utf-8")


def test_another_picture_would_be_seen() -> None:
    assert near('<circle r="3.01"/>', '<circle r="3.02"/>')
    assert not near('<circle r="3.0"/>', '<circle r="3.2"/>')
    assert not near("<text>4 deep</text>", "<text>4 wide</text>")
