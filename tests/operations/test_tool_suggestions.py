"""A cutter bought as a refusal says gives the feature its cutters."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from gcodekit.errors import PlanError
from gcodekit.job.load import load_job
from gcodekit.job.model import Job
from gcodekit.planning.cutter_assignment import choose_cutters
from gcodekit.units import MM_PER_INCH

SHOP = """\
units = "mm"
[machine]
spindle = { min = 100, max = 2500, reverse = true }
"""
# number, kind, diameter, flute length, and more
RACK = (
    (1, "end mill", 8, 12, ""),
    (2, "end mill", 12, 25, ""),
    (3, "spot drill", 10, 20, ""),
    (4, "drill", 5.8, 40, ""),
    (5, "reamer", 6.03, 26, ""),
)
JOB = """\
units = "UNITS"
material = "aluminium"
workshop = "shop.toml"
[stock]
block = ["100 mm", "60 mm", "20 mm"]
[[setup]]
zero = { x = "left", y = "front", z = "top" }
[setup.hold]
board = "20 mm"
[[setup.feature]]
"""
SIZE = r"([\d.]+) (mm|in)"
END_MILL = rf"an end mill of {SIZE} or less with flutes of {SIZE}"
POCKET = 'kind = "pocket"\noutline = { rectangle = ["40 mm", "30 mm"], centre = ["50 mm", "30 mm"]'
DUMB_BELL = (
    'kind = "pocket"\noutline = { union = [{ circle = "20 mm", centre = ["30 mm", "30 mm"] }, '
    '{ circle = "20 mm", centre = ["60 mm", "30 mm"] }, '
    '{ rectangle = ["30 mm", "5 mm"], centre = ["45 mm", "30 mm"] }] }\ndepth = "3 mm"\n'
)


def cutter(number: int, kind: str, diameter: float, flutes: float, more: str = "") -> str:
    return (
        f'[[cutter]]\nnumber = {number}\nkind = "{kind}"\ndiameter = {diameter:.6f}\n'
        f"flute_length = {flutes:.6f}\nstickout = {flutes + 15:.6f}\n{more}\n"
    )


@pytest.fixture
def job_of(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Job]:
    monkeypatch.chdir(tmp_path)

    def load(feature: str, *, units: str, bought: str = "") -> Job:
        rack = "".join(cutter(*row) for row in RACK)
        Path("shop.toml").write_text(SHOP + rack + bought, encoding="utf-8")
        Path("job.toml").write_text(JOB.replace("UNITS", units) + feature, encoding="utf-8")
        return load_job(Path("job.toml"))

    return load


def mm(figure: str, unit: str) -> float:
    return float(figure) * (MM_PER_INCH if unit == "in" else 1.0)


def refused(job: Job) -> str:
    with pytest.raises(PlanError) as error:
        choose_cutters(job, job.setups[0])
    (fault,) = error.value.faults
    return str(fault)


@pytest.mark.parametrize("units", ["mm", "inch"])
@pytest.mark.parametrize(
    ("feature", "most"),
    [
        pytest.param(POCKET + ', round = "1.7 mm" }\ndepth = "3 mm"\n', 3.4, id="round"),
        pytest.param(POCKET + ' }\ncorner = "2 mm"\ndepth = "3 mm"\n', 4, id="corner"),
        pytest.param(POCKET + ', round = "5 mm" }\ndepth = "13 mm"\n', 10, id="deep and round"),
        pytest.param(DUMB_BELL, 5, id="neck"),
        pytest.param(
            'kind = "slot"\nfrom = ["20 mm", "30 mm"]\nto = ["60 mm", "30 mm"]\nwidth = "7.15 mm"\n'
            'depth = "15 mm"\n',
            7.15,
            id="slot",
        ),
        pytest.param(
            'kind = "bore"\nat = ["50 mm", "30 mm"]\ndiameter = "9 mm"\ndepth = "4 mm"\n',
            7.5,
            id="bore",
        ),
        pytest.param(
            'kind = "profile"\nside = "inside"\ndepth = "2 mm"\n'
            'outline = { obround = ["40 mm", "6 mm"], centre = ["50 mm", "30 mm"] }\n',
            6,
            id="inside",
        ),
        pytest.param(
            'kind = "arc"\ncentre = ["50 mm", "30 mm"]\nradius = "10 mm"\nstart = 0\nend = 90\n'
            'side = "outside"\nfrom_radius = "15 mm"\ndepth = "1 mm"\n',
            5,
            id="arc",
        ),
        pytest.param(
            'kind = "boss"\noutline = { circle = "10 mm", centre = ["50 mm", "30 mm"] }\n'
            'within = { circle = "20 mm", centre = ["50 mm", "30 mm"] }\ndepth = "1 mm"\n',
            5,
            id="boss",
        ),
        pytest.param(
            'kind = "hole"\nat = ["50 mm", "30 mm"]\ndiameter = "5.8 mm"\ndepth = "9 mm"\n'
            'counterbore = { diameter = "9 mm", depth = "4 mm" }\n',
            7.5,
            id="counterbore",
        ),
    ],
)
def test_the_end_mill_that_would_do(
    job_of: Callable[..., Job], feature: str, most: float, units: str
) -> None:
    said = refused(job_of(feature, units=units))
    match = re.search(END_MILL, said)
    assert match, said
    diameter, flutes = mm(match[1], match[2]), mm(match[3], match[4])
    # as sold: tenths of a millimetre, five thousandths of an inch
    assert most - 0.2 < diameter <= most + 1e-4
    bought = cutter(9, "end mill", diameter, flutes)
    job = job_of(feature, units=units, bought=bought)
    _, _, chosen = choose_cutters(job, job.setups[0])
    (only,) = chosen.values()
    assert 9 in {c.number for c in only.every}


@pytest.mark.parametrize(
    ("feature", "kind", "more"),
    [
        pytest.param('diameter = "5.3 mm"\ndepth = "5 mm"\n', "drill", "", id="drill"),
        pytest.param('thread = "M5"\ndepth = "5 mm"\n', "drill", "", id="tapping drill"),
        pytest.param(
            'diameter = "7 mm"\nream = true\nthrough = true\nrough_with = 4\n',
            "reamer",
            "",
            id="reamer",
        ),
        pytest.param('diameter = "8 mm"\nream = true\ndepth = "5 mm"\n', "reamer", "", id="ream"),
        pytest.param(
            'diameter = "6 mm"\nfit = "H7"\ndepth = "5 mm"\n', "reamer", 'fit = "H7"', id="fit"
        ),
    ],
)
def test_the_drill_or_reamer_that_would_do(
    job_of: Callable[..., Job], feature: str, kind: str, more: str
) -> None:
    feature = 'kind = "hole"\nat = ["50 mm", "30 mm"]\n' + feature
    bought = ""
    for number in range(9, 12):
        said = refused(job_of(feature, units="mm", bought=bought))
        match = re.search(rf"add a (drill|reamer)\b.*?{SIZE}", said)
        assert match, said
        hint = said[said.rindex(", add a ") :]
        size = re.search(SIZE, hint)
        assert size
        kind = "reamer" if hint.startswith(", add a reamer") else "drill"
        own = more if kind == "reamer" else ""
        bought += cutter(number, kind, mm(size[1], size[2]), 40, own)
        job = job_of(feature, units="mm", bought=bought)
        try:
            choose_cutters(job, job.setups[0])
        except PlanError:
            continue
        return
    pytest.fail(said)


def test_an_end_mill_a_little_too_wide_may_be_reground(job_of: Callable[..., Job]) -> None:
    feature = POCKET + ', round = "3.8 mm" }\ndepth = "3 mm"\n'
    assert ", or cutter 1 reground to that" in refused(job_of(feature, units="mm"))
    far = POCKET + ', round = "3 mm" }\ndepth = "3 mm"\n'
    assert "reground" not in refused(job_of(far, units="mm"))


def test_a_reamer_a_little_too_large_may_be_stoned_down(job_of: Callable[..., Job]) -> None:
    feature = 'kind = "hole"\nat = ["50 mm", "30 mm"]\ndiameter = "6 mm"\nfit = "H7"\n'
    said = refused(job_of(feature + 'depth = "5 mm"\n', units="mm"))
    assert ", or stone cutter 5 down to that" in said
