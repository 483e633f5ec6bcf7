"""The stock of later set-ups held against solids cut in set-up order."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from gcodekit.job.load import load_job
from gcodekit.job.model import Job, Setup
from gcodekit.job.raw_stock import RawStock
from gcodekit.job.stock.frames import seen_axes
from gcodekit.making.check import stock_faults
from gcodekit.making.make import make
from gcodekit.planning.cutter_assignment import finished_with
from gcodekit.remaining.solid_frames import turned

HEAD = """\
name = "Yoke end"
units = "mm"
material = "aluminium"
[stock]
block = [30, 20, 30]
"""
ROUNDED = """\
[[setup]]
name = "on end"
up = "right"
zero = { x = "left + 10", y = "centre", z = "top" }
[setup.hold]
board = 12
[[setup.feature]]
kind = "arc"
centre = [0, 0]
radius = 10
start = 90
end = 270
side = "outside"
through = true
"""
TOP_UP = """\
[[setup]]
name = "top up"
zero = { x = "centre", y = "centre", z = "bottom" }
clearance = 2
[setup.hold]
vise = { grip = 12, jaw_width = 80, jaw_depth = 20, along = "x", parallels = 12 }
[[setup.feature]]
name = "slot"
kind = "slot"
from = [-6, 0]
to = [6, 0]
width = 4
top = "top"
depth = 3
"""


def written(folder: Path, text: str) -> Path:
    path = folder / "yoke.toml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize("up", ["top", "bottom", "front", "back", "left", "right"])
@pytest.mark.parametrize("quarters", [0, 1, 2, 3])
def test_both_opinions_turn_the_work_alike(up: str, quarters: int) -> None:
    """The contract's table of axes, and rotations worked out by themselves."""
    assert np.array_equal(turned(up, quarters * np.pi / 2), np.array(seen_axes(up, quarters)))


def test_a_block_rounded_from_the_side_is_as_high_as_its_arc(tmp_path: Path) -> None:
    outcome = make(written(tmp_path, HEAD + ROUNDED + TOP_UP), tmp_path / "out")
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]
    program = (tmp_path / "out" / "2-top-up.nc").read_text()
    heights = [float(w[1:]) for line in program.splitlines() if not line.startswith("(")
               for w in line.split() if w.startswith("Z")]  # fmt: skip
    assert min(heights) == pytest.approx(27, abs=1e-3)
    rapids = [line for line in program.splitlines() if line.startswith("G0") and "X" in line]
    assert rapids
    assert max(heights) >= 32


def lower(setup: Setup) -> Setup:
    """10 mm of the stock's height forgotten."""
    high = setup.left.high
    return replace(setup, cut_down=replace(setup.left, high=(high[0], high[1], high[2] - 10.0)))


def shorter(setup: Setup) -> Setup:
    left: RawStock = setup.left
    return replace(setup, cut_down=replace(left, low=(left.low[0] + 0.02, *left.low[1:])))


def uncut(setup: Setup) -> Setup:
    """What earlier set-ups took away forgotten."""
    return replace(setup, gone=())


def twice_turned(setup: Setup) -> Setup:
    """What the first set-up took seen the wrong way round."""
    gone = [replace_seen(r) for r in setup.gone]
    return replace(setup, gone=tuple(gone))


def replace_seen(removal: object) -> object:
    from gcodekit.job.stock.removed_stock import Removed

    assert isinstance(removal, Removed)
    x, y, z = removal.seen.shift
    return Removed(removal.slabs, replace(removal.seen, shift=(x + 3.0, y, z - 1.0)))


@pytest.mark.parametrize("plant", [lower, shorter, uncut, twice_turned])
def test_wrong_stock_is_a_fault_of_our_own(
    tmp_path: Path, plant: Callable[[Setup], Setup], monkeypatch: pytest.MonkeyPatch
) -> None:
    job, cuts, faults = finished_with(load_job(written(tmp_path, HEAD + ROUNDED + TOP_UP)))
    assert not faults
    assert stock_faults(job, cuts) == ()
    wrong: Job = replace(job, setups=(job.setups[0], plant(job.setups[1])))
    (fault,) = stock_faults(wrong, cuts)
    assert fault.severity == "error"
    assert "a defect of gcodekit, not of the job" in fault.hint
    assert "top up" in fault.message


def test_planning_with_wrong_limits_leaves_no_program(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Planted where planning and proof both look: no run passes."""
    from gcodekit.job import setups

    right = setups.limits_left

    def planted(*given: object) -> object:
        found = right(*given)  # type: ignore[arg-type]  # handed on as it comes
        assert found is not None
        (low, high) = found
        return low, (high[0], high[1], high[2] - 10.0)

    monkeypatch.setattr(setups, "limits_left", planted)
    outcome = make(written(tmp_path, HEAD + ROUNDED + TOP_UP), tmp_path / "out")
    assert outcome.verdict == "fail"
    assert not list((tmp_path / "out").glob("*.nc"))
    assert any("top of the stock" in f.message for f in outcome.faults)
    assert any("20 mm" in f.message and "30 mm" in f.message for f in outcome.faults)
