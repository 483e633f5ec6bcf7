"""Jobs whose edges are all to be broken that random trials once broke: each edge is cut rightly, or
left out by name."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from gcodekit.making.make import Report, make

SHOP = """\
units = "mm"
[machine]
rapid = 1500
feed_max = 600
spindle = { min = 100, max = 3000 }
[[cutter]]
number = 61
kind = "chamfer mill"
diameter = 12
tip_angle = 90
"""
MILL = """\
[[cutter]]
number = {number}
kind = "end mill"
diameter = {diameter}
flute_length = 14
flutes = 2
centre_cutting = true
"""
HEAD = """\
units = "{units}"
workshop = "shop.toml"
material = "aluminium"
[stock]
{stock}
[[setup]]
zero = {{ x = "left", y = "front", z = "top" }}
break_edges = {width}
[setup.hold]
board = 15
"""


def made(
    folder: Path, *features: str, stock: str, mills: tuple[int, ...] = (2, 3, 4), **head: str
) -> Report:
    """A job with a few features, its edges broken."""
    shop = SHOP + "".join(MILL.format(number=d, diameter=d) for d in mills)
    (folder / "shop.toml").write_text(shop, encoding="utf-8")
    text = HEAD.format(stock=stock, **({"units": "mm", "width": "0.3"} | head))
    text += "".join(f"[[setup.feature]]\n{feature}" for feature in features)
    (folder / "job.toml").write_text(text, encoding="utf-8")
    return make(folder / "job.toml", folder / "out")


def told(outcome: Report) -> list[str]:
    return [f.message for f in outcome.faults if "cuts air" not in f.message]


def cut(outcome: Report) -> list[str]:
    """The edges that a chamfer mill goes along."""
    rows = outcome.document["features"]
    return [f["name"] for f in rows if f["kind"] == "chamfer" and f["operations"]]


MET = "would cut into the work beside or below the edge"
FLAT = 'kind = "edge"\nside = "left"\nat = 1.0\ndepth = {depth}\n'


@pytest.mark.parametrize(("depth", "left_out"), [(1.0, True), (1.2, True), (1.4, False)])
def test_a_step_under_the_edge_of_a_disc(tmp_path: Path, depth: float, left_out: bool) -> None:
    """The tip runs 1.5 mm down in the air beside the disc. Its flank, wider higher up, is over the
    step beside it: the planner looked just above that, not at its top."""
    disc = 'round = { diameter = 31.4, length = 3, axis = "z" }'
    outcome = made(tmp_path, FLAT.format(depth=depth), stock=disc)
    assert outcome.verdict == "pass", told(outcome)
    assert [MET in t for t in told(outcome)] == [True] * left_out
    assert cut(outcome) == [] if left_out else ["edge of edge 1"]


SEGMENT = """\
kind = "arc"
centre = [0.1378, 0.315]
radius = 0.1575
start = 23
end = 68
side = "outside"
floor = -0.0394
from_radius = 0.315
ends = "open"
"""


def test_a_step_between_two_radii(tmp_path: Path) -> None:
    outcome = made(
        tmp_path,
        SEGMENT.replace("0.1378, 0.315", "0, 0"),
        SEGMENT,
        stock='round = { diameter = 1.374, length = 0.5, axis = "z" }',
        units="inch",
        width="0.0118",
    )
    assert outcome.verdict == "pass", told(outcome)
    assert any("edge 2 of arc 1 is left out" in t and MET in t for t in told(outcome))


LEDGE = """\
kind = "chamfer"
path = [[4, 0], [4, 20]]
side = "left"
width = 0.3
top = -2
"""


@pytest.mark.parametrize(("wall", "verdict"), [(6.0, "fail"), (6.5, "pass")])
def test_a_wall_that_rises_beside_a_ledge(tmp_path: Path, wall: float, verdict: str) -> None:
    """The flank is 2.3 mm past the edge of the ledge where the wall beside it ends."""
    outcome = made(
        tmp_path,
        f'kind = "edge"\nside = "left"\nat = {wall}\ndepth = 2\n',
        'kind = "edge"\nside = "left"\nat = 4\ndepth = 6\n',
        LEDGE,
        stock="block = [40, 20, 12]",
        width="0.1",
    )
    assert outcome.verdict == verdict, told(outcome)
    if verdict == "fail":
        assert all(MET in t for t in told(outcome))


SECTOR = """\
kind = "arc"
centre = [{at}]
radius = 4
start = 23
end = 68
side = "outside"
depth = 1
"""


def test_an_edge_in_what_another_feature_clears(tmp_path: Path) -> None:
    """All of the second sector is the first one's, and the corner too that the first one's cutter
    leaves in it: the proof asked the edge for a part of that."""
    sectors = (SECTOR.format(at="0, 0"), SECTOR.format(at="3.5, 8"))
    outcome = made(tmp_path, *sectors, stock="block = [20, 20, 12.7]", mills=(2, 6, 10, 12))
    assert outcome.verdict == "pass", told(outcome)
    assert cut(outcome) == []
    assert [MET in t for t in told(outcome) if "left out" in t] == [True]


# Round the top of a lying bar 16 mm thick, through its crest.
CREST = """\
kind = "arc"
centre = [10, {at}]
radius = 6.1
start = 0
end = 360
side = "outside"
depth = 3
"""
BAR = 'round = { diameter = 16, length = 20, axis = "x" }'


def test_an_edge_partly_on_the_round_of_a_bar(tmp_path: Path) -> None:
    """It is cut as far as it reaches up, even where that is less than half of the chamfer: the
    planner looked at the upper half alone."""
    outcome = made(tmp_path, CREST.format(at=0.1), stock=BAR)
    assert outcome.verdict == "pass", told(outcome)
    assert cut(outcome) == ["edge of arc 1"]
    (said,) = told(outcome)
    assert "edge of arc 1 is broken in part only: the rest lies on the round of the stock" in said
    assert "below z -0.3 mm" in said


def test_an_edge_all_on_the_round_of_a_bar(tmp_path: Path) -> None:
    outcome = made(tmp_path, CREST.format(at=-0.4), stock=BAR)
    assert outcome.verdict == "pass", told(outcome)
    assert cut(outcome) == []
    (said,) = told(outcome)
    assert "edge of arc 1 is left out: all of it lies on the round of the stock" in said


CHANNEL = """\
kind = "slot"
from = [-4, 10]
to = [24, 10]
width = 4
depth = 2
ends = "open"
"""


@pytest.mark.parametrize(
    ("name", "wrong", "depth", "said"),
    [
        pytest.param("stock_met", lambda *_, **__: iter(()), 1.0, "too deep", id="a step missed"),
        pytest.param("gone", lambda *_: True, 3.0, "uncut in edge of edge 1", id="an edge missed"),
    ],
)
def test_a_planted_error_beside_a_channel_is_refused(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    name: str,
    wrong: Callable[..., object],
    depth: float,
    said: str,
) -> None:
    """What the channel takes of the edge is no longer asked of that; all the rest is."""
    both = (FLAT.format(depth=depth), CHANNEL)
    sound = made(tmp_path, *both, stock="block = [20, 20, 12]")
    assert sound.verdict == "pass", told(sound)
    monkeypatch.setattr(f"gcodekit.operations.chamfer.{name}", wrong)
    outcome = made(tmp_path, *both, stock="block = [20, 20, 12]")
    assert outcome.verdict == "fail"
    assert any(said in t for t in told(outcome)), told(outcome)
