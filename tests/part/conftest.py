"""Plates, cutters and what features have in common, made by hand: no job file."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from gcodekit.errors import Place
from gcodekit.job.feature import Cutting, Depth, Feature
from gcodekit.job.holdings import Hold
from gcodekit.job.model import Setup
from gcodekit.job.raw_stock import RawStock
from gcodekit.trade.cutter import Cutter

PLATE = RawStock(shape="block", low=(0.0, 0.0, -10.0), high=(100.0, 60.0, 0.0))


def _cutter(diameter: float, kind: Any = "end mill", **more: Any) -> Cutter:
    return Cutter(
        number=1,
        name=f"{diameter:g} mm {kind}",
        kind=kind,
        diameter=diameter,
        flute_length=30.0,
        stickout=50.0,
        shank=diameter,
        **more,
    )


def _setup(*features: Feature, **more: Any) -> Setup:
    values: dict[str, Any] = {
        "name": "one",
        "place": Place("part.toml", 5),
        "raw": PLATE,
        "zero_text": "",
        "clearance": 5.0,
        "breakthrough": 0.5,
        "work_offset": 1,
        "hold": Hold(),
        "origin": (0.0, 0.0, 10.0),
    }
    return Setup(features=features, **values | more)


def _of(name: str = "it", *, floor: float | None = None, top: float = 0.0, **cutting: Any) -> Any:
    """What every feature has; without a floor it goes through the plate."""
    if floor is None:
        depth = Depth(top=top, floor=-10.0, through=True, cut_to=-10.5)
    else:
        depth = Depth(top=top, floor=floor, through=False, cut_to=floor)
    place = Place("part.toml", 9, key=f"setup 1.feature {name}")
    return {"name": name, "place": place, "depth": depth, "cutting": Cutting(**cutting)}


@pytest.fixture
def of() -> Callable[..., Any]:
    return _of


@pytest.fixture
def cutter() -> Callable[..., Cutter]:
    return _cutter


@pytest.fixture
def make_setup() -> Callable[..., Setup]:
    return _setup
