"""What no workshop asks for is refused by a sentence with its bound.

What hostile jobs cost is measured by tests/benchmarks/bounds.py.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from gcodekit.errors import errors_of
from gcodekit.job.load import read_job
from gcodekit.making.check import check_job

sys.path.insert(0, str(Path(__file__).parent))
from hostile_jobs import HOSTILE

SAID = {
    "stepdown 1e-09 of a pocket": "must be at least 0.01 mm",
    "stepdown 0.001 of a profile": "must be at least 0.01 mm",
    "stepover 1e-09 of a pocket": "must be at least 0.01 mm",
    "stepover 0.001 of a pocket": "must be at least 0.01 mm",
    "feed 1e-09 of a pocket": "must be at least 0.01",
    "plunge_feed 1e-09 of a profile": "must be at least 0.01",
    "speed 1e+12 of a pocket": "must be at most 500000",
    "peck 0.001": "must be at least 0.05 mm",
    "pilot 1e-9": "must be at least 0.05 mm",
    "tabs 1e-9 wide": "must be at least 0.1 mm",
    "tabs at 20,000 places": "has 20,000 entries, use at most 200",
    "corner 1e-9": "must be at least 0.01 mm",
    "tolerance 1e-9": "must be at least 0.001 mm",
    "stock 1e-6": "must be at least 0.1 mm",
    "row of 100,000": "must be at most 5000",
    "skip of 40,000": "must be at most 5000",
    "10,000 copies of a hole": "must be at most 1000",
    "3,000 holes written out": "has 3,000 entries, use at most 500",
    "1,000 set-ups": "has 1,000 entries, use at most 50",
    "2,000 islands": "has 2,000 entries, use at most 500",
    "clamps 10,000": "has 10,000 entries, use at most 50",
    "a circle 1e-9 wide": "must be at least 0.001 mm",
    "cutter 1e-6 wide": "must be at least 0.05 mm",
    "flutes 1e-9 long": "must be at least 0.05 mm",
    "travel 1e-9": "must be at least 1 mm",
    "rapid 1e-9": "must be at least 1",
    "acceleration 1e-9": "must be at least 0.1",
    "spindle 1e-9": "must be at least 1",
    "10,000 cutters": "has 9,999 entries, use at most 500",
    "star of 2000 as a pocket": "has 4,000 corners, 600 are the most",
    "comb of 2,000 as a pocket": "has 2,001 corners, 600 are the most",
    "slot path of 20,000 back and forth": "has 14,998 corners, 600 are the most",
    "pitch circle of 5,000": "are 0.0251 mm apart, and each is 4 mm wide",
}
# Found where cutters are chosen: how much work it would be.
PLANNED = {
    "stepdown 0.01 of a profile": "600 passes of 0.01 mm, at most 250, set stepdown = 0.024",
    "stepdown 0.01 of a bore": "600 passes of 0.01 mm, at most 250",
    "stepdown 0.01 of a boss": "500 passes of 0.01 mm, at most 250",
    "stepover 0.01 of a face": "5,000 strokes 0.01 mm apart, at most 1,000",
    "stock 10 m pocketed": "1,547 strokes 6.4 mm apart, at most 1,000",
    "stock 10 m faced": "it would take at least 139 hours, at most 100",
    "cutter 0.05 wide": "1,200 passes of 0.0025 mm, at most 250, use a larger cutter",
}


@pytest.mark.parametrize("name", SAID)
def test_what_no_workshop_asks_for_is_refused_with_its_bound(name: str, tmp_path: Path) -> None:
    hostile = HOSTILE[name]
    (tmp_path / "job.toml").write_text(hostile.make(), encoding="utf-8")
    (tmp_path / "shop.toml").write_text(hostile.workshop, encoding="utf-8")
    _, faults = read_job(tmp_path / "job.toml")
    said = [str(f) for f in faults if f.severity == "error"]
    assert any(SAID[name] in text for text in said), said


@pytest.mark.parametrize("name", PLANNED)
def test_more_work_than_anybody_would_do_is_refused(name: str, tmp_path: Path) -> None:
    hostile = HOSTILE[name]
    (tmp_path / "job.toml").write_text(hostile.make(), encoding="utf-8")
    (tmp_path / "shop.toml").write_text(hostile.workshop, encoding="utf-8")
    said = [str(f) for f in check_job(tmp_path / "job.toml") if f.severity == "error"]
    assert any(PLANNED[name] in text for text in said), said


def test_work_is_reckoned_with_the_cutter_that_does_most_of_it(tmp_path: Path) -> None:
    """With the mill of its fine corners alone it would take 230 hours; a larger one roughs it."""
    pocket = 'kind = "pocket"\noutline = { rectangle = [580, 380], round = 1.5 }\ndepth = 7.9'
    text = (
        'units = "mm"\nmaterial = "mild steel"\n[stock]\nblock = [600, 400, 20]\n[[setup]]\n'
        'zero = { x = "centre", y = "centre", z = "top" }\n[setup.hold]\nboard = 12\n'
        f"[[setup.feature]]\n{pocket}\n"
    )
    path = tmp_path / "job.toml"
    path.write_text(text, encoding="utf-8")
    assert not errors_of(check_job(path))
    path.write_text(text + "rough_with = 1\n", encoding="utf-8")
    (fault,) = errors_of(check_job(path))
    assert "it would take at least 230 hours, at most 100" in fault.message
