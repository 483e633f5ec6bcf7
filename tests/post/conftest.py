"""A small job, its machine and programs made by hand: no planner needed."""

from __future__ import annotations

import math
from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest

from gcodekit.errors import Place
from gcodekit.job.model import (
    Hold,
    Job,
    Machine,
    RawStock,
    Setup,
    Spindle,
    Stock,
    Workshop,
)
from gcodekit.planning.program import Operation, Program
from gcodekit.toolpath.moves import ArcFeed, Feed, HoleCycle, Move, Note, Rapid
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.materials import find_material

SAFE_Z = 15.0


def _cutter(number: int, name: str, kind: Any, diameter: float) -> Cutter:
    return Cutter(
        number=number,
        name=name,
        kind=kind,
        diameter=diameter,
        flute_length=15.0,
        stickout=30.0,
        shank=diameter,
        tip_angle=math.radians(118) if kind == "drill" else math.pi,
    )


MILL = _cutter(1, "6 mm slot drill", "end mill", 6.0)
DRILL = _cutter(2, "3.2 mm drill", "drill", 3.2)


def machine(**changes: Any) -> Machine:
    spindle = changes.pop("spindle", Spindle(slowest=100, fastest=2800))
    return Machine(name="Bench mill", spindle=spindle, **changes)


def job(mill: Machine | None = None, **changes: Any) -> Job:
    values: dict[str, Any] = {
        "name": "Polar axis plate",
        "file": "plate.toml",
        "path": Path("plate.toml"),
        "units": "mm",
        "material": find_material("aluminium"),
        "tolerance": 0.01,
        "stock": Stock(shape="block", size=(80.0, 50.0, 8.0)),
        "workshop": Workshop(
            file="workshop.toml", units="mm", machine=mill or machine(), cutters=(MILL, DRILL)
        ),
        "post": "rs274_full",
        "setups": (),
    }
    return Job(**values | changes)


def setup(**changes: Any) -> Setup:
    values: dict[str, Any] = {
        "name": "Top side",
        "place": Place("plate.toml", 9),
        "raw": RawStock(shape="block", low=(0.0, 0.0, -8.0), high=(80.0, 50.0, 0.0)),
        "zero_text": "x left, y front, z top",
        "clearance": 5.0,
        "breakthrough": 0.5,
        "work_offset": 1,
        "hold": Hold(),
        "features": (),
    }
    return Setup(**values | changes)


def milling(*moves: Move, speed: float = 2000.0, cutter: Cutter = MILL) -> Operation:
    return Operation(feature="pocket", label="rough", cutter=cutter, speed=speed, moves=moves)


POCKET: tuple[Move, ...] = (
    Rapid(10.0, 10.0),
    Rapid(z=1.0),
    Feed(10.0, 10.0, 0.0, 60.0),
    ArcFeed(10.0, 10.0, -1.5, 14.0, 10.0, True, 80.0),
    ArcFeed(10.0, 10.0, -1.5, 14.0, 10.0, True, 160.0),
    Feed(30.0, 10.0, -1.5, 160.0),
    ArcFeed(34.0, 14.0, -1.5, 30.0, 14.0, True, 160.0),
    Feed(34.0, 20.123456, -1.5, 160.0),
    Rapid(z=SAFE_Z),
)
HOLES: tuple[Move, ...] = (
    Rapid(50.0, 10.0),
    Rapid(z=2.0),
    HoleCycle("peck", 50.0, 10.0, 2.0, -9.5, 90.0, peck=3.0),
    Rapid(60.0, 10.0),
    HoleCycle("peck", 60.0, 10.0, 2.0, -9.5, 90.0, peck=3.0),
    Rapid(z=SAFE_Z),
    Rapid(60.0, 30.0),
    Rapid(z=2.0),
    HoleCycle("drill", 60.0, 30.0, 2.0, -4.0, 90.0),
    Rapid(z=SAFE_Z),
    Rapid(70.0, 30.0),
    Rapid(z=2.0),
    HoleCycle("drill", 70.0, 30.0, 2.0, -4.0, 90.0),
    Rapid(z=SAFE_Z),
)


def program(
    *operations: Operation, mill: Machine | None = None, safe_z: float = SAFE_Z, **changes: Any
) -> Program:
    of_job = {k: v for k, v in changes.items() if k in {f.name for f in fields(Job)}}
    of_setup = {k.removeprefix("setup_"): v for k, v in changes.items() if k.startswith("setup_")}
    return Program(
        job=job(mill, **of_job),
        setup=setup(**of_setup),
        safe_z=safe_z,
        operations=operations,
        touch_off=changes.get("touch_off", {}),
    )


def plate(mill: Machine | None = None, **changes: Any) -> Program:
    """Pocket with the mill, then holes with the drill."""
    pocket = milling(Note("helix in"), *POCKET)
    drilling = Operation(feature="holes", label="drill", cutter=DRILL, speed=1800, moves=HOLES)
    return program(pocket, drilling, mill=mill, **changes)


class Kit:
    """The makers above, for tests that cannot import them."""

    SAFE_Z, MILL, DRILL, POCKET, HOLES = SAFE_Z, MILL, DRILL, POCKET, HOLES
    machine = staticmethod(machine)
    job = staticmethod(job)
    setup = staticmethod(setup)
    milling = staticmethod(milling)
    program = staticmethod(program)
    plate = staticmethod(plate)


@pytest.fixture(scope="session")
def kit() -> type[Kit]:
    return Kit
