"""Long work is drawn broken where there is nothing to be seen, so that it is drawn larger."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

import pytest
import shapely
from random_sheets import Sheet
from shapely.geometry.base import BaseGeometry
from test_plan_view import base, picture, texts

from gcodekit.errors import Place
from gcodekit.geometry.chain import Chain
from gcodekit.geometry.region import Region
from gcodekit.job.feature import Depth
from gcodekit.job.holdings import Clamp, Hold, Vise
from gcodekit.job.kinds.face import Face
from gcodekit.job.kinds.hole import Hole
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.model import Setup
from gcodekit.job.raw_stock import RawStock
from gcodekit.part.setup_stock import plan
from gcodekit.plot.label_places import LabelPlaces
from gcodekit.plot.long_breaks import break_marks
from gcodekit.plot.paper import DRAWING, VIEW
from gcodekit.plot.scale import Breaks, Scale
from gcodekit.plot.views import Views, contents, laid_out
from gcodekit.rs274 import read_program

LENGTH, WIDTH, THICK = 420.0, 30.0, 8.0
HEAD = "G21 G90 G17\nT1 M6\nS2000 M3\n"
# Both ends drilled, with a rapid from corner to corner between them.
ENDS = HEAD + "G0 Z5\nG0 X15 Y5\nG1 Z-2 F50\nG0 Z5\nG0 X405 Y25\nG1 Z-2 F50\nG0 Z5\nM2\n"


def along(axis: int, at: float, across: float = 15.0) -> tuple[float, float]:
    return (at, across) if axis == 0 else (across, at)


def bar(axis: int = 0, length: float = LENGTH, **more: Any) -> Setup:
    holes = tuple(
        Hole(places=(along(axis, at),), diameter=6, **base(f"pin {n}"))
        for n, at in enumerate((15.0, length - 15.0))
    )
    high = along(axis, length, WIDTH)
    values: dict[str, Any] = {
        "name": "Top",
        "place": Place("bar.toml", 5),
        "raw": RawStock(shape="block", low=(0, 0, -THICK), high=(*high, 0)),
        "zero_text": "x left, y front, z top",
        "clearance": 5.0,
        "breakthrough": 0.5,
        "work_offset": 1,
        "hold": Hold(),
        "features": holes,
    }
    return Setup(**values | more)


def views_of(setup: Setup, program: str = "M2\n", marks: Any = ()) -> Views:
    moves = read_program(program).moves
    return laid_out(contents(moves, setup, 3.0, metal=True, marks=marks))


def test_what_is_left_out_does_not_count() -> None:
    breaks = Breaks(((100.0, 200.0), (300.0, 320.0)), kept=5.0)
    assert [breaks.drawn(v) for v in (-7, 100, 200, 300, 320, 400)] == [-7, 100, 105, 205, 210, 290]
    assert breaks.drawn(150) == pytest.approx(102.5)
    assert breaks.left_out == 120


def test_a_slanting_way_is_bent_only_where_something_is_left_out() -> None:
    breaks = Breaks(((100.0, 200.0),), kept=5.0)
    scale = Scale(1.0, 0.0, 0.0, VIEW, breaks=(breaks, Breaks()))
    assert scale.pieces((0, 0), (50, 9)) == [(0, 0), (50, 9)]
    found = [c for p in scale.pieces((0, 0), (400, 40)) for c in scale.point(*p)]
    assert found == pytest.approx([0, 0, 100, -10, 105, -20, 305, -40])


@pytest.mark.parametrize("axis", [0, 1])
def test_long_work_is_drawn_larger(axis: int) -> None:
    views, length = views_of(bar(axis)), LENGTH
    (span,) = views.plan.breaks[axis].spans
    assert views.plan.factor == 1.0  # whole it would be 1:5
    assert not views.plan.breaks[1 - axis].spans
    # both views leave out the same, and lie as they lay
    assert views.axis == axis
    assert views.front.breaks[0] == views.plan.breaks[axis]
    for at in (0.0, 15.0, span[0], span[1], length):
        one, other = views.plan.point(*along(axis, at)), views.front.point(at, 0.0)
        assert one[axis] == pytest.approx(other[axis])
    # beside the break everything is as far apart as it is
    ends = [views.plan.point(*along(axis, at))[axis] for at in (length - 15, length)]
    assert abs(ends[0] - ends[1]) == pytest.approx(15)
    for scale in (views.plan, views.front):
        assert VIEW.left <= scale.box.left < scale.box.right <= VIEW.right + 0.01
        assert VIEW.top <= scale.box.top < scale.box.bottom <= VIEW.bottom + 0.01


def test_sizes_stay_the_true_ones() -> None:
    found = texts(picture(ENDS, setup=bar()))
    assert {"420", "30", "X 420", "SCALE 1:1"} <= set(found)
    (said,) = (t for t in found if t.endswith("mm left out"))
    assert float(said.split()[0]) == pytest.approx(420 - 159 + 3 + 4, abs=4)


def test_a_break_has_a_line_on_either_side_in_both_views() -> None:
    setup = bar()
    views = views_of(setup)
    for drawn in break_marks(setup, views, LabelPlaces(DRAWING)):
        bare, lines = re.findall(r' d="([^"]*)"', drawn)
        assert bare.endswith("Z")
        one, other = lines.split("M")[1:]
        # two ends and a zigzag of four, ISO 128-2, 01.1
        assert one.count("L") == other.count("L") == 5


DEPTH: Any = {"depth": Depth(top=0, floor=-2, through=False, cut_to=-2)}
IN_THE_MIDDLE = Region.of(Chain.of_points([(200, 8), (230, 8), (230, 20), (200, 20)], closed=True))
TAKEN: dict[str, dict[str, Any]] = {
    "feature": {"features": (Pocket(outline=IN_THE_MIDDLE, area=IN_THE_MIDDLE, **base("p")),)},
    "clamp": {"hold": Hold(board=12.0, clamps=(Clamp(at=(215, 15), size=(30, 60), height=9),))},
    "jaws": {"hold": Hold(vise=Vise(grip=3, jaw_width=30, jaw_depth=20, centre=(215, 15)))},
    "cut": {"program": HEAD + "G0 Z5\nG0 X200 Y9\nG1 Z-1 F99\nG1 X230\nG0 Z5\nM2\n"},
    "mark": {"marks": [(200.0, 3.0), (215.0, 3.0), (230.0, 3.0)]},
}


@pytest.mark.parametrize("what", TAKEN)
def test_nothing_that_is_to_be_seen_is_left_out(what: str) -> None:
    more = dict(TAKEN[what])
    program, marks = more.pop("program", "M2\n"), more.pop("marks", ())
    if "features" in more:
        more["features"] = (*bar().features, *more["features"])
    views = views_of(bar(**more), program, marks)
    assert views_of(bar()).plan.breaks[0].spans[0][0] < 200  # which would else be left out
    spans = views.plan.breaks[0].spans
    assert spans
    for low, high in spans:
        assert high < 200 or low > 230 or (what == "mark" and high - low < 30)
        assert not any(low <= at <= high for at in (200, 215, 230))


@dataclass(frozen=True)
class Notch:
    """What an earlier set-up took away, all through."""

    shape: BaseGeometry
    levels: tuple[float, ...] = (-THICK, 0.0)
    upright: bool = True

    def section(self, z: float) -> BaseGeometry:
        return self.shape

    def pieces(self, z: float) -> list[BaseGeometry]:
        return [self.shape]


@pytest.mark.parametrize(
    ("shape", "clear"),
    [
        pytest.param(shapely.box(200, 20, 230, 40), True, id="notch"),
        pytest.param(shapely.Polygon([(20, 30), (400, 26), (400, 30)]), False, id="taper"),
    ],
)
def test_edges_that_earlier_set_ups_left_are_shown(shape: BaseGeometry, clear: bool) -> None:
    """A notch is shown; of an edge that does not run along the work nothing is left out."""
    views = views_of(bar(gone=(Notch(shape),)))
    spans = views.plan.breaks[0].spans
    assert bool(spans) is clear
    assert all(high < 200 or low > 230 for low, high in spans)


WHOLE = {
    "short": bar(length=4 * WIDTH - 1),
    "fits": bar(length=140.0),
    "faced": bar(features=(Face(**(base("top") | DEPTH)),)),
    "profiled": bar(
        features=(
            Profile(
                outline=Region.of(
                    Chain.of_points([(4, 4), (416, 4), (416, 26), (4, 26)], closed=True)
                ),
                side="outside",
                **base("rim"),
            ),
        )
    ),
}


@pytest.mark.parametrize("what", WHOLE)
def test_other_work_is_drawn_whole(what: str) -> None:
    setup = WHOLE[what]
    views = views_of(setup)
    assert not views.plan.broken
    assert not views.front.broken
    assert not any("left out" in t for t in texts(picture("M2\n", setup=setup)))
    assert break_marks(setup, views, LabelPlaces(DRAWING)) == ("", "")


def test_random_long_work() -> None:
    """Features and cuts of random bars lie off what is left out, and many bars are broken."""
    broken = 0
    for number in range(60):
        sheet = Sheet(number, long=True)
        broken += "left out" in sheet.svg
        views = views_of(sheet.setup)
        for low, high in views.plan.breaks[0].spans:
            assert sheet.low[0] < low < high < sheet.low[0] + sheet.size[0]
            for feature in sheet.features:
                for line in feature.lines(plan(sheet.setup)):
                    xs = [p[0] for p in line.flattened(0.1)]
                    assert max(xs) < low or min(xs) > high, (number, feature.name)
    assert broken > 20
