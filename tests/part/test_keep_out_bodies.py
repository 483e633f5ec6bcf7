"""What holds the work, as bodies: hand-worked places for a plate 100 x 60 x 10, z 0 on top."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest

from gcodekit.job.holdings import Chuck, Clamp, Hold, Vise
from gcodekit.job.model import Setup
from gcodekit.job.raw_stock import RawStock
from gcodekit.part.keep_out import Body, keep_out

BAR = RawStock(shape="round", low=(0, -15, -30), high=(80, 15, 0), axis="x")


def body(setup: Setup, name: str) -> Body:
    found = {b.name: b for b in keep_out(setup)}
    assert name in found, sorted(found)
    return found[name]


def vise(**more: Any) -> Vise:
    return Vise(**{"grip": 6, "jaw_width": 80, "jaw_depth": 20, "centre": (50, 30)} | more)


VISE_Y = vise(along="y", fixed="left", jaw_width=50)
CHUCK = Chuck(diameter=160, jaws=4, grip=6, jaw_height=12)
INF = math.inf


@pytest.mark.parametrize(
    ("hold", "name", "box", "bottom", "top"),
    [
        pytest.param(
            Hold(vise=vise()), "the front jaw (moving)", (10, -20, 90, 0), -INF, -4, id="front-jaw"
        ),
        pytest.param(
            Hold(vise=vise()), "the back jaw (fixed)", (10, 60, 90, 80), -INF, -4, id="back-jaw"
        ),
        pytest.param(
            Hold(vise=vise()), "the vise's bed", (10, -20, 90, 80), -INF, -10, id="no-parallels"
        ),
        pytest.param(
            Hold(vise=vise(parallels=(3, 12))),
            "the vise's bed", (10, -20, 90, 80), -INF, -13, id="bed-under-parallels",
        ),
        pytest.param(
            Hold(vise=vise(parallels=(3, 12))),
            "the front parallel", (10, 0, 90, 12), -13, -10, id="front-parallel",
        ),
        pytest.param(
            Hold(vise=vise(parallels=(3, 12))),
            "the back parallel", (10, 48, 90, 60), -13, -10, id="back-parallel",
        ),
        pytest.param(
            Hold(vise=VISE_Y), "the left jaw (fixed)", (-20, 5, 0, 55), -INF, -4, id="along-y-left"
        ),
        pytest.param(
            Hold(vise=VISE_Y),
            "the right jaw (moving)", (100, 5, 120, 55), -INF, -4, id="along-y-right",
        ),
        pytest.param(
            Hold(clamps=(Clamp(at=(20, 10), size=(16, 40), height=12),)),
            "clamp 1", (12, -10, 28, 30), 0, 12, id="clamp",
        ),
        pytest.param(
            Hold(clamps=(Clamp(at=(20, 10), size=(16, 40), height=12, angle=math.pi / 2),)),
            "clamp 1", (0, 2, 40, 18), 0, 12, id="clamp-turned",
        ),
        pytest.param(
            Hold(board=10),
            "the underside of the spoil board", (-500, -500, 600, 560), -INF, -18, id="board",
        ),
        pytest.param(
            Hold(board=1.5),
            "the underside of the spoil board", (-500, -500, 600, 560), -INF, -10, id="thin-board",
        ),
        pytest.param(
            Hold(clamps=(Clamp(at=(0, 0), size=(1, 1), height=1),)),
            "the table", (-500, -500, 600, 560), -INF, -10, id="table",
        ),
        pytest.param(
            Hold(rotary=(50, 30)),
            "the rotary table", (-500, -500, 600, 560), -INF, -10, id="rotary"
        ),
        pytest.param(
            # the plate's middle is (50, 30); the jaw is a fifth of 160 wide
            Hold(chuck=CHUCK), "chuck jaw 1", (100, 14, 130, 46), -16, -4, id="jaw-to-the-right",
        ),
        pytest.param(
            Hold(chuck=CHUCK), "chuck jaw 4", (34, -50, 66, 0), -16, -4, id="jaw-in-front",
        ),
        pytest.param(Hold(chuck=CHUCK), "the chuck", (-30, -50, 130, 110), -INF, -16, id="chuck"),
    ],
)  # fmt: skip
def test_bodies(
    make_setup: Callable[..., Setup],
    hold: Hold,
    name: str,
    box: tuple[float, ...],
    bottom: float,
    top: float,
) -> None:
    found = body(make_setup(hold=hold), name)
    assert found.outline.bounds == pytest.approx(box, abs=1e-9)
    assert (found.bottom, found.top) == (bottom, top)


def test_nothing_said_is_no_body(make_setup: Callable[..., Setup]) -> None:
    assert keep_out(make_setup(hold=Hold())) == ()


@pytest.mark.parametrize(
    ("grip", "face"),
    [
        # half a chord 6 mm above the bottom of a 30 mm circle: 9, 12, 15
        pytest.param(6.0, 12.0, id="below-the-axis"),
        pytest.param(20.0, 15.0, id="above-the-axis"),
    ],
)
def test_jaws_close_on_a_lying_bar(
    make_setup: Callable[..., Setup], grip: float, face: float
) -> None:
    setup = make_setup(raw=BAR, hold=Hold(vise=vise(grip=grip, centre=(40, 0))))
    assert body(setup, "the front jaw (moving)").outline.bounds[3] == pytest.approx(-face)
    assert body(setup, "the back jaw (fixed)").outline.bounds[1] == pytest.approx(face)
