"""The drawings beside the shipped jobs are those that the script draws."""

from __future__ import annotations

import importlib.util
import io
from pathlib import Path
from typing import Any

import pytest

from gcodekit.drawing import read_drawing
from gcodekit.drawing.assemble import assembled
from gcodekit.drawing.dxf import read_dxf

HERE = Path(__file__).parent
JOBS = HERE.parents[1] / "jobs"


def _beside() -> Any:
    spec = importlib.util.spec_from_file_location("demo", HERE / "demo_drawings.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


DRAWINGS = _beside().DRAWINGS


@pytest.mark.parametrize("name", DRAWINGS)
def test_a_shipped_drawing_is_as_drawn(name: str) -> None:
    stream = io.StringIO()
    DRAWINGS[name]().write(stream)
    drawn, shipped = read_dxf(stream.getvalue().encode(), name), read_drawing(JOBS / name, name)
    assert shipped.drawn_names == drawn.drawn_names
    for layer in drawn.drawn_names:
        rings = [assembled(d, layer, mm=1.0).region for d in (drawn, shipped)]
        assert rings[0] is not None
        assert rings[0] == rings[1]


def test_every_drawing_belongs_to_a_job() -> None:
    text = "".join(f.read_text(encoding="utf-8") for f in JOBS.glob("*.toml"))
    assert {f.name for f in JOBS.glob("*.dxf")} == set(DRAWINGS)
    assert all(f'"{name}"' in text for name in DRAWINGS)
