"""A small job, its machine and programs made by hand: no planner needed."""

from __future__ import annotations

import math
from dataclasses import fields, replace
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from gcodekit.errors import Place
from gcodekit.job.holdings import Hold
from gcodekit.job.model import Job, Setup
from gcodekit.job.raw_stock import RawStock, Stock
from gcodekit.job.workshop.machine import Machine, Spindle, Workshop
from gcodekit.planning.program import Operation, Program
from gcodekit.rs274 import read_program
from gcodekit.toolpath.moves import ArcFeed, Comment, Feed, HoleCycle, Move, OperatorStop, Rapid
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
    pocket = milling(Comment("helix in"), *POCKET)
    drilling = Operation(feature="holes", label="drill", cutter=DRILL, speed=1800, moves=HOLES)
    return program(pocket, drilling, mill=mill, **changes)


class Leg(NamedTuple):
    """A line, or with a sweep other than 0 an arc or helix about (cx, cy)."""

    start: tuple[float, float, float]
    end: tuple[float, float, float]
    cx: float = 0.0
    cy: float = 0.0
    sweep: float = 0.0

    def at(self, share: float) -> tuple[float, float, float]:
        z = self.start[2] + (self.end[2] - self.start[2]) * share
        if not self.sweep:
            x, y = (a + (b - a) * share for a, b in zip(self.start[:2], self.end[:2], strict=True))
            return x, y, z
        radius = math.dist(self.start[:2], (self.cx, self.cy))
        angle = math.atan2(self.start[1] - self.cy, self.start[0] - self.cx) + self.sweep * share
        return self.cx + radius * math.cos(angle), self.cy + radius * math.sin(angle), z

    def shares(self, point: tuple[float, float, float]) -> list[float]:
        """How far along the leg may be nearest to a point."""
        run = [b - a for a, b in zip(self.start, self.end, strict=True)]
        shares = [0.0, 1.0]
        if not self.sweep:
            square = math.fsum(c * c for c in run)
            to = [p - s for p, s in zip(point, self.start, strict=True)]
            along = math.fsum(u * v for u, v in zip(run, to, strict=True))
            return [*shares, along / square] if square else shares
        turned = math.atan2(point[1] - self.cy, point[0] - self.cx) - math.atan2(
            self.start[1] - self.cy, self.start[0] - self.cx
        )
        shares.append((turned * math.copysign(1, self.sweep) % math.tau) / abs(self.sweep))
        return [*shares, (point[2] - self.start[2]) / run[2]] if run[2] else shares

    def distance(self, point: tuple[float, float, float]) -> float:
        shares = (min(1.0, max(0.0, s)) for s in self.shares(point))
        return min(math.dist(point, self.at(s)) for s in shares)


def planned_legs(moves: tuple[Move, ...]) -> list[Leg]:
    legs: list[Leg] = []
    place = (0.0, 0.0, 2.0)
    for move in moves:
        if isinstance(move, Rapid):
            place = tuple(
                n if n is not None else o
                for n, o in zip((move.x, move.y, move.z), place, strict=True)
            )  # type: ignore[assignment]  # three floats again
            continue
        if isinstance(move, Comment | OperatorStop):
            continue
        end = (move.x, move.y, move.bottom if isinstance(move, HoleCycle) else move.z)
        if isinstance(move, Feed):
            legs.append(Leg(place, end))
        elif isinstance(move, HoleCycle):
            end = (move.x, move.y, move.retract)
            legs.append(Leg(end, (move.x, move.y, move.bottom)))
        elif isinstance(move, ArcFeed):
            a0 = math.atan2(place[1] - move.cy, place[0] - move.cx)
            a1 = math.atan2(move.y - move.cy, move.x - move.cx)
            turn = (a1 - a0 if move.ccw else a0 - a1) % math.tau
            if math.dist(place[:2], end[:2]) < 1e-7:
                turn = math.tau
            legs.append(Leg(place, end, move.cx, move.cy, turn if move.ccw else -turn))
        place = end
    return legs


def read_legs(text: str, units: Any = "mm") -> list[Leg]:
    """Whatever is cut below the safe height."""
    moves = read_program(text, "t.nc", units=units).moves
    cutting = (m for m in moves if m.kind != "rapid" and min(m.start[2], m.end[2]) < SAFE_Z - 0.01)
    return [
        Leg(m.start, m.end, *m.curve.centre[:2], m.curve.sweep) if m.curve else Leg(m.start, m.end)
        for m in cutting
    ]


def length(leg: Leg) -> float:
    """Along the path."""
    turn = math.dist(leg.start[:2], (leg.cx, leg.cy)) * leg.sweep
    return math.hypot(turn, leg.end[2] - leg.start[2]) if turn else math.dist(leg.start, leg.end)


def points(leg: Leg) -> list[tuple[float, float, float]]:
    """Its ends and some between: half a millimetre apart, at most sixteen steps."""
    steps = min(16, max(2, math.ceil(2 * length(leg))))
    return [leg.at(i / steps) for i in range(steps + 1)]


def strays(of: list[Leg], others: list[Leg], near: float) -> list[tuple[float, float, float]]:
    """The points of one path that are further than `near` from the other path."""
    found, last = [], 0
    for point in (p for leg in of for p in points(leg)):
        order = (*range(last, len(others)), *range(last))
        hit = next((i for i in order if others[i].distance(point) <= near), None)
        if hit is None:
            found.append(point)
        else:
            # the next point is most likely near the same leg
            last = hit
    return found


def of_cutter(whole: Program, number: int | None) -> Program:
    """The part of a program that one cutter does; all of it for None."""
    mine = tuple(o for o in whole.operations if number in (None, o.cutter.number))
    return replace(whole, operations=mine)


class Kit:
    """The makers above, for tests that cannot import them."""

    SAFE_Z, MILL, POCKET = SAFE_Z, MILL, POCKET
    machine = staticmethod(machine)
    milling = staticmethod(milling)
    program = staticmethod(program)
    plate = staticmethod(plate)
    of_cutter = staticmethod(of_cutter)
    planned_legs = staticmethod(planned_legs)
    read_legs = staticmethod(read_legs)
    strays = staticmethod(strays)
    length = staticmethod(length)


@pytest.fixture(scope="session")
def kit() -> type[Kit]:
    return Kit
