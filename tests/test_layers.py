"""Imports go down only: the contracts in pyproject.toml hold. And what proves a program takes from
features no more than what is drawn."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[1]
# What a feature works out of its drawing for the planner.
WORKED_OUT = {
    "taken_area",
    "all_round",
    "freed",
    "standing",
    "zero_lost",
    "clears_top",
    "kerf",
    "radii",
    "stroke_chains",
    "laid_out",
    "depth_with",
}
KINDS = "gcodekit.job.kinds."
# Modules that are part of what is known of one kind.
PART_OF = {"cutter_side": "profile", "tab_spread": "profile", "tab_metal": "profile"}


def test_import_contracts(capsys: pytest.CaptureFixture[str], monkeypatch: Any) -> None:
    from importlinter.cli import lint_imports

    monkeypatch.chdir(ROOT)
    code = lint_imports(config_filename="pyproject.toml", no_cache=True)
    assert code == 0, capsys.readouterr().out


def sources(*packages: str) -> Iterator[tuple[str, ast.Module]]:
    """Every module, by its path in the package, as it is written."""
    for package in packages:
        for path in sorted((ROOT / "gcodekit" / package).rglob("*.py")):
            name = path.relative_to(ROOT / "gcodekit").as_posix()
            yield name, ast.parse(path.read_text(encoding="utf-8"))


def worked_out(name: str, tree: ast.Module) -> set[tuple[str, str]]:
    """Where a module asks for what a feature works out."""
    return {
        (name, ast.unparse(node))
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and node.attr in WORKED_OUT
    }


def test_what_proves_asks_features_for_their_drawing_alone() -> None:
    found = {use for name, tree in sources("target", "remaining", "proof")
             for use in worked_out(name, tree)}  # fmt: skip
    assert not found


@pytest.mark.parametrize("what", sorted(WORKED_OUT))
def test_features_have_what_is_not_to_be_asked(what: str) -> None:
    """Renamed it would be missed."""
    drawn = [tree for _, tree in sources("job/kinds", "job/features")]
    drawn.append(ast.parse((ROOT / "gcodekit/job/feature.py").read_text(encoding="utf-8")))
    names = {n.name for tree in drawn for n in ast.walk(tree) if isinstance(n, ast.FunctionDef)}
    assert what in names


def kinds_named(tree: ast.Module) -> set[str]:
    """The kinds of feature whose modules a module imports from."""
    froms = [n.module or "" for n in ast.walk(tree) if isinstance(n, ast.ImportFrom)]
    return {name.removeprefix(KINDS) for name in froms if name.startswith(KINDS)}


def test_a_kind_is_known_to_its_own_modules_alone() -> None:
    for name, tree in sources("target", "remaining"):
        own = Path(name).stem
        assert kinds_named(tree) <= {PART_OF.get(own, own)}, name
