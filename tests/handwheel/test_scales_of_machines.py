"""Readings on dials, in inch, and what is refused of dials."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hand_texts import hand_text, on_machine, shipped
from sheet_reading import Dials

from gcodekit.errors import JobError
from gcodekit.handwheel.axis_scales import AxisScale, scales_of
from gcodekit.job.model import Job
from gcodekit.job.workshop.machine import Dial
from gcodekit.job.workshop.workshop import load_workshop

DIAL = Dial(divisions=(0.02, 0.025, 0.05), turns=(2.5, 2.0, 5.0), reversed_axes=("y",))
DIALS = Dials(unit=(0.02, 0.025, 0.05), turn=(125, 80, 100), sign=(1, -1, 1))


def test_a_turn_and_its_divisions_come_back() -> None:
    for reversed_ in (False, True):
        scale = AxisScale(0.02, "mm", True, 2.5, reversed_)
        for count in (-251, -250, -125, -1, 0, 1, 124, 125, 130):
            turns, division = scale.reads(count * 0.02).split("+")
            assert 0 <= int(division) < 125
            total = int(turns) * 125 + int(division)
            assert total == (-count if reversed_ else count)


def test_a_dial_without_turns_counts_divisions() -> None:
    assert AxisScale(0.02, "mm", True).reads(-1.3) == "-65"


def test_a_readout_has_its_own_step() -> None:
    machine = shipped("cable-clip").workshop.machine
    assert scales_of(machine, "mm").x.reads(-12.345678) == "-12.35"
    inch = scales_of(machine, "inch").x
    assert inch.reads(inch.at(3)) == "0.0015"
    assert inch.reads(-0.0) == "0.0000"


def test_dials_make_the_drawing() -> None:
    job = on_machine(shipped("cable-clip"), dial=DIAL, backlash=(0.06, 0.1))
    dials = Dials(**(vars(DIALS) | {"backlash": (0.06, 0.1)}))
    sheet = hand_text(job, dials, 0.05)
    assert "The numbers of Y rise toward minus" in sheet.text
    assert "backlash taken off: X 0.06 mm, Y 0.1 mm" in sheet.text
    for verdict in sheet.judged().values():
        assert verdict.problems == ()


def test_backlash_that_nobody_measured_is_asked_for() -> None:
    sheet = hand_text(on_machine(shipped("cable-clip"), dial=DIAL, backlash=None), DIALS, 0.05)
    assert "backlash of this machine is not given" in sheet.text
    for verdict in sheet.judged().values():
        assert verdict.problems == ()


def test_forgotten_backlash_is_found() -> None:
    """Readings with it taken off, read as if it were not, stop short."""
    job = on_machine(shipped("cable-clip"), dial=DIAL, backlash=(0.3, 0.3))
    sheet = hand_text(job, DIALS, 0.025)
    assert any(v.problems for v in sheet.judged().values())


def test_an_inch_job(job_of: Callable[..., Job]) -> None:
    job = job_of(
        """
  [[setup.feature]]
  kind = "pocket"
  outline = { rectangle = [1.2, 0.8], centre = [0.1037, 0], round = 0.2 }
  depth = 0.1
  [[setup.feature]]
  kind = "hole"
  diameter = 0.25
  through = true
  at = [[-1.5, 0.7], [1.5, 0.7003]]
""",
        units="inch",
        stock="block = [4, 2.4, 0.4]",
        hold="board = 0.5",
        rack=[("end mill", 6.35), ("drill", 6.35), ("spot drill", 10)],
    )
    sheet = hand_text(job)
    assert "digital readout, in" in sheet.text
    assert "rounded to 0.0005 in" in sheet.text
    for verdict in sheet.judged().values():
        assert verdict.problems == ()


WORKSHOP = """\
units = "mm"
[machine]
spindle = {{ min = 100, max = 2000 }}
dial = {dial}
[[cutter]]
number = 1
kind = "end mill"
diameter = 6
"""


def _machine(tmp_path: Path, dial: str) -> Dial | None:
    path = tmp_path / "workshop.toml"
    path.write_text(WORKSHOP.format(dial=dial))
    return load_workshop(path).machine.dial


def test_dials_are_read(tmp_path: Path) -> None:
    assert _machine(tmp_path, "{ x = 0.02, y = 0.02 }") == Dial(divisions=(0.02, 0.02, None))
    whole = '{ x = 0.02, y = 0.025, z = 0.05, turn = { x = 2.5 }, reversed = ["z"] }'
    assert _machine(tmp_path, whole) == Dial(
        divisions=(0.02, 0.025, 0.05), turns=(2.5, None, None), reversed_axes=("z",)
    )


@pytest.mark.parametrize(
    ("dial", "said"),
    [
        ("{ x = 0.02 }", "y: is missing"),
        ("{ x = 0.02, y = 0 }", "dial.y"),
        ("{ x = 0.02, y = 0.02, turn = { x = 2.51 } }", "is 125.5 divisions of 0.02 mm"),
        ("{ x = 0.02, y = 0.02, turn = { z = 2 } }", "dial gives no division of Z"),
        ('{ x = 0.02, y = 0.02, reversed = ["a"] }', "reversed"),
        ("{ x = 0.02, y = 0.02, lead = 2 }", "lead"),
    ],
)
def test_faults_of_dials(tmp_path: Path, dial: str, said: str) -> None:
    with pytest.raises(JobError) as error:
        _machine(tmp_path, dial)
    assert said in "\n".join(f.message + f.place.key for f in error.value.faults) + str(error.value)
