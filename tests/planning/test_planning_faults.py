"""Whole texts of what the planner refuses: each section of the golden file is a job and exactly
what making it says; `--update-golden` writes it anew."""

from __future__ import annotations

from pathlib import Path

import pytest

from gcodekit.making.make import make

GOLDEN = Path(__file__).parent / "golden" / "planning_faults.txt"

# What a section that begins with "+" stands below.
BASE = """\
units = "mm"
material = "aluminium"
workshop = "shop.toml"
[stock]
block = [100, 60, 10]
[[setup]]
[setup.hold]
board = 12
"""
RACK = """\
units = "mm"
[machine]
spindle = { min = 100, max = 2500, reverse = true }
"""
# number, kind, diameter, flute length, and more
CUTTERS = (
    (1, "end mill", 4, 9, "centre_cutting = true"),
    (2, "end mill", 10, 22, "centre_cutting = true"),
    (3, "end mill", 9, 22, "centre_cutting = false"),
    (4, "spot drill", 10, 20, "tip_angle = 90"),
    (5, "drill", 5, 50, "tip_angle = 118"),
    (6, "drill", 5.8, 50, "tip_angle = 118"),
    (7, "drill", 3, 8, "tip_angle = 118"),
    (8, "reamer", 6, 26, 'fit = "H7"\nlead = 1'),
    (9, "reamer", 8, 30, 'fit = "H7"\nlead = 1'),
)


def shop() -> str:
    text = RACK
    for number, kind, diameter, flutes, more in CUTTERS:
        text += (
            f'[[cutter]]\nnumber = {number}\nname = "{diameter} mm {kind}"\nkind = "{kind}"\n'
            f"diameter = {diameter}\nflute_length = {flutes}\nstickout = {flutes + 12}\n"
            f"shank = {diameter}\n{more}\n"
        )
    return text


def sections() -> list[tuple[str, str, str]]:
    """Title, job and what is said of it, of every section."""
    found: list[tuple[str, str, str]] = []
    for section in GOLDEN.read_text(encoding="utf-8").split("==== ")[1:]:
        title, _, rest = section.partition("\n")
        job, _, said = rest.partition("----\n")
        found.append((title, job, said.strip()))
    return found


def said_of(text: str, folder: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.chdir(folder)
    whole = BASE + text.removeprefix("+\n") if text.startswith("+\n") else text
    Path("job.toml").write_text(whole, encoding="utf-8")
    Path("shop.toml").write_text(shop(), encoding="utf-8")
    outcome = make(Path("job.toml"), Path("out"))
    assert outcome.verdict == "fail", "it is not refused"
    assert [f.name for f in Path("out").iterdir()] == ["report.json"]
    return "\n".join(str(f) for f in outcome.faults)


@pytest.mark.parametrize(("title", "text", "said"), [pytest.param(*s, id=s[0]) for s in sections()])
def test_the_planner_says_exactly(
    title: str,
    text: str,
    said: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    request: pytest.FixtureRequest,
) -> None:
    found = said_of(text, tmp_path, monkeypatch)
    for line in found.splitlines():
        place, number, rest = line.split(":", 2)
        assert place == "job.toml"
        assert number.isdigit()
        assert ": " in rest
    if request.config.getoption("--update-golden"):
        whole = [(t, j, found if t == title else s) for t, j, s in sections()]
        parts = (f"==== {t}\n{j}----\n{s}\n" for t, j, s in whole)
        GOLDEN.write_text("\n".join(parts), encoding="utf-8", newline="\n")
    else:
        assert found == said
