"""What a script may import from gcodekit itself."""

from __future__ import annotations

import subprocess
import sys
from importlib.metadata import version
from pathlib import Path

import pytest

import gcodekit

CLIP = Path(__file__).parents[1] / "jobs" / "cable-clip.toml"


@pytest.mark.parametrize("name", gcodekit.__all__)
def test_every_public_name_is_there(name: str) -> None:
    assert getattr(gcodekit, name).__doc__
    assert name in dir(gcodekit)


def test_other_names_are_not() -> None:
    with pytest.raises(AttributeError, match="module 'gcodekit' has no attribute 'plan'"):
        gcodekit.plan  # noqa: B018
    assert gcodekit.__version__ == version("gcodekit")


def test_it_comes_with_its_types() -> None:
    assert (Path(gcodekit.__file__).parent / "py.typed").is_file()


def test_importing_it_loads_nothing_heavy() -> None:
    heavy = "{'numpy', 'shapely', 'manifold3d', 'ezdxf'} & set(sys.modules)"
    code = f"import sys, gcodekit; sys.exit(bool({heavy}))"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_a_family_is_made_and_run_dry_from_one_file(tmp_path: Path) -> None:
    job = gcodekit.load_job(CLIP, dimensions={"pitch": 30})
    report = gcodekit.make(job, tmp_path)
    assert report.verdict == "pass", report.faults
    program = next(f for f in report.files if f.suffix == ".nc")
    assert "(made with pitch = 30)" in program.read_text()
    assert not gcodekit.dry_run(program, job=CLIP, dimensions={"pitch": 30}).faults
    other = gcodekit.dry_run(program, job=CLIP)
    assert any("made from another version" in f.message for f in other.faults)
    assert any(f.message.startswith("gouge") for f in other.faults)


def test_dimensions_come_too_late_for_a_job_that_is_read(tmp_path: Path) -> None:
    with pytest.raises(TypeError, match="give them to load_job"):
        gcodekit.make(gcodekit.load_job(CLIP), tmp_path, dimensions={"pitch": 30})


def test_a_job_at_fault_is_a_gcodekit_error(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text('units = "mm"\n')
    with pytest.raises(gcodekit.GcodekitError, match=r"job\.toml:\d+: "):
        gcodekit.load_job(path)
    assert gcodekit.make(path, tmp_path / "out").verdict == "fail"
