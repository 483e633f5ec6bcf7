"""Speed and feeds of a feature belong to the cutter that finishes it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from gcodekit.planning.plan import Plan
from gcodekit.toolpath.moves import ArcFeed, Feed, HoleCycle

RACK = [
    ("end mill", 4.0), ("end mill", 8.0), ("spot drill", 10.0), ("drill", 5.8), ("reamer", 6.0),
    ("drill", 5.0),
]  # fmt: skip
ASKED = "speed = 444\nfeed = 33\n"
REAMED = (
    '[[setup.feature]]\nkind = "hole"\ndiameter = 6\nream = true\nthrough = true\nat = [0, 0]\n'
)
DRILLED = '[[setup.feature]]\nkind = "hole"\ndiameter = 5\nthrough = true\nat = [0, 0]\n'
POCKET = (
    '[[setup.feature]]\nkind = "pocket"\noutline = { rectangle = [40, 30], centre = [0, 0] }\n'
    "depth = 2\ncutter = 1\n"
)
BORE = (
    '[[setup.feature]]\nkind = "bore"\ndiameter = 6\nfinish_with = "reamer"\nthrough = true\n'
    "at = [0, 0]\n"
)


@pytest.mark.parametrize(
    ("feature", "given"),
    [
        pytest.param(REAMED, {"ream"}, id="reamed hole"),
        pytest.param(DRILLED, {"drill"}, id="drilled hole"),
        pytest.param(DRILLED + "cutter = 6\n", {"drill"}, id="drill named"),
        pytest.param(POCKET, {"rough", "finish"}, id="one cutter for all"),
        pytest.param(POCKET + "rough_with = 2\n", {"rest rough", "finish"}, id="two cutters"),
        pytest.param(POCKET + "rough_with = 2\nfinish = false\n", {"clear"}, id="left rough"),
        pytest.param(BORE, {"ream"}, id="reamed bore"),
    ],
)
def test_given_figures(plan_of: Callable[..., Plan], feature: str, given: set[str]) -> None:
    plain = {o.label: o for o in plan_of(feature, rack=RACK).program.operations}
    asked = {o.label: o for o in plan_of(feature + ASKED, rack=RACK).program.operations}
    assert asked.keys() == plain.keys()
    assert {label for label, o in asked.items() if o.speed == 444} == given
    for label, operation in asked.items():
        feeds = {m.feed for m in operation.moves if isinstance(m, Feed | ArcFeed | HoleCycle)}
        assert (33.0 in feeds) == (label in given)
        if label not in given:
            assert operation.speed == plain[label].speed
            assert operation.moves == plain[label].moves
