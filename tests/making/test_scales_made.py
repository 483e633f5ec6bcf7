"""Scales made end to end: every mark by its closed form, errors that the proof must see, and what
is refused with its reason."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from gcodekit.geometry.chain import Chain
from gcodekit.geometry.region import Shift
from gcodekit.job.features.engraved import Engraved
from gcodekit.job.kinds import scale
from gcodekit.job.kinds.scale import ScaleMarks
from gcodekit.job.load import load_job
from gcodekit.making.make import Report, make
from gcodekit.rs274 import read_program
from gcodekit.target.scale import TARGET

SHOP = (Path(__file__).parent / "kind_jobs" / "shop" / "plate-shop.toml").read_text("utf-8")
HEAD = """\
name = "Dial"
units = "mm"
workshop = "shop.toml"
material = "brass"
[stock]
block = [60, 60, 5]
[[setup]]
zero = { x = "centre", y = "centre", z = "top" }
  [setup.hold]
  board = 12
"""
CIRCLE = """\
  [[setup.feature]]
  kind = "scale"
  centre = [0, 0]
  radius = 20
  divisions = 24
  short = 2
  long = { length = 3, every = 6 }
  numbers = { every = 6, step = 90, height = 2.5 }
  line_width = 0.3
"""
LINE = """\
  [[setup.feature]]
  kind = "scale"
  from = [-20, 5]
  to = [20, 5]
  spacing = 2
  short = 2
  long = { length = 3, every = 5 }
  numbers = { every = 5, step = 10, height = 2 }
  line_width = 0.3
"""
INSIDE = CIRCLE.replace("divisions", 'side = "inside"\n  turn = "cw"\n  divisions')
JOBS = {"circle": CIRCLE, "line": LINE, "inside": INSIDE}


def made(text: str, folder: Path) -> Report:
    (folder / "shop.toml").write_text(SHOP, encoding="utf-8")
    job = folder / "job.toml"
    job.write_text(HEAD + text, encoding="utf-8")
    return make(job, folder / "out")


def told(outcome: Report) -> str:
    return "\n".join(str(fault) for fault in outcome.faults)


def drawn(text: str, folder: Path) -> ScaleMarks:
    (folder / "shop.toml").write_text(SHOP, encoding="utf-8")
    job = folder / "job.toml"
    job.write_text(HEAD + text, encoding="utf-8")
    (setup,) = load_job(job).setups
    found = setup.features[-1]
    assert isinstance(found, ScaleMarks)
    return found


Ends = tuple[tuple[float, float], tuple[float, float]]


def marks_cut(folder: Path) -> list[Ends]:
    """The ends of every straight stroke at depth, as the program has them."""
    (program,) = (folder / "out").glob("*.nc")
    moves = read_program(program.read_text("utf-8"), program.name).moves
    cut = (m for m in moves if m.kind != "rapid" and m.start[:2] != m.end[:2])
    return [((m.start[0], m.start[1]), (m.end[0], m.end[1])) for m in cut]


@pytest.mark.parametrize("job", JOBS)
def test_proved(job: str, tmp_path: Path) -> None:
    outcome = made(JOBS[job], tmp_path)
    assert outcome.verdict == "pass", told(outcome)
    assert not outcome.faults, told(outcome)


def without_numbers(text: str) -> str:
    return "".join(line for line in text.splitlines(True) if "numbers" not in line)


@pytest.mark.parametrize("divisions", [7, 11, 48, 97])
@pytest.mark.parametrize("turn", ["ccw", "cw"])
def test_every_mark_on_a_circle_by_its_closed_form(
    divisions: int, turn: str, tmp_path: Path
) -> None:
    """Mark i of n stands at the angle 90 + 360 i / n, from R to R + its length. Plane trigonometry,
    no source needed. The last of a full circle is the first and is cut once."""
    keys = f'divisions = {divisions}\n  turn = "{turn}"'
    text = without_numbers(CIRCLE).replace("divisions = 24", keys)
    outcome = made(text, tmp_path)
    assert outcome.verdict == "pass", told(outcome)
    left = marks_cut(tmp_path)
    assert len(left) == divisions
    for i in range(divisions):
        sign = 1 if turn == "ccw" else -1
        angle = math.radians(90) + sign * math.tau * i / divisions
        long = 3 if i % 6 == 0 else 2
        ends = [(r * math.cos(angle), r * math.sin(angle)) for r in (20.0, 20.0 + long)]
        near = [
            pair
            for pair in left
            if any(
                math.dist(a, ends[0]) < 0.001 and math.dist(b, ends[1]) < 0.001
                for a, b in (pair, pair[::-1])
            )
        ]
        assert len(near) == 1, f"mark {i}"
        left.remove(near[0])
    assert not left


@pytest.mark.parametrize(
    ("keys", "angles"),
    [
        ("start = 0\n  end = 90\n  divisions = 3", [0, 30, 60, 90]),
        ("start = 300\n  end = 60\n  spacing_angle = 50", [300, 350, 40]),
        ('start = 0\n  end = 270\n  turn = "cw"\n  divisions = 2', [0, 315, 270]),
    ],
)
def test_a_part_of_a_circle(keys: str, angles: list[float], tmp_path: Path) -> None:
    found = drawn(without_numbers(CIRCLE).replace("divisions = 24", keys), tmp_path)
    feet = [c.start for c in found.stroke_chains]
    wanted = [(20 * math.cos(math.radians(a)), 20 * math.sin(math.radians(a))) for a in angles]
    assert [c for f in feet for c in f] == pytest.approx([c for w in wanted for c in w], abs=1e-9)


@pytest.mark.parametrize(
    ("keys", "xs"),
    [
        ("spacing = 7", [-20, -13, -6, 1, 8, 15]),
        ("divisions = 3", [-20, -20 + 40 / 3, -20 + 80 / 3, 20]),
        ("spacing = 40", [-20, 20]),
    ],
)
def test_marks_along_a_line(keys: str, xs: list[float], tmp_path: Path) -> None:
    found = drawn(without_numbers(LINE).replace("spacing = 2", keys), tmp_path)
    assert [c.start[0] for c in found.stroke_chains] == pytest.approx(xs)


def test_a_spacing_that_is_no_round_binary_number_loses_no_mark(tmp_path: Path) -> None:
    """0.1 goes 400 times into 40, though not in floating point."""
    text = without_numbers(LINE).replace("spacing = 2", "spacing = 0.1").replace("0.3", "0.05")
    assert drawn(text, tmp_path).count == 401


@pytest.mark.parametrize(
    ("text", "up"),
    [
        (CIRCLE, (0, 1)),
        (INSIDE, (0, 1)),
        (CIRCLE.replace("height = 2.5", 'height = 2.5, tops = "inward"'), (0, -1)),
        (LINE, (0, 1)),
        (LINE.replace("spacing", 'side = "right"\n  spacing'), (0, 1)),
        (LINE.replace("height = 2", 'height = 2, tops = "inward"'), (0, -1)),
    ],
)
def test_which_way_up_the_first_number_is(
    text: str, up: tuple[float, float], tmp_path: Path
) -> None:
    """A capital-height 1 ends in its upright, from its top to its foot."""
    found = drawn(text.replace("step", "first = 1, step"), tmp_path)
    upright = list(found.stroke_chains[found.count])[-1]
    way = (upright.start[0] - upright.end[0], upright.start[1] - upright.end[1])
    high = 2.5 if "2.5" in text else 2.0
    assert way == pytest.approx((up[0] * high, up[1] * high), abs=1e-9)


def test_numbers_are_off_the_longest_mark(tmp_path: Path) -> None:
    """From its foot 3 mm of mark and half the height as a gap, then 2.5 mm of number."""
    found = drawn(CIRCLE.replace("step", "first = 1, step"), tmp_path)
    ys = [p[1] for s in found.stroke_chains[found.count] for p in (s.start, s.end)]
    assert (min(ys), max(ys)) == pytest.approx((20 + 3 + 1.25, 20 + 3 + 1.25 + 2.5))


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("mirror", ["x", "y"])
def test_both_opinions_on_a_mirrored_scale_agree(job: str, mirror: str, tmp_path: Path) -> None:
    """Marks mirrored, numbers not: set out by the planner's chains and by the proof's own."""
    feature = drawn(JOBS[job], tmp_path)
    for each in (feature, feature.moved(Shift(mirror=mirror, angle=0.7, move=(3, 4)))):
        import shapely

        chains = shapely.MultiLineString(
            [[s.start, *(p.end for p in s)] for s in each.stroke_chains]
        )
        assert TARGET.middles(each).hausdorff_distance(chains) < 1e-9  # type: ignore[attr-defined]  # a scale's target has them


# -- planted errors ------------------------------------------------------------------------------

Change = Callable[[tuple[Chain, ...]], tuple[Chain, ...]]


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize(
    ("change", "said"),
    [
        pytest.param(lambda c: c[1:], "uncut", id="the first mark left out"),
        pytest.param(lambda c: (*c[:7], c[7].turned(0.005), *c[8:]), "gouge", id="a mark aside"),
        pytest.param(lambda c: tuple(s.moved(0.1, 0.0) for s in c), "gouge", id="all aside"),
        pytest.param(lambda c: c[:-1], "uncut", id="a number's stroke left out"),
        pytest.param(
            lambda c: (c[0].between(0.0, c[0].length - 0.1), *c[1:]), "uncut", id="a mark too short"
        ),
    ],
)
@pytest.mark.usefixtures("undrawn")
def test_marks_cut_wrongly_are_refused(
    job: str, change: Change, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    true = ScaleMarks.stroke_chains.fget  # type: ignore[attr-defined]  # a property's own function
    monkeypatch.setattr(ScaleMarks, "stroke_chains", property(lambda f: change(true(f))))
    outcome = made(JOBS[job], tmp_path)
    assert outcome.verdict == "fail"
    assert said in told(outcome)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        pytest.param(lambda f: replace(f, count=f.count - 1), "uncut", id="one mark fewer"),
        pytest.param(
            lambda f: replace(f, base=replace(f.base, pitch=f.base.pitch * 1.01)),
            "gouge",
            id="1 % too far apart",
        ),
        pytest.param(
            lambda f: replace(f, lengths=f.lengths[-1:]), "uncut", id="long marks no longer"
        ),
        pytest.param(
            lambda f: replace(f, numbers=replace(f.numbers, step=f.numbers.step + 1)),
            "gouge",
            id="counted wrongly",
        ),
        pytest.param(
            lambda f: replace(f, numbers=replace(f.numbers, tops="inward")),
            "gouge",
            id="numbers upside down",
        ),
    ],
)
@pytest.mark.usefixtures("undrawn")
def test_a_scale_read_wrongly_in_planning_is_refused(
    change: Callable[[ScaleMarks], ScaleMarks],
    said: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    true = ScaleMarks.stroke_chains.fget  # type: ignore[attr-defined]  # a property's own function
    monkeypatch.setattr(ScaleMarks, "stroke_chains", property(lambda f: true(change(f))))
    outcome = made(CIRCLE, tmp_path)
    assert outcome.verdict == "fail"
    assert said in told(outcome)


@pytest.mark.usefixtures("undrawn")
def test_a_mark_too_deep_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    true = Engraved.depth_with
    monkeypatch.setattr(Engraved, "depth_with", lambda f, cutter: true(f, cutter) + 0.1)
    outcome = made(CIRCLE, tmp_path)
    assert outcome.verdict == "fail"
    assert "gouge" in told(outcome)


# -- what is refused -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "said"),
    [
        pytest.param(CIRCLE + "  from = [0, 0]\n", "centre is given too", id="circle and line"),
        pytest.param(
            CIRCLE.replace("  radius = 20\n", ""), "radius: is missing, add it", id="no radius"
        ),
        pytest.param(
            CIRCLE.replace("  centre = [0, 0]\n  radius = 20\n", ""),
            "its circle or line is missing, give centre and radius, or from and to",
            id="neither",
        ),
        pytest.param(
            CIRCLE + "  spacing = 2\n", "does not apply to a scale on a circle", id="mm on a circle"
        ),
        pytest.param(
            LINE + "  turn = 'cw'\n", "does not apply to a scale on a line", id="turn of a line"
        ),
        pytest.param(
            CIRCLE + "  side = 'left'\n",
            '"left" does not apply to a circle, use "outside" or "inside"',
            id="left of a circle",
        ),
        pytest.param(
            CIRCLE.replace("divisions = 24\n", ""), "the number of divisions is missing", id="none"
        ),
        pytest.param(
            CIRCLE.replace("divisions = 24", "divisions = 5000"), "at most 3600", id="too many"
        ),
        pytest.param(
            LINE.replace("spacing = 2", "spacing = 0.01"), "makes 4,000 marks", id="too fine"
        ),
        pytest.param(
            CIRCLE.replace("divisions = 24", "spacing_angle = 7"),
            "7 degrees does not go into the full circle evenly, give divisions, or an end",
            id="not evenly",
        ),
        pytest.param(
            CIRCLE.replace("divisions = 24", "divisions = 1000"),
            "its lines are 0.3 mm wide, and 0.1257 mm apart",
            id="a black band",
        ),
        pytest.param(
            INSIDE.replace("radius = 20", "radius = 6"),
            "inward, past the centre, use a larger radius, or shorter marks",
            id="past the centre",
        ),
        pytest.param(
            CIRCLE.replace("length = 3", "length = 1"),
            "its marks are no longer and rarer than the shorter ones",
            id="long and short",
        ),
        pytest.param(
            LINE.replace("to = [20, 5]", "to = [-20, 5]"), "same point as from", id="no line"
        ),
        pytest.param(LINE + "  stepover = 1\n", "does not apply to a scale", id="stepover"),
        pytest.param(
            LINE.replace("spacing = 2", "spacing = 50"), "is longer than all of the scale", id="one"
        ),
    ],
)
def test_refused_with_its_reason(text: str, said: str, tmp_path: Path) -> None:
    outcome = made(text, tmp_path)
    assert outcome.verdict == "fail"
    assert said in told(outcome), told(outcome)


def test_numbers_need_no_more_figures_than_they_have() -> None:
    assert [scale.number_text(0.1 * n) for n in range(4)] == ["0", "0.1", "0.2", "0.3"]
    assert [scale.number_text(v) for v in (-1e-12, 123456.5, -90.0)] == ["0", "123456.5", "-90"]
