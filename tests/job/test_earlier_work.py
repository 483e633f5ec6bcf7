"""Zero on a feature, and places in the coordinates, of an earlier set-up."""

from __future__ import annotations

from pathlib import Path

import pytest

from gcodekit.errors import JobError
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.edge import Edge
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.load import load_job
from gcodekit.job.model import Job
from gcodekit.job.stock.frames import Frame, seen_from

FIRST = """\
units = "mm"
material = "brass"
[stock]
block = [60, 40, 20]
[[setup]]
name = "first"
zero = { x = "left + 10", y = "centre", z = "top" }
hold = { board = 12 }
[[setup.feature]]
name = "seat"
kind = "bore"
at = [15, 3]
diameter = 12
depth = 5
[[setup.feature]]
name = "screws"
kind = "hole"
at = [[0, -12], [0, 12]]
diameter = 3
depth = 8
"""


def load(text: str, folder: Path) -> Job:
    (folder / "job.toml").write_text(FIRST + text, encoding="utf-8")
    return load_job(folder / "job.toml")


def second(keys: str, *feature: str, up: str = "bottom") -> str:
    said = feature or ('kind = "hole"', "at = [1, 1]", "diameter = 4", "depth = 3")
    head = f'[[setup]]\nname = "second"\nup = "{up}"\n{keys}\nhold = {{ board = 12 }}\n'
    return head + "[[setup.feature]]\n" + "\n".join(said) + "\n"


@pytest.mark.parametrize("up", ["top", "bottom"])
@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_zero_on_a_bore_is_its_axis(up: str, turn: int, tmp_path: Path) -> None:
    job = load(second(f'turn = {turn}\nzero = {{ on = "seat", z = "top - 1" }}', up=up), tmp_path)
    first, it = job.setups
    # the bore's axis, in the stock: left + 10 + 15, middle + 3
    assert it.origin == pytest.approx((25, 23, 19 if up == "top" else 1))
    seat = seen_from(Frame.of(first), Frame.of(it)).point((15, 3, 0))
    assert seat[:2] == pytest.approx((0, 0))
    assert it.zero_text == "on seat, z top - 1"


@pytest.mark.parametrize("up", ["top", "bottom"])
@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_a_place_from_another_set_up_is_the_same_metal(up: str, turn: int, tmp_path: Path) -> None:
    keys = f'turn = {turn}\nzero = {{ x = "right - 7", y = "back", z = "top" }}'
    body = ('kind = "bore"', 'from_setup = "first"', "at = [15, 3]", "diameter = 8", "depth = 3",
            "copies = [{ move = [4, 0] }]")  # fmt: skip
    first, it = load(second(keys, *body, up=up), tmp_path).setups
    seen = seen_from(Frame.of(first), Frame.of(it))
    for feature, place in zip(it.features, ((15, 3), (19, 3)), strict=True):
        assert isinstance(feature, Bore)
        assert feature.places[0] == pytest.approx(seen.point((*place, 0))[:2])


def test_walls_and_hands_turn_with_the_work(tmp_path: Path) -> None:
    keys = 'zero = { x = "left", y = "front", z = "top" }'
    edge = ('kind = "edge"', 'from_setup = "first"', 'side = "back"', "at = 18", "depth = 3")
    (wall,) = load(second(keys, *edge), tmp_path).setups[1].features
    assert isinstance(wall, Edge)
    # turned over about x the back lies in front
    assert (wall.away, wall.point[1]) == (pytest.approx((0, -1)), pytest.approx(2))
    line = ('kind = "profile"', 'from_setup = "first"', "path = [[0, 0], [20, 0]]",
            'side = "left"', "depth = 3")  # fmt: skip
    (cut,) = load(second(keys, *line), tmp_path).setups[1].features
    assert isinstance(cut, Profile)
    assert cut.side == "right"


HOLE = ('kind = "hole"', "at = [1, 1]", "diameter = 4", "depth = 3")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        pytest.param(
            second('zero = { on = "seta" }'),
            'setup 2.zero.on: no earlier set-up cuts "seta", did you mean "seat"?',
            id="misspelt",
        ),
        pytest.param(
            second('zero = { on = "screws" }'),
            'setup 2.zero.on: "screws" has no single axis, name a bore, a hole, an arc or a round '
            "outline of one place",
            id="two places",
        ),
        pytest.param(
            second('zero = { on = "seat" }', up="front"),
            'setup 2.zero.on: the axis of "seat" lies across the spindle here, name one cut with '
            "the same face up, or the opposite one",
            id="from the side",
        ),
        pytest.param(
            second('zero = { on = "seat", x = 3 }'),
            "setup 2.zero.x: zero is also on a feature, remove this key, or on",
            id="said twice",
        ),
        pytest.param(
            second("", *HOLE, 'from_setup = "fist"'),
            'setup 2.feature 1.from_setup: no such earlier set-up: "fist", choose from "first"',
            id="no such set-up",
        ),
        pytest.param(
            second("", *HOLE, 'from_setup = "first"', up="left"),
            'setup 2.feature 1.from_setup: "first" sees the work from another side, give the '
            "place in this set-up, or name one with the same or the opposite face up",
            id="places from the side",
        ),
    ],
)
def test_what_cannot_be_taken_over_is_said(text: str, said: str, tmp_path: Path) -> None:
    with pytest.raises(JobError) as raised:
        load(text, tmp_path)
    (fault,) = raised.value.faults
    assert str(fault).split(": ", 1)[1] == said
