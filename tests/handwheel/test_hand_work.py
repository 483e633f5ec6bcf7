"""What is laid out for the hands: turns on a rotary table, rows, notes, what cannot be done."""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest
import shapely
from hand_texts import hand_text, on_machine, shipped
from sheet_reading import pages_of

from gcodekit.handwheel.hand_sheet import speed_of
from gcodekit.handwheel.strokes import HoleTable, StrokeTable, TurnTable
from gcodekit.job.load import load_job
from gcodekit.job.model import Job
from gcodekit.job.workshop.machine import Spindle

KIND_JOBS = Path(__file__).parents[1] / "making" / "kind_jobs"
ROTARY = "rotary = { centre = [0, 0] }\nboard = 12"
ROUND_END = """
  [[setup.feature]]
  name = "round end"
  kind = "arc"
  centre = [0, 0]
  radius = 25
  start = -90
  end = 90
  side = "outside"
  depth = 4
  [[setup.feature]]
  name = "well"
  kind = "bore"
  at = [0, 0]
  diameter = 20
  depth = 3
"""


def test_walls_round_the_rotary_table_are_turned(job_of: Callable[..., Job]) -> None:
    job = job_of(ROUND_END, hold=ROTARY, rack=[("end mill", 12)])
    sheet = hand_text(job)
    for verdict in sheet.judged().values():
        assert verdict.problems == ()
        # no steps: the curve comes out true
        assert verdict.curved < 0.02
    finish = [
        t
        for o in sheet.hands[0].operations
        if o.label == "finish"
        for t in o.tables
        if isinstance(t, TurnTable)
    ]
    assert {round(abs(s.radius), 2) for t in finish for s in t.turns} == {31.0, 4.0}
    assert "file off" not in sheet.text
    # the same without the table: steps, to be filed
    plain = hand_text(job_of(ROUND_END, hold="board = 12", rack=[("end mill", 12)]))
    assert "On the rotary table" not in plain.text
    assert "file off after steps, at most: 0.1 mm" in plain.text
    assert all(v.problems == () for v in plain.judged().values())


def test_a_wrong_radius_on_the_rotary_table_is_found(job_of: Callable[..., Job]) -> None:
    sheet = hand_text(job_of(ROUND_END, hold=ROTARY, rack=[("end mill", 12)]))
    changed = sheet.judged(lambda text: re.sub(r"\b31\.00\b", "30.90", text))
    assert "0.101 into the part" in str(changed)


def test_a_chamfer_is_filed(job_of: Callable[..., Job]) -> None:
    sheet = hand_text(
        job_of(
            """
  [[setup.feature]]
  kind = "profile"
  outline = { rectangle = [60, 40], round = 5 }
  side = "outside"
  depth = 6
  [[setup.feature]]
  kind = "chamfer"
  outline = { rectangle = [60, 40], round = 5 }
  side = "outside"
  width = 0.5
"""
        )
    )
    assert "Not by hand: A chamfer along this edge cannot be followed by hand. File" in sheet.text


@pytest.mark.parametrize(
    ("job", "said"),
    [
        ("name-plate", "Stamp them with punches"),
        ("setting-circle", "with a rotary table or dividing head"),
        ("focuser-adapter", "Cut it with a tap or die, or on a lathe"),
    ],
)
def test_what_hands_cannot_follow_is_said_with_another_way(job: str, said: str) -> None:
    sheet = hand_text(load_job(KIND_JOBS / f"{job}.toml"))
    assert said in " ".join(sheet.text.split())


def test_a_slanting_slot_as_wide_as_its_cutter_is_no_work_for_hands(
    job_of: Callable[..., Job],
) -> None:
    features = """
  [[setup.feature]]
  kind = "slot"
  from = [-20, -10]
  to = [20, 9]
  width = 6
  depth = 2
"""
    sheet = hand_text(job_of(features, rack=[("end mill", 6)]))
    assert "Not by hand: No straight strokes lead along this cut" in sheet.text
    narrower = hand_text(job_of(features, rack=[("end mill", 4)]))
    assert "Not by hand" not in narrower.text
    assert all(v.problems == () for v in narrower.judged().values())


def test_a_slot_along_an_axis_as_wide_as_its_cutter_is_one_stroke(
    job_of: Callable[..., Job],
) -> None:
    sheet = hand_text(
        job_of(
            """
  [[setup.feature]]
  kind = "slot"
  from = [-20, 3]
  to = [20, 3]
  width = 6
  depth = 2
""",
            rack=[("end mill", 6)],
        )
    )
    (slot,) = sheet.operations()
    assert all(len(way) == 2 for _, way in slot.ways)
    assert all(v.problems == () for v in sheet.judged().values())


def test_constant_engagement_becomes_shallower_rows(job_of: Callable[..., Job]) -> None:
    sheet = hand_text(
        job_of(
            """
  [[setup.feature]]
  kind = "pocket"
  outline = { rectangle = [60, 40], round = 5 }
  depth = 6
  rough = "constant engagement"
""",
            rack=[("end mill", 8)],
        )
    )
    assert "which no hand can follow" in sheet.text
    rough = sheet.operations()[0]
    assert len({d for depths, _ in rough.ways for d in depths}) > 1
    assert all(v.problems == () for v in sheet.judged().values())


def test_rows_cut_one_way_with_the_metal_on_the_left() -> None:
    """A face's rows: cuts toward plus, each farther on than the last; back in the same track."""
    face = hand_text(shipped("worm-block")).operations()[0]
    (way,) = [way for _, way in face.ways]
    seen: list[float] = []
    for (x0, y0), (x1, y1) in pairwise(way):
        if y0 == y1 and x1 > x0:
            assert all(y0 > y for y in seen)
            seen.append(y0)
        elif y0 == y1:
            assert y0 in seen
    assert len(seen) > 3


def test_speeds_of_a_belt_and_without() -> None:
    belt = Spindle(slowest=120, fastest=1650, steps=(120, 200, 340, 580, 980, 1650))
    assert speed_of(belt, 800) == 980
    assert speed_of(belt, 750) == 580
    free = Spindle(slowest=100, fastest=2500)
    assert speed_of(free, 2069.0) == 2060
    assert speed_of(free, 928.4) == 925


def test_a_reamed_bore_is_left_for_its_reamer() -> None:
    sheet = hand_text(shipped("worm-block"))
    labels = [(o.feature, o.label) for o in sheet.hands[0].operations]
    at = labels.index(("worm bore", "finish"))
    assert sheet.hands[0].operations[at].file_to == 0.0
    assert ("worm bore", "ream") in labels[at:]


@pytest.mark.parametrize("name", ["cable-clip", "worm-block"])
def test_every_table_is_on_the_scales(name: str) -> None:
    for hand in hand_text(shipped(name)).hands:
        for operation in hand.operations:
            for table in operation.tables:
                stops = table.stops if isinstance(table, StrokeTable) else ()
                places = [s.at for s in stops]
                places += [h.at for h in table.holes] if isinstance(table, HoleTable) else []
                for x, y in places:
                    assert x / 0.01 == pytest.approx(round(x / 0.01), abs=1e-6)
                    assert y / 0.01 == pytest.approx(round(y / 0.01), abs=1e-6)


def test_what_the_hands_wind_past_grows_with_the_backlash() -> None:
    job = shipped("cable-clip")
    assert "Wind X and Y 1 mm past" in hand_text(job).text
    loose = on_machine(job, backlash=(0.5, 0.4))
    assert "Wind X and Y 1.5 mm past" in hand_text(loose).text


MAKING = Path(__file__).parents[1] / "making"


@pytest.mark.parametrize(
    "job",
    [
        "kind_jobs/tapped-foot-inch",
        "kind_jobs/tube-plate",
        "small_jobs/ledge-open-even",
        "small_jobs/setting-ring-copies",
        "small_jobs/slotted-plate-open",
    ],
)
def test_other_jobs_are_made_as_well(job: str) -> None:
    for verdict in hand_text(load_job(MAKING / f"{job}.toml")).judged().values():
        assert verdict.problems == ()


def test_finishing_cuts_against_the_feed() -> None:
    """The spindle turns clockwise: the wall is on the left. Round the outside of a part that is
    counter-clockwise, inside a pocket clockwise."""
    clip = {o.name.split(". ")[1]: o for o in hand_text(shipped("cable-clip")).operations()}
    assert shapely.LinearRing(clip["OUTSIDE: FINISH"].ways[0][1]).is_ccw
    tray = next(o for o in hand_text(shipped("eyepiece-plate")).operations() if "TRAY: F" in o.name)
    # its rim first, then round its islands
    assert not shapely.LinearRing(tray.ways[0][1]).is_ccw
    assert all(shapely.LinearRing(way).is_ccw for _, way in tray.ways[1:])


EDGE = """
  [[setup.feature]]
  kind = "edge"
  side = "back"
  at = 20
  depth = 8
  [[setup.feature]]
  kind = "chamfer"
  path = [[-40, 20], [40, 20]]
  side = "left"
  width = 2
"""
RULE = """
  [[setup.feature]]
  kind = "scale"
  from = [-20, 0]
  to = [20, 0]
  divisions = 20
  short = 2
  long = { length = 4, every = 5 }
  line_width = 0.3
"""
POINTED = [("end mill", 10), ("chamfer mill", 10), ("engraving cutter", 6)]
BY_AXIS = [
    pytest.param(EDGE, POINTED, r"Z -(\d\.\d\d)$", id="chamfer"),
    pytest.param(RULE, POINTED, r"Z -(0\.\d\d)$", id="scale"),
]


@pytest.mark.parametrize(("features", "rack", "depth"), BY_AXIS)
def test_cuts_along_an_axis_are_laid_out(
    job_of: Callable[..., Job], features: str, rack: list[tuple[str, float]], depth: str
) -> None:
    sheet = hand_text(job_of(features, rack=rack))
    assert "Not by hand" not in sheet.text
    assert all(v.problems == () for v in sheet.judged().values())

    def deeper(text: str) -> str:
        *_, last = re.finditer(depth, text, re.MULTILINE)
        return f"{text[: last.start(1)]}{float(last[1]) + 0.05:.2f}{text[last.end(1) :]}"

    assert "into the part" in str(sheet.judged(deeper))


def test_numbers_of_a_scale_are_stamped(job_of: Callable[..., Job]) -> None:
    numbered = RULE + "  numbers = { every = 5, height = 2 }\n"
    sheet = hand_text(job_of(numbered, rack=POINTED))
    (rule,) = sheet.operations()
    assert len(rule.ways) == 21
    assert {len(way) for _, way in rule.ways} == {2}
    assert "The numbers are not laid out: stamp them with punches." in sheet.text


def test_a_kerf_is_sawn_pass_by_pass() -> None:
    sheet = hand_text(shipped("dovetail-clamps"))
    front, back = sheet.operations(0)
    assert "Not by hand" not in "\n".join(pages_of(sheet.text)[0][1])
    for kerf in (front, back):
        ((depths, way),) = kerf.ways
        assert depths == [-24.0]
        reached = [y for (_, y), (_, then) in pairwise(way) if y == then]
        # every pass deeper than the one before, the last as far as the drawing's line
        assert min(map(abs, reached)) == 40.0
    # what to mind with a saw comes before what every sheet warns of
    assert "Slitting saw T15: guard on, teeth leading clockwise seen from above" in sheet.text
    verdict = sheet.judged()
    assert verdict["Split"].problems == ()
    shifted = sheet.judged(lambda text: text.replace("Z -24.00", "Z -23.90"))
    assert "into the part" in str(shifted["Split"])
