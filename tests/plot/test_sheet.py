"""What a sheet says: verdict, problems, cutters, title block, callouts; and its lines."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from typing import Any

import pytest
import shapely
from random_sheets import letterings
from test_plan_view import PROGRAM, RACK, SVG, base, make_setup, picture, texts

from gcodekit.geometry.chain import Chain
from gcodekit.job.band import Band
from gcodekit.job.feature import Depth
from gcodekit.job.holdings import Hold, Vise
from gcodekit.job.hole_shapes import Counterbore, Countersink
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.hole import Hole
from gcodekit.job.kinds.slot import Slot
from gcodekit.plot.backdrop import feature_lines
from gcodekit.plot.break_lines import broken
from gcodekit.plot.depth_colours import DASHES, MOST_BANDS, MOST_INKS, bands_of
from gcodekit.plot.letters import text_width
from gcodekit.plot.line_types import RAPID
from gcodekit.plot.paper import PAPER, WARNING, PaperBox, document, png, rectangle, words
from gcodekit.plot.plan_view import plan_view
from gcodekit.plot.scale import Scale
from gcodekit.plot.sheet_facts import SheetFacts
from gcodekit.rs274 import Problem, read_program
from gcodekit.trade.threads import find_thread


def blind(name: str, deep: float) -> Any:
    depth = Depth(top=0, floor=-deep, through=False, cut_to=-deep)
    return base(name) | {"depth": depth}


def test_problems_are_listed_errors_first_and_all_of_them() -> None:
    wrong = [Problem("warning", n, 0, None, f"thin {n}") for n in range(1, 4)]
    wrong += [Problem("error", n, 0, None, f"gouge {n}") for n in range(11, 14)]
    found = [t.text for t in letterings(picture(problems=wrong)) if t.frame == "key"]
    heads = [t for t in found if re.match("(error|warning), line", t)]
    assert heads == [f"error, line {n}:" for n in (11, 12, 13)] + [
        f"warning, line {n}:" for n in (1, 2, 3)
    ]
    many = [Problem("error", n, 0, None, "gouge " * 40) for n in range(1, 90)]
    found = [t.text for t in letterings(picture(problems=many)) if t.frame == "key"]
    listed = [t for t in found if t.startswith("error, line ")]
    assert len(listed) > 15
    assert f"and {89 - len(listed)} more, see the command's output" in found
    made = picture(problems=many, facts=SheetFacts(stamp="FAIL"))
    assert any(t.endswith("more, see report.json") for t in texts(made))


def test_errors_and_warnings_have_other_signs() -> None:
    """In grey and to colour-blind eyes too: a filled disc, an open triangle."""
    both = {
        severity: ET.fromstring(picture(problems=[Problem(severity, 8, 0, (10, 10, 0), "x")]))
        for severity in ("error", "warning")
    }  # type: ignore[arg-type]  # both are severities
    for severity, svg in both.items():
        discs = [c for c in svg.iter(f"{SVG}circle") if c.get("fill") == WARNING]
        triangles = [
            p
            for p in svg.iter(f"{SVG}path")
            if p.get("fill") == PAPER and p.get("stroke") == WARNING
        ]
        assert (len(discs), len(triangles)) == ((3, 0) if severity == "error" else (0, 3))


def test_cutters_stand_in_running_order() -> None:
    program = PROGRAM.replace("T1 M6", "T3 M6").replace("T2 M6", "T1 M6")
    program = program.replace("T1 M6\n", "T1 M6\nS900 M3\n")
    rack = {1: RACK[2], 3: RACK[1]}
    facts = SheetFacts(seconds={3: 61.4, 1: 7260.0})
    found = [t.text for t in letterings(picture(program, cutters=rack, facts=facts))]
    first, second = (found.index(kind) for kind in ("end mill", "drill"))
    assert first < second
    assert {"6", "2000", "100–200", "1:01"} <= set(found[first - 5 : first + 1])
    assert {"4", "900", "50", "2h01"} <= set(found[second - 5 : second + 1])


def test_the_title_block_says_what_it_is_told() -> None:
    facts = SheetFacts(
        stamp="PASS", material="brass", machine="bench mill", date="2024-02-29", number=2, count=5
    )
    found = texts(picture(facts=facts, file="2-top.nc"))
    for wanted in ("brass", "bench mill", "2024-02-29", "2 of 5", "2-top.nc", "PASS", "3rd angle",
                   "UNIT mm"):  # fmt: skip
        assert wanted in found, wanted
    # what is not told is no date of today's
    assert not any(re.search(r"20\d\d-\d\d", t) for t in texts(picture()))
    assert picture() == picture()


@pytest.mark.parametrize("stamp", ["PASS", "FAIL", "UNPROVEN", "DRY RUN"])
def test_the_stamp_says_what_the_proof_came_to(stamp: Any) -> None:
    found = texts(picture(facts=SheetFacts(stamp=stamp)))
    assert [t for t in found if t in ("PASS", "FAIL", "UNPROVEN", "DRY RUN")] == [stamp]


def test_warnings_are_not_nothing_wrong() -> None:
    found = texts(picture(problems=[Problem("warning", 1, 0, None, "thin")]))
    assert "no errors, 1 warning" in found
    assert "nothing wrong found" not in found


def stamped(stamp: Any, failing: str = "", problems: Any = ()) -> list[str]:
    moves = read_program(PROGRAM).moves
    sheet = plan_view(moves, setup=make_setup(), title="Plate", units="mm", cutters=RACK,
                      problems=problems, facts=SheetFacts(stamp=stamp))  # fmt: skip
    return [t.text for t in letterings(sheet.text(failing)) if t.frame == "stamp"]


def test_a_good_sheet_of_a_bad_job_is_not_to_be_run() -> None:
    thin = [Problem("warning", 1, 0, None, "thin")]
    assert stamped("PASS") == ["PASS", "proved against the drawing", "nothing wrong found"]
    bad = ["FAIL", "do not run: errors in Under side"]
    assert stamped("PASS", "Under side") == [*bad, "here: nothing wrong found"]
    assert stamped("PASS", "Under side", thin) == [*bad, "here: no errors, 1 warning"]
    # another file of a set-up that fails
    assert stamped("FAIL", "2-t4.nc")[1:] == ["do not run: errors in 2-t4.nc",
                                              "here: nothing wrong found"]  # fmt: skip
    # its own errors come first; what is not proved, and what is but read, says so
    own = [Problem("error", 1, 0, None, "gouge")]
    assert stamped("FAIL", "Under side", own) == ["FAIL", "do not run this program", "1 error"]
    assert stamped("UNPROVEN", "Under side")[0] == "UNPROVEN"


CALLOUTS = {
    "Ø5 through": Hole(places=((9, 9),), diameter=5, **base("f")),
    "4x Ø5 through": Hole(places=((9, 9), (19, 9), (9, 19), (19, 19)), diameter=5, **base("f")),
    "M4 × 6 deep": Hole(places=((9, 9),), diameter=3.3, thread=find_thread("M4"), **blind("f", 6)),
    "Ø16 H7, 5 deep": Bore(
        places=((20, 20),), diameter=16.009,
        band=Band(lower=0, upper=0.018, sizes=(16.0,), fit="H7"), **blind("f", 5),
    ),
    "Ø16 +0.018/0 through": Bore(
        places=((20, 20),), diameter=16.009, band=Band(lower=0, upper=0.018, sizes=(16.0,)),
        **base("f"),
    ),
    "12 wide, 3 deep": Slot(
        path=Chain.of_points([(9, 20), (40, 20)], closed=False), width=12, **blind("f", 3)
    ),
    "Ø4 through, c'bore Ø8 × 3": Hole(
        places=((9, 9),), diameter=4, counterbore=Counterbore(diameter=8, floor=-3), **base("f")
    ),
    "Ø4 through, csk Ø8 × 90°": Hole(
        places=((9, 9),), diameter=4,
        countersink=Countersink(diameter=8, angle=math.pi / 2, mouth=0), **base("f"),
    ),
}  # fmt: skip


@pytest.mark.parametrize("said_size", CALLOUTS)
def test_callouts_say_size_depth_thread_and_fit(said_size: str) -> None:
    assert said_size in texts(picture("M2\n", setup=make_setup(features=(CALLOUTS[said_size],))))


def test_copies_are_counted_at_the_first() -> None:
    holes = [Hole(places=((9 + 9 * n, 9), (9 + 9 * n, 29)), diameter=3, **base(f"pin {n}"),
                  copy_of="pin 0" if n else "") for n in range(3)]  # fmt: skip
    found = texts(picture("M2\n", setup=make_setup(features=tuple(holes))))
    assert "6x Ø3 through" in found
    assert {"pin 0", "pin 1", "pin 2"} <= set(found)


def test_bands_lead_down_to_the_drawings_floors() -> None:
    """Not to even steps: a pass just above a floor is of the same band as the floor."""
    bands = bands_of([-0.5, -1.0, -1.9, -2.0, -2.1, -7.0, -8.4], floors=[-8.0, -2.0])
    assert [(b.low, b.high) for b in bands] == [(-2.0, -0.5), (-8.4, -2.1)]
    assert [b.floor for b in bands] == [-2.0, -8.0]
    many = bands_of([-0.1 * n for n in range(100)], floors=[-0.5, -1, -1.1, -3, -5, -7, -9])
    assert [b.floor for b in many] == [-0.5, -1, -1.1, -3, -5, -7, -9]
    most = bands_of([-0.1 * n for n in range(300)], floors=[-1.1 * n for n in range(1, 26)])
    assert len(most) == MOST_BANDS
    assert most[-1].floor == pytest.approx(-27.5)


@pytest.mark.parametrize("count", range(1, MOST_BANDS + 1))
def test_many_floors_are_told_apart_in_grey_too(count: int) -> None:
    """By ink, of which there are no more than can be told apart, else by dashes."""
    floors = [-1.0 * n for n in range(1, count + 1)]
    bands = bands_of(floors, floors)
    assert len({(b.ink, b.dash) for b in bands}) == count
    assert len({b.ink for b in bands}) == min(count, MOST_INKS)
    # the unbroken line is the shallowest of its ink, and deeper is never lighter
    greys = [sum(int(b.ink[k : k + 2], 16) for k in (1, 3, 5)) for b in bands]
    assert greys == sorted(greys, reverse=True)
    assert all(b.dash == DASHES[0] for n, b in enumerate(bands) if greys.index(greys[n]) == n)
    assert all(dash != RAPID for dash in DASHES)


def test_floors_are_drawn_and_explained_with_their_dashes() -> None:
    holes = tuple(Bore(places=((5.0 * n, 20.0),), diameter=4, **blind(f"b{n}", n / 2))
                  for n in range(1, 9))  # fmt: skip
    cuts = "".join(
        f"G0 X{5 * n} Y18\nG1 Z{-n / 2} F50\nG1 X{5 * n + 2}\nG0 Z5\n" for n in range(1, 9)
    )
    made = picture("G21 G90 G17\nT1 M6\nS2000 M3\nG0 Z5\n" + cuts + "M2\n",
                   setup=make_setup(features=holes))  # fmt: skip
    svg = ET.fromstring(made)
    bands = bands_of([-n / 2 for n in range(1, 9)], [-n / 2 for n in range(1, 9)])
    for where, views in (("path", 2), ("line", 1)):
        for band in bands:
            like = [(e.get("stroke"), e.get("stroke-dasharray")) for e in svg.iter(SVG + where)]
            assert like.count((band.ink, band.dash)) >= views, (where, band)
    assert {"−0.5", "−4"} <= set(texts(made))


@pytest.mark.parametrize("along", ["x", "y"])
def test_jaws_are_named(along: Any) -> None:
    fixed = "back" if along == "x" else "left"
    vise = Vise(grip=3, jaw_width=60, jaw_depth=60, centre=(25, 20), along=along, fixed=fixed)
    svg = picture("M2\n", setup=make_setup(hold=Hold(vise=vise), features=()))
    names = {t.text: t.box for t in letterings(svg) if t.text.endswith("JAW")}
    assert set(names) == {"FIXED JAW", "MOVING JAW"}
    one, other = names["FIXED JAW"], names["MOVING JAW"]
    assert one.bottom < other.top if along == "x" else one.right < other.left


def test_bodies_are_broken_off_and_not_cut_off() -> None:
    """ISO 128-2: a break line has zigzags; a shape that ends in the view has none."""
    view = PaperBox(0, 0, 100, 100)
    ends, cut = shapely.box(10, 10, 90, 30), shapely.box(-50, 10, 90, 30)
    whole, off = broken(ends, view), broken(cut, view)
    assert len(re.findall("<path", whole)) == 2  # filling and edges
    assert len(re.findall("<path", off)) == 3
    zigzag = off.rsplit('d="', 1)[1].split('"')[0]
    assert re.fullmatch(r"M0 \d+(L[-\d.]+ [-\d.]+){5}", zigzag)
    assert broken(shapely.box(200, 0, 300, 9), view) == ""


@pytest.mark.parametrize("weight", ["normal", "bold"])
def test_widths_are_no_less_than_what_is_drawn(weight: str) -> None:
    """With the reckoned width covered up nothing of a text is to be seen, in the widest face that a
    sheet asks for."""
    for text in ("4x Ø5 through", "WINDOW MMM", "fixed jaw 10%", "Z −12.345 × 9…"):
        wide = text_width(text, 10.0, bold=weight == "bold")
        face = {"font_weight": weight, "font_family": "'DejaVu Sans', sans-serif"}
        shown = words(10, 50, text, size=10.0, fill="#000000", **face)
        covers = [
            rectangle(PaperBox(0, 0, 10 + share * wide + 0.3, 100), fill="#ffffff")
            for share in (1.0, 0.8)
        ]
        seen = [
            png(document("", shown, c), name="t") != png(document("", c), name="t") for c in covers
        ]
        assert seen == [False, True], text


def test_problems_say_their_remedy_where_there_is_room() -> None:
    short = Problem("error", 8, 0, None, "rapid into clamp 1", "move clamp 1 by 6 mm")
    listed = " ".join(texts(picture(problems=[short])))
    assert "rapid into clamp 1, move clamp 1 by 6 mm" in listed
    # all problems come before a remedy
    many = [Problem("error", n, 0, None, f"gouge {n}", "use " * 60) for n in range(1, 20)]
    found = texts(picture(problems=many))
    assert {f"gouge {n}" for n in range(1, 20)} <= set(found)


def test_kinds_of_cutters_are_not_cut_off() -> None:
    """The columns are as wide as they need, the kinds have what is left."""
    rack = {n: RACK[1].__class__(number=n, name="c", kind=kind, diameter=8, flute_length=20,
                                 stickout=40, shank=6, tip_angle=1.5)
            for n, kind in ((1, "chamfer mill"), (2, "bull-nose end mill"))}  # fmt: skip
    program = PROGRAM.replace("G1 X30 F200", "S5000\nG1 X30 F200")
    found = texts(picture(program, cutters=rack, facts=SheetFacts(seconds={1: 63.0})))
    assert {"chamfer mill", "bull-nose end mill", "2000–5000", "100–200", "1:03"} <= set(found)


def test_an_edge_ends_where_the_stock_ends() -> None:
    """What runs out of the stock is clipped there and pointed at on it; what is off it shows."""
    out = Slot(path=Chain.of_points([(25, -9), (25, 9)], closed=False), width=6, **blind("out", 2))
    off = Slot(path=Chain.of_points([(60, 5), (60, 30)], closed=False), width=6, **blind("off", 2))
    within = Bore(places=((12, 25),), diameter=8, **blind("in", 2))
    setup = make_setup(features=(out, off, within))
    scale = Scale(1.0, 100.0, 100.0, PaperBox(0, 0, 300, 300))
    drawn = feature_lines(setup, scale, metal=True)
    plain, clipped = drawn.split('<g clip-path="url(#metal)">')
    assert plain.count("M") == 2
    assert clipped.count("M") == 1
    assert "clip-path" not in feature_lines(setup, scale, metal=False)


def test_figures_of_sizes_are_not_lost_under_marks() -> None:
    """Problems in the way of each figure's first place."""
    ways = [(25.0, 0.0), (0.0, 20.0), (25.0, -3.0), (-3.0, 20.0), (50.0, -3.0), (0.0, -3.0)]
    wrong = [Problem("error", n, 0, (*at, 0.0), "gouge") for n, at in enumerate(ways, 2)]
    assert {"50", "40", "8", "X 0", "X 50", "Y 0", "Y 40"} <= set(texts(picture(problems=wrong)))
