"""The order of holes: a short way, or as written where the job asks for it."""

from __future__ import annotations

from collections.abc import Callable

from gcodekit.planning.plan import Plan
from gcodekit.toolpath.moves import HoleCycle, Rapid

PLACES = "at = [[-40, 0], [16, 0], [-20, 0], [44, 0], [0, 0]]"
HOLE = f'kind = "hole"\ndiameter = 5\nthrough = true\nspot = true\n{PLACES}\n'
RACK: list[tuple[str, float]] = [("spot drill", 10), ("drill", 5)]


def drilled(plan: Plan) -> list[list[float]]:
    return [
        [m.x for m in operation.moves if isinstance(m, HoleCycle)]
        for operation in plan.program.operations
    ]


def test_there_and_back(plan_of: Callable[..., Plan]) -> None:
    """The drill begins where the spot drill ended."""
    spots, holes = drilled(plan_of(f"[[setup.feature]]\n{HOLE}", rack=RACK))
    assert spots == [-40, -20, 0, 16, 44]
    assert holes == spots[::-1]


def test_as_written(plan_of: Callable[..., Plan]) -> None:
    found = drilled(plan_of(f"[[setup.feature]]\n{HOLE}", rack=RACK, setup='order = "as written"'))
    assert found == [[-40, 16, -20, 44, 0]] * 2


def test_after_keeps_features_apart(plan_of: Callable[..., Plan]) -> None:
    """The later feature's hole lies on the way of the first and still comes after all of it."""
    late = 'kind = "hole"\nname = "late"\ndiameter = 5\nthrough = true\nspot = false\n'
    found = drilled(
        plan_of(
            f'[[setup.feature]]\n{late}at = [30, 0]\nafter = "early"\n'
            f'[[setup.feature]]\nname = "early"\n{HOLE.replace("spot = true", "spot = false")}',
            rack=RACK,
        )
    )
    assert found == [[-40, -20, 0, 16, 44], [30]]


def test_next_feature_begins_at_its_nearer_end(plan_of: Callable[..., Plan]) -> None:
    row = (
        'kind = "hole"\ndiameter = 5\nthrough = true\nspot = false\n'
        "row = { start = [%d, %d], pitch = 10, count = 4 }\n"
    )
    found = drilled(
        plan_of(
            f"[[setup.feature]]\n{row % (-20, -10)}[[setup.feature]]\n{row % (-20, 10)}",
            rack=RACK[1:],
        )
    )
    assert found == [[-20, -10, 0, 10], [10, 0, -10, -20]]


def test_clamps_on_the_new_way_are_passed_over(plan_of: Callable[..., Plan]) -> None:
    """Low over the metal, as high as the clamp asks only where it stands between two holes."""
    hold = "board = 12\nclamps = [{ at = [30, 0], size = [2, 2], height = 9 }]"
    plan = plan_of(f"[[setup.feature]]\n{HOLE}", rack=RACK, hold=hold)
    for operation in plan.program.operations:
        at, z, highest = None, plan.program.safe_z, {}
        for move in operation.moves:
            if isinstance(move, Rapid) and move.x is not None:
                if at is not None:
                    highest[frozenset((at, move.x))] = z
                at = move.x
            z = move.z if isinstance(move, Rapid) and move.z is not None else z
            z = move.retract if isinstance(move, HoleCycle) else z
        assert len(highest) == 4
        for ends, height in highest.items():
            assert height == (14 if ends == {16, 44} else 5)
