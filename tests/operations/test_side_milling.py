"""Roughing back to a wall goes deep where only the cutter's side cuts, and nowhere else."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import pytest

from gcodekit.planning.plan import Plan
from gcodekit.planning.program import Operation
from gcodekit.toolpath.moves import ArcFeed, Feed

RACK: list[tuple[str, float]] = [("end mill", 10)]
STOCK = "block = [100, 60, 22]"
HOLD = "vise = { grip = 6, jaw_width = 100, jaw_depth = 25 }"


def roughing(plan: Plan, feature: str) -> Operation:
    (found,) = (o for o in plan.program.operations if o.feature == feature and o.label == "rough")
    return found


def depths(operation: Operation) -> list[float]:
    """At which it cuts, from the top."""
    return sorted({round(m.z, 6) for m in operation.moves if isinstance(m, Feed | ArcFeed)})[::-1]


def planned(plan_of: Callable[..., Plan], feature: str) -> Operation:
    text = f'[[setup.feature]]\nname = "it"\n{feature}\n'
    return roughing(plan_of(text, rack=RACK, stock=STOCK, hold=HOLD), "it")


EDGE = 'kind = "edge"\nside = "right"\nat = 48\ndepth = 12\n'


def test_an_edge(plan_of: Callable[..., Plan]) -> None:
    found = planned(plan_of, EDGE)
    assert found.how == "1 pass 12 mm deep and 1.8 mm wide: deep and narrow, from the side only"
    assert [z for z in depths(found) if z < 0] == [-12]


def test_the_outside_of_an_arc(plan_of: Callable[..., Plan]) -> None:
    arc = (
        'kind = "arc"\ncentre = [0, 0]\nradius = 48\nstart = -50\nend = 50\nside = "outside"\n'
        "depth = 12\n"
    )
    found = planned(plan_of, arc)
    assert "from the side only" in found.how
    assert len([z for z in depths(found) if z < 0]) <= 5


@pytest.mark.parametrize(
    "feature",
    [
        pytest.param(f"{EDGE}stepdown = 3\n", id="the job gives the depth"),
        pytest.param(f"{EDGE}feed = 100\n", id="the job gives the feed"),
        # corners of the wall turn inward
        pytest.param(
            'kind = "boss"\ndepth = 12\noutline = { path = [[-20, -20], [20, -20], [20, 0], '
            "[0, 0], [0, 20], [-20, 20]] }\n",
            id="round an inside corner",
        ),
        # the groove between both is one the cutter fills
        pytest.param(
            'kind = "boss"\ndepth = 12\noutlines = [{ rectangle = [60, 60], corner = [-66, -30] }, '
            "{ rectangle = [60, 60], corner = [6, -30] }]\n",
            id="a groove",
        ),
    ],
)
def test_full_width_asks_for_the_depth_of_a_slot(
    plan_of: Callable[..., Plan], feature: str
) -> None:
    found = planned(plan_of, feature)
    assert found.how == ""
    assert len([z for z in depths(found) if z < 0]) >= 4


def test_no_strip_is_wider_than_it_says(plan_of: Callable[..., Plan]) -> None:
    """Lines 2 mm apart or nearer, all of them outside the plane by allowance and radius."""
    found = planned(plan_of, 'kind = "edge"\nside = "right"\nat = 42\ndepth = 12\n')
    assert "from the side only" in found.how
    wide = float(found.how.split(" mm wide")[0].split()[-1])
    across = sorted({round(m.x, 4) for m in found.moves if isinstance(m, Feed) and m.z < 0})
    assert across[0] == pytest.approx(42 + 5 + 0.2)
    steps = [b - a for a, b in pairwise(across)]
    assert max(steps) <= wide + 0.002
    # the outermost takes no more from the raw edge than they do
    assert 50 - (across[-1] - 5) <= wide + 0.002
