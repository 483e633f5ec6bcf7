"""The workshop file: every key of the reference, what is left out, and what is refused."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from gcodekit.errors import JobError
from gcodekit.job.workshop.machine import Workshop
from gcodekit.job.workshop.workshop import bench_mill, load_workshop, read_workshop

FULL = """\
units = "mm"
[machine]
name = "Bench mill"
post = "rs274_full"
travel = { x = 300, y = 160, z = 180 }
rapid = 2500
feed_max = 1200
acceleration = 150
spindle = { speeds = [480, 120, 2000], power = 550, by = "hand", reverse = true, start_time = 3 }
rigidity = "medium"
backlash = { x = 0.02, y = 0.03 }
tool_change = "separate files"
tool_length = "table"
converted = ["x", "y", "z"]
coolant = "mist"
park = { x = 0, y = 150 }
edge_finder = 10
feeler = 0.1

[[cutter]]
number = 1
name = "6 mm slot drill"
kind = "end mill"
diameter = 5.98
flutes = 2
material = "carbide"
flute_length = 13
stickout = 25
shank = 6
reach = 20
holder = { diameter = 30, length = 40 }
centre_cutting = false

[[cutter]]
number = 7
kind = "bull-nose end mill"
diameter = 10
corner_radius = 1

[[cutter]]
number = 9
kind = "tap"
diameter = 4
pitch = 0.7
"""


def load(text: str, folder: Path) -> Workshop:
    path = folder / "mill.toml"
    path.write_text(text, encoding="utf-8")
    return load_workshop(path, shown_as="mill.toml")


def test_every_key_arrives(tmp_path: Path) -> None:
    workshop = load(FULL, tmp_path)
    machine = workshop.machine
    assert (machine.name, machine.post, machine.rigidity) == ("Bench mill", "rs274_full", "medium")
    assert machine.travel == (300, 160, 180)
    assert (machine.rapid, machine.feed_max, machine.acceleration) == (2500, 1200, 150)
    spindle = machine.spindle
    assert (spindle.slowest, spindle.fastest, spindle.power) == (120, 2000, 550)
    assert spindle.steps == (120, 480, 2000)
    assert (spindle.by_hand, spindle.reverse, spindle.start_time) == (True, True, 3)
    assert (machine.backlash, machine.park) == ((0.02, 0.03), (0, 150))
    assert (machine.tool_change, machine.tool_length) == ("separate files", "table")
    assert machine.coolant == "mist"
    assert (machine.edge_finder, machine.feeler) == (10, 0.1)
    end_mill, bull, tap = workshop.cutters
    assert (end_mill.number, end_mill.diameter, end_mill.reach) == (1, 5.98, 20)
    assert end_mill.holder is not None
    assert (end_mill.holder.diameter, end_mill.holder.length) == (30, 40)
    assert not end_mill.centre_cutting
    assert bull.corner_radius == 1
    assert bull.name == "10 mm bull-nose end mill"
    assert (tap.pitch, tap.lead) == (0.7, pytest.approx(2.8))
    assert workshop.cutter_places[7].line == 34


def test_an_inch_file_gives_the_same_machine(tmp_path: Path) -> None:
    metric = load(
        'units = "mm"\n[machine]\nrapid = 2540\nacceleration = 254\nfeed_max = 508\n'
        "spindle = { min = 100, max = 2000 }\n"
        '[[cutter]]\nnumber = 1\nname = "a"\nkind = "drill"\ndiameter = 6.35\n',
        tmp_path,
    )
    inch = load(
        'units = "inch"\n[machine]\nrapid = 100\nacceleration = 10\nfeed_max = 20\n'
        "spindle = { min = 100, max = 2000 }\n"
        '[[cutter]]\nnumber = 1\nname = "a"\nkind = "drill"\ndiameter = "1/4 in"\n',
        tmp_path,
    )
    assert inch.machine == metric.machine
    assert inch.cutters[0].diameter == pytest.approx(6.35)
    assert inch.cutters[0].tip_angle == pytest.approx(math.radians(118))


# Common practice, no source: two and three flutes plunge, four do not.
@pytest.mark.parametrize(("flutes", "plunges"), [(2, True), (3, True), (4, False)])
def test_flutes_say_whether_it_plunges(flutes: int, plunges: bool, tmp_path: Path) -> None:
    text = FULL.partition("[[cutter]]")[0] + (
        f'[[cutter]]\nnumber = 1\nkind = "end mill"\ndiameter = 8\nflutes = {flutes}\n'
    )
    assert load(text, tmp_path).cutters[0].centre_cutting is plunges


def test_the_bench_mill_has_a_sensible_rack() -> None:
    cutters = bench_mill().cutters
    sizes = {
        kind: {c.diameter for c in cutters if c.kind == kind}
        for kind in ("end mill", "drill", "reamer")
    }
    assert {3, 4, 6, 8, 10, 12, 16} <= sizes["end mill"]
    assert {2, 2.5, 3.3, 4.2, 5, 6.8, 8.5, 10} <= sizes["drill"]
    assert sizes["reamer"] == {6, 8, 10}
    # every reamer finds a drill a little smaller: 0.1 to 0.4 mm, common practice, no source
    for size in sizes["reamer"]:
        assert any(0.1 <= size - d <= 0.4 for d in sizes["drill"])
    assert {"face mill", "spot drill"} <= {c.kind for c in cutters}
    assert all(c.flute_length < c.stickout for c in cutters)


CUTTER = '[[cutter]]\nnumber = 1\nkind = "end mill"\ndiameter = 6\n'
MACHINE = 'units = "mm"\n[machine]\nspindle = { min = 100, max = 2000 }\n'


@pytest.mark.parametrize(
    ("text", "said"),
    [
        pytest.param(
            MACHINE + CUTTER + CUTTER,
            "mill.toml:9: cutter 2.number: cutter 1 is already given, "
            "use another number; line 4 has this one",
            id="one number twice",
        ),
        pytest.param(
            MACHINE + CUTTER.replace("6", "0"),
            "mill.toml:7: cutter 1.diameter: 0 mm is too small, it must be at least 0.05 mm",
            id="no diameter",
        ),
        pytest.param(
            MACHINE + CUTTER.replace("6", "nan"),
            "mill.toml:7: cutter 1.diameter: nan is not a finite number, write a number",
            id="diameter no number",
        ),
        pytest.param(
            MACHINE + CUTTER.replace("end mill", "endmill"),
            'mill.toml:6: cutter 1.kind: "endmill" is not known, did you mean "end mill"?',
            id="kind unknown",
        ),
        pytest.param(
            MACHINE + CUTTER + "flute_length = 30\nstickout = 20\n",
            "mill.toml:9: cutter 1.stickout: flutes of 30 mm are longer than the stickout of "
            "20 mm, correct one of them; stickout is measured from the holder's face to the tip",
            id="flutes in the holder",
        ),
        pytest.param(
            MACHINE + CUTTER + "reach = 5\nflute_length = 10\n",
            "mill.toml:8: cutter 1.reach: 5 mm is not between the flute length and the "
            "stickout, give 10 mm to 20 mm",
            id="reach shorter than the flutes",
        ),
        pytest.param(
            MACHINE + CUTTER + "neck = 4\n",
            "mill.toml:8: cutter 1.neck: the length of the neck is missing, add reach",
            id="a neck of no length",
        ),
        pytest.param(
            MACHINE + CUTTER + "reach = 15\nneck = 7\n",
            "mill.toml:9: cutter 1.neck: is wider than the cutter, give at most 6 mm",
            id="a neck wider than the cutter",
        ),
        pytest.param(
            MACHINE + CUTTER.replace("end mill", "thread mill"),
            "mill.toml:4: cutter 1.tip_flat: is missing, add the width of the tooth's flat tip, or "
            "the pitch if there are several rows of teeth",
            id="a thread mill of no profile",
        ),
        pytest.param(
            MACHINE + CUTTER.replace("end mill", "thread mill") + "pitch = 1\ntip_flat = 1\n",
            "mill.toml:9: cutter 1.tip_flat: is as wide as the tooth, give less than 1 mm",
            id="a tooth that is all flat",
        ),
        pytest.param(
            MACHINE + CUTTER.replace("end mill", "bull-nose end mill") + "corner_radius = 4\n",
            "mill.toml:8: cutter 1.corner_radius: 4 mm is more than the radius of the cutter, "
            "use at most 3 mm",
            id="corner over the radius",
        ),
        pytest.param(
            MACHINE + CUTTER + "tip_diameter = 0.2\n",
            "mill.toml:8: cutter 1.tip_diameter: does not apply to an end mill, remove it, or use "
            'kind = "engraving cutter" or "chamfer mill"',
            id="flat tip of an end mill",
        ),
        pytest.param(
            MACHINE + CUTTER.replace("end mill", "chamfer mill") + "tip_diameter = 6\n",
            "mill.toml:8: cutter 1.tip_diameter: 6 mm is not less than the diameter of the cutter, "
            "give less than 6 mm",
            id="all tip",
        ),
        pytest.param(
            MACHINE.replace("min = 100", "min = 3000") + CUTTER,
            "mill.toml:3: machine.spindle.min: 3000 is greater than max, 2000, swap them",
            id="spindle upside down",
        ),
        pytest.param(
            MACHINE.replace("min = 100, max = 2000", "power = 300") + CUTTER,
            "mill.toml:3: machine.spindle.min: is missing, give min and max, or speeds = [...]\n"
            "mill.toml:3: machine.spindle.max: is missing, give min and max, or speeds = [...]",
            id="spindle without speeds",
        ),
        pytest.param(
            MACHINE + "park = { x = 3 }\n" + CUTTER,
            "mill.toml:4: machine.park.y: is missing, add it: program Y",
            id="half a place",
        ),
        pytest.param(
            MACHINE + "park = {}\n" + CUTTER,
            "mill.toml:4: machine.park: is empty, give x and y, or z, or all three",
            id="no place",
        ),
        pytest.param(
            MACHINE + 'converted = ["x", "w"]\n' + CUTTER,
            'mill.toml:4: machine.converted 2: "w" is not known, use one of "x", "y", "z"',
            id="axis unknown",
        ),
        pytest.param(
            MACHINE + 'converted = ["x", "z"]\ndial = { x = 0.02 }\n' + CUTTER,
            "mill.toml:5: machine.dial.y: is missing, add it: travel of Y for one division of its "
            "dial",
            id="no dial for the axis by hand",
        ),
        pytest.param(
            MACHINE + 'converted = ["x", "y"]\ntool_length = "table"\n' + CUTTER,
            "mill.toml:5: machine.tool_length: Z is on its handwheel: no length offset moves it, "
            'write "touch off"',
            id="lengths of a Z by hand",
        ),
        pytest.param(
            MACHINE + "dial = { x = 0.02, y = 0.02, turn = { x = 2.51 } }\n" + CUTTER,
            "mill.toml:4: machine.dial.turn.x: a turn of 2.51 mm is 125.5 divisions of 0.02 mm, "
            "give the lead of the screw and the travel of one division, as the dial has them",
            id="a turn of half a division",
        ),
        pytest.param(
            MACHINE + CUTTER + "rapid = 2000\n",
            "mill.toml:8: cutter 1.rapid: is not a key of [[cutter]], rapid belongs to "
            "[machine]: move it below that header",
            id="key of the machine at a cutter",
        ),
        pytest.param(
            'units = "mm"\n',
            "mill.toml:1: machine: is missing, add it: the machine\n"
            "mill.toml:1: cutter: is missing, add it: the rack of cutters",
            id="nothing there",
        ),
    ],
)
def test_what_is_refused(text: str, said: str, tmp_path: Path) -> None:
    with pytest.raises(JobError) as caught:
        load(text, tmp_path)
    assert str(caught.value) == said


def test_what_a_cutter_has_no_use_for_is_a_warning(tmp_path: Path) -> None:
    path = tmp_path / "mill.toml"
    path.write_text(MACHINE + CUTTER + "tip_angle = 118\n", encoding="utf-8")
    workshop, faults = read_workshop(path, shown_as="mill.toml")
    assert workshop is not None
    assert workshop.cutters[0].point_length == 0
    assert [str(f) for f in faults.faults] == [
        "mill.toml:8: warning: cutter 1.tip_angle: does not apply to an end mill and is "
        "ignored, remove it"
    ]


@pytest.mark.parametrize(
    ("more", "flat", "rows", "height"),
    [
        # teeth of 60 degrees: as high as half their base less the flat, by tan 30
        ("pitch = 1.5\nflute_length = 7", 0.1875, (0.75, 2.25, 3.75, 5.25), 1.1366),
        ("tip_flat = 0.1\nflute_length = 1.5\nreach = 15\nneck = 3", 0.1, (0.75,), 1.2124),
        ("tip_flat = 0.1\nflute_length = 1.5\nreach = 15\nneck = 5", 0.1, (0.75,), 0.5),
    ],
)
def test_the_teeth_of_a_thread_mill(
    more: str, flat: float, rows: tuple[float, ...], height: float, tmp_path: Path
) -> None:
    path = tmp_path / "mill.toml"
    text = MACHINE + CUTTER.replace("end mill", "thread mill") + f"stickout = 30\n{more}\n"
    path.write_text(text, encoding="utf-8")
    workshop, faults = read_workshop(path, shown_as="mill.toml")
    assert workshop is not None
    assert not faults.faults
    (mill,) = workshop.cutters
    assert (mill.tip_flat, mill.rows) == (flat, pytest.approx(rows))
    assert mill.tooth_height == pytest.approx(height, abs=1e-4)
    assert mill.undercuts
