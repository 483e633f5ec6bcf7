"""No key is accepted and then ignored: what a file says is read, and what is read is used."""

from __future__ import annotations

import ast
from collections.abc import Iterable
from pathlib import Path

import pytest

import gcodekit
from gcodekit.job.keys import feature_keys, job_keys, material_keys, outline_keys, workshop_keys
from gcodekit.job.keys.keys import KeyTable
from gcodekit.job.keys.kind_tables import inner_tables, kind_tables

ROOM = Path(gcodekit.__file__).parent
JOB = ROOM / "job"
# It tells of keys and reads none.
REFERENCE = JOB / "reference"
# Where what a file says is kept once it is read.
KINDS = tuple((JOB / "kinds").glob("*.py"))
MODELS = (
    JOB / "model.py",
    JOB / "feature.py",
    JOB / "raw_stock.py",
    JOB / "features" / "tabs.py",
    *KINDS,
    JOB / "workshop" / "machine.py",
    JOB / "holdings.py",
    JOB / "hole_shapes.py",
    ROOM / "trade" / "cutter.py",
    ROOM / "trade" / "materials.py",
)
# Fields that are used up while the job is read, or say where a figure comes from.
USED_IN_READING = {
    "as_drawn": "behind Setup.sure",
    "strangers": "behind Setup.shares_stock",
    "unknown": "told of a rim in job/broken_edges.py",
    "cutter_places": "where a fault of a cutter is said to be",
    "source_speeds": "the source of published figures",
    "source_chip": "the source of published figures",
    "source_kc": "the source of published figures",
}


def tables() -> list[KeyTable]:
    modules = (job_keys, outline_keys, workshop_keys, feature_keys, material_keys)
    found = [v for m in modules for v in vars(m).values() if isinstance(v, KeyTable)]
    return [*found, *inner_tables(), *kind_tables().values()]


def trees(files: Iterable[Path]) -> list[ast.AST]:
    return [ast.parse(f.read_text(encoding="utf-8")) for f in files]


def words_used(files: Iterable[Path]) -> set[str]:
    """Every string that stands in code, but for the key tables themselves."""
    return {
        n.value
        for tree in trees(files)
        for n in ast.walk(tree)
        if isinstance(n, ast.Constant) and isinstance(n.value, str)
    }


def unread(names: Iterable[str]) -> set[str]:
    """Keys that no reader asks a file for."""
    readers = [
        f
        for f in JOB.rglob("*.py")
        if not f.name.endswith("_keys.py") and f.name != "not_yet.py" and f.parent != REFERENCE
    ]
    return set(names) - words_used(readers)


def unused(models: Iterable[ast.AST]) -> set[str]:
    """Fields of models that nothing outside the reading of files looks at."""
    fields = {
        n.target.id
        for tree in models
        for c in ast.walk(tree)
        if isinstance(c, ast.ClassDef)
        for n in c.body
        if isinstance(n, ast.AnnAssign) and isinstance(n.target, ast.Name)
    }
    others = [f for f in ROOM.rglob("*.py") if JOB not in f.parents]
    looked_at = {
        n.attr
        for tree in trees(others)
        for n in ast.walk(tree)
        if isinstance(n, ast.Attribute) and isinstance(n.ctx, ast.Load)
    }
    return fields - looked_at


@pytest.mark.parametrize("table", tables(), ids=lambda t: t.header)
def test_every_key_is_asked_for(table: KeyTable) -> None:
    assert unread(table.names) == set()


def test_what_is_read_is_used() -> None:
    assert unused(trees(MODELS)) == set(USED_IN_READING)


def test_a_key_that_nothing_reads_is_seen() -> None:
    """Planted: a key that no reader asks for, and a field that nobody looks at."""
    assert unread(["feed_max", "spindle_colour"]) == {"spindle_colour"}
    planted = ast.parse("class Machine:\n    rapid: float\n    spindle_colour: str\n")
    assert unused([planted]) == {"spindle_colour"}
