"""Whatever is typed, a job loads or says what is wrong: nothing but a JobError, and soon."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gcodekit.errors import JobError
from gcodekit.job.load import load_job
from gcodekit.job.outlines import outlines

GOOD = """\
name = "Fork arm"
units = "mm"
material = "mild steel"
tolerance = 0.01
[dimensions]
pitch = 12.5
wall = "1/16 in"
[stock]
block = [130, 70, 4]
stacked = 2
[outlines]
arm = { path = [[0, 0], [112, 0], { to = [112, 44], round = 6 }, { to = [0, 44], bevel = 6 }] }
eye = { minus = ["arm", { circle = 20, centre = [20, 20] }], move = [1, 1], grow = -0.5 }
[[setup]]
name = "Flat"
turn = 0
zero = { x = "left + 5", y = "front + 10", z = "top" }
clearance = 5
[setup.hold]
clamps = [{ at = [3, 3], size = [20, 30], height = 12, angle = 0 }]
board = 10
[[setup.feature]]
kind = "hole"
diameter = 3.2
through = true
row = { start = [10, 6], pitch = "pitch", count = 8, angle = 0, skip = [3] }
[[setup.feature]]
kind = "pocket"
outline = "eye"
islands = [{ rectangle = [5, 5], centre = [60, 20] }]
depth = 2
cutter = 3
rough = "contour parallel"
copies = { count = 2, move = [1, 0] }
[[setup.feature]]
kind = "slot"
path = [[10, 10], [30, 10], { to = [40, 20], radius = 10, turn = "ccw" }]
width = 4
floor = -3
ends = { start = "open", end = "round" }
[[setup.feature]]
name = "rim"
kind = "profile"
outline = "arm"
side = "outside"
through = true
tabs = { count = 4, width = 6, height = 0.8 }
[[setup.feature]]
kind = "bore"
diameter = 16
pitch_circle = { centre = [50, 20], diameter = 20, count = 2, start = 0, sweep = 360 }
depth = 2
[[setup.copy]]
mirror = "x"
about = [0, 25]
"""
PIECES = re.findall(r'"[^"\n]*"|[\w.]+|[^\w\s"]|\s+', GOOD)
ODD = [
    *("nan", "inf", "-1", "0", "1e308", "0x" + "f" * 5000, "1e-9", "-0.0", "true", "[]", "{}"),
    *('""', '"left"', '"9**9**9**9"', '"1/0"', '"faced"', '"pitch"', '"arm"', '"eye"', "[[1, 2]]"),
    *("2020-01-01", '"\\u001b[2J"', '"\\u0000"', "99999999999999999999", "[1, [2, [3]]]", "'x'"),
    *('"\\u001b[2J" = 3\n', "'' = 1\n"),
    *("{ circle = 5 }", "kind", "depth", "top", "through", "union", "minus", "path", "at"),
    *('"deg"', '"3 deg"', '"3 thou"', "[setup]", "[[setup]]", "[[setup.feature]]", "\n", ""),
]


def said_of(path: Path) -> str:
    try:
        load_job(path)
    except JobError as error:
        return str(error)
    return ""


def load(text: str, folder: Path) -> None:
    path = folder / "job.toml"
    path.write_text(text, encoding="utf-8", errors="surrogateescape")
    for line in said_of(path).splitlines():
        # a file name, a line, something said, and nothing a terminal would obey
        assert re.match(r".*job\.toml(:\d+)?: .+", line), line
        assert line.isprintable(), line


def test_the_good_job_is_good(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(GOOD, encoding="utf-8")
    assert [str(w) for w in load_job(tmp_path / "job.toml").warnings] == []


@settings(
    max_examples=100,
    deadline=2000,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    edits=st.lists(
        st.tuples(st.integers(0, len(PIECES) - 1), st.sampled_from([*ODD, *set(PIECES)])),
        min_size=1,
        max_size=4,
    )
)
def test_words_exchanged(edits: list[tuple[int, str]], tmp_path: Path) -> None:
    pieces = list(PIECES)
    for at, piece in edits:
        pieces[at] = piece
    load("".join(pieces), tmp_path)


@settings(
    max_examples=40,
    deadline=2000,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    first=st.integers(0, GOOD.count("\n")),
    last=st.integers(0, GOOD.count("\n")),
)
def test_lines_moved(first: int, last: int, tmp_path: Path) -> None:
    lines = GOOD.splitlines(keepends=True)
    lines.insert(last % len(lines), lines.pop(first % len(lines)))
    load("".join(lines), tmp_path)


HEADS = ("[outlines]", "[dimensions]")


def chain_of_names(n: int) -> str:
    links = "".join(f'o{i} = {{ union = ["o{i + 1}", "o{i + 1}"] }}\n' for i in range(n))
    return f"[outlines]\n{links}o{n} = {{ circle = 5 }}\n"


def doubled(n: int) -> str:
    links = ""
    for i in range(n):
        other = f'{{ union = ["o{i}", "o{i}"], move = [{2 ** min(i, 9) * 9}, {i}] }}'
        links += f'o{i + 1} = {{ union = ["o{i}", {other}] }}\n'
    return f"[outlines]\no0 = {{ circle = 5 }}\n{links}"


@pytest.mark.parametrize(
    "more",
    [
        pytest.param(chain_of_names(3000), id="names of names"),
        pytest.param(doubled(30), id="sums that double"),
        pytest.param(
            "[outlines]\na = " + "{ union = [" * 60 + "{ circle = 5 }" + "] }" * 60, id="nested"
        ),
        pytest.param(
            "[[setup.feature]]\nkind = 'hole'\ndiameter = 1\ndepth = 1\n"
            "row = { start = [1, 1], pitch = 0.001, count = 50000 }\n"
            "copies = { count = 9000, move = [0, 0.001] }\n",
            id="places times copies",
        ),
        pytest.param("[dimensions]\nx = '9**9**9**9**9'\n", id="a power of powers"),
        pytest.param(
            "[outlines]\na = { path = ["
            + ", ".join(f"[{i % 200}, {i // 200}]" for i in range(19000))
            + "] }",
            id="a path that runs over itself",
        ),
    ],
)
def test_nothing_hangs_or_fills_memory(
    more: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # a twentieth of what a job may spend: the same bound, met sooner
    monkeypatch.setattr(outlines, "MOST_WORK", outlines.MOST_WORK // 20)
    header = more.partition("\n")[0]
    text = GOOD.replace(f"{header}\n", f"{more}\n", 1) if header in HEADS else GOOD + more
    load(text, tmp_path)
    with pytest.raises(JobError):
        load_job(tmp_path / "job.toml")
