"""Set-ups with other faces up, each on the metal that those before it have left."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest
import shapely

from gcodekit.job.load import load_job
from gcodekit.making.make import Report, make
from gcodekit.part.setup_stock import metal
from gcodekit.planning.cutter_assignment import finished_with

ON_BOTTOM = 'zero = { x = "centre", y = "centre", z = "bottom" }'
SHIPPED = Path(__file__).parents[2] / "jobs"
VISE = "vise = { grip = 6, jaw_width = 100, jaw_depth = 25, parallels = 15 }"
WINDOW = "{ rectangle = [30, 20], centre = [0, 0], round = 5 }"
CENTRE = 'zero = { x = "centre", y = "centre", z = "top" }'


def typed(*setups: str, block: str = "[60, 50, 20]") -> str:
    head = f'name = "Trial"\nunits = "mm"\nmaterial = "aluminium"\n[stock]\nblock = {block}\n'
    return head + "".join(setups)


def setup(up: str, *features: str, more: str = CENTRE, hold: str = VISE) -> str:
    said = "".join(f"[[setup.feature]]\n{f}\n" for f in features)
    return f'[[setup]]\nup = "{up}"\n{more}\n[setup.hold]\n{hold}\n{said}'


def made(text: str, folder: Path) -> tuple[Report, dict[str, object]]:
    (folder / "job.toml").write_text(text, encoding="utf-8")
    outcome = make(folder / "job.toml", folder / "out")
    report = folder / "out" / "report.json"
    return outcome, json.loads(report.read_text()) if report.is_file() else {}


def pocket(depth: float, outline: str = WINDOW) -> str:
    return f'kind = "pocket"\noutline = {outline}\ndepth = {depth}'


FACES = {"top": 38, "front": 50, "back": 48, "bottom": 36, "left": 58, "right": 57}
FROM_BOTTOM = {"top": 37, "bottom": 36, "front": 49, "back": 48, "left": 58, "right": 57}
CROSS = 'kind = "slot"\nfrom = [-40, 0]\nto = [40, 0]\nwidth = 10\nends = "open"\ndepth = 9'
DRILLED = 'kind = "hole"\nat = [0, 0]\ndiameter = 8\nthrough = true'
SQUARED = [setup(up, f'kind = "face"\nleave = {left}') for up, left in FACES.items()]

JOBS = {
    "two pockets that just meet": typed(
        setup("top", pocket(10)), setup("bottom", pocket(10), more=CENTRE + "\nturn = 90".replace(
            "90", "180"))
    ),
    "a pocket under a pocket": typed(setup("top", pocket(8)), setup("bottom", pocket(8))),
    "six faces": typed(*SQUARED, block="[60, 53, 40]"),
    "across a hole from the side": typed(
        setup("front", DRILLED, hold="board = 12"),
        setup("top", CROSS.replace("depth = 9", "depth = 8")),
    ),
    "a hole into a slot from below": typed(
        setup("top", CROSS), setup("bottom", DRILLED, more=CENTRE + "\nturn = 90")
    ),
    "a round bar, flats from two sides": (
        typed(
            setup("top", 'kind = "face"\ndepth = 4', hold="board = 12"),
            setup("bottom", 'kind = "face"\ndepth = 4', DRILLED, hold="board = 12"),
        ).replace("block = [60, 50, 20]", 'round = { diameter = 40, length = 50, axis = "x" }')
    ),
    "on what an edge has left": typed(
        setup("top", 'kind = "edge"\nside = "left"\nat = -28\ndepth = 12'),
        setup("left", pocket(4, "{ circle = 8, centre = [3, 0] }")),
        setup("bottom", 'kind = "edge"\nside = "left"\nat = -28', hold="board = 12"),
    ),
    "broken out of its frame": typed(
        setup("top", 'kind = "profile"\noutline = { rectangle = [40, 30], centre = [2, 1] }\n'
              'side = "outside"\nthrough = true\ntabs = { count = 2, width = 5, height = 1 }',
              hold="board = 12"),
        setup("bottom", pocket(4, "{ circle = 14, centre = [0, 0] }"), more=CENTRE
              + "\nloose = true", hold=VISE.replace("grip = 6", "grip = 4")),
        block="[60, 50, 10]",
    ),
    "six faces of a bar that may be bigger": typed(
        *[setup(up, f'kind = "face"\nleave = {left}', more=ON_BOTTOM)
          for up, left in FROM_BOTTOM.items()],
        block="[58, 50, 38]\noversize = 1.5",
    ),
    "until it breaks into a hole across": typed(
        setup("front", 'name = "gallery"\n' + DRILLED, hold="board = 12"),
        setup("top", 'kind = "hole"\nat = [0, 15]\ndiameter = 5\nuntil = "gallery"'),
        setup("bottom", pocket(3, "{ obround = [30, 5], centre = [0, 0], angle = 90 }").replace(
            "depth = 3", 'until = "gallery"')),
    ),
    "twice the same face up": typed(
        setup("top", pocket(5)),
        setup("top", pocket(5, "{ circle = 14, centre = [0, 0] }").replace(
            "depth = 5", "top = -5\ndepth = 3"), more=CENTRE + '\nname = "again"'),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", JOBS)
def test_a_job_in_space_passes(name: str, tmp_path: Path) -> None:
    outcome, report = made(JOBS[name], tmp_path)
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]
    assert not report["problems"]


def left_of(name: str, tmp_path: Path, which: int = -1) -> object:
    (tmp_path / "job.toml").write_text(JOBS[name], encoding="utf-8")
    job, _, faults = finished_with(load_job(tmp_path / "job.toml"))
    assert not faults
    return job.setups[which]


def test_pockets_from_opposite_faces_make_one_hole(tmp_path: Path) -> None:
    """A third set-up finds a hole right through, its walls in one plane."""
    text = JOBS["two pockets that just meet"] + setup("top", DRILLED, more=CENTRE + '\nname = "c"')
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    job, _, _ = finished_with(load_job(tmp_path / "job.toml"))
    last = job.setups[-1]
    hole = shapely.box(-15, -10, 15, 10).buffer(-5).buffer(5, quad_segs=200)
    for z in (-1e-3, -9.99, -9.9999, -10.0001, -10.01, -19.999):
        gone = shapely.difference(shapely.box(-30, -25, 30, 25), metal(last, z))
        assert gone.hausdorff_distance(hole) < 0.002
        assert len(metal(last, z).interiors) == 1


def test_limits_are_those_of_what_is_left(tmp_path: Path) -> None:
    last = left_of("six faces", tmp_path)
    # up is the right face: x is the stock's z upside down, 40 faced to 38 and 36; y 53 to 48
    assert last.left.low == pytest.approx((-18, -24, -58))  # type: ignore[attr-defined]
    assert last.left.high == pytest.approx((18, 24, 0))  # type: ignore[attr-defined]
    assert last.raw.low == pytest.approx((-20, -27, -60))  # type: ignore[attr-defined]


def test_zero_words_and_through_are_of_what_is_left(tmp_path: Path) -> None:
    first = setup("top", 'kind = "edge"\nside = "left"\nat = -28', 'kind = "face"\ndepth = 1',
                  hold="board = 12")  # fmt: skip
    zero = 'zero = { x = "raw_left + 1", y = "front", z = "raw_bottom" }'
    second = setup("bottom", "name = 'it'\n" + DRILLED.replace("[0, 0]", "[20, 20]"),
                   more=zero, hold="board = 12")  # fmt: skip
    (tmp_path / "job.toml").write_text(typed(first, second), encoding="utf-8")
    job = load_job(tmp_path / "job.toml")
    it = job.setups[1]
    assert it.raw.low == pytest.approx((-1, 0, 0))
    # the face that is now below has lost 1, the left side 2
    assert it.left.low == pytest.approx((1, 0, 1))
    assert it.left.high == pytest.approx((59, 50, 20))
    assert it.features[0].depth.floor == pytest.approx(1)


@pytest.mark.parametrize(
    ("second", "said"),
    [
        pytest.param(setup("bottom", pocket(10.5)), "", id="deeper than it need be, into air"),
        pytest.param(
            setup("bottom", DRILLED, DRILLED.replace("[0, 0]", "[20, 0]")),
            "cuts nothing|cut all of its stock",
            id="a hole where there is none",
        ),
    ],
)
def test_over_a_hollow(second: str, said: str, tmp_path: Path) -> None:
    first = setup("top", pocket(10), pocket(20, "{ circle = 12, centre = [0, 0] }").replace(
        "depth = 20", "through = true"))  # fmt: skip
    outcome, report = made(typed(first, second), tmp_path)
    if said:
        assert any(any(w in str(f) for w in said.split("|")) for f in outcome.faults)
    else:
        assert outcome.verdict == "pass", [str(f) for f in outcome.faults]
        assert not report["problems"]


def test_a_sharp_corner_left_by_a_cutter_is_metal_later(tmp_path: Path) -> None:
    sharp = "{ rectangle = [30, 20], centre = [0, 0] }"
    text = typed(setup("top", pocket(10, sharp) + "\ncutter = 6"), setup("bottom", pocket(4)))
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    job, cuts, _ = finished_with(load_job(tmp_path / "job.toml"))
    under = job.setups[1]
    there = metal(under, -15.0)
    r = cuts["pocket 1"].cutter.radius
    # a cutter's radius stands in each corner
    corner = shapely.box(13, 8, 15, 10).intersection(there)
    assert corner.area > 0
    assert there.intersection(shapely.box(-15, -10, 15, 10)).area == pytest.approx(
        (4 - 3.14159265) * r**2, rel=0.01
    )


def test_the_report_says_volume_and_mass(tmp_path: Path) -> None:
    _, report = made(typed(setup("top", 'kind = "face"\ndepth = 2', DRILLED, hold="board = 12")),
                     tmp_path)  # fmt: skip
    size = 60 * 50 * 18 - 18 * math.pi * 16
    assert report["volume"] == pytest.approx(size, rel=1e-5)
    assert report["mass"] == pytest.approx(size * 2.7e-3, rel=0.01)


def test_a_model_is_written_beside(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(JOBS["a pocket under a pocket"], encoding="utf-8")
    file = tmp_path / "models" / "part.stl"
    outcome = make(tmp_path / "job.toml", tmp_path / "out", model=file)
    assert file in outcome.files
    assert file.read_bytes()[:5] == b"Trial"


@pytest.mark.parametrize("name", ["part.step", "job.toml/part.stl"])
def test_a_model_that_cannot_be_is_refused_before_the_work(name: str, tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(JOBS["a pocket under a pocket"], encoding="utf-8")
    outcome = make(tmp_path / "job.toml", tmp_path / "out", model=tmp_path / name)
    assert outcome.verdict == "fail"
    (fault,) = outcome.faults
    assert str(fault).count("\n") == 0
    assert not (tmp_path / "out").exists()


def test_a_part_that_is_loose_has_its_own_limits(tmp_path: Path) -> None:
    last = left_of("broken out of its frame", tmp_path)
    assert last.left.low == pytest.approx((-20, -15, -10))  # type: ignore[attr-defined]
    assert last.left.high == pytest.approx((20, 15, 0))  # type: ignore[attr-defined]
    # its middle is 2 to the right of the block's, and as the bottom is up 1 to the front
    assert metal(last, -5.0).bounds == pytest.approx((-20, -15, 20, 15))  # type: ignore[arg-type]
    assert last.raw.low == pytest.approx((-32, -24, -10))  # type: ignore[attr-defined]


def test_the_squared_worm_block_is_as_large_as_by_hand(tmp_path: Path) -> None:
    """52 x 40 x 22, less the bore, what lies outside the rounded end, the oil well round the bore,
    two screws' holes with their points (118 degrees), and two keyways, each 3 wide with a round end
    about a place on the bore's wall."""
    outcome = make(SHIPPED / "worm-block-squared.toml", tmp_path)
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]
    report = json.loads((tmp_path / "report.json").read_text())
    screw = math.pi * 2.5**2 * (12 + 2.5 / math.tan(math.radians(59)) / 3)
    bore_under_key = 2 * (1.5 * math.sqrt(64 - 1.5**2) + 64 * math.asin(1.5 / 8)) / 2
    keyway = (3 * 8 + math.pi * 1.5**2 / 2 - bore_under_key) * 6
    by_hand = (
        52 * 40 * 22
        - math.pi * 8**2 * 22
        - (20 * 40 - math.pi * 20**2 / 2) * 22
        - math.pi * (12**2 - 8**2) * 3
        - 2 * screw
        - 2 * keyway
    )
    assert report["volume"] == pytest.approx(by_hand, rel=5e-4)
    assert len(report["programs"]) == 8


def test_passes_begin_over_a_bar_that_may_be_bigger(tmp_path: Path) -> None:
    """The first set-up stands on a raw bottom: that and the top may be 1.5 out, so the top 3 higher
    than drawn. The last finds all sides but the one that is up machined."""
    first = left_of("six faces of a bar that may be bigger", tmp_path, 0)
    assert first.left.low == pytest.approx((-30.5, -26.5, 0))  # type: ignore[attr-defined]
    assert first.left.high == pytest.approx((30.5, 26.5, 41))  # type: ignore[attr-defined]
    assert first.sure.high == pytest.approx((29, 25, 38))  # type: ignore[attr-defined]
    last = left_of("six faces of a bar that may be bigger", tmp_path)
    assert last.left.low == pytest.approx((-18, -24, 0))  # type: ignore[attr-defined]
    assert last.left.high == pytest.approx((18, 24, 59.5))  # type: ignore[attr-defined]
    outcome, report = made(JOBS["six faces of a bar that may be bigger"], tmp_path)
    assert outcome.verdict == "pass"
    assert report["volume"] == pytest.approx(57 * 48 * 36)
    text = (tmp_path / "out" / "1-set-up-1.nc").read_text()
    # clear of the highest top there may be, and no cutter set on a top nobody knows
    assert "G0 Z46" in text
    assert "touch the raw top" not in text


@pytest.mark.parametrize(
    ("zero", "said"),
    [("top", "the bottom is still raw and may be 3 mm lower than drawn"), ("bottom", "")],
)
def test_through_wants_a_bottom_that_is_known(zero: str, said: str, tmp_path: Path) -> None:
    job = typed(
        setup("top", DRILLED, more=CENTRE.replace('"top"', f'"{zero}"'), hold="board = 12"),
        block="[60, 50, 20]\noversize = 1.5",
    )
    if zero == "bottom":
        job = job.replace("through = true", "through = true\ntop = 20")
    outcome, _ = made(job, tmp_path)
    if said:
        assert said in str(outcome.faults[0])
    else:
        assert outcome.verdict == "pass", [str(f) for f in outcome.faults]


def test_zero_on_a_raw_side_of_a_bigger_bar_is_refused_once_the_other_is_milled(
    tmp_path: Path,
) -> None:
    first = setup("bottom", 'kind = "face"\ndepth = 1', more='zero = { z = "top" }')
    round_ = pocket(3, "{ circle = 9, centre = [20, 20] }")
    second = setup("top", round_, more='zero = { z = "top" }')
    outcome, _ = made(typed(first, second, block="[60, 50, 20]\noversize = 1"), tmp_path)
    assert [str(f).split(": ", 1)[1] for f in outcome.faults if f.severity == "error"] == [
        "setup 2.zero.z: the top is still raw and may be 1 mm further out than drawn, put zero on "
        "the bottom, which is milled"
    ]
