"""Whole texts of the faults of job files: each section of the golden files is a job and exactly
what is said about it."""

from __future__ import annotations

from pathlib import Path

import pytest

from gcodekit.errors import JobError
from gcodekit.job.load import load_job
from gcodekit.making.check import _looked_over as looked_over

GOLDEN = Path(__file__).parent / "golden"

# Seven lines that a section beginning with "+" stands below.
BASE = """\
units = "mm"
material = "mild steel"
[stock]
block = [100, 60, 10]
[[setup]]
[setup.hold]
board = 12
"""

# Workshop files that a section may name.
WORKSHOP = """\
units = "mm"
[machine]
spindle = { min = 100, max = 2000 }
[[cutter]]
number = 1
"""
WORKSHOPS = {
    "mill.toml": WORKSHOP + 'kind = "ball-nose end mill"\ndiameter = 6\n',
    "fly.toml": WORKSHOP + 'kind = "fly cutter"\ndiameter = 40\n',
    "broken.toml": WORKSHOP + 'kind = "drill"\ndiametr = 6\n',
}


def sections(name: str) -> list[object]:
    """(job text, what is said of it) of every section of a golden file."""
    found: list[object] = []
    for section in (GOLDEN / name).read_text(encoding="utf-8").split("==== ")[1:]:
        title, _, rest = section.partition("\n")
        job, _, said = rest.partition("----\n")
        found.append(pytest.param(job, said.strip(), id=title))
    return found


def said_of(text: str, folder: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """What a job says: its faults, or its warnings and what nothing holds, or nothing; not what the
    rack lacks."""
    monkeypatch.chdir(folder)
    whole = BASE + text.removeprefix("+\n") if text.startswith("+\n") else text
    Path("job.toml").write_text(whole, encoding="utf-8")
    for name, workshop in WORKSHOPS.items():
        Path(name).write_text(workshop, encoding="utf-8")
    try:
        job = load_job(Path("job.toml"))
    except JobError as error:
        return str(error)
    beside = (w for w in looked_over(job) if not w.place.key.endswith(".cutter"))
    return "\n".join(str(w) for w in (*job.warnings, *beside))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        *sections("top_faults.txt"),
        *sections("depth_faults.txt"),
        *sections("outline_faults.txt"),
        *sections("place_faults.txt"),
        *sections("cutter_faults.txt"),
        *sections("wall_faults.txt"),
        *sections("measured_faults.txt"),
        *sections("hole_faults.txt"),
        *sections("holding_faults.txt"),
        *sections("stop_faults.txt"),
        *sections("size_faults.txt"),
    ],
)
def test_job_is_told_exactly(
    text: str, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert said_of(text, tmp_path, monkeypatch) == said


def test_every_fault_names_line_and_key() -> None:
    for file in GOLDEN.glob("*.txt"):
        for section in file.read_text(encoding="utf-8").split("==== ")[1:]:
            for line in section.partition("----\n")[2].strip().splitlines():
                place, number, rest = line.split(":", 2)
                assert place in ("job.toml", *WORKSHOPS)
                assert number.isdigit()
                assert ": " in rest
