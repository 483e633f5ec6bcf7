"""Which cutters holes are given, and whole texts of what is refused for want of one."""

from __future__ import annotations

from pathlib import Path

import pytest

from gcodekit.errors import GcodekitError
from gcodekit.job.load import load_job
from gcodekit.making.make import make
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.planning.plan import plan_setup

WORKSHOP = """
units = "mm"
[machine]
name = "Mill"
spindle = { min = 100, max = 2500, reverse = true }
[[cutter]]
number = 1
name = "8 mm slot drill"
kind = "end mill"
diameter = 8
[[cutter]]
number = 2
name = "spot"
kind = "spot drill"
diameter = 10
[[cutter]]
number = 3
name = "chamfer mill"
kind = "chamfer mill"
diameter = 12
[[cutter]]
number = 4
name = "3.4 mm drill"
kind = "drill"
diameter = 3.4
[[cutter]]
number = 5
name = "5.8 mm drill"
kind = "drill"
diameter = 5.8
[[cutter]]
number = 6
name = "6 mm reamer"
kind = "reamer"
diameter = 6
fit = "H7"
[[cutter]]
number = 7
name = "6 mm worn reamer"
kind = "reamer"
diameter = 5.99
[[cutter]]
number = 8
name = "M4 tap"
kind = "tap"
diameter = 4
pitch = 0.7
flute_length = 9
[[cutter]]
number = 9
name = "boring head"
kind = "boring head"
diameter = 20
range = [14, 40]
flute_length = 30
[[cutter]]
number = 10
name = "5 mm drill"
kind = "drill"
diameter = 5
"""
JOB = """
units = "mm"
material = "brass"
workshop = "workshop.toml"
[stock]
block = [60, 60, 12]
[[setup]]
  [setup.hold]
  board = 20
  [[setup.feature]]
  at = [30, 30]
"""


def chosen(folder: Path, monkeypatch: pytest.MonkeyPatch, keys: str) -> Chosen:
    monkeypatch.chdir(folder)
    Path("workshop.toml").write_text(WORKSHOP)
    Path("job.toml").write_text(JOB + keys.replace("; ", "\n"))
    job = load_job(Path("job.toml"))
    return next(iter(plan_setup(job, job.setups[0]).chosen.values()))


@pytest.mark.parametrize(
    ("keys", "numbers"),
    [
        pytest.param(
            'kind="hole"; diameter=5; through=true', {"spot": 2, "drill": 10}, id="drilled"
        ),
        pytest.param(
            'kind="hole"; diameter=5; through=true; pilot=3.4',
            {"pilot": 4, "drill": 10},
            id="pilot",
        ),
        pytest.param(
            'kind="hole"; diameter=5; through=true; countersink={diameter=9}',
            {"spot": 2, "countersink": 2},
            id="the spot drill sinks",
        ),
        pytest.param(
            'kind="hole"; diameter=5; through=true; spot=false; countersink={diameter=9}',
            {"spot": None, "countersink": 2},
            id="the smallest that is wide enough",
        ),
        pytest.param(
            'kind="hole"; diameter=5; through=true; countersink={diameter=11}',
            {"spot": 2, "countersink": 3},
            id="wider than the spot drill",
        ),
        pytest.param(
            'kind="hole"; diameter=5; countersink={diameter=9}; cutter=3',
            {"finish": 3, "countersink": 3},
            id="the one named",
        ),
        pytest.param(
            'kind="hole"; diameter=6; depth=5; fit="H7"',
            {"drill": 5, "reamer": 6, "finish": 6},
            id="fit",
        ),
        pytest.param(
            'kind="hole"; diameter=6; depth=5; limits=[-0.02, -0.005]',
            {"drill": 5, "reamer": 7},
            id="limits, as measured",
        ),
        pytest.param(
            # H7 for the bush: the reamer of that class, and the drill before it
            'kind="hole"; depth=5; bush={diameter=6, fit="s6"}',
            {"drill": 5, "reamer": 6, "finish": 6},
            id="bush",
        ),
        pytest.param(
            # 5.98 to 6.00 for the bush: of the reamers that measure so the one nearest the middle
            'kind="hole"; depth=5; bush={diameter=6.01, interference=[0.01, 0.03]}',
            {"drill": 5, "reamer": 7, "finish": 7},
            id="bush as measured",
        ),
        pytest.param(
            'kind="hole"; diameter=5; depth=5; limits=[0, 0.2]',
            {"drill": 10, "reamer": None},
            id="wide limits are drilled",
        ),
        pytest.param(
            'kind="hole"; thread="M4"; diameter=3.4; depth=5; tapping="machine"',
            {"drill": 4, "tap": 8, "finish": 4},
            id="tapped",
        ),
        pytest.param(
            'kind="hole"; thread="M4"; diameter=3.4; depth=5',
            {"drill": 4, "tap": None},
            id="by hand",
        ),
        pytest.param(
            'kind="hole"; diameter=5; depth=8; counterbore={diameter=8, depth=3}',
            {"counterbore": 1},
            id="counterbore",
        ),
        pytest.param(
            'kind="bore"; diameter=20; through=true; finish_with="boring head"',
            {"boring": 9, "rough": 1},
            id="boring head",
        ),
    ],
)
def test_cutters_of_a_hole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, keys: str, numbers: dict[str, int | None]
) -> None:
    found = chosen(tmp_path, monkeypatch, keys)
    given = {key: getattr(found, key) for key in numbers}
    assert {key: c and c.number for key, c in given.items()} == numbers


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        pytest.param(
            'kind="hole"; thread="M4"; depth=5',
            "thread: the rack has no drill of 3.3 mm, the tapping drill for M4, that drills 5 mm "
            "deep, add a drill of 3.3 mm, or set diameter = 3.4 to use cutter 4, 3.4 mm drill: "
            "79 % thread",
            id="no tapping drill",
        ),
        pytest.param(
            'kind="hole"; thread="M8"; depth=5',
            "thread: the rack has no drill of 6.8 mm, the tapping drill for M8, that drills 5 mm "
            "deep, add a drill of 6.8 mm",
            id="no tapping drill anywhere near",
        ),
        pytest.param(
            'kind="hole"; thread="M4"; diameter=3.4; through=true; tapping="machine"',
            "thread: the rack has no tap for M4 (diameter 4 mm, pitch 0.7 mm) that reaches 12.5 "
            'mm deep, add a tap M4 with 12.5 mm of thread, or set tapping = "by hand"',
            id="tap too short",
        ),
        pytest.param(
            'kind="hole"; thread="M4"; diameter=3.4; depth=9; tapping="machine"',
            "depth: its starting hole must go 3.5 mm deeper than the tap's full size, to z -12.5 "
            "mm: the stock ends at z -12 mm, set through = true, or a smaller depth, or set "
            "drill_depth to what there is",
            id="no room for the tap's lead",
        ),
        pytest.param(
            'kind="hole"; diameter=6; depth=5; fit="G7"',
            "fit: no reamer in the rack cuts 6 mm G7: limits 6.004 mm to 6.016 mm, 5 mm deep; "
            'the nearest is cutter 6, 6 mm reamer: 6 mm, fit = "H7", flutes 24 mm, add a reamer '
            "G7 that measures 6.004 mm to 6.016 mm with flutes of 5 mm, give your reamer fit = "
            '"G7" if it cuts that, or mill the hole with kind = "bore"',
            id="no reamer of the fit",
        ),
        pytest.param(
            'kind="hole"; diameter=5; depth=6; countersink={diameter=9, angle=82}',
            "countersink: no chamfer mill or spot drill of 82 degrees in the rack is 9 mm wide, "
            "add one of 82 degrees, 9 mm or wider, or use another angle",
            id="no countersink of the angle",
        ),
        pytest.param(
            'kind="hole"; diameter=5; depth=8; counterbore={diameter=9, depth=3}',
            "counterbore: the rack has no end mill for a counterbore of 9 mm, 3 mm deep, add a "
            "centre-cutting one of that size, or an end mill of 7.5 mm or less with flutes of 3 "
            "mm, or cutter 1 reground to that",
            id="no counterbore",
        ),
        pytest.param(
            'kind="hole"; diameter=5; depth=8; pilot=2',
            "pilot: the rack has no drill of 2 mm that drills 8 mm deep; the nearest is 3.4 mm, "
            "cutter 4, add a drill of 2 mm with flutes of 8 mm",
            id="no pilot drill",
        ),
        pytest.param(
            'kind="bore"; diameter=50; depth=5; finish_with="boring head"',
            "finish_with: the rack has no boring head for 50 mm, 5 mm deep, add one for that "
            "size and depth (cutter 9 bores 14 mm to 40 mm, 30 mm deep)",
            id="boring head out of its range",
        ),
    ],
)
def test_what_the_rack_lacks_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, keys: str, said: str
) -> None:
    with pytest.raises(GcodekitError) as error:
        chosen(tmp_path, monkeypatch, keys)
    lines = [str(f) for f in error.value.faults]
    assert [line.partition("feature 1.")[2] for line in lines] == [said]


def _without_spot_drill(monkeypatch: pytest.MonkeyPatch) -> None:
    kept = WORKSHOP.replace('kind = "spot drill"\ndiameter = 10', 'kind = "drill"\ndiameter = 9.5')
    assert kept != WORKSHOP
    monkeypatch.setitem(globals(), "WORKSHOP", kept)


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        (
            'kind="hole"; diameter=5; through=true; spot=true',
            "spot: the rack has no spot drill, add a spot drill wider than 4 mm, or set spot = "
            "false",
        ),
        (
            # a chamfer mill sinks the mouth, but starts no drill
            'kind="hole"; diameter=5; through=true; spot=true; countersink={diameter=9}',
            "spot: the rack has no spot drill, add a spot drill wider than 4 mm, or set spot = "
            "false",
        ),
        (
            'kind="hole"; diameter=5; spot=true',
            "spot: the rack has no spot drill, add a spot drill wider than 4 mm, or remove the "
            "hole",
        ),
    ],
)
def test_a_spot_that_was_asked_for_is_not_left_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, keys: str, said: str
) -> None:
    _without_spot_drill(monkeypatch)
    test_what_the_rack_lacks_is_said(tmp_path, monkeypatch, keys, said)


def test_a_spot_that_is_only_usual_is_left_out_without_a_word(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _without_spot_drill(monkeypatch)
    found = chosen(tmp_path, monkeypatch, 'kind="hole"; diameter=5; through=true')
    assert found.spot is None


REAMED = 'kind="hole"; diameter=6; through=true; fit="H7"'
SHORT = 'diameter = 6\nfit = "H7"\nflute_length = 8\nstickout = 40\nshank = %g'


@pytest.mark.parametrize(
    ("shank", "said"),
    [
        # a slimmer shank follows the flutes down what they have reamed
        (5.5, ""),
        (6.0, "flutes 8 mm, shank 6 mm, stick-out 40 mm"),
        (8.0, "flutes 8 mm, shank 8 mm, stick-out 40 mm"),
    ],
)
def test_a_reamer_goes_as_deep_as_its_shank_does(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, shank: float, said: str
) -> None:
    rack = WORKSHOP.replace('diameter = 6\nfit = "H7"', SHORT % shank)
    assert rack != WORKSHOP
    monkeypatch.setitem(globals(), "WORKSHOP", rack)
    if not said:
        found = chosen(tmp_path, monkeypatch, REAMED).reamer
        assert found is not None
        assert found.number == 6
        return
    with pytest.raises(GcodekitError, match=said):
        chosen(tmp_path, monkeypatch, REAMED)


@pytest.mark.parametrize(("shank", "verdict"), [(5.5, "pass"), (8.0, "fail")])
def test_the_proof_sees_a_shank_that_is_fatter_than_its_hole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, shank: float, verdict: str
) -> None:
    rack = WORKSHOP.replace('diameter = 6\nfit = "H7"', SHORT % shank)
    monkeypatch.chdir(tmp_path)
    Path("workshop.toml").write_text(rack)
    Path("job.toml").write_text(JOB + REAMED.replace("; ", "\n"))
    # planned as if any shank went down any hole
    monkeypatch.setattr("gcodekit.trade.cutter.SHANK_CLEAR", -100.0)
    outcome = make(Path("job.toml"), Path("out"))
    assert outcome.verdict == verdict, outcome.faults
    said = " ".join(str(f) for f in outcome.faults)
    assert ("shank of cutter 6 into stock" in said) == (verdict == "fail")
