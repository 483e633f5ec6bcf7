"""Plates, cutters and features made by hand: no job file, no planner."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from gcodekit.errors import Place
from gcodekit.job.feature import Cutting, Depth, Feature
from gcodekit.job.holdings import Hold
from gcodekit.job.model import Job, Setup
from gcodekit.job.raw_stock import RawStock, Stock
from gcodekit.job.workshop.machine import Machine, Spindle, Workshop
from gcodekit.target.demand import FeatureCutters
from gcodekit.target.target import Target, target_of
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.materials import find_material

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


def _job(*setups: Setup) -> Job:
    return Job(
        name="part",
        file="part.toml",
        path=Path("part.toml"),
        units="mm",
        material=find_material("aluminium"),
        tolerance=0.01,
        stock=Stock(shape="block", size=(100.0, 60.0, 10.0)),
        workshop=Workshop(
            file="workshop.toml",
            units="mm",
            machine=Machine(name="mill", spindle=Spindle(slowest=100, fastest=3000)),
            cutters=(),
        ),
        post="rs274_full",
        setups=setups,
    )


def _of(name: str = "it", *, floor: float | None = None, top: float = 0.0, **cutting: Any) -> Any:
    """What every feature has; without a floor it goes through the plate."""
    if floor is None:
        depth = Depth(top=top, floor=-10.0, through=True, cut_to=-10.5)
    else:
        depth = Depth(top=top, floor=floor, through=False, cut_to=floor)
    place = Place("part.toml", 9, key=f"setup 1.feature {name}")
    return {"name": name, "place": place, "depth": depth, "cutting": Cutting(**cutting)}


def _target(
    features: Feature | list[Feature],
    cuts: FeatureCutters | dict[str, FeatureCutters],
    **setup: Any,
) -> Target:
    listed = features if isinstance(features, list) else [features]
    made = _setup(*listed, **setup)
    by_name = cuts if isinstance(cuts, dict) else {f.name: cuts for f in listed}
    return target_of(_job(made), made, by_name)


@pytest.fixture
def of() -> Callable[..., Any]:
    return _of


@pytest.fixture
def cutter() -> Callable[..., Cutter]:
    return _cutter


@pytest.fixture
def make_setup() -> Callable[..., Setup]:
    return _setup


@pytest.fixture
def make_job() -> Callable[..., Job]:
    return _job


@pytest.fixture
def target() -> Callable[..., Target]:
    return _target


@pytest.fixture
def drill() -> Callable[..., Cutter]:
    def make(diameter: float, angle: float = 118.0, kind: Any = "drill") -> Cutter:
        return replace(_cutter(diameter, kind), tip_angle=math.radians(angle))

    return make
