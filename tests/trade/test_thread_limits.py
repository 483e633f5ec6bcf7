"""Limits of threads against the printed tables of ISO 965-1 and ISO 724, and the check values of
the thread table."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from gcodekit.trade.size_limits import UnknownFitError
from gcodekit.trade.thread_limits import thread_limits

TABLE = tomllib.loads((Path(__file__).parent / "threads.toml").read_text("utf-8"))
# The tables give R 40 numbers: each is up to 3 % from what the formula gives before rounding, and a
# few were moved by a step. Preferred numbers R 40: steps of 10 ** (1 / 40), 6 %.
STEP = 0.06


@pytest.mark.parametrize("row", TABLE["metric_coarse"], ids=lambda row: row["name"])
def test_minor_diameters_of_coarse_threads(row: dict[str, float]) -> None:
    found = thread_limits(major=row["major"], pitch=row["pitch"], fit="6H", internal=True)
    assert found.crest[0] == pytest.approx(row["D1"], abs=0.0006)
    assert found.crest[1] - found.crest[0] == pytest.approx(row["TD1_6H"], rel=STEP)
    assert found.effective[0] == pytest.approx(row["D2"], abs=0.0006)


# major, pitch, class: tolerance of the pitch diameter, of the crests, deviation; micrometres.
# ISO 965-1, tables of fundamental deviations and tolerances, from memory.
ISO_965_1 = [
    (6, 1, "6H", True, 150, 236, 0),
    (10, 1.5, "6H", True, 180, 300, 0),
    (20, 1.5, "6H", True, 190, 300, 0),
    (20, 2.5, "6H", True, 224, 450, 0),
    (30, 3.5, "6H", True, 280, 560, 0),
    (20, 1.5, "5H", True, 150, 236, 0),
    (20, 1.5, "7H", True, 236, 375, 0),
    (20, 1.5, "6G", True, 190, 300, 32),
    (6, 1, "6g", False, 112, 180, 26),
    (10, 1.5, "6g", False, 132, 236, 32),
    (20, 1.5, "6g", False, 140, 236, 32),
    (20, 2.5, "6g", False, 170, 335, 42),
    (30, 3.5, "6g", False, 212, 425, 53),
    (20, 1.5, "4h", False, 90, 150, 0),
    (20, 1.5, "8g", False, 224, 375, 32),
]


@pytest.mark.parametrize("row", ISO_965_1, ids=lambda row: f"{row[0]}x{row[1]} {row[2]}")
def test_tolerances_of_the_standard(
    row: tuple[float, float, str, bool, float, float, float],
) -> None:
    major, pitch, fit, internal, effective, crest, off = row
    found = thread_limits(major=major, pitch=pitch, fit=fit, internal=internal)
    assert 1000 * (found.effective[1] - found.effective[0]) == pytest.approx(effective, rel=STEP)
    assert 1000 * (found.crest[1] - found.crest[0]) == pytest.approx(crest, rel=STEP)
    basic = major - 0.649519 * pitch
    near = found.effective[0] - basic if internal else basic - found.effective[1]
    assert 1000 * near == pytest.approx(off, abs=1.1)


def test_limits_of_a_known_thread() -> None:
    """M20x1.5-6g: pitch diameter 18.854 to 18.994, major 19.732 to 19.968 (ISO 965-2 tables of
    limits of sizes, from memory)."""
    found = thread_limits(major=20, pitch=1.5, fit="6g", internal=False)
    assert found.effective == pytest.approx((18.854, 18.994), abs=0.002)
    assert found.crest == pytest.approx((19.732, 19.968), abs=0.004)


def test_roots_lie_between_the_basic_profile_and_sharp_flanks() -> None:
    """ISO 68-1: H = 0.866025 P; sharp flanks meet H / 2 beyond the pitch line."""
    inside = thread_limits(major=20, pitch=1.5, fit="6H", internal=True)
    assert inside.root[0] == 20
    assert inside.root[1] == pytest.approx(inside.effective[1] + 0.866025 * 1.5)
    outside = thread_limits(major=20, pitch=1.5, fit="6h", internal=False)
    assert outside.root[1] == pytest.approx(20 - 1.082532 * 1.5, abs=1e-5)


def test_too_coarse_a_pitch_is_refused() -> None:
    with pytest.raises(UnknownFitError):
        thread_limits(major=2, pitch=2, fit="6H", internal=True)
