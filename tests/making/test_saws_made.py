"""Saw cuts made end to end: the kerf in plane sections, errors that the proof must see, and what is
refused with its reason."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from made_jobs import made_in, told

from gcodekit.job.kinds.saw import Saw
from gcodekit.making.make import Report
from gcodekit.operations import saw as saw_operations
from gcodekit.operations.saw import SawCutting
from gcodekit.rs274 import read_program
from gcodekit.toolpath.moves import Feed, Rapid

SHOP = """\
units = "mm"
[machine]
name = "Bench mill"
spindle = { min = 60, max = 3000, power = 500 }
feed_max = 1200
rapid = 2000

[[cutter]]
number = 1
kind = "end mill"
diameter = 6
flutes = 3
flute_length = 18
stickout = 28

[[cutter]]
number = 2
kind = "slitting saw"
diameter = 63
thickness = 1.6
flutes = 40
stickout = 50
shank = 16
nut = { diameter = 14, length = 5 }
holder = { diameter = 30, length = 40 }
"""
HEAD = """\
name = "Clamp"
units = "mm"
workshop = "shop.toml"
material = "aluminium"
[stock]
block = [60, 40, 20]
[[setup]]
name = "Split"
zero = { x = "left", y = "front", z = "top" }
  [setup.hold]
  vise = { grip = 6, jaw_width = 100, jaw_depth = 25, along = "y" }
"""
# The front half slit from edge to edge: the lower face is kept.
SLIT = """\
  [[setup.feature]]
  name = "slit"
  kind = "saw"
  from = [-2, 15]
  to = [62, 15]
  side = "right"
  z = -8
  loses = "above"
"""
# From the back, ending in the work, the upper face kept.
BLIND = """\
  [[setup.feature]]
  name = "slit"
  kind = "saw"
  from = [62, 28]
  to = [25, 28]
  side = "right"
  z = "top - 6"
  loses = "below"
  cut = "climb"
"""
# Under a pocket, and askew.
UNDER = """\
  [[setup.feature]]
  kind = "pocket"
  outline = { rectangle = [20, 14], centre = [30, 20], round = 4 }
  depth = 4

  [[setup.feature]]
  name = "slit"
  kind = "saw"
  from = [-4, 10]
  to = [64, 16]
  side = "right"
  z = -7
  loses = "below"
  stepdown = 3
"""
JOBS = {"from edge to edge": SLIT, "blind": BLIND, "under a pocket": UNDER}


def made(text: str, folder: Path, shop: str = SHOP, head: str = HEAD) -> Report:
    return made_in(folder, head + text, shop)


def text_of(folder: Path) -> str:
    (program,) = (folder / "out").glob("*.nc")
    return program.read_text("utf-8")


@pytest.mark.parametrize("job", JOBS)
def test_proved(job: str, tmp_path: Path) -> None:
    outcome = made(JOBS[job], tmp_path)
    assert outcome.verdict == "pass", told(outcome)


def test_the_rim_reaches_its_line_and_no_farther(tmp_path: Path) -> None:
    """A disc of radius r about a centre y reaches y + r: closed form, no source needed. The blade's
    underside is the kept face where the kerf is lost above it."""
    outcome = made(SLIT, tmp_path)
    assert outcome.verdict == "pass", told(outcome)
    reading = read_program(text_of(tmp_path), "1.nc")
    cuts = [m for m in reading.moves if m.kind == "line" and m.start[2] == m.end[2]]
    assert max(m.end[1] for m in cuts) + 63 / 2 == pytest.approx(15, abs=1e-4)
    assert {m.end[2] for m in cuts} == {-8.0}
    # conventional: a blade turning clockwise with the work on its left is fed against its teeth
    (last,) = {
        math.copysign(1.0, m.end[0] - m.start[0])
        for m in cuts
        if m.end[1] == m.start[1] > -32 and m.end[0] != m.start[0]
    }
    assert last > 0


def test_passes_go_by_its_rates(tmp_path: Path) -> None:
    """In aluminium 15 mm are no single pass for a blade of 1.6 mm, and a stepdown of the job's own
    is kept to."""
    outcome = made(SLIT + "  stepdown = 4\n", tmp_path)
    assert outcome.verdict == "pass", told(outcome)
    along = {
        round(m.end[1], 3)
        for m in read_program(text_of(tmp_path), "1.nc").moves
        if m.kind == "line" and m.end[1] == m.start[1] > -32 and abs(m.end[0] - m.start[0]) > 60
    }
    depths = sorted(y + 31.5 for y in along)
    assert depths == pytest.approx([3.75, 7.5, 11.25, 15.0], abs=0.01)


def test_the_program_cautions(tmp_path: Path) -> None:
    made(SLIT, tmp_path)
    text = " ".join(re.findall(r"\((?:MSG, )?(.*)\)", text_of(tmp_path)))
    assert "guard on, teeth leading clockwise seen from above, fed against the teeth" in text
    assert "Z is the underside of the blade, its nut reaches 5 mm below it" in text
    assert "bring the underside of the blade level with the raw top from beside the work" in text


def test_in_inch(tmp_path: Path) -> None:
    head = (
        HEAD.replace('units = "mm"', 'units = "inch"')
        .replace("[60, 40, 20]", "[2.5, 1.5, 0.75]")
        .replace("grip = 6, jaw_width = 100, jaw_depth = 25", "grip = 0.25, jaw_width = 4, "
                 "jaw_depth = 1")
    )  # fmt: skip
    slit = SLIT.replace("[-2, 15]", "[-0.1, 0.5]").replace("[62, 15]", "[2.6, 0.5]")
    outcome = made(slit.replace("z = -8", "z = -0.25"), tmp_path, head=head)
    assert outcome.verdict == "pass", told(outcome)


Change = Callable[[Saw], Saw]


def raised(by: float) -> Change:
    def wrong(saw: Saw) -> Saw:
        low = saw.depth.floor + by
        return replace(saw, depth=replace(saw.depth, floor=low, cut_to=low, top=saw.depth.top + by))

    return wrong


def deeper(by: float) -> Change:
    """Away from the blade by so much."""

    def wrong(saw: Saw) -> Saw:
        dx, dy = saw.toward
        (ax, ay), (bx, by_) = saw.start, saw.end
        start, end = (ax - by * dx, ay - by * dy), (bx - by * dx, by_ - by * dy)
        return replace(saw, start=start, end=end)

    return wrong


def other_side(saw: Saw) -> Saw:
    return replace(saw, side="left" if saw.side == "right" else "right")


def other_face(saw: Saw) -> Saw:
    """The kerf lost on the other side of the face that is kept."""
    down = saw.name == "slit" and saw.depth.floor == -8.0
    return raised(-1.6 if down else 1.6)(saw)


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize(
    ("change", "said"),
    [
        pytest.param(other_face, "gouge", id="kerf on the wrong side of the face"),
        pytest.param(raised(-0.1), "gouge", id="blade 0.1 low"),
        pytest.param(raised(0.1), "gouge", id="blade 0.1 high"),
        pytest.param(raised(0.02), "uncut", id="blade 0.02 high"),
        pytest.param(deeper(0.05), "gouge", id="0.05 too deep"),
        pytest.param(deeper(-0.05), "uncut", id="0.05 too shallow"),
        pytest.param(other_side, "gouge", id="from the other side"),
        pytest.param(raised(-4.3), "gouge", id="at a height of no level"),
    ],
)
@pytest.mark.usefixtures("undrawn")
def test_a_planted_error_is_refused(
    job: str, change: Change, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    true = SawCutting.drafts

    def wrong(self, work, feature, *rest):  # type: ignore[no-untyped-def]  # as the one it stands for
        return true(self, work, change(feature), *rest)

    monkeypatch.setattr(SawCutting, "drafts", wrong)
    outcome = made(JOBS[job], tmp_path)
    assert outcome.verdict == "fail"
    assert said in told(outcome), told(outcome)


@pytest.mark.usefixtures("undrawn")
def test_one_pass_too_many_into_the_far_wall_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    true = saw_operations._way

    def wrong(*given):  # type: ignore[no-untyped-def]  # as the one it stands for
        way = true(*given)
        step = way.depths[0]
        return replace(way, depths=(*way.depths, way.depths[-1] + step))

    monkeypatch.setattr(saw_operations, "_way", wrong)
    outcome = made(SLIT, tmp_path)
    assert outcome.verdict == "fail"
    assert "gouge in slit" in told(outcome)


@pytest.mark.parametrize(
    ("saw", "part"), [("nut = { diameter = 2, length = 5 }", "arbor"), ("shank = 2", "nut")]
)
@pytest.mark.usefixtures("undrawn")
def test_an_arbor_in_the_work_is_refused_by_the_proof(
    saw: str, part: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(SawCutting, "check_beside", lambda *_: None)
    slimmer = re.sub(saw.split(" =", maxsplit=1)[0] + r" = .*", saw, SHOP)
    outcome = made(SLIT.replace("15]", "26]"), tmp_path, slimmer)
    assert outcome.verdict == "fail"
    assert f"collision: {part} of cutter 2 into stock" in told(outcome), told(outcome)


@pytest.mark.usefixtures("undrawn")
def test_the_work_over_a_kerf_is_still_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Straight up out of the kerf is through the stock above it, by rapid or at a feed."""
    true = SawCutting.drafts
    for up in (Rapid(z=30.0), Feed(30.0, -16.5, 30.0, 100.0)):

        def wrong(self, *given, up=up):  # type: ignore[no-untyped-def]  # as the one it stands for
            (draft,) = true(self, *given)
            last = max(i for i, m in enumerate(draft.moves) if isinstance(m, Feed))
            moves = (*draft.moves[: last - 1], Feed(30.0, -16.5, -8.0, 100.0), up)
            return [replace(draft, moves=(*moves, Rapid(z=draft.moves[-1].z)))]

        monkeypatch.setattr(SawCutting, "drafts", wrong)
        outcome = made(SLIT, tmp_path)
        said = "rapid into stock" if isinstance(up, Rapid) else "goes up or down in the stock"
        assert outcome.verdict == "fail"
        assert said in told(outcome), told(outcome)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        pytest.param(
            SLIT.replace("15]", "26]"), "the nut of cutter 2", id="deeper than the blade goes"
        ),
        pytest.param(SLIT + "  cutter = 1\n", "is an end mill and cannot saw", id="an end mill"),
        pytest.param(SLIT + "  depth = 1\n", "does not apply to a saw", id="a depth"),
        pytest.param(SLIT.replace("z = -8", "z = -22"), "not all within the stock", id="below it"),
        pytest.param(
            SLIT.replace("z = -8", "z = -0.5"), "not all within the stock", id="out of the top"
        ),
        pytest.param(
            SLIT.replace("15]", "-70]"), "is outside the stock", id="the line off the stock"
        ),
        pytest.param(SLIT.replace("15]", "-5]"), "cuts nothing", id="on the wrong side of it all"),
        pytest.param(SLIT.replace("[62, 15]", "[-2, 15]"), "the same point as from", id="no line"),
        pytest.param(SLIT.replace("  z = -8\n", ""), "z: is missing", id="no height"),
    ],
)
def test_refused_with_its_reason(text: str, said: str, tmp_path: Path) -> None:
    outcome = made(text, tmp_path)
    assert outcome.verdict == "fail"
    assert said in told(outcome), told(outcome)


def test_two_saws_want_a_name(tmp_path: Path) -> None:
    thin = '\n[[cutter]]\nnumber = 3\nkind = "slitting saw"\ndiameter = 50\nthickness = 1\n'
    outcome = made(SLIT, tmp_path, SHOP + thin)
    assert "name one of cutters 2, 3" in told(outcome)
    assert made(SLIT + "  cutter = 2\n", tmp_path, SHOP + thin).verdict == "pass"


def test_no_saw_in_the_rack_is_said(tmp_path: Path) -> None:
    outcome = made(SLIT, tmp_path, SHOP[: SHOP.index("\n[[cutter]]\nnumber = 2")])
    assert "the rack has no slitting saw" in told(outcome)


def test_a_nut_in_the_spoil_board_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    head = HEAD[: HEAD.index("  vise")] + "  board = 12\n"
    low = SLIT.replace("z = -8", "z = -17")
    assert made(SLIT, tmp_path, head=head).verdict == "pass"
    assert "would turn in the spoil board, 2 mm deep" in told(made(low, tmp_path, head=head))
    monkeypatch.setattr(SawCutting, "check_beside", lambda *_: None)
    outcome = made(low, tmp_path, head=head)
    assert "collision: nut of cutter 2 into spoil board, 2 mm deep" in told(outcome)


def test_a_nut_stays_off_the_jaws(tmp_path: Path) -> None:
    head = HEAD.replace('"y" }', '"x" }').replace("jaw_width = 100", "jaw_width = 80")
    outcome = made(SLIT.replace("z = -8", "z = -12"), tmp_path, head=head)
    assert outcome.verdict == "fail"
    assert "nut of cutter 2 into the front jaw" in told(outcome), told(outcome)
    assert made(SLIT.replace("z = -8", "z = -8.5"), tmp_path, head=head).verdict == "pass"


def test_a_later_set_up_finds_the_stock_as_it_is(tmp_path: Path) -> None:
    turned = """\
[[setup]]
up = "bottom"
zero = { x = "left", y = "front", z = "top" }
  [setup.hold]
  board = 12
  [[setup.feature]]
  kind = "pocket"
  outline = { circle = 10, centre = [30, 30] }
  depth = 3
[[setup]]
up = "front"
zero = { x = "left", y = "front", z = "top" }
  [setup.hold]
  board = 12
  [[setup.feature]]
  kind = "pocket"
  outline = { rectangle = [20, 8], centre = [30, 5] }
  depth = 3
"""
    outcome = made(SLIT + turned, tmp_path)
    assert outcome.verdict == "pass", told(outcome)


def test_a_kerf_to_the_edges_from_both_sides_parts_the_work(tmp_path: Path) -> None:
    """The piece above the kerf is held by nothing."""
    far = SLIT.replace('"slit"', '"far slit"').replace("15]", "20]").replace("right", "left")
    outcome = made(SLIT.replace("15]", "20]") + far, tmp_path)
    assert outcome.verdict == "pass", told(outcome)
    assert "feature 2: a piece comes loose at [30, 20]: nothing holds it" in told(outcome)


def test_a_kerf_already_cut_is_refused_by_name(tmp_path: Path) -> None:
    setup = HEAD[HEAD.index("[[setup]]") :].replace('name = "', 'name = "again ')
    outcome = made(SLIT + setup + SLIT.replace('"slit"', '"again"'), tmp_path)
    assert "cuts nothing: no stock is left where it would cut" in told(outcome)
