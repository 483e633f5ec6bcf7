"""The place and z a cutter is told to be touched off at."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
import shapely

from gcodekit.planning.plan import Plan

RACK = [("end mill", 6.0), ("end mill", 4.0), ("drill", 5.0), ("spot drill", 10.0)]
WORDS = re.compile(r"touch (.+) at X(-?\d+\.\d+) Y(-?\d+\.\d+) and set Z to (-?\d+\.\d+)")
FACE = '[[setup.feature]]\nkind = "face"\ndepth = 1\n'
HOLES = (
    '[[setup.feature]]\nkind = "hole"\ndiameter = 5\nthrough = true\nspot = false\n'
    "top = -1\nat = [[40, 20]]\n"
)
TRAY = (
    '[[setup.feature]]\nname = "tray"\nkind = "pocket"\ncutter = 1\nfinish = false\n'
    "outline = { rectangle = [%g, %g], centre = [0, 0], round = 4 }\n%s\n"
)
SMALL = (
    '[[setup.feature]]\nkind = "pocket"\ncutter = 2\ntop = -2\n'
    "outline = { rectangle = [12, 12], centre = [0, 0], round = 3 }\ndepth = 2\n"
)


def said(plan: Plan, cutter: int) -> tuple[str, float, float, float]:
    found = WORDS.fullmatch(plan.program.touch_off[cutter])
    assert found, plan.program.touch_off[cutter]
    return found[1], float(found[2]), float(found[3]), float(found[4])


def tray(x: float, y: float, depth: str = "depth = 2") -> str:
    return TRAY % (x, y, depth)


def test_the_first_cutter_touches_the_raw_top_at_zero(plan_of: Callable[..., Plan]) -> None:
    assert said(plan_of(tray(30, 20), rack=RACK), 1) == ("the raw top", 0.0, 0.0, 0.0)


def test_beside_an_opening_over_zero(plan_of: Callable[..., Plan]) -> None:
    """The tray covers zero: the nearest clear place is its radius and 1 mm outside the wall."""
    plan = plan_of(tray(50, 30) + SMALL, rack=RACK)
    surface, x, y, z = said(plan, 2)
    assert (surface, z) == ("the raw top", 0.0)
    gap = shapely.box(-25, -15, 25, 15).distance(shapely.Point(x, y))
    assert 2 + 1 <= gap < 2 + 1 + 0.4
    assert (abs(x), abs(y)) == (0.0, pytest.approx(18, abs=0.4))


def test_the_faced_top(plan_of: Callable[..., Plan]) -> None:
    plan = plan_of(FACE + HOLES, rack=RACK)
    assert said(plan, 1) == ("the raw top", 0.0, 0.0, 0.0)
    assert said(plan, 3) == ("the faced top", 0.0, 0.0, -1.0)


def test_the_highest_floor_where_no_top_stands(plan_of: Callable[..., Plan]) -> None:
    """A tray over all but a rim too narrow for the cutter: its floor is what is left."""
    floor = tray(96, 56, "depth = 2")
    surface, x, y, z = said(plan_of(floor + SMALL, rack=RACK), 2)
    assert (surface, z) == ("the floor of tray", -2.0)
    assert (x, y) == (0.0, 0.0)


def test_a_floor_only_roughed_is_no_surface(plan_of: Callable[..., Plan]) -> None:
    """Its finishing comes later with the same cutter as the small pocket's: the rim is all."""
    two = tray(96, 56).replace("cutter = 1\nfinish = false", "cutter = 2\nrough_with = 1")
    surface, x, y, z = said(plan_of(two + SMALL, rack=RACK), 2)
    assert surface == "the raw top"
    rim = shapely.box(-50, -30, 50, 30).difference(shapely.box(-48, -28, 48, 28))
    assert rim.contains(shapely.Point(x, y))
    assert z == 0.0


def test_clear_of_clamps(plan_of: Callable[..., Plan]) -> None:
    hold = "board = 12\nclamps = [{ at = [0, 0], size = [20, 20], height = 10 }]"
    corner = tray(12, 12).replace("centre = [0, 0]", "centre = [38, 18]")
    _, x, y, _ = said(plan_of(corner, rack=RACK, hold=hold), 1)
    assert shapely.box(-10, -10, 10, 10).distance(shapely.Point(x, y)) >= 3 + 1


def test_in_inches(plan_of: Callable[..., Plan]) -> None:
    plan = plan_of(
        '[[setup.feature]]\nkind = "slot"\nfrom = [-1, 0]\nto = [1, 0]\nwidth = 0.3\ndepth = 0.1\n',
        rack=RACK, units="inch", stock="block = [4, 2, 0.5]", zero='z = "top - 0.0315"',
    )  # fmt: skip
    assert plan.program.touch_off[1].endswith("at X0.00 Y0.00 and set Z to 0.0315")


def test_a_lying_bar_is_touched_on_its_crest(plan_of: Callable[..., Plan]) -> None:
    slot = '[[setup.feature]]\nkind = "slot"\nfrom = [0, 0]\nto = [20, 0]\nwidth = 8\ntop = 10\n'
    bar = 'round = { diameter = 20, length = 100, axis = "x" }'
    plan = plan_of(slot + "depth = 4\n", rack=RACK, stock=bar, zero='z = "centre"')
    surface, x, y, z = said(plan, 1)
    assert (surface, x, y, z) == ("the bar's raw top", 0.0, 0.0, 10.0)


@pytest.mark.parametrize(
    ("hold", "words"),
    [
        pytest.param("board = 12", "touch the spoil board beside the work and set Z to -10.000",
                     id="board"),
        # parallels so thin that the window's edge is clear of them
        pytest.param('vise = { grip = 4, jaw_width = 100, jaw_depth = 20, '
                     'parallels = { height = 3, thick = 0.1 } }',
                     "touch the fixed jaw's top at X0.0 Y40.0 and set Z to -6.000", id="jaw"),
    ],
)  # fmt: skip
def test_where_no_metal_stands(plan_of: Callable[..., Plan], hold: str, words: str) -> None:
    """A window over all but a hair of the plate, cut through: nothing is left to touch."""
    window = tray(99.4, 59.4, "through = true")
    edge = '[[setup.feature]]\nkind = "edge"\nside = "left"\nat = -49.9\ndepth = 2\ncutter = 2\n'
    plan = plan_of(window + edge, rack=RACK, hold=hold)
    assert plan.program.touch_off[2] == words


def test_each_visit_of_a_cutter_has_its_own_words(plan_of: Callable[..., Plan]) -> None:
    """Cutter 1 comes back after cutter 2 and finds the tray where it first touched."""
    again = SMALL.replace("cutter = 2", "cutter = 1").replace("[12, 12]", "[10, 10]")
    again = again.replace("top = -2", "top = -4")
    plan = plan_of(tray(50, 30) + SMALL + again, rack=RACK)
    visits = [(o.cutter.number, o.touch_off) for o in plan.program.operations]
    words = [w for n, w in visits if n == 1]
    assert [visits[0][0], visits[-1][0]] == [1, 1]
    assert words[0] != words[-1]
    assert plan.program.touch_off[1] == words[0]
