"""Jobs that bend a cutter or a wall too far, or ask more power than there is: warned of with both
figures and a remedy, once a feature and cause; with the remedy taken, the warning goes."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from gcodekit.making.dryrun import dry_run
from gcodekit.making.make import make

SHOP = """
units = "mm"
[machine]
spindle = { min = 100, max = 2500, power = POWER }
feed_max = 600
[[cutter]]
number = 1
kind = "end mill"
diameter = 6
flutes = 2
flute_length = 16
stickout = OUT
centre_cutting = true
"""
JOB = """
units = "mm"
material = "aluminium"
workshop = "shop.toml"
[stock]
block = [70, 50, 24]
[[setup]]
name = "Top"
zero = { x = "centre", y = "centre", z = "top" }
  [setup.hold]
  vise = { grip = 5, jaw_width = 100, jaw_depth = 25, parallels = { height = 5, thick = 8 } }
"""
LEFT = """
  [[setup.feature]]
  kind = "pocket"
  outline = { rectangle = [20, 30], centre = [CENTRE, 0], round = 5 }
  depth = 12
"""
RIGHT = LEFT.replace("CENTRE", "15")
BORE = """
  [[setup.feature]]
  kind = "bore"
  diameter = 12
  FIT
  depth = 5
  at = [[-20, 0], [20, 0]]
"""
Warned = Callable[..., list[str]]


@pytest.fixture
def warned(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Warned:
    monkeypatch.chdir(tmp_path)

    def said(features: str, *, power: float = 350, out: float = 22) -> list[str]:
        shop = SHOP.replace("POWER", f"{power:g}").replace("OUT", f"{out:g}")
        Path("shop.toml").write_text(shop, encoding="utf-8")
        Path("job.toml").write_text(JOB + features, encoding="utf-8")
        outcome = make(Path("job.toml"), Path("out"))
        assert outcome.verdict == "pass", outcome.faults
        rows = json.loads(Path("out/report.json").read_text(encoding="utf-8"))["problems"]
        assert [r["text"] for r in rows] == [f.text for f in outcome.faults]
        assert [r["line"] for r in rows] == [f.place.line for f in outcome.faults]
        assert {f.severity for f in outcome.faults} <= {"warning"}
        return [str(f) for f in outcome.faults]

    return said


def test_sound(warned: Warned) -> None:
    assert warned(LEFT.replace("CENTRE", "-8") + RIGHT) == []


def test_a_thin_wall(warned: Warned) -> None:
    thin = LEFT.replace("CENTRE", "-5.7")
    (said,) = warned(thin + RIGHT)
    assert "finish deflects the wall at x 4.7 mm" in said
    assert "allowed 0.02 mm: the wall is 0.7 mm thick and 12 mm high" in said
    assert "set spring_passes = 2 or make it at least 1.1 mm thick" in said
    sprung = "  spring_passes = 2\n"
    assert warned(thin + sprung + RIGHT + sprung) == []
    assert warned(LEFT.replace("CENTRE", "-6.1") + RIGHT) == []


def test_a_slim_cutter(warned: Warned) -> None:
    pocket = LEFT.replace("CENTRE", "-5.7")
    (said,) = warned(pocket, out=55)
    assert said.startswith("job.toml:13: warning: setup 1.feature 1: finish deflects cutter 1 (")
    assert "allowed 0.02 mm, set spring_passes = " in said
    assert "or use a stiffer cutter" in said
    assert warned(pocket, out=25) == []


def test_a_feed_that_bends_it(warned: Warned) -> None:
    pocket = LEFT.replace("CENTRE", "-5.7")
    (said,) = warned(pocket + "  feed = 100\n  speed = 1500\n", out=30)
    assert "allowed 0.02 mm, lower the feed to" in said
    slower = said.split("lower the feed to ")[1].split(" mm")[0]
    assert warned(pocket + f"  feed = {slower}\n  speed = 1500\n", out=30) == []


def test_a_fit(warned: Warned) -> None:
    # copies are one feature of the file
    (said,) = warned(BORE.replace("FIT", 'fit = "H7"'))
    assert "allowed 0.009 mm (H7, 0.018 mm wide), set spring_passes = " in said
    assert 'finish_with = "boring head"' in said
    assert warned(BORE.replace("FIT", "limits = [0, 0.1]")) == []


def test_a_weak_spindle(warned: Warned) -> None:
    said = warned(LEFT.replace("CENTRE", "-5.7"), power=15)
    assert [line for line in said if "of the spindle's 15 W reach the cutter" in line]
    assert len(said) == len({line.split(" takes ")[0] for line in said}) == 1


SMALL = Path(__file__).parent / "small_jobs"


@pytest.mark.parametrize(
    "name", ["finder-pocket-even", "bearing-seat-tuned", "setting-ring-copies", "counted-grooves"]
)
def test_the_proof_agrees_with_the_plan(name: str, tmp_path: Path) -> None:
    """What the plan finds sound, the measure of its programs does not doubt."""
    job = SMALL / f"{name}.toml"
    outcome = make(job, tmp_path)
    assert outcome.faults == ()
    programs = [p for p in outcome.files if p.suffix not in (".svg", ".json", ".html")]
    assert programs
    for program in programs:
        assert dry_run(program, job=job).findings.problems == ()


def test_pictures_show_what_is_warned_of(tmp_path: Path) -> None:
    outcome = make(SMALL / "stacked-links.toml", tmp_path)
    assert outcome.verdict == "pass"
    assert len(outcome.faults) == 3
    (picture,) = (p for p in outcome.files if p.suffix == ".svg" and p.stem != "part")
    text = picture.read_text(encoding="utf-8")
    assert ">no errors, 3 warnings<" in text
    assert "nothing wrong found" not in text
    for n in (1, 2, 3):
        assert f">warning {n}:<" in text
