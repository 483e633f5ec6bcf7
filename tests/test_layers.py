"""Imports go down only: the contracts in pyproject.toml hold."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[1]


def test_import_contracts(capsys: pytest.CaptureFixture[str], monkeypatch: Any) -> None:
    from importlinter.cli import lint_imports

    monkeypatch.chdir(ROOT)
    code = lint_imports(config_filename="pyproject.toml", no_cache=True)
    assert code == 0, capsys.readouterr().out
