"""Threads by name: sizes and tapping drills against the standards' figures."""

from __future__ import annotations

import pytest

from gcodekit.trade.cutter import Cutter
from gcodekit.trade.threads import cuts_thread, find_thread, thread_names, threads


# ISO 261 and ISO 724 (major, pitch, minor D1), ISO 2306 (tapping drill); ASME B1.1 for unified
# threads with the usual drill of American charts; BS 93 for BA; Whitworth form for ME.
@pytest.mark.parametrize(
    ("name", "major", "pitch", "minor", "drill"),
    [
        pytest.param("M2", 2, 0.4, 1.567, 1.6, id="M2"),
        pytest.param("M3", 3, 0.5, 2.459, 2.5, id="M3"),
        pytest.param("M4", 4, 0.7, 3.242, 3.3, id="M4"),
        pytest.param("M5", 5, 0.8, 4.134, 4.2, id="M5"),
        pytest.param("M6", 6, 1.0, 4.917, 5.0, id="M6"),
        pytest.param("M8", 8, 1.25, 6.647, 6.8, id="M8"),
        pytest.param("M10", 10, 1.5, 8.376, 8.5, id="M10"),
        pytest.param("M12", 12, 1.75, 10.106, 10.2, id="M12"),
        pytest.param("M20", 20, 2.5, 17.294, 17.5, id="M20"),
        pytest.param("M4x0.5", 4, 0.5, 3.459, 3.5, id="M4 fine"),
        pytest.param("M6x0.75", 6, 0.75, 5.188, 5.2, id="M6 fine"),
        pytest.param("#8-32 UNC", 4.1656, 0.79375, 3.306, 3.454, id="8-32"),
        pytest.param("1/4-20 UNC", 6.35, 1.27, 4.975, 5.105, id="quarter inch, number 7 drill"),
        pytest.param("0BA", 6.0, 1.0, 4.8, 5.1, id="0BA"),
        pytest.param("2BA", 4.7, 0.81, 3.728, 4.0, id="2BA"),
        pytest.param("1/4 x 40", 6.35, 0.635, 5.537, 5.8, id="1/4 x 40 ME"),
    ],
)
def test_a_thread_measures(
    name: str, major: float, pitch: float, minor: float, drill: float
) -> None:
    thread = find_thread(name)
    assert thread is not None
    assert thread.major == pytest.approx(major, abs=1e-9)
    assert thread.pitch == pytest.approx(pitch, abs=1e-9)
    assert thread.minor == pytest.approx(minor, abs=0.0006)
    assert thread.tap_drill == pytest.approx(drill, abs=0.0006)


@pytest.mark.parametrize("thread", threads(), ids=thread_names())
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
