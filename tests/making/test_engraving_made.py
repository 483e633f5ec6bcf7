"""Engraving made end to end: heights, depths and numbers in the program, errors that the proof must
see, and what is refused with its reason."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from gcodekit.geometry.chain import Chain
from gcodekit.job.features.engraved import Engraved
from gcodekit.job.features.lettering import Lettering
from gcodekit.job.kinds import engrave
from gcodekit.job.kinds.engrave import Engrave
from gcodekit.job.load import load_job
from gcodekit.making.make import Report, make
from gcodekit.operations import stroke_cutting
from gcodekit.rs274 import read_program
from gcodekit.rs274.program_read import Move

SHOP = (Path(__file__).parent / "kind_jobs" / "shop" / "plate-shop.toml").read_text("utf-8")
HEAD = """\
name = "Plate"
units = "mm"
workshop = "shop.toml"
material = "brass"
[stock]
block = [60, 40, 6]
[[setup]]
  [setup.hold]
  board = 12
"""
TEXT = """\
  [[setup.feature]]
  kind = "engrave"
  text = "RA 5Ø"
  at = [5, 10]
  height = 6
  line_width = 0.4
"""
ARC = """\
  [[setup.feature]]
  kind = "engrave"
  text = "DEC ±90°"
  arc = { centre = [30, 0], radius = 24 }
  align = "centre"
  height = 4
  line_width = 0.4
"""
PATH = """\
  [[setup.feature]]
  kind = "engrave"
  path = [[5, 5], { to = [40, 5], round = 3 }, { to = [40, 30] }]
  line_width = 0.4
"""
DEEP = TEXT.replace("line_width = 0.4", "depth = 0.25\n  cutter = {}")
JOBS = {
    "text": TEXT,
    "arc": ARC,
    "path": PATH,
    "flat tip, to a depth": DEEP.format(2),
    "ball nose": DEEP.format(3),
    "end mill": DEEP.format(4),
    "chamfer mill": DEEP.format(7),
    "in several passes": TEXT.replace("0.4", "1.5"),
}


def made(text: str, folder: Path, shop: str = SHOP) -> Report:
    (folder / "shop.toml").write_text(shop, encoding="utf-8")
    job = folder / "job.toml"
    job.write_text(HEAD + text, encoding="utf-8")
    return make(job, folder / "out")


def told(outcome: Report) -> str:
    return "\n".join(str(fault) for fault in outcome.faults)


def cuts(folder: Path) -> list[Move]:
    (program,) = (folder / "out").glob("*.nc")
    moves = read_program(program.read_text("utf-8"), program.name).moves
    return [m for m in moves if m.kind != "rapid" and m.start[:2] != m.end[:2]]


@pytest.mark.parametrize("job", JOBS)
def test_proved(job: str, tmp_path: Path) -> None:
    outcome = made(JOBS[job], tmp_path)
    assert outcome.verdict == "pass", told(outcome)
    assert not outcome.faults, told(outcome)


@pytest.mark.parametrize("height", [1.0, 6.0, 12.5])
def test_capitals_are_as_high_as_the_drawing_says(height: float, tmp_path: Path) -> None:
    """The cap height of the table's letters, 21 units, is what `height` scales."""
    text = TEXT.replace("RA 5Ø", "HE1").replace("height = 6", f"height = {height}")
    outcome = made(text, tmp_path)
    assert outcome.verdict == "pass", told(outcome)
    ys = [y for m in cuts(tmp_path) for _, y, _ in (m.start, m.end)]
    assert (min(ys), max(ys)) == pytest.approx((10.0, 10.0 + height), abs=1e-4)
    assert min(x for m in cuts(tmp_path) for x in (m.start[0], m.end[0])) == pytest.approx(5.0)


@pytest.mark.parametrize(("angle", "tip"), [(60, 0.1), (60, 0.0), (90, 0.2), (30, 0.3)])
def test_the_depth_makes_the_line_so_wide(angle: float, tip: float, tmp_path: Path) -> None:
    """A cone with a flat of `tip` is `w` wide at (w - tip) / (2 tan(angle / 2)) over that. Plane
    trigonometry, no source needed."""
    shop = SHOP.replace("tip_angle = 60", f"tip_angle = {angle}")
    shop = shop.replace("tip_diameter = 0.1", f"tip_diameter = {tip}")
    outcome = made(TEXT, tmp_path, shop)
    assert outcome.verdict == "pass", told(outcome)
    deep = (0.4 - tip) / 2 / math.tan(math.radians(angle / 2))
    assert min(m.end[2] for m in cuts(tmp_path)) == pytest.approx(-deep, abs=1e-4)


def test_a_deep_line_is_cut_in_passes_to_and_fro(tmp_path: Path) -> None:
    outcome = made(PATH.replace("0.4", "1.5"), tmp_path)
    assert outcome.verdict == "pass", told(outcome)
    levels = [m.end[2] for m in cuts(tmp_path)]
    assert len(set(levels)) > 1
    assert levels == sorted(levels, reverse=True)


def test_the_nearest_stroke_is_next(tmp_path: Path) -> None:
    """Four bars drawn in a bad order are cut one beside the other, each from its nearer end."""
    bars = [(0, 0), (30, 0), (10, 0), (20, 0)]
    chains = [Chain.of_points([(x, y), (x, y + 5)], closed=False) for x, y in bars]
    order = stroke_cutting.nearest_next(chains)
    assert [c.start for c in order] == [(0, 0), (10, 5), (20, 0), (30, 5)]


# -- numbers that count --------------------------------------------------------------------------

COUNTED = TEXT.replace("RA 5Ø", "No {nn}").replace("at = [5, 10]", "at = [[5, 5], [5, 20]]")


@pytest.mark.parametrize(
    ("more", "numbers"),
    [
        ("", ["No 01", "No 02"]),
        ("  first = 9\n", ["No 09", "No 10"]),
        (
            "  first = 98\n  copies = { count = 2, move = [28, 0] }\n",
            ["No 98", "No 99", "No 100", "No 101"],
        ),
        ("  [[setup.copy]]\n  move = [28, 0]\n", ["No 01", "No 02", "No 03", "No 04"]),
    ],
)
def test_numbers_count_on_from_place_to_place_and_copy_to_copy(
    more: str, numbers: Sequence[str], tmp_path: Path
) -> None:
    (tmp_path / "shop.toml").write_text(SHOP, encoding="utf-8")
    job = tmp_path / "job.toml"
    job.write_text(HEAD + COUNTED + more, encoding="utf-8")
    (setup,) = load_job(job).setups
    found = [line.text for f in setup.features if isinstance(f, Engrave) for line in f.texts]
    assert found == numbers


# -- planted errors ------------------------------------------------------------------------------

Change = Callable[[tuple[Chain, ...]], tuple[Chain, ...]]


def _each(change: Callable[[Chain], Chain]) -> Change:
    return lambda strokes: tuple(map(change, strokes))


@pytest.mark.parametrize("job", ["text", "arc"])
@pytest.mark.parametrize(
    ("change", "said"),
    [
        pytest.param(lambda strokes: strokes[:-1], "uncut", id="a stroke left out"),
        pytest.param(lambda strokes: strokes[1:], "uncut", id="the first left out"),
        pytest.param(
            lambda strokes: (*strokes[:-1], strokes[-1].moved(0.1, 0.0)), "gouge", id="0.1 aside"
        ),
        pytest.param(_each(lambda s: s.moved(0.0, 0.1)), "gouge", id="all 0.1 aside"),
        pytest.param(_each(lambda s: s.mirrored("y", (20, 0))), "gouge", id="mirrored"),
        pytest.param(
            lambda strokes: (
                *strokes,
                Chain.of_points([strokes[0].start, strokes[-1].start], closed=False),
            ),
            "gouge",
            id="not lifted between two",
        ),
    ],
)
@pytest.mark.usefixtures("undrawn", "unmeasured")
def test_letters_cut_wrongly_are_refused(
    job: str, change: Change, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    true = Lettering.laid_out
    monkeypatch.setattr(Lettering, "laid_out", lambda line: change(true(line)))
    outcome = made(JOBS[job], tmp_path)
    assert outcome.verdict == "fail"
    assert said in told(outcome)


@pytest.mark.parametrize("job", ["text", "arc", "path", "flat tip, to a depth", "ball nose"])
@pytest.mark.parametrize(
    ("by", "said"),
    [
        pytest.param(0.1, "gouge", id="0.1 too deep"),
        pytest.param(0.05, "gouge", id="0.05 too deep"),
        pytest.param(-0.05, "uncut", id="0.05 too shallow"),
    ],
)
@pytest.mark.usefixtures("undrawn", "unmeasured")
def test_a_wrong_depth_is_refused(
    job: str, by: float, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    true = Engraved.depth_with
    monkeypatch.setattr(Engraved, "depth_with", lambda feature, cutter: true(feature, cutter) + by)
    outcome = made(JOBS[job], tmp_path)
    assert outcome.verdict == "fail"
    assert said in told(outcome)


@pytest.mark.usefixtures("undrawn", "unmeasured")
def test_another_number_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The planner alone reads the next number."""
    true = Lettering.laid_out
    monkeypatch.setattr(
        Lettering,
        "laid_out",
        lambda line: true(replace(line, text=line.text.replace("1", "2"))),
    )
    outcome = made(COUNTED, tmp_path)
    assert outcome.verdict == "fail"
    assert "gouge" in told(outcome)


@pytest.mark.usefixtures("undrawn", "unmeasured")
def test_a_place_left_out_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    strokes = Engrave.stroke_chains.fget  # type: ignore[attr-defined]  # a property's own function
    monkeypatch.setattr(
        Engrave, "stroke_chains", property(lambda f: strokes(replace(f, written=f.written[:1])))
    )
    outcome = made(COUNTED, tmp_path)
    assert outcome.verdict == "fail"
    assert "uncut" in told(outcome)


# -- what is refused -----------------------------------------------------------------------------

POCKET = """\
  [[setup.feature]]
  kind = "pocket"
  outline = { rectangle = [50, 20], corner = [3, 6], round = 4 }
  depth = 2
"""


@pytest.mark.parametrize(
    ("text", "said"),
    [
        pytest.param(
            TEXT.replace("RA 5Ø", "5 Ω"),
            'text: there is no letter for "Ω", character 3, use another sign or word',
            id="no such letter",
        ),
        pytest.param(
            TEXT.replace("RA 5Ø", "No {m}"),
            'there is no letter for "{", character 4, write {n} for a number that counts',
            id="a brace",
        ),
        pytest.param(
            TEXT.replace("RA 5Ø", "A" * 101), "has 101 letters, use at most 100", id="a long text"
        ),
        pytest.param(TEXT.replace("  height = 6\n", ""), "height: is missing", id="no height"),
        pytest.param(
            TEXT.replace("  line_width = 0.4\n", ""),
            "line width and depth are missing, give line_width or depth",
            id="no depth",
        ),
        pytest.param(
            TEXT + "  depth = 0.2\n", "line_width is given too, remove one of them", id="two depths"
        ),
        pytest.param(
            TEXT.replace("  text", "  path = [[0, 0], [5, 5]]\n  text"),
            "text and path are both given",
            id="text and path",
        ),
        pytest.param(PATH + "  height = 3\n", "does not apply to a path", id="height of a path"),
        pytest.param(ARC + "  at = [3, 3]\n", "arc is given too", id="arc and place"),
        pytest.param(
            ARC.replace("radius = 24", "radius = 2"),
            "long and the arc 12.5664 mm round, use a larger radius",
            id="more than once round",
        ),
        pytest.param(
            TEXT + "  first = 3\n", "the text has no number that counts", id="nothing counts"
        ),
        pytest.param(TEXT + "  through = true\n", "does not apply to an engraving", id="through"),
        pytest.param(
            TEXT.replace("0.4", "0.1"),
            "no cutter with a point for a line of 0.1 mm",
            id="fine line",
        ),
        pytest.param(
            TEXT.replace("0.4", "0.1") + "  cutter = 2\n",
            "has a tip 0.1 mm wide, name one with a tip finer than 0.1 mm",
            id="a blunt tip",
        ),
        pytest.param(
            TEXT + "  cutter = 3\n",
            "has no point: its line is as wide as the cutter",
            id="a ball-nose end mill by its line",
        ),
        pytest.param(TEXT + "  cutter = 6\n", "cannot engrave", id="a drill"),
        pytest.param(TEXT + "  cutter = 5\n", "cannot engrave", id="a spot drill"),
        pytest.param(
            DEEP.format(2).replace("0.25", "5.9"), "has a point of 5.1", id="deeper than its point"
        ),
        pytest.param(
            DEEP.format(2).replace("0.25", "0.01"),
            "its lines are 0.01 mm deep, at least 0.02 mm is needed",
            id="too shallow to be seen",
        ),
        pytest.param(
            TEXT.replace("at = [5, 10]", "at = [70, 10]"),
            "is outside the stock",
            id="off the stock",
        ),
        pytest.param(
            TEXT + "  top = -1\n", "stock lies above it, up to z 0 mm", id="below the surface"
        ),
        pytest.param(
            POCKET + TEXT,
            "the surface there is at z -2 mm, below top, set top = -2",
            id="in the air",
        ),
        pytest.param(
            POCKET + TEXT.replace("[5, 10]", "[3.5, 10]") + "  top = -2\n",
            "would cut into the work beside it",
            id="a wall beside it",
        ),
    ],
)
def test_refused_with_its_reason(text: str, said: str, tmp_path: Path) -> None:
    outcome = made(text, tmp_path)
    assert outcome.verdict == "fail"
    assert said in told(outcome), told(outcome)


def test_on_the_floor_of_a_pocket(tmp_path: Path) -> None:
    text = TEXT.replace("[5, 10]", "[12, 13]").replace("height = 6", "height = 4")
    outcome = made(POCKET + text + "  top = -2\n", tmp_path)
    assert outcome.verdict == "pass", told(outcome)


def test_past_the_edge_is_a_warning(tmp_path: Path) -> None:
    outcome = made(TEXT.replace("[5, 10]", "[50, 10]"), tmp_path)
    assert outcome.verdict == "pass", told(outcome)
    assert "engrave 1 runs past the edge of the stock" in told(outcome)


def test_a_mirrored_copy_reads_as_before(tmp_path: Path) -> None:
    text = TEXT.replace("RA 5Ø", "RL").replace("[5, 10]", "[3, 10]")
    outcome = made(text + '  copies = [{ mirror = "y", about = [30, 0] }]\n', tmp_path)
    assert outcome.verdict == "pass", told(outcome)


def test_a_later_set_up_finds_the_stock_as_it_is(tmp_path: Path) -> None:
    turned = """\
[[setup]]
up = "bottom"
  [setup.hold]
  board = 12
  [[setup.feature]]
  kind = "pocket"
  outline = { circle = 10, centre = [30, 20] }
  depth = 3
"""
    outcome = made(TEXT + turned, tmp_path)
    assert outcome.verdict == "pass", told(outcome)


def test_braces_are_kept_for_numbers() -> None:
    assert engrave.numbered("{n}/{nnn}", 12) == "12/012"
