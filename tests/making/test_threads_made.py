"""Threads made end to end: what the program's helix is like, errors that the proof must see, and
what is refused with its reason."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from made_jobs import made_in, told

from gcodekit.job.kinds import kinds
from gcodekit.job.kinds.thread_mill import ThreadMill
from gcodekit.making.dryrun import dry_run
from gcodekit.making.make import Report
from gcodekit.operations import thread_mill as cutting
from gcodekit.operations.thread_mill import ThreadMilling
from gcodekit.rs274 import read_program
from gcodekit.rs274.program_read import Move

SHOP = (Path(__file__).parent / "kind_jobs" / "shop" / "thread-shop.toml").read_text("utf-8")
HEAD = """\
name = "Focuser flange"
units = "mm"
workshop = "shop.toml"
material = "aluminium"
[stock]
block = [70, 60, 16]
[[setup]]
zero = { x = "centre", y = "centre", z = "top" }
  [setup.hold]
  board = 12
"""
BORE = """\
  [[setup.feature]]
  kind = "bore"
  at = [-15, 0]
  diameter = 18.5
  depth = 12
"""
INSIDE = """\
  [[setup.feature]]
  name = "plug"
  kind = "thread_mill"
  thread = "M20x1.5"
  at = [-15, 0]
  depth = 8
"""
BOSS = """\
  [[setup.feature]]
  kind = "boss"
  outline = { circle = 29.85, centre = [0, 0] }
  depth = 11
"""
OUTSIDE = """\
  [[setup.feature]]
  name = "nose"
  kind = "thread_mill"
  diameter = 30
  pitch = 1.5
  internal = false
  at = [0, 0]
  depth = 7
"""
LEFT, SINGLE = '  hand = "left"\n', "  cutter = 3\n"
JOBS = {
    "inside": BORE + INSIDE,
    "inside, left hand": BORE + INSIDE + LEFT,
    "inside, single row": BORE + INSIDE + SINGLE,
    "inside, left hand, single row": BORE + INSIDE + LEFT + SINGLE,
    "outside": BOSS + OUTSIDE,
    "outside, left hand": BOSS + OUTSIDE + LEFT,
    "outside, single row": BOSS + OUTSIDE + SINGLE,
}


def made(text: str, folder: Path, shop: str = SHOP, head: str = HEAD) -> Report:
    return made_in(folder, head + text, shop)


def helix(folder: Path, cutters: tuple[int, ...] = (2, 3)) -> list[Move]:
    (program,) = (folder / "out").glob("*.nc")
    reading = read_program(program.read_text("utf-8"), program.name)
    return [
        m
        for m in reading.moves
        if m.cutter in cutters and m.curve is not None and abs(m.curve.sweep) > 6
    ]


@pytest.mark.parametrize("conventional", [False, True])
@pytest.mark.parametrize("job", JOBS)
def test_proved_and_the_right_way_round(job: str, conventional: bool, tmp_path: Path) -> None:
    """A right-hand helix rises counter-clockwise, seen from above: (cos t, sin t, c t), c > 0.
    With the spindle turning clockwise a cutter climbs counter-clockwise inside and clockwise
    outside. So an inside right-hand thread is climb milled upwards: common practice, no source."""
    text = JOBS[job] + ('  cut = "conventional"\n' if conventional else "")
    outcome = made(text, tmp_path)
    assert outcome.verdict == "pass", told(outcome)
    assert not outcome.faults
    turns = helix(tmp_path)
    assert turns
    for move in turns:
        ccw = move.curve is not None and move.curve.sweep > 0
        assert ccw == (job.startswith("inside") != conventional)
        rise = move.end[2] - move.start[2]
        assert rise == pytest.approx(1.5 if ccw != ("left" in job) else -1.5, abs=2e-4)


def test_the_pitch_diameter_by_hand(tmp_path: Path) -> None:
    """M20x1.5-6H has a pitch diameter of 19.026 to 19.216 (ISO 965-1 tables, from memory). A sharp
    60 degree profile of flat f is as wide as half a pitch where its radius is that of the tip less
    (P/2 - f) / 2 / tan 30; a disc on a helix cuts wider by (P/2pi)^2 c / (2 r o tan 30) a flank
    (first order, own derivation), at cutter radius c and orbit o."""
    assert made(BORE + INSIDE, tmp_path).verdict == "pass"
    (orbit,) = {round(math.dist(m.end[:2], (-15, 0)), 4) for m in helix(tmp_path)}
    c, p, f, slope = 5.0, 1.5, 1.5 / 8, math.tan(math.radians(30))
    at = orbit + c - (p / 2 - f) / 2 / slope
    wider = (p / math.tau) ** 2 * c / (2 * at * orbit * slope)
    assert 2 * (at + wider / slope) == pytest.approx((19.026 + 19.216) / 2, abs=0.006)


@pytest.mark.parametrize("example", ["kind", "pitch"])
def test_the_examples_of_the_reference_are_made(example: str, tmp_path: Path) -> None:
    """With the built-in bench mill."""
    kind = kinds()["thread_mill"]
    text = kind.example
    if example == "pitch":
        text = next(key.example for key in kind.keys if key.name == "pitch")
    head = HEAD.replace('workshop = "shop.toml"\n', "").replace("[70, 60, 16]", "[100, 70, 12]")
    outcome = made(
        text, tmp_path, head=head.replace('"centre", y = "centre"', '"left", y = "front"')
    )
    assert outcome.verdict == "pass", told(outcome)
    assert not outcome.faults


@pytest.mark.parametrize(
    ("material", "chips"), [("aluminium", 1), ("mild steel", 2), ("stainless steel", 2)]
)
def test_passes_go_deeper_one_after_another(material: str, chips: int, tmp_path: Path) -> None:
    head = HEAD.replace("aluminium", material)
    assert made(BORE + INSIDE, tmp_path, head=head).verdict == "pass"
    orbits = [math.dist(m.end[:2], (-15, 0)) for m in helix(tmp_path)]
    assert len({round(o, 3) for o in orbits}) >= chips
    assert orbits == sorted(orbits)


def test_a_thread_below_a_counterbore_and_through(tmp_path: Path) -> None:
    """It begins where its bore does; run out below takes the breakthrough it needs."""
    head = HEAD.replace("[[setup]]", "[[setup]]\nbreakthrough = 2")
    seat = BORE.replace("18.5", "24").replace("depth = 12", "depth = 5")
    through = INSIDE.replace("depth = 8", "top = -5\n  through = true")
    bore = BORE.replace("depth = 12", "through = true")
    outcome = made(bore + seat + through, tmp_path, head=head)
    assert outcome.verdict == "pass", told(outcome)


def test_a_rapid_across_the_thread_meets_it(tmp_path: Path) -> None:
    """What stands between the grooves stays for every rapid after: a cutter that goes down wider
    than the bore, narrower than the major diameter."""
    assert made(BORE + INSIDE, tmp_path).verdict == "pass"
    (program,) = (tmp_path / "out").glob("*.nc")
    text = program.read_text("utf-8").replace("G0 Z5\nM5", "G0 Z5\nX-10.4\nZ-4\nZ5\nM5")
    program.write_text(text, encoding="utf-8")
    outcome = dry_run(program, job=tmp_path / "job.toml")
    assert any("rapid into stock" in str(fault) for fault in outcome.faults), outcome.faults


def test_a_dry_run_reads_the_helix(tmp_path: Path) -> None:
    assert made(BORE + INSIDE, tmp_path).verdict == "pass"
    (program,) = (tmp_path / "out").glob("*.nc")
    assert not dry_run(program, job=tmp_path / "job.toml").faults
    text = program.read_text("utf-8")
    assert text.count("Y0 Z-8 I-5.038") == 1
    program.write_text(text.replace("Y0 Z-8 I-5.038", "Y0 Z-7.985 I-5.038"), encoding="utf-8")
    outcome = dry_run(program, job=tmp_path / "job.toml")
    assert any("the pitch is 1.515 mm" in str(fault) for fault in outcome.faults)


# -- errors that the proof must see --------------------------------------------------------------


def planted(change: Callable[[ThreadMill], ThreadMill], monkeypatch: pytest.MonkeyPatch) -> None:
    true = ThreadMilling.drafts

    def wrong(self, work, feature, *rest):  # type: ignore[no-untyped-def]  # as the one it stands for
        return true(self, work, change(feature), *rest)

    monkeypatch.setattr(ThreadMilling, "drafts", wrong)


def other_hand(thread: ThreadMill) -> ThreadMill:
    return replace(thread, left=not thread.left)


def other_pitch(thread: ThreadMill) -> ThreadMill:
    return replace(thread, limits=replace(thread.limits, pitch=1.01 * thread.limits.pitch))


def deeper(by: float) -> Callable[[ThreadMill], ThreadMill]:
    """So much farther into the work, mm of radius."""

    def wrong(thread: ThreadMill) -> ThreadMill:
        out = 2 * by if thread.internal else -2 * by
        low, high = thread.limits.effective
        return replace(thread, limits=replace(thread.limits, effective=(low + out, high + out)))

    return wrong


def aside(thread: ThreadMill) -> ThreadMill:
    (x, y), *_ = thread.places
    return replace(thread, places=((x + 0.05, y),))


def lower(by: float) -> Callable[[ThreadMill], ThreadMill]:
    def wrong(thread: ThreadMill) -> ThreadMill:
        depth = replace(thread.depth, floor=thread.depth.floor - by)
        return replace(thread, depth=depth)

    return wrong


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize(
    ("change", "said"),
    [
        pytest.param(other_pitch, "the pitch is 1.515 mm instead of 1.5 mm", id="pitch 1 % off"),
        pytest.param(other_hand, "hand: the drawing has", id="the other hand"),
        pytest.param(deeper(0.05), "the pitch diameter of the thread is", id="0.05 too deep"),
        pytest.param(deeper(-0.05), "diameter of the thread is", id="0.05 too shallow"),
        pytest.param(aside, "at full depth", id="0.05 aside"),
        pytest.param(lower(-1.5), "1.0 turns of the thread are not cut", id="one turn missing"),
        pytest.param(lower(3.0), "touches the bottom", id="bottom touched"),
    ],
)
@pytest.mark.usefixtures("undrawn")
def test_a_planted_error_is_refused(
    job: str,
    change: Callable[[ThreadMill], ThreadMill],
    said: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    planted(change, monkeypatch)
    outcome = made(JOBS[job], tmp_path)
    assert outcome.verdict == "fail"
    assert said in told(outcome), told(outcome)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        pytest.param(
            BORE.replace("18.5", "18.2") + INSIDE, "the bore is not 18.376 mm to", id="small"
        ),
        pytest.param(
            BORE.replace("18.5", "18.9") + INSIDE, "the bore is not 18.376 mm to", id="large"
        ),
        pytest.param(BOSS.replace("29.85", "30.1") + OUTSIDE, "the boss is not", id="thick"),
        pytest.param(BOSS.replace("29.85", "29.6") + OUTSIDE, "the boss is not", id="thin"),
    ],
)
@pytest.mark.usefixtures("undrawn")
def test_a_wrong_start_is_seen_by_the_proof_alone(
    text: str, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cutting, "check_place", lambda *_: None)
    outcome = made(text, tmp_path)
    assert outcome.verdict == "fail"
    assert said in told(outcome), told(outcome)


def test_a_shank_in_the_bore_is_seen_by_the_proof_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cutting, "check_place", lambda *_: None)
    shop = SHOP.replace("neck = 8", "neck = 9.9").replace("flute_length = 12", "flute_length = 6")
    outcome = made(BORE + INSIDE, tmp_path, shop)
    assert "neck of cutter 2 in the stock" in told(outcome), told(outcome)


@pytest.mark.parametrize("gone", ["a pass", "the last turn"])
def test_what_is_missing_in_the_text(
    gone: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of a single row each turn is a block of its own: without its last the cutter leaves early."""
    from gcodekit.toolpath.thread_turns import ThreadTurns

    true = ThreadTurns.cut

    def short(self: ThreadTurns, path, z, turns):  # type: ignore[no-untyped-def]  # as it is
        true(self, path, z, turns - 1 if gone == "the last turn" else 0)

    monkeypatch.setattr(ThreadTurns, "cut", short)
    outcome = made(JOBS["inside, single row"], tmp_path)
    assert "at full depth" in told(outcome), told(outcome)


# -- what is refused before ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "said"),
    [
        pytest.param(INSIDE, "the bore for M20x1.5 is missing or too small", id="no bore"),
        pytest.param(
            BORE.replace("18.5", "18.3") + INSIDE,
            "bore it to 18.53 mm before (18.376 mm to 18.682 mm)",
            id="a small bore",
        ),
        pytest.param(BORE.replace("18.5", "18.8") + INSIDE, "is too large", id="a large bore"),
        pytest.param(
            BORE.replace("depth = 12", "depth = 9") + INSIDE,
            "the bore is not deep enough for cutter 2",
            id="a shallow bore",
        ),
        pytest.param(OUTSIDE, "the boss for 30 mm x 1.5 mm is too large", id="no boss"),
        pytest.param(
            BOSS.replace("29.85", "29") + OUTSIDE, "missing or too small", id="a thin boss"
        ),
        pytest.param(BORE + INSIDE + "  cutter = 1\n", "is not a thread mill", id="an end mill"),
        pytest.param(
            BORE + INSIDE + '  fit = "6g"\n', '"6g" is not a class of an internal', id="a class"
        ),
        pytest.param(BORE + INSIDE.replace("M20x1.5", "1/2 BSW"), "is not a known", id="unknown"),
        pytest.param(BORE + INSIDE.replace("M20x1.5", "2BA"), "no flanks of 60", id="BA"),
        pytest.param(
            BORE + INSIDE.replace('thread = "M20x1.5"', "pitch = 1.5"),
            "diameter: is missing",
            id="half",
        ),
        pytest.param(
            BORE + INSIDE.replace("depth = 8", "through = true"),
            "run out",
            id="through a blind bore",
        ),
    ],
)
def test_refused_with_its_reason(text: str, said: str, tmp_path: Path) -> None:
    outcome = made(text, tmp_path)
    assert outcome.verdict == "fail"
    assert said in told(outcome), told(outcome)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        pytest.param(("diameter = 10", "diameter = 18.3"), "too large for a bore", id="too wide"),
        pytest.param(("diameter = 10", "diameter = 17.6"), "would distort the flanks", id="bent"),
        pytest.param(("pitch = 1.5", "pitch = 1.25"), "has teeth 1.25 mm apart", id="other pitch"),
        pytest.param(("neck = 8", "tip_angle = 55\nneck = 8"), "teeth of 55 degrees", id="angle"),
        pytest.param(
            ("neck = 8", "tip_flat = 0.3\nneck = 8"), "flat of 0.3 mm, too wide", id="flat"
        ),
    ],
)
def test_a_cutter_is_refused_by_name(change: tuple[str, str], said: str, tmp_path: Path) -> None:
    outcome = made(BORE + INSIDE + "  cutter = 2\n", tmp_path, SHOP.replace(*change, 1))
    assert said in told(outcome), told(outcome)


FACE_A_ROUNDING_OFF = """\
[[setup]]
zero = { x = "left", y = "front", z = "top" }
  [setup.hold]
  board = 12
  [[setup.feature]]
  kind = "arc"
  centre = [0, 0]
  radius = 14.3
  start = 0
  end = 90
  side = "inside"
  floor = -6
  from_radius = 1.7
  ends = "open"
[[setup]]
up = "left"
zero = { x = "left", y = "front", z = "top" }
  [setup.hold]
  board = 12
"""


def test_a_face_turned_up_is_the_top_of_its_thread(tmp_path: Path) -> None:
    """Its height comes out of the turned drawing a rounding lower: there is no level above it."""
    head = HEAD.split("[[setup]]", maxsplit=1)[0].replace("[70, 60, 16]", "[20, 51.7, 40]")
    thread = (BORE + INSIDE).replace("[-15, 0]", "[17, 18.2]")
    outcome = made(thread, tmp_path, head=head + FACE_A_ROUNDING_OFF)
    assert outcome.verdict == "pass", told(outcome)
