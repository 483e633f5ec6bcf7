"""Programs with one fault planted in each: the dry run names it, on its line and at its place; the
same program without it is clean.

`planted/` holds programs of real shape, each with a table of faults: which line stands there
instead (`was`, `now`; `also` for others that go with it), what is then to be said, and where:
on the first line put in unless `line` names another (0: of no line), `near` a place by `within` mm.
"""

from __future__ import annotations

import math
import re
import runpy
import shutil
import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from gcodekit.making.dryrun import dry_run

PLANTED = Path(__file__).parent / "planted"
TABLES = {p.stem: tomllib.loads(p.read_text("utf-8")) for p in sorted(PLANTED.glob("*.toml"))}
BASES = {name: table for name, table in TABLES.items() if "fault" in table}


def problems(name: str, lines: Sequence[str], folder: Path) -> list[dict[str, Any]]:
    """What the dry run says of a program in the setting of its base."""
    for file in PLANTED.glob("*.toml"):
        shutil.copy(file, folder)
    program = folder / f"{name}.nc"
    program.write_text("\n".join(lines), encoding="utf-8")
    table = BASES[name]
    against: dict[str, Any] = {k: tuple(table[k]) for k in ("block", "zero") if k in table}
    if "job" in table:
        against["job"] = folder / table["job"]
    else:
        against["workshop"] = folder / "shop.toml"
    found: list[dict[str, Any]] = dry_run(program, **against).document()["problems"]
    return found


def lines_of(name: str) -> list[str]:
    return (PLANTED / f"{name}.nc").read_text(encoding="utf-8").split("\n")


def edited(lines: Sequence[str], fault: dict[str, Any]) -> tuple[list[str], int]:
    """The program with the fault, and the number of the first line put in."""
    changed, first = list(lines), 0
    for was, now in ((fault["was"], fault["now"]), *fault.get("also", ())):
        (at,) = (i for i, line in enumerate(changed) if line.strip() == was)
        changed[at : at + 1] = now.split("\n") if now else []
        first = first or at + 1
    return changed, first


def line_asked(lines: Sequence[str], fault: dict[str, Any], first: int) -> int:
    """The line on which the fault is to be found: at or after the first one put in."""
    said = fault.get("line")
    if said is None:
        return first
    if said == 0:
        return 0
    found = [i for i, line in enumerate(lines, 1) if line.strip() == said]
    return next((i for i in found if i >= first), found[-1])


@pytest.mark.parametrize("name", BASES)
def test_sound(name: str, tmp_path: Path) -> None:
    assert problems(name, lines_of(name), tmp_path) == []


CASES = [
    pytest.param(name, fault, id=f"{name}: {fault['name']}")
    for name, table in BASES.items()
    for fault in table["fault"]
]


@pytest.mark.parametrize(("name", "fault"), CASES)
def test_fault(name: str, fault: dict[str, Any], tmp_path: Path) -> None:
    lines, first = edited(lines_of(name), fault)
    line = line_asked(lines, fault, first)
    found = problems(name, lines, tmp_path)
    asked = fault.get("severity", "error")
    hits = [p for p in found if fault["said"] in p["text"] and p["severity"] == asked]
    assert [p["line"] for p in hits][:1] == [line], found
    if "near" in fault:
        where = hits[0]["where"]
        assert where is not None
        assert math.dist(where, fault["near"]) <= fault["within"], where
    if asked == "warning" and not fault.get("errors", False):
        assert not [p for p in found if p["severity"] == "error"]
    # no fault fills the screen, and no text is said twice on a line, whatever its figures
    assert len(found) <= fault.get("most", 6), [p["text"] for p in found]
    bare = [(p["line"], re.sub(r"[-\d.]+", "0", p["text"])) for p in found]
    assert len(set(bare)) == len(bare)


def test_kinds_are_many() -> None:
    faults = [(n, f["name"], f["said"]) for n, t in BASES.items() for f in t["fault"]]
    assert len({(n, name) for n, name, _ in faults}) == len(faults)
    assert all(said for _, _, said in faults)
    assert len({re.sub(r"[-\d.]+", "0", said) for _, _, said in faults}) >= 60


READER = runpy.run_path(str(Path(__file__).parents[1] / "rs274" / "test_reader_errors.py"))


@pytest.mark.parametrize(("block", "column", "text"), READER["ERRORS"])
def test_an_error_of_the_language_in_a_whole_program(
    block: str, column: int, text: str, tmp_path: Path
) -> None:
    """The reader's own table: each is found on its line, and what the program leaves standing
    because of it is not said to be wrong too."""
    lines = lines_of("pocket")
    at = lines.index("M5") + 1
    changed = [*lines[:at], "G0 Z50", "X7 Y7", block, *lines[at:]]
    found = problems("pocket", changed, tmp_path)
    assert any(p["line"] == at + 3 and text in p["text"] for p in found), found
    assert not any("uncut in" in p["text"] for p in found)
    assert any("is not checked" in p["text"] for p in found)
