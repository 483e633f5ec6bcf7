"""Jobs for machines that are part converted, made and proved: the messages lead to the part, and
any that does not is refused."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from made_jobs import made_in, told

from gcodekit.job.workshop.workshop import BENCH_MILL
from gcodekit.making.dryrun import dry_run
from gcodekit.making.hand_sheets import leave_handwheel_sheet
from gcodekit.making.make import make
from gcodekit.making.setup_sheets import PostChoice

SHOP = BENCH_MILL.read_text("utf-8")
DIAL = "dial = { x = 0.02, y = 0.02, z = 0.05, turn = { x = 2.5, y = 2.5, z = 2.5 } }\n"
HEAD = """\
name = "Counterweight plate"
units = "mm"
workshop = "shop.toml"
material = "aluminium"
[stock]
block = [60, 40, 8]
[[setup]]
zero = { x = "left", y = "front", z = "top" }
  [setup.hold]
  board = 12
"""
WELL = """\
  [[setup.feature]]
  name = "well"
  kind = "pocket"
  outline = { rectangle = [30, 22], centre = [22, 20], round = 4 }
  depth = 3
"""
HOLES = """\
  [[setup.feature]]
  name = "screws"
  kind = "hole"
  diameter = 4
  at = [[50, 10], [50, 30]]
  through = true
"""
# What strokes along one axis cut true.
STEP = """\
  [[setup.feature]]
  name = "step"
  kind = "edge"
  side = "left"
  at = 6
  depth = 2
"""
RIM = """\
  [[setup.feature]]
  name = "rim"
  kind = "profile"
  outline = { rectangle = [50, 30], corner = [5, 5], round = 3 }
  side = "outside"
  through = true
  tabs = { count = 2, width = 6, height = 1 }
"""
JOB = HEAD + WELL + HOLES
# The same lengths as a job in inch has them.
INCH = re.sub(r"(?<![\w.])(\d+)(?=[\],\n ])", r'"\1 mm"', JOB.replace('"mm"', '"inch"'))
INCH = INCH.replace('"22 mm", "20 mm"', '"22 mm", "20 mm"')
MOVES_Z = re.compile(r"^(?!\().*Z", re.MULTILINE)


def shop_of(converted: str, more: str = DIAL) -> str:
    """The shipped workshop with so many axes driven."""
    bare = re.sub(r"^converted.*\n", "", SHOP, flags=re.MULTILINE)
    return bare.replace("[machine]\n", f"[machine]\nconverted = [{converted}]\n{more}", 1)


def program_of(folder: Path) -> str:
    (file,) = (folder / "out").glob("*.nc")
    return file.read_text("ascii")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the plate made with Z by hand."""
    folder = tmp_path_factory.mktemp("converted")
    outcome = made_in(folder, JOB, shop_of('"x", "y"'))
    assert outcome.verdict == "pass", told(outcome)
    return folder


@pytest.mark.parametrize("post", ["rs274_full", "iso6983", "motion_only"])
@pytest.mark.parametrize("job", [JOB, INCH], ids=["mm", "inch"])
def test_z_by_hand(job: str, post: str, tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text(shop_of('"x", "y"'), encoding="utf-8")
    (tmp_path / "job.toml").write_text(job, encoding="utf-8")
    outcome = make(tmp_path / "job.toml", tmp_path / "out", post=post)
    assert outcome.verdict == "pass", told(outcome)
    texts = [file.read_text("ascii") for file in (tmp_path / "out").glob("*.nc")]
    assert not [m[0] for text in texts for m in MOVES_Z.finditer(text)]
    asked = [line for text in texts for line in text.splitlines() if "by hand: drill" in line]
    # two holes, spotted and drilled
    assert len(asked) == 4


def test_tabs_and_all_with_z_by_hand(tmp_path: Path) -> None:
    outcome = made_in(tmp_path, HEAD + WELL + RIM, shop_of('"x", "y"'))
    assert outcome.verdict == "pass", told(outcome)
    (row,) = outcome.document["programs"]
    assert 10 < row["hand_stops"] < 30
    assert any(f"{row['hand_stops']} stops to move an axis by hand" in s for s in outcome.summary)
    sheet = (tmp_path / "out" / "set-up-sheet.html").read_text("utf-8")
    assert f"It also stops {row['hand_stops']} times for you to move Z by hand" in sheet


@pytest.mark.parametrize("post", ["rs274_full", "iso6983", "motion_only"])
def test_x_alone(post: str, tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text(shop_of('"x"'), encoding="utf-8")
    (tmp_path / "job.toml").write_text(HEAD + STEP + WELL + HOLES, encoding="utf-8")
    outcome = make(tmp_path / "job.toml", tmp_path / "out", post=post)
    assert outcome.verdict == "pass", told(outcome)
    texts = [file.read_text("ascii") for file in (tmp_path / "out").glob("*.nc")]
    blocks = [line for text in texts for line in text.splitlines() if not line.startswith("(")]
    assert not [line for line in blocks if re.search("[YZIJ]|G0?[23](?!\\d)", line)]


@pytest.mark.parametrize("converted", ['"y"', '"z"', '"x", "z"', '"y", "z"'])
def test_other_axes(converted: str, tmp_path: Path) -> None:
    outcome = made_in(tmp_path, HEAD + STEP + HOLES, shop_of(converted))
    assert outcome.verdict == "pass", told(outcome)
    letters = "".join(a for a in "XYZ" if a.lower() not in converted)
    blocks = [line for line in program_of(tmp_path).splitlines() if not line.startswith("(")]
    assert not [line for line in blocks if re.search(f"[{letters}]", line)]


def _changed(old: str, new: str) -> Callable[[str], str]:
    def change(text: str) -> str:
        assert old in text
        return text.replace(old, new, 1)

    return change


def _without_stop(saying: str, number: int = 0) -> Callable[[str], str]:
    """The program without one message and its M0."""

    def change(text: str) -> str:
        lines = text.splitlines()
        found = [i for i, line in enumerate(lines) if saying in line and lines[i + 1] == "M0"]
        del lines[found[number] : found[number] + 2]
        return "\n".join(lines) + "\n"

    return change


FLOOR = "feed down to Z-3.000, dial -2+40"


def _last_floor(new: str) -> Callable[[str], str]:
    """Every way down to the floor changed: what one pass leaves the next would cut."""
    return lambda text: text.replace(FLOOR, new)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        pytest.param(
            _changed(FLOOR, "feed down to Z-3.100, dial -2+38"), "gouge in well", id="too deep"
        ),
        pytest.param(
            _last_floor("feed down to Z-2.900, dial -2+42"), "uncut in well", id="too shallow"
        ),
        pytest.param(
            _last_floor("feed down to Z3.000, dial 1+10"), "uncut in well", id="a sign forgotten"
        ),
        pytest.param(
            _changed("raise to Z5.000", "raise to Z-5.000"), "gouge in screws", id="a sign too many"
        ),
        pytest.param(
            _changed(FLOOR, "feed down to Z-3.000, dial -2+38"),
            "the dial reading for Z-3.000 is that of Z-3.1",
            id="a wrong reading",
        ),
        pytest.param(
            _without_stop("then raise to Z5.000", 2), "uncut in screws", id="a hole left out"
        ),
        pytest.param(
            _changed("then raise to Z5.000, dial 2+0)\nM0\nG0 Y", "then raise to Z5.000)\nG0 Y"),
            "does not stop for",
            id="a stop without M0",
        ),
        pytest.param(
            _changed(", then raise to Z5.000, dial 2+0", ""),
            "rapid into stock",
            id="a lift left out",
        ),
        pytest.param(
            lambda text: re.sub(
                r"(by hand: feed down.*\nM0\n)", r"\1G1 Z-3.2 F60\n", text, count=1
            ),
            "program moves Z, which is on its handwheel",
            id="a Z word",
        ),
        pytest.param(
            _changed("by hand: drill to", "by hand: drill at"),
            "is no move that a hand can be asked for",
            id="garbled",
        ),
    ],
)
def test_errors_planted_in_the_messages(
    made: Path, change: Callable[[str], str], said: str, tmp_path: Path
) -> None:
    program = tmp_path / "program.nc"
    program.write_text(change(program_of(made)), encoding="ascii")
    run = dry_run(program, job=made / "job.toml")
    assert [f for f in run.faults if f.severity == "error" and said in f.message], run.faults


def test_dry_run_of_the_program_as_made(made: Path) -> None:
    (program,) = (made / "out").glob("*.nc")
    run = dry_run(program, job=made / "job.toml")
    assert run.faults == ()
    assert run.way.hand_stops > 8


def test_errors_planted_in_strokes(tmp_path: Path) -> None:
    outcome = made_in(tmp_path, HEAD + STEP, shop_of('"y"'))
    assert outcome.verdict == "pass", told(outcome)
    text = program_of(tmp_path)
    right, wrong = "feed to X-2.000, dial -1+25)", "feed to X-1.900, dial -1+30)"
    assert right in text
    program = tmp_path / "program.nc"
    program.write_text(text.replace(right, wrong), encoding="ascii")
    run = dry_run(program, job=tmp_path / "job.toml")
    assert "0.1 mm into the finished part" in "\n".join(f.message for f in run.faults)


TAP = """
[[cutter]]
number = 90
name = "M5 tap"
kind = "tap"
diameter = 5
pitch = 0.8
flute_length = 14
stickout = 40
"""
LONG_MILL = "  cutter = 8\n"
ENTRY = HOLES.replace("screws", "entry").replace("[[50, 10], [50, 30]]", "[22, 20]")


def test_a_bare_cutter_goes_down_in_a_hole(tmp_path: Path) -> None:
    hole = ENTRY.replace("diameter = 4", "diameter = 6.5").replace("through = true", "depth = 3")
    outcome = made_in(tmp_path, HEAD + hole + WELL + LONG_MILL, shop_of('"x", "y"'))
    assert outcome.verdict == "pass", told(outcome)


@pytest.mark.parametrize(
    ("features", "converted", "said"),
    [
        pytest.param(
            WELL + LONG_MILL,
            '"x", "y"',
            "is not centre-cutting and with Z by hand there are no ramps, use a centre-cutting end "
            "mill, or drill a starting hole first, wider than it and as deep",
            id="a closed pocket",
        ),
        pytest.param(
            ENTRY + WELL + LONG_MILL,
            '"x", "y"',
            "is not centre-cutting and with Z by hand",
            id="a hole too narrow",
        ),
        pytest.param(
            RIM + LONG_MILL,
            '"x", "y"',
            "cannot go straight down into the stock, and with Z by hand it cannot ramp, use a "
            "centre-cutting cutter",
            id="a rim",
        ),
        pytest.param(
            HOLES.replace("diameter = 4", 'thread = "M5"\n  tapping = "machine"'),
            '"x", "y"',
            "a machine tap needs a driven Z, and this machine's is by hand, set tapping = \"by "
            'hand"',
            id="a machine tap",
        ),
        pytest.param(
            '  [[setup.feature]]\n  kind = "slot"\n  from = [10, 10]\n  to = [40, 30]\n'
            "  width = 6\n  depth = 2\n  cutter = 3\n",
            '"x"',
            "stops to move an axis by hand, at most 400, set a larger tolerance, or drive X and Y",
            id="a slanting slot",
        ),
        pytest.param(
            '  [[setup.feature]]\n  kind = "engrave"\n  text = "S"\n  at = [30, 20]\n  height = 8\n'
            "  depth = 0.2\n",
            '"x"',
            "engrave: it follows arcs or slants, and this machine drives X alone, make it by hand "
            "as `gcodekit handwheel` says, or drive X and Y",
            id="a curved letter",
        ),
        pytest.param(
            WELL + "  limits = [0, 0.02]\n",
            '"x"',
            "its limits are closer than strokes with stops keep to, finish it with a reamer or "
            "boring head, widen its limits, or drive X and Y",
            id="close limits",
        ),
        pytest.param(
            HOLES,
            "",
            "no axis is driven: there is no program to make, run `gcodekit handwheel JOB --out "
            "FILE` for a sheet of what to dial",
            id="no axis",
        ),
    ],
)
def test_what_is_refused(features: str, converted: str, said: str, tmp_path: Path) -> None:
    shop = shop_of(converted).replace('by = "hand"', 'by = "hand", reverse = true')
    outcome = made_in(tmp_path, HEAD + features, shop + TAP)
    assert outcome.verdict == "fail"
    assert said in told(outcome)
    assert not list((tmp_path / "out").glob("*.nc"))


def test_handwheel_sheet_of_a_machine_without_drives(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text(shop_of(""), encoding="utf-8")
    (tmp_path / "job.toml").write_text(HEAD + HOLES, encoding="utf-8")
    choice = PostChoice(None, None, None)
    assert leave_handwheel_sheet(tmp_path / "job.toml", tmp_path / "hand.txt", choice) == ()
    assert "handwheel sheet" in (tmp_path / "hand.txt").read_text("utf-8")
