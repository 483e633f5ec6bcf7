"""What every test may use."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import settings

GOLDEN = Path(__file__).parent / "golden"

# Nothing here is timed: the machine may have other work.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--update-golden",
        action="store_true",
        help="write the golden files anew; look at the difference before you keep them",
    )


@pytest.fixture
def golden(request: pytest.FixtureRequest) -> Callable[[str, str], None]:
    """Compare a text with tests/golden/NAME; with --update-golden write it."""

    def compare(name: str, text: str) -> None:
        path = GOLDEN / name
        if request.config.getoption("--update-golden"):
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8", newline="\n")
        assert path.exists(), f"no golden file {name}: run with --update-golden and look at it"
        assert text == path.read_text(encoding="utf-8")

    return compare
