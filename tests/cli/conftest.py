"""A command line run as a user types it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from gcodekit.cli.app import main


class Ended(NamedTuple):
    """How a command ended, and what it printed."""

    code: int
    out: str
    err: str


@pytest.fixture
def run(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Callable[..., Ended]:
    """Run the command with these words."""
    monkeypatch.delenv("GCODEKIT_POSTS", raising=False)

    def go(*arguments: str | Path) -> Ended:
        with pytest.raises(SystemExit) as ended:
            main([str(a) for a in arguments])
        code = ended.value.code
        return Ended(code if isinstance(code, int) else 0, *capsys.readouterr())

    return go
