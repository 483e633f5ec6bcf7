"""Tapping cycles, and chords as fine as the operation needs."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest

from gcodekit.errors import PostError
from gcodekit.planning.program import Operation
from gcodekit.post.contract import Post
from gcodekit.post.find import find_post
from gcodekit.post.writer import write_program
from gcodekit.rs274 import read_program
from gcodekit.toolpath.moves import ArcFeed, Feed, HoleCycle, Rapid
from gcodekit.trade.cutter import Cutter

TAP = Cutter(
    number=3,
    name="M4 tap",
    kind="tap",
    diameter=4.0,
    flute_length=12.0,
    stickout=30.0,
    shank=4.0,
    pitch=0.7,
    lead=1.4,
)


def tapped(kit: Any) -> Operation:
    moves = (
        Rapid(10.0, 10.0),
        Rapid(z=2.1),
        HoleCycle("tap", 10.0, 10.0, 2.1, -9.4, 280.0),
        Rapid(z=kit.SAFE_Z),
    )
    return Operation(feature="hole 1", label="tap", cutter=TAP, speed=400, moves=moves)


def test_a_tap_goes_in_and_comes_out_turning_back(kit: Any) -> None:
    # NISTIR 6556, 3.5.16.4
    text = write_program(kit.program(tapped(kit)), find_post("rs274_full")).text
    assert "G99 G84 X10 Y10 Z-9.4 R2.1 F280" in text
    reading = read_program(text, "t.nc")
    assert not reading.errors
    feeds = [m for m in reading.moves if m.kind == "line"]
    assert [(m.end[2], m.spindle, m.feed) for m in feeds] == [(-9.4, 1, 280.0), (2.1, -1, 280.0)]


def test_a_control_without_cycles_cannot_tap(kit: Any) -> None:
    post = Post(name="plain", description="no cycles", cycles=())
    with pytest.raises(PostError) as error:
        write_program(kit.program(tapped(kit)), post)
    assert [str(f) for f in error.value.faults] == [
        "plain: cycles: post plain has no tapping cycle (G84), and plain moves cannot "
        'reverse the spindle, write tapping = "by hand", or name another post'
    ]


@pytest.mark.parametrize(
    ("true_to", "off"),
    [pytest.param(math.inf, 0.002, id="as usual"), pytest.param(0.001, 0.0005, id="a narrow band")],
)
def test_chords_are_as_true_as_the_size(kit: Any, true_to: float, off: float) -> None:
    post = Post(name="chords", description="no arcs", arcs=False)
    moves = (
        Rapid(20.0, 10.0),
        Rapid(z=1.0),
        Feed(20.0, 10.0, -1.0, 60.0),
        ArcFeed(20.0, 10.0, -1.0, 10.0, 10.0, True, 80.0),
        Rapid(z=kit.SAFE_Z),
    )
    cut = Operation(
        feature="bore 1", label="finish", cutter=kit.MILL, speed=900, moves=moves, true_to=true_to
    )
    text = write_program(kit.program(cut), post).text
    ring = [m for m in read_program(text, "t.nc").moves if m.end[2] == m.start[2] == -1.0]
    assert not re.search(r"\bG[23]\b", text)
    middles = [((m.start[0] + m.end[0]) / 2, (m.start[1] + m.end[1]) / 2) for m in ring]
    sag = [10 - math.dist(p, (10.0, 10.0)) for p in middles]
    assert 0.4 * off < max(sag) <= off + 0.0001
