"""Set-ups that take one of the pieces that an earlier one has parted, made end to end: whichever
piece it is, its stock is the true one, and a wrong belief is refused."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from made_jobs import made_in, told

from gcodekit.job import begun_stock
from gcodekit.job.stock import pieces
from gcodekit.making.make import Report
from gcodekit.planning import cutter_assignment

SHOP = (Path(__file__).parent / "kind_jobs" / "shop" / "saw-shop.toml").read_text("utf-8")
HEAD = """\
name = "Pair"
units = "mm"
workshop = "shop.toml"
material = "aluminium"
[stock]
block = [70, 44, 26]
"""
THIN = HEAD.replace("26]", "16]")
SPLIT = """\
[[setup]]
name = "Split"
  [setup.hold]
  vise = { grip = 7, jaw_width = 60, jaw_depth = 20, along = "y" }
  [[setup.feature]]
  name = "front kerf"
  kind = "saw"
  from = [-3, 22]
  to = [73, 22]
  side = "right"
  z = -12
  loses = "above"
  [[setup.feature]]
  name = "back kerf"
  kind = "saw"
  from = [-3, 22]
  to = [73, 22]
  side = "left"
  z = -12
  loses = "above"
"""
UPPER = """\
[[setup]]
name = "Upper"
up = "bottom"
piece = { setup = "Split", at = [35, 22, -5] }
  [setup.hold]
  board = 10
  [[setup.feature]]
  kind = "pocket"
  outline = { rectangle = [30, 20], centre = [35, 22], round = 5 }
  depth = 3
"""
# What it faces off is where the upper piece was.
LOWER = """\
[[setup]]
name = "Lower"
piece = { setup = "Split", at = [35, 22, -20] }
zero = { z = "top - 0.5" }
  [setup.hold]
  board = 10
  [[setup.feature]]
  kind = "face"
  top = 0.5
  depth = 0.5
  [[setup.feature]]
  kind = "slot"
  from = [20, 22]
  to = [50, 22]
  width = 10
  depth = 4
"""
# Once more the upper one, on its edge.
AGAIN = """\
[[setup]]
name = "Edge"
up = "front"
piece = { setup = "Split", at = [35, 22, -5] }
  [setup.hold]
  board = 10
  [[setup.feature]]
  kind = "hole"
  at = [35, 5]
  diameter = 5
  depth = 8
"""
SLOTTED = """\
[[setup]]
name = "Split"
  [setup.hold]
  board = 12
  [[setup.feature]]
  kind = "slot"
  from = [40, 0]
  to = [40, 44]
  width = 8
  ends = "open"
  through = true
[[setup]]
name = "Right"
piece = { setup = "Split", at = [60, 20] }
  [setup.hold]
  board = 12
  [[setup.feature]]
  kind = "pocket"
  outline = { circle = 12, centre = [13, 22] }
  depth = 5
[[setup]]
name = "Left"
piece = { setup = "Split", at = [10, 20] }
zero = { x = "right", y = "front", z = "top" }
  [setup.hold]
  board = 12
  [[setup.feature]]
  kind = "pocket"
  outline = { circle = 12, centre = [-10, 22] }
  depth = 5
"""


def made(text: str, folder: Path, head: str = HEAD) -> Report:
    return made_in(folder, head + text, SHOP)


def test_each_piece_is_taken_by_itself(tmp_path: Path) -> None:
    """Volumes by arithmetic: 70 x 44 in plan, 10 and 14 high once a kerf of 2 is gone."""
    outcome = made(SPLIT + UPPER + LOWER + AGAIN, tmp_path)
    assert outcome.verdict == "pass", told(outcome)
    rows = json.loads((tmp_path / "out" / "report.json").read_text("utf-8"))["pieces"]
    assert [(r["setup"], r["taken_by"]) for r in rows] == [
        ("Split", ["Lower"]),
        ("Split", ["Upper", "Edge"]),
    ]
    assert [r["volume"] for r in rows] == pytest.approx([70 * 44 * 14, 70 * 44 * 10], rel=1e-6)
    assert [(r["low"][2], r["high"][2]) for r in rows] == [(-26.0, -12.0), (-10.0, 0.0)]
    (line,) = (s for s in outcome.summary if s.startswith("Split: piece 2"))
    assert line == (
        "Split: piece 2: X 0 to 70 mm, Y 0 to 44 mm, Z -10 to 0 mm, 30.80 cm3, taken by Upper, Edge"
    )
    # both pieces as they are in the end: pocket, face, slot and hole by arithmetic
    pocket = (30 * 20 - (4 - 3.14159265) * 25) * 3
    slot = (30 * 10 + 3.14159265 * 25) * 4
    hole = 3.14159265 * 2.5**2 * 8
    left = 70 * 44 * (10 + 13.5) - pocket - slot - hole
    assert outcome.document["volume"] == pytest.approx(left, rel=2e-3)


def test_the_head_names_the_piece(tmp_path: Path) -> None:
    made(SPLIT + UPPER, tmp_path)
    assert "(piece: the one at X35 Y22 Z-5 of set-up Split)" in (
        tmp_path / "out" / "2-upper.nc"
    ).read_text("utf-8")


def test_a_slot_right_through_parts_too(tmp_path: Path) -> None:
    """Limits are the piece's: each is found by its own edges."""
    outcome = made(SLOTTED, tmp_path, THIN)
    assert outcome.verdict == "pass", told(outcome)
    rows = outcome.document["pieces"]
    assert [(r["low"][0], r["high"][0], r["taken_by"]) for r in rows] == [
        (0.0, 36.0, ["Left"]),
        (44.0, 70.0, ["Right"]),
    ]


def test_a_piece_of_a_piece(tmp_path: Path) -> None:
    """The upper one is parted once more, and the lower one is not touched by that."""
    halves = UPPER.replace('kind = "pocket"', 'kind = "slot"\n  width = 8\n  ends = "open"')
    halves = halves.replace(
        "  outline = { rectangle = [30, 20], centre = [35, 22], round = 5 }\n  depth = 3",
        "  from = [35, 0]\n  to = [35, 44]\n  through = true",
    )
    half = """\
[[setup]]
name = "Half"
piece = { setup = "Upper", at = [10, 20] }
  [setup.hold]
  board = 10
  [[setup.feature]]
  kind = "pocket"
  outline = { circle = 12, centre = [15, 22] }
  depth = 4
"""
    outcome = made(SPLIT + halves + LOWER + half, tmp_path)
    assert outcome.verdict == "pass", told(outcome)
    taken = [(r["setup"], r["taken_by"]) for r in outcome.document["pieces"]]
    assert taken == [
        ("Split", ["Lower"]), ("Split", ["Upper"]), ("Upper", ["Half"]), ("Upper", []),
    ]  # fmt: skip
    whole = (
        half.replace('"Half"', '"Whole"').replace('"Upper"', '"Split"').replace("20]", "20, -5]")
    )
    assert '"Upper" has parted that piece again' in told(
        made(SPLIT + halves + half + whole, tmp_path)
    )
    outcome = made(SPLIT + halves + whole, tmp_path)
    assert "Whole: Upper parts the stock into 2 pieces" in told(outcome), told(outcome)


@pytest.mark.parametrize(
    ("job", "head"), [(SPLIT + UPPER, HEAD), (SPLIT + LOWER, HEAD), (SLOTTED, THIN)]
)
@pytest.mark.parametrize("read", [False, True], ids=["planned", "read and planned"])
@pytest.mark.usefixtures("undrawn")
def test_the_wrong_piece_is_refused(
    read: bool, job: str, head: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On another piece than the one named, the stock is not what the solids say."""
    true = pieces.piece_at

    def wrong(*given):  # type: ignore[no-untyped-def]  # as the one it stands for
        return [1 - i for i in true(*given)]

    monkeypatch.setattr(cutter_assignment, "piece_at", wrong)
    if read:
        monkeypatch.setattr(begun_stock, "piece_at", wrong)
    outcome = made(job, tmp_path, head)
    assert outcome.verdict == "fail"
    assert "stock" in told(outcome), told(outcome)


@pytest.mark.parametrize("what", ["none gone", "both gone"])
@pytest.mark.usefixtures("undrawn")
def test_the_other_piece_believed_there_is_refused(
    what: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    true = cutter_assignment.others_gone

    def wrong(setup, found, chosen):  # type: ignore[no-untyped-def]  # as the one it stands for
        rest = true(setup, found, chosen)
        return () if what == "none gone" else (*rest, *chosen.layers)

    monkeypatch.setattr(cutter_assignment, "others_gone", wrong)
    outcome = made(SLOTTED, tmp_path, THIN)
    assert outcome.verdict == "fail"
    assert "stock" in told(outcome), told(outcome)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        pytest.param(
            SPLIT + UPPER.replace(", -5]", "]"),
            "2 pieces lie above one another at that place, add z to at: at = [35, 22, -19] or "
            "at = [35, 22, -5]",
            id="two over one another",
        ),
        pytest.param(
            SPLIT + UPPER.replace("[35, 22, -5]", "[90, 22]"), "no piece is at that place", id="air"
        ),
        pytest.param(
            SPLIT + UPPER.replace("-5]", "-11]"), "no piece is at that place", id="in the kerf"
        ),
        pytest.param(
            SPLIT[: SPLIT.rindex("  [[setup.feature]]")] + UPPER,
            '"Split" does not part the stock',
            id="not parted",
        ),
        pytest.param(
            SPLIT + UPPER.replace('"Split"', '"Splitt"'), 'did you mean "Split"?', id="no such"
        ),
        pytest.param(
            SPLIT + UPPER.replace("[35, 22, -5]", "[35]"), "at: is not a point", id="one figure"
        ),
        pytest.param(
            SPLIT + UPPER.replace("piece =", "loose = true\npiece ="),
            "piece is given too",
            id="loose",
        ),
        pytest.param(
            SPLIT + UPPER + LOWER.replace("piece =", "# piece ="),
            'an earlier set-up took one piece of what "Split" parted',
            id="one without",
        ),
        pytest.param(
            SPLIT + UPPER.replace("piece =", "# piece ="),
            "Split parts the stock into 2 pieces, zero and limits of this set-up are those of all "
            'of them together, say which piece it takes: piece = { setup = "Split"',
            id="none says which",
        ),
        pytest.param(
            SPLIT + UPPER.replace("centre = [35, 22]", "centre = [35, 80]"),
            "is outside the stock",
            id="off the piece",
        ),
    ],
)
def test_refused_with_its_reason(text: str, said: str, tmp_path: Path) -> None:
    outcome = made(text, tmp_path)
    assert outcome.verdict == "fail"
    assert said in told(outcome), told(outcome)


def test_what_oversize_holds_together_is_not_parted(tmp_path: Path) -> None:
    head = HEAD + "oversize = 2\n"
    short = SPLIT.replace("[-3, 22]", "[0, 22]").replace("[73, 22]", "[70, 22]")
    assert "does not part the stock" in told(made(short + UPPER, tmp_path, head))
    outcome = made(SPLIT.replace("[-3,", "[-8,").replace("[73,", "[78,") + UPPER, tmp_path, head)
    assert outcome.verdict == "pass", told(outcome)


TWO_SIDES = """\
[[setup]]
name = "Top"
  [setup.hold]
  board = 12
  [[setup.feature]]
  kind = "slot"
  from = [40, 0]
  to = [40, 44]
  width = 8
  ends = "open"
  depth = 10
[[setup]]
name = "Other side"
up = "bottom"
  [setup.hold]
  board = 12
  [[setup.feature]]
  kind = "slot"
  from = [40, 0]
  to = [40, 44]
  width = 8
  ends = "open"
  depth = 8
[[setup]]
name = "On edge"
up = "front"
piece = { setup = "Other side", at = [20, 20] }
  [setup.hold]
  vise = { grip = 6, jaw_width = 60, jaw_depth = 20, along = "x" }
  [[setup.feature]]
  kind = "hole"
  at = [10, 8]
  diameter = 5
  depth = 10
"""
BAR = """\
[[setup]]
name = "Cut off"
  [setup.hold]
  vise = { grip = 10, jaw_width = 30, jaw_depth = 20, centre = [15, 13] }
  [[setup.feature]]
  kind = "slot"
  from = [40, -10]
  to = [40, 40]
  width = 8
  floor = -26
  top = 0
[[setup]]
name = "End"
up = "right"
piece = { setup = "Cut off", at = [10, 13] }
  [setup.hold]
  board = 12
  [[setup.feature]]
  kind = "hole"
  at = [13, 13]
  diameter = 5
  depth = 9
"""


def test_slots_from_both_faces_part_it(tmp_path: Path) -> None:
    """Of the piece on its edge the limits are those of 36 by 16, found across both slots."""
    outcome = made(TWO_SIDES, tmp_path, THIN)
    assert outcome.verdict == "pass", told(outcome)
    rows = outcome.document["pieces"]
    assert [(r["low"][0], r["high"][0], r["taken_by"]) for r in rows] == [
        (0.0, 36.0, ["On edge"]),
        (44.0, 70.0, []),
    ]


def test_a_bar_is_cut_off(tmp_path: Path) -> None:
    """A round bar lying down, whose section changes at every height."""
    head = HEAD.replace(
        "block = [70, 44, 26]", 'round = { diameter = 26, length = 70, axis = "x" }'
    )
    outcome = made(BAR, tmp_path, head)
    assert outcome.verdict == "pass", told(outcome)
    (taken,) = (r for r in outcome.document["pieces"] if r["taken_by"])
    assert taken["volume"] == pytest.approx(36 * 3.14159265 * 13**2, rel=2e-3)
