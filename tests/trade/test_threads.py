"""Threads by name: sizes and tapping drills against the standards' figures."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from gcodekit.trade.cutter import Cutter
from gcodekit.trade.threads import cuts_thread, find_thread, near_threads, threads

PUBLISHED = tomllib.loads((Path(__file__).parent / "threads.toml").read_text(encoding="utf-8"))
SERIES = ("metric_coarse", "metric_fine", "ba", "me", "unified")
ROWS = [row for series in SERIES for row in PUBLISHED[series]]


# Every row of threads.toml; its sources stand there, row by row.
@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["name"])
def test_a_thread_measures(row: dict[str, Any]) -> None:
    thread = find_thread(row["name"])
    assert thread is not None
    assert thread.major == pytest.approx(row["major"], abs=0.00006)
    assert thread.pitch == pytest.approx(row["pitch"], abs=0.00006)
    assert thread.minor == pytest.approx(row.get("D1", row.get("core")), abs=0.0006)
    for key in ("D2", "effective"):
        assert thread.effective == pytest.approx(row.get(key, thread.effective), abs=0.0006)
    for key in ("d3", "core"):
        assert thread.core == pytest.approx(row.get(key, thread.core), abs=0.0006)
    if "tap_drill" in row:
        assert thread.tap_drill == pytest.approx(row["tap_drill"], abs=0.0006)
        percent = thread.engagement(row["tap_drill"])
        assert percent == pytest.approx(row["engagement_percent"], abs=0.51)
    if "drill_at_75_percent" in row:
        assert thread.drill_for(75) == pytest.approx(row["drill_at_75_percent"], abs=0.006)
    if "engagement_percent_1299_base" in row:
        older = 100 * (thread.major - thread.tap_drill) / (1.299038 * thread.pitch)
        assert older == pytest.approx(row["engagement_percent_1299_base"], abs=0.51)


def test_every_thread_of_the_table_is_published() -> None:
    assert {row["name"] for row in ROWS} == {thread.name for thread in threads()}


def test_the_older_metric_drills_differ_only_where_they_are_said_to() -> None:
    older = dict(PUBLISHED["coarse_drill_alternative"][0])
    sizes = {name: drill for name, drill in older.items() if name.startswith("M")}
    found = {name: thread.tap_drill for name in sizes if (thread := find_thread(name))}
    assert {n for n in sizes if sizes[n] != found[n]} == {"M8", "M12"}
    assert all(abs(sizes[n] - found[n]) <= 0.051 for n in sizes)


@pytest.mark.parametrize("row", PUBLISHED["ba"], ids=lambda row: row["name"])
def test_british_association_threads_follow_their_rule(row: dict[str, Any]) -> None:
    # BS 93: pitch 0.9^k mm, major 6 p^1.2 mm, each rounded to two significant figures
    thread, k = find_thread(row["name"]), row["number"]
    assert thread is not None
    assert row["pitch_unrounded"] == pytest.approx(0.9**k, abs=6e-6)
    assert row["major_unrounded"] == pytest.approx(6 * 0.9 ** (1.2 * k), abs=6e-5)
    assert thread.pitch == pytest.approx(0.9**k, abs=0.0051)
    assert thread.major == pytest.approx(6 * 0.9 ** (1.2 * k), abs=0.051)


@pytest.mark.parametrize(
    ("word", "hint"),
    [
        ("M9", "the nearest are M8 and M10"),
        ("M40", "the nearest is M20"),
        ("M4x0.6", "the nearest are M4 and M4x0.5"),
        ("2 BAA", "did you mean 2BA?"),
        ("#8 UND", "did you mean #8-36 UNF?"),
        ("", "it has M1.6 to M20, 0BA to 10BA"),
    ],
)
def test_what_is_near_an_unknown_thread(word: str, hint: str) -> None:
    assert near_threads(word).startswith(hint)


@pytest.mark.parametrize("thread", threads(), ids=lambda t: t.name)
def test_a_tapping_drill_leaves_a_thread(thread) -> None:  # type: ignore[no-untyped-def]  # table
    # ISO 724: D1 = d - 1.0825 P; the drill is no smaller by more than what a tap still takes out,
    # and leaves 60 to 101 percent (common practice, no source)
    assert thread.minor == pytest.approx(thread.major - thread.depth * thread.pitch, abs=0.0011)
    assert 60 <= thread.engagement(thread.tap_drill) <= 101
    assert thread.drill_for(thread.engagement(thread.tap_drill)) == pytest.approx(thread.tap_drill)
    assert find_thread(thread.name) is thread


@pytest.mark.parametrize(
    ("word", "name"),
    [
        ("m4", "M4"),
        ("M4x0.7", "M4"),
        ("M4 × 0.7", "M4"),
        ("M8 x 1", "M8x1"),
        ("2 ba", "2BA"),
        ("8-32", "#8-32 UNC"),
        ("#8 UNF", "#8-36 UNF"),
        ("1/4-28", "1/4-28 UNF"),
        ("1/4 UNC", "1/4-20 UNC"),
        ("1/4x40", "1/4 x 40"),
        ("1/4-40 ME", "1/4 x 40"),
    ],
)
def test_a_thread_is_found_as_people_write_it(word: str, name: str) -> None:
    thread = find_thread(word)
    assert thread is not None
    assert thread.name == name


@pytest.mark.parametrize("word", ["", "M", "M4.2", "M4x0.6", "G1/4", "1/4", "BA"])
def test_what_is_no_thread_of_the_table(word: str) -> None:
    assert find_thread(word) is None


@pytest.mark.parametrize(
    ("kind", "diameter", "pitch", "able"),
    [
        pytest.param("tap", 4.0, 0.7, True, id="the tap"),
        pytest.param("tap", 4.0, 0.75, False, id="another pitch"),
        pytest.param("tap", 4.2, 0.7, False, id="another size"),
        pytest.param("thread mill", 4.0, 0.7, False, id="no tap"),
        pytest.param("tap", 4.0, None, False, id="no pitch known"),
    ],
)
def test_a_tap_is_for_one_thread(
    kind: str, diameter: float, pitch: float | None, able: bool
) -> None:
    tap = Cutter(
        number=1,
        name="tap",
        kind=kind,  # type: ignore[arg-type]  # a word of the table above
        diameter=diameter,
        flute_length=12,
        stickout=30,
        shank=4,
        pitch=pitch,
    )
    thread = find_thread("M4")
    assert thread is not None
    assert cuts_thread(tap, thread) is able
