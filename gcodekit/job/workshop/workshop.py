"""The workshop file: the machine and its rack. A job that names none gets a small bench mill."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any, Literal, cast

from gcodekit.errors import FaultList, JobError
from gcodekit.job.document.document import read_document
from gcodekit.job.document.wording import shown
from gcodekit.job.keys import workshop_keys
from gcodekit.job.keys.amounts import FileSource
from gcodekit.job.keys.keys import KeyTable
from gcodekit.job.keys.reading import Table
from gcodekit.job.workshop.dials import read_dial
from gcodekit.job.workshop.machine import AXES, Machine, Spindle, Workshop
from gcodekit.job.workshop.own_materials import read_materials
from gcodekit.job.workshop.rack import read_cutters
from gcodekit.units import Units

BENCH_MILL = Path(__file__).parents[1] / "data" / "bench_mill.toml"


def load_workshop(path: Path, *, shown_as: str | None = None) -> Workshop:
    """The workshop that a file describes.

    Raises
    ------
    JobError
        every fault of the file
    """
    workshop, faults = read_workshop(path, shown_as=shown_as or str(path))
    if workshop is None or faults.errors:
        raise JobError(faults.errors)
    return workshop


@cache
def bench_mill() -> Workshop:
    """The small bench mill that stands in for a workshop file."""
    return load_workshop(BENCH_MILL, shown_as="the built-in bench mill")


def read_workshop(path: Path, *, shown_as: str) -> tuple[Workshop | None, FaultList]:
    """The workshop, if enough of it can be read, and every fault."""
    faults = FaultList()
    try:
        document = read_document(path, shown_as)
    except JobError as fault:
        faults.faults.extend(fault.faults)
        return None, faults
    top = Table(FileSource(document, faults), (), document.data, workshop_keys.WORKSHOP)
    units = cast("Units | None", top.checked().choice("units"))
    top = Table(
        FileSource(document, faults, units or "mm"), (), document.data, workshop_keys.WORKSHOP
    )
    table = top.table("machine", workshop_keys.MACHINE)
    machine = _machine(table) if table is not None else None
    cutters, places = read_cutters(top)
    materials = read_materials(top)
    if machine is None or units is None:
        return None, faults
    workshop = Workshop(
        file=shown_as,
        units=units,
        machine=machine,
        cutters=cutters,
        cutter_places=places,
        materials=materials,
    )
    return workshop, faults


def _machine(table: Table) -> Machine | None:
    spindle = table.table("spindle", workshop_keys.SPINDLE)
    turning = _spindle(spindle) if spindle is not None else None
    words: dict[str, Any] = {
        name: table.choice(name) for name in ("tool_change", "tool_length", "coolant")
    }
    words["rigidity"] = _rigidity(table)
    rapid, feed_max = table.feed("rapid"), table.feed("feed_max")
    acceleration, converted = table.acceleration("acceleration"), table.texts("converted")
    if words["tool_length"] == "table" and "z" not in (converted or AXES):
        hint = 'write "touch off"'
        table.error("tool_length", "Z is on its handwheel: no length offset moves it", hint)
    name, post = table.text("name"), table.text("post")
    edge_finder = table.length("edge_finder")
    feeler = table.length("feeler")
    backlash = _axes(table, "backlash", workshop_keys.BACKLASH)
    park, park_z = _park(table)
    dial = read_dial(table, converted or AXES)
    travel = _travel(table)
    if turning is None or None in words.values():
        return None
    if rapid is None or feed_max is None or acceleration is None or converted is None:
        return None
    return Machine(
        name=name or "mill",
        post=post or "rs274_full",
        travel=travel,
        rapid=rapid,
        feed_max=feed_max,
        acceleration=acceleration,
        spindle=turning,
        converted=converted,
        backlash=backlash,
        park=park,
        park_z=park_z,
        edge_finder=edge_finder,
        dial=dial,
        feeler=feeler,
        **words,
    )


def _rigidity(table: Table) -> str | float | None:
    """A word, or the depth it takes, mm."""
    value = table.raw("rigidity")
    words = next(k.choices for k in workshop_keys.MACHINE.keys if k.name == "rigidity")
    arithmetic = isinstance(value, str) and any(c.isdigit() for c in value)
    if arithmetic or (isinstance(value, int | float) and not isinstance(value, bool)):
        return table.length("rigidity")
    if value is None or value in words:
        return table.choice("rigidity")
    if isinstance(value, str):
        return table.choice("rigidity")
    hint = 'use "light", "medium", "heavy", or the depth of cut it takes'
    table.error("rigidity", f"{shown(value)} is not a rigidity", hint)
    return None


def _axes(table: Table, name: str, keys: KeyTable) -> tuple[float, float] | None:
    pair = table.table(name, keys)
    if pair is None:
        return None
    x, y = pair.length("x"), pair.length("y")
    return None if x is None or y is None else (x, y)


def _park(table: Table) -> tuple[tuple[float, float] | None, float | None]:
    """Its x and y, and its z; either may be left out."""
    park = table.table("park", workshop_keys.PARK)
    if park is None:
        return None, None
    x, y, z = park.length("x"), park.length("y"), park.length("z")
    for axis, other in (("x", "y"), ("y", "x")):
        if park.has(axis) and not park.has(other):
            park.error(other, "is missing", f"add it: program {other.upper()}")
    if not any(park.has(axis) for axis in "xyz"):
        table.error("park", "is empty", "give x and y, or z, or all three")
    return None if x is None or y is None else (x, y), z


def _travel(table: Table) -> tuple[float, float, float] | None:
    travel = table.table("travel", workshop_keys.TRAVEL)
    if travel is None:
        return None
    x, y, z = travel.length("x"), travel.length("y"), travel.length("z")
    return None if x is None or y is None or z is None else (x, y, z)


def _spindle(table: Table) -> Spindle | None:
    """Speeds from `min` and `max`, or the steps of `speeds`."""
    steps = tuple(sorted(table.numbers("speeds") or ())) if table.has("speeds") else ()
    slowest, fastest = table.speed("min"), table.speed("max")
    if steps and (slowest is not None or fastest is not None):
        table.error("speeds", "min and max are given too", "remove them, or speeds")
    elif steps:
        slowest, fastest = steps[0], steps[-1]
    elif not table.has("speeds"):
        for key in ("min", "max"):
            if not table.has(key):
                table.error(key, "is missing", "give min and max, or speeds = [...]")
    power, start_time = table.number("power"), table.number("start_time")
    if slowest is None or fastest is None:
        return None
    if slowest > fastest:
        table.error("min", f"{slowest:g} is greater than max, {fastest:g}", "swap them")
    by_hand = table.choice("by")
    return Spindle(
        slowest=slowest,
        fastest=fastest,
        power=power,
        steps=steps,
        by_hand=cast("Literal['hand'] | None", by_hand) == "hand",
        reverse=table.flag("reverse"),
        start_time=start_time or 0.0,
    )
