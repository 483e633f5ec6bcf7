"""Every kind of feature that is cut has its module here, of the same name."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

import gcodekit.target
from gcodekit.job.feature import Feature
from gcodekit.job.kinds import kinds
from gcodekit.target.kind_target import KindTarget, target_kind

CUT = [name for name, kind in kinds().items() if kind.read is not None]


def named(kind: str) -> Feature:
    return cast("Any", SimpleNamespace(kind=kind))  # a name is all that is asked of it


@pytest.mark.parametrize("kind", CUT)
def test_a_kind_is_found_by_its_name(kind: str) -> None:
    found = target_kind(named(kind))
    assert isinstance(found, KindTarget)
    assert type(found).__module__ == f"gcodekit.target.{kind}"
    assert target_kind(named(kind)) is found


def test_no_other_module_calls_itself_a_kind() -> None:
    modules = Path(gcodekit.target.__path__[0]).glob("*.py")
    assert {m.stem for m in modules if "\nTARGET: " in m.read_text(encoding="utf-8")} == set(CUT)
