"""The cutters a plan takes where the job names none."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from gcodekit.errors import PlanError
from gcodekit.geometry.chain import Chain
from gcodekit.geometry.region import Region
from gcodekit.job.load import load_job
from gcodekit.operations.passage import passes
from gcodekit.planning.plan import Plan, plan_setups

MILLS = [("end mill", d) for d in (3.0, 4.0, 6.0, 8.0, 10.0)]
ISLAND = """
[[setup.feature]]
kind = "pocket"
outline = { rectangle = [30, 24], centre = [0, 0], round = 5 }
islands = [{ circle = 8, centre = [0, 0] }]
depth = 3
"""
SLOT = '[[setup.feature]]\nkind = "slot"\nfrom = [-15, 0]\nto = [15, 0]\nwidth = %g\ndepth = 3\n'


def slot(width: float) -> str:
    return SLOT % width


def window(neck: float) -> str:
    """Two square rooms with a neck between them, cut by a profile from inside."""
    half = neck / 2
    path = f"[[-20, -10], [-5, -10], [-5, {-half}], [5, {-half}], [5, -10], [20, -10], [20, 10]"
    path += f", [5, 10], [5, {half}], [-5, {half}], [-5, 10], [-20, 10]]"
    return (
        f'[[setup.feature]]\nkind = "profile"\nside = "inside"\nthrough = true\n'
        f"outline = {{ path = {path} }}\ntabs = {{ count = 2, width = 4, height = 1 }}\n"
    )


@pytest.mark.parametrize(
    ("feature", "diameter"),
    [
        # an 8 mm cutter just passes between island and wall: no room to finish
        pytest.param(ISLAND, 6, id="neck beside an island"),
        pytest.param(ISLAND + "finish = false\n", 8, id="no finishing asked"),
        pytest.param(ISLAND + "allowance = { wall = 1.1 }\n", 4, id="allowance asked"),
        pytest.param(ISLAND + "cutter = 4\n", 8, id="named"),
        pytest.param(slot(8), 6, id="slot as wide as a cutter"),
        pytest.param(slot(8.2), 6, id="slot hardly wider than a cutter"),
        pytest.param(slot(6.5), 6, id="slot with room for the allowance"),
        pytest.param(window(6.2), 4, id="window with a neck"),
        pytest.param(window(9), 6, id="window with a wider neck"),
    ],
)
def test_the_largest_that_leaves_room_for_the_allowance(
    plan_of: Callable[..., Plan], feature: str, diameter: float
) -> None:
    plan = plan_of(feature, rack=MILLS)
    (chosen,) = plan.chosen.values()
    assert chosen.finish.diameter == diameter
    assert not plan.feature_warnings


@pytest.mark.parametrize(
    "feature", [pytest.param(ISLAND, id="pocket"), pytest.param(slot(8), id="slot")]
)
def test_one_that_just_fits_is_warned_of(plan_of: Callable[..., Plan], feature: str) -> None:
    plan = plan_of(feature, rack=[("end mill", 10.0), ("end mill", 8.0)])
    (chosen,) = plan.chosen.values()
    (warning,) = plan.feature_warnings
    assert chosen.finish.diameter == 8
    assert warning.severity == "warning"
    assert "cutter 2" in warning.message
    assert "smaller" in warning.message


def test_the_walls_of_a_pocket_with_a_neck_are_finished(plan_of: Callable[..., Plan]) -> None:
    """With a named cutter that just fits, the neck is cleared and the rest has its allowance."""
    labels = [o.label for o in plan_of(ISLAND + "cutter = 4\n", rack=MILLS).program.operations]
    assert labels == ["rough", "neck rough", "finish"]


CROSS = """
[[setup.feature]]
kind = "boss"
outline = { path = [[-20, -5], { to = [-5, -5], round = 2.2 }, [-5, -20], [5, -20],
  { to = [5, -5], round = 2.2 }, [20, -5], [20, 5], { to = [5, 5], round = 2.2 }, [5, 20], [-5, 20],
  { to = [-5, 5], round = 2.2 }, [-20, 5]] }
depth = 6
"""
TRAY = """
[[setup.feature]]
kind = "pocket"
outline = { rectangle = [80, 50], centre = [0, 0], round = 2.2 }
depth = 6
"""


@pytest.mark.parametrize(
    ("feature", "rack", "rough", "finish"),
    [
        pytest.param(CROSS, MILLS, 10, 4, id="boss"),
        pytest.param(CROSS + "cutter = 2\n", MILLS, 4, 4, id="boss, named"),
        pytest.param(CROSS + "finish = false\n", MILLS, 4, 4, id="boss, left rough"),
        pytest.param(TRAY, MILLS, 10, 4, id="pocket"),
        pytest.param(
            TRAY,
            [("end mill", 4.0), ("end mill", 6.0), ("roughing end mill", 12.0)],
            12,
            4,
            id="by a roughing end mill",
        ),
        pytest.param(
            TRAY.replace("[80, 50]", "[16, 12]").replace("depth = 6", "depth = 0.2"),
            MILLS,
            4,
            4,
            id="not worth a change",
        ),
    ],
)
def test_a_roughing_cutter_where_it_pays(
    plan_of: Callable[..., Plan],
    feature: str,
    rack: list[tuple[str, float]],
    rough: float,
    finish: float,
) -> None:
    (chosen,) = plan_of(feature, rack=rack).chosen.values()
    assert (chosen.rough.diameter, chosen.finish.diameter) == (rough, finish)


def square(x0: float, y0: float, x1: float, y1: float) -> Chain:
    return Chain.of_points([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], closed=True)


ROOM = square(0, 0, 40, 30)
CHANNEL = [(0, 0), (40, 0), (40, 10), (60, 10), (60, 14), (40, 14), (40, 30), (0, 30)]
BEVELLED = [(3, 0), (40, 0), (40, 30), (0, 30), (0, 3)]


@pytest.mark.parametrize(
    ("area", "widest"),
    [
        pytest.param(Region.of(ROOM), 15.0, id="square corners are no necks"),
        pytest.param(Region.of(Chain.of_points(BEVELLED, closed=True)), 15.0, id="bevel"),
        pytest.param(Region.of(ROOM, Chain.circle((20, 10), 4)), 6.0, id="between wall and island"),
        pytest.param(
            Region.of(ROOM, Chain.circle((12, 15), 4), Chain.circle((26, 15), 4)),
            6.0,
            id="between islands",
        ),
        pytest.param(Region.of(Chain.of_points(CHANNEL, closed=True)), 4.0, id="blind channel"),
        pytest.param(Region.of(Chain.circle((0, 0), 7)), 14.0, id="disc"),
    ],
)
def test_what_passes(area: Region, widest: float) -> None:
    """Closed form: the narrowest place is drawn `widest` wide; narrower discs pass as well."""
    sizes = [0.3, 0.6, 0.9, 0.99, 1.0, 1.01, 1.1]
    found = [passes(area, size * widest / 2) for size in sizes]
    expected = [size <= 1.0 for size in sizes]
    if widest == 15.0:  # nothing but corners: only the whole room is too narrow, at 30
        expected = [True] * len(sizes)
    assert found == expected


LARGE = [("end mill", d) for d in (20.0, 16.0, 6.0, 4.0)]


def seat(diameter: float, more: str = "") -> str:
    return (
        '[[setup.feature]]\nkind = "pocket"\ndepth = 4\n'
        f"outline = {{ circle = {diameter}, centre = [0, 0] }}\n{more}\n"
    )


def bore(diameter: float, more: str = "") -> str:
    text = '[[setup.feature]]\nkind = "bore"\nat = [0, 0]\ndepth = 4'
    return f"{text}\ndiameter = {diameter}\n{more}\n"


@pytest.mark.parametrize(
    ("feature", "bare", "finish", "rough"),
    [
        # 20 mm has 1.2 mm to go round in: neither a helix nor a ramp
        pytest.param(seat(22.5), (20, 16), 16, 16, id="seat"),
        pytest.param(seat(22.5), (16,), 20, 20, id="it cuts at its centre"),
        pytest.param(seat(34), (20, 16), 20, 20, id="there is room for a helix"),
        pytest.param(seat(18), (20, 16), 6, 6, id="smaller ones have none either"),
        pytest.param(bore(7.22), (6,), 4, 4, id="bore"),
        pytest.param(
            slot(21).replace("-15", "-1").replace("[15", "[1"), (20, 16), 16, 16, id="short slot"
        ),
        # the square wants the 6 mm mill in its corners: before it the 16 mm one, not the 20
        pytest.param(
            '[[setup.feature]]\nkind = "pocket"\ndepth = 9\nallowance = { wall = 0.2 }\n'
            "outline = { rectangle = [22, 22], centre = [0, 0], round = 3 }\n",
            (20, 16),
            6,
            16,
            id="roughing",
        ),
        pytest.param(
            bore(7.25, 'finish_with = "reamer"'),
            (6,),
            4,
            4,
            id="opened for a reamer",
        ),
    ],
)
def test_a_cutter_is_taken_that_has_a_way_in(
    plan_of: Callable[..., Plan],
    feature: str,
    bare: tuple[float, ...],
    finish: float,
    rough: float,
) -> None:
    rack = [*LARGE, ("reamer", 7.25)]
    (chosen,) = plan_of(feature, rack=rack, bare=bare).chosen.values()
    assert (chosen.finish.diameter, chosen.rough.diameter) == (finish, rough)


def test_where_none_has_a_way_in_the_largest_is_named(plan_of: Callable[..., Plan]) -> None:
    with pytest.raises(PlanError, match=r"cutter 1 .* no room to ramp or helix in"):
        plan_of(seat(22.5), rack=[("end mill", 20.0)], bare=(20,))


def test_a_neck_too_narrow_is_told_with_width_and_place(tmp_path: Path) -> None:
    """An island that all but touches a turned pocket's wall: no cutter of 0 mm is advised."""
    path = tmp_path / "job.toml"
    path.write_text(
        'units = "mm"\nmaterial = "cast iron"\n[stock]\nblock = [119.5, 47.5, 15]\n[[setup]]\n'
        '[[setup.feature]]\nkind = "pocket"\ndepth = 1\n'
        "outline = { rectangle = [24, 20.5], centre = [81, 19.5], angle = 30 }\n"
        "islands = [{ rectangle = [7, 3.5], centre = [75.5, 25.5], angle = 45 }]\n",
        encoding="utf-8",
    )
    with pytest.raises(PlanError) as caught:
        plan_setups(load_job(path))
    said = str(caught.value)
    assert " 0 mm" not in said
    assert re.search(r"a neck of up to \d\.\d+ mm at \[7\d\.\d+, 2\d\.\d+\] stays uncut", said), (
        said
    )


def test_a_mill_that_hardly_gets_into_an_arc_is_not_taken(plan_of: Callable[..., Plan]) -> None:
    """One of 16 mm gets into a quarter of a disc from beyond the metal's edge, by a hair."""
    quarter = (
        '[[setup.feature]]\nkind = "arc"\ncentre = [0, -30]\nradius = 8.7\nstart = 95\n'
        'end = 185\nside = "inside"\ndepth = 2\nends = "open"\n'
    )
    plan = plan_of(quarter, rack=[("end mill", d) for d in (2.0, 4.0, 8.0, 10.0, 16.0)])
    (chosen,) = plan.chosen.values()
    assert chosen.finish.diameter == 8
