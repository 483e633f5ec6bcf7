"""Broken and hostile drawings end in a fault that says what they are.

What they cost is measured by tests/benchmarks/hostile_drawings.py.
"""

from __future__ import annotations

import importlib.util
from pathlib import Path
from typing import Any

import pytest

from gcodekit.drawing import read_drawing
from gcodekit.drawing.listing import listed
from gcodekit.errors import DrawingError

HERE = Path(__file__).parent


def _beside() -> Any:
    spec = importlib.util.spec_from_file_location("hostile", HERE / "hostile_drawings.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


HOSTILE = _beside().HOSTILE
# said of a job that names them; the drawing is sound, and holds nothing
ONLY_OF_JOBS = ("has no line of any length",)


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_drawing_is_refused_by_name(name: str, tmp_path: Path) -> None:
    hostile = HOSTILE[name]
    path = tmp_path / f"it{hostile.ending}"
    path.write_bytes(hostile.make())
    try:
        faults = listed(read_drawing(path, path.name)).faults
    except DrawingError as error:
        faults = error.faults
    texts = [str(f) for f in faults]
    if hostile.said in ONLY_OF_JOBS:
        assert any("no length:" in t for t in texts)
    else:
        assert any(hostile.said in t for t in texts), texts
    assert all(t.startswith(f"it{hostile.ending}:") for t in texts)


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda p: p.mkdir(), "is not a file"),
        (lambda p: None, "no such file"),
        (lambda p: p.symlink_to("/dev/zero"), "is not a file"),
    ],
)
def test_what_is_no_file(make: Any, said: str, tmp_path: Path) -> None:
    path = tmp_path / "it.dxf"
    make(path)
    with pytest.raises(DrawingError, match=said):
        read_drawing(path, "it.dxf")


def test_a_gigabyte_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "it.dxf"
    with path.open("wb") as file:
        file.truncate(2**30)
    with pytest.raises(DrawingError, match="is larger than 16 MB"):
        read_drawing(path, "it.dxf")
