"""Materials and rigidity of the workshop's own: what arrives, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from gcodekit.errors import JobError
from gcodekit.job.load import load_job
from gcodekit.job.workshop.machine import Workshop
from gcodekit.job.workshop.workshop import load_workshop
from gcodekit.trade.materials import Speeds, find_material

MILL = """\
units = "UNITS"
[machine]
spindle = { min = 100, max = 2000 }
RIGIDITY
[[cutter]]
number = 1
kind = "end mill"
diameter = "6 mm"
[[material]]
"""
WHOLE = """\
name = "fabric laminate"
aliases = ["SRBF", "cotton phenolic"]
density = 1360
milling = { hss = 60, carbide = 120 }
drilling = { hss = 30, carbide = 45 }
reaming = { hss = 15, carbide = 22 }
chip_load = 0.006
drill_feed = 0.015
energy = 0.4
"""
LIKE = 'name = "EN24T"\nlike = "gauge plate"\nmilling = { hss = 14 }\nkc = 2500\nmc = 0.26\n'
FIRST = MILL.count("\n") + 1


def text_of(materials: str, *, units: str = "mm", rigidity: str = "") -> str:
    return MILL.replace("UNITS", units).replace("RIGIDITY", rigidity) + materials


def shop(folder: Path, materials: str, **more: str) -> Workshop:
    path = folder / "mill.toml"
    path.write_text(text_of(materials, **more), encoding="utf-8")
    return load_workshop(path, shown_as="mill.toml")


def test_a_whole_material_arrives(tmp_path: Path) -> None:
    (own,) = shop(tmp_path, WHOLE).materials
    assert (own.name, own.aliases) == ("fabric laminate", ("SRBF", "cotton phenolic"))
    assert own.mill == Speeds(hss=60, carbide=120)
    assert own.drill == Speeds(hss=30, carbide=45)
    assert own.ream == Speeds(hss=15, carbide=22)
    assert (own.density, own.chip, own.drill_feed) == (1360, 0.006, 0.015)
    assert (own.kc, own.energy) == (None, 0.4)
    assert own.specific_force(0.05) == 400
    assert "mill.toml:9" in own.source_speeds
    assert find_material("srbf", (own,)) is own
    assert find_material("brass", (own,)) is find_material("brass")


def test_like_takes_the_rest(tmp_path: Path) -> None:
    (own,) = shop(tmp_path, LIKE).materials
    steel = find_material("tool steel")
    assert steel is not None
    assert own.mill == Speeds(hss=14, carbide=steel.mill.carbide)
    assert own.kc == (2500, 0.26)
    assert (own.drill, own.ream, own.chip, own.peck) == (
        steel.drill, steel.ream, steel.chip, steel.peck
    )  # fmt: skip
    assert own.aliases == ()


def test_like_may_name_one_before_it_and_an_energy_takes_the_place_of_kc(tmp_path: Path) -> None:
    first, second = shop(
        tmp_path, LIKE + '[[material]]\nname = "soft"\nlike = "en 24t"\nenergy = 2.5\n'
    ).materials
    assert second.mill == first.mill
    assert (second.kc, second.energy) == (None, 2.5)


def test_an_inch_file_has_feet_a_minute(tmp_path: Path) -> None:
    metric = shop(tmp_path, LIKE.replace("14", "30.48")).materials[0]
    inch = shop(tmp_path, LIKE.replace("14", "100"), units="inch").materials[0]
    assert inch.mill.hss == pytest.approx(metric.mill.hss)
    assert inch.mill.carbide == metric.mill.carbide


def test_a_job_may_be_made_of_it(tmp_path: Path) -> None:
    (tmp_path / "mill.toml").write_text(text_of(LIKE), encoding="utf-8")
    job = tmp_path / "job.toml"
    top = 'units = "mm"\nworkshop = "mill.toml"\nmaterial = "MATERIAL"\n[stock]\n'
    top += "block = [60, 40, 10]\n[[setup]]\n[setup.hold]\nboard = 10\n"
    top += '[[setup.feature]]\nkind = "face"\ndepth = 0.2\n'
    job.write_text(top.replace("MATERIAL", "en24-t"), encoding="utf-8")
    assert load_job(job).material.name == "EN24T"
    job.write_text(top.replace("MATERIAL", "EN24S"), encoding="utf-8")
    with pytest.raises(JobError, match='"EN24S" is not known, did you mean "EN24T"'):
        load_job(job)
    job.write_text(top.replace('material = "MATERIAL"\n', "") + "[[material]]\nname = 'x'\n")
    with pytest.raises(JobError, match=r"\[\[material\]\] goes into the workshop file"):
        load_job(job)


def test_a_material_at_fault_is_not_unknown_besides(tmp_path: Path) -> None:
    (tmp_path / "mill.toml").write_text(text_of(LIKE.replace("kc = 2500", "kc = 1")))
    job = tmp_path / "job.toml"
    job.write_text(
        'units = "mm"\nworkshop = "mill.toml"\nmaterial = "EN24T"\n[stock]\n'
        "block = [60, 40, 10]\n[[setup]]\n[setup.hold]\nboard = 10\n"
        '[[setup.feature]]\nkind = "face"\ndepth = 0.2\n',
        encoding="utf-8",
    )
    with pytest.raises(JobError) as error:
        load_job(job)
    (fault,) = error.value.faults
    assert fault.place.key == "material 1.kc"


@pytest.mark.parametrize(
    ("material", "line", "said"),
    [
        pytest.param(
            WHOLE.replace("density = 1360\n", "").replace("energy = 0.4\n", ""),
            0,
            'material 1: "fabric laminate" lacks density and kc, give them, or like = "mild steel" '
            "and only what differs",
            id="figures missing",
        ),
        pytest.param(
            'name = "brass"\nlike = "aluminium"\n',
            1,
            'material 1.name: "brass" is already taken by brass, choose another name; '
            'like = "brass" takes its figures',
            id="a name of the table",
        ),
        pytest.param(
            LIKE + 'aliases = ["EN3B"]\n',
            6,
            'material 1.aliases: "EN3B" is already taken by mild steel, choose another name; '
            'like = "mild steel" takes its figures',
            id="an alias of the table",
        ),
        pytest.param(
            LIKE.replace("gauge plate", "gage plate"),
            2,
            'material 1.like: "gage plate" is not known, did you mean "tool steel"?',
            id="like nothing",
        ),
        pytest.param(
            LIKE.replace("mc = 0.26\n", ""),
            0,
            "material 1.mc: is missing, give kc and mc together, from the same table",
            id="kc alone",
        ),
        pytest.param(
            LIKE + "energy = 2\n",
            6,
            "material 1.energy: energy and kc are both given, give either kc with mc, or energy",
            id="two forces",
        ),
        pytest.param(
            WHOLE.replace("hss = 60, ", ""),
            4,
            "material 1.milling.hss: is missing, give both hss and carbide",
            id="half the speeds",
        ),
        pytest.param(
            LIKE.replace("hss = 14", "hss = 0"),
            3,
            "material 1.milling.hss: 0 is too small, it must be at least 0.5",
            id="no speed",
        ),
        pytest.param(
            LIKE + "chipload = 0.004\n",
            6,
            "material 1.chipload: is not a key of [[material]], did you mean chip_load?",
            id="misspelt",
        ),
        pytest.param(
            WHOLE.replace('["SRBF", "cotton phenolic"]', "[3]"),
            2,
            "material 1.aliases 1: 3 is not a line of text",
            id="alias no text",
        ),
    ],
)
def test_what_is_refused(tmp_path: Path, material: str, line: int, said: str) -> None:
    with pytest.raises(JobError) as error:
        shop(tmp_path, material)
    place = FIRST + (line or 0) - 1
    assert [str(f) for f in error.value.faults] == [f"mill.toml:{place}: {said}"]


@pytest.mark.parametrize(
    ("written", "rigidity"),
    [
        pytest.param('rigidity = "heavy"', "heavy", id="a word"),
        pytest.param("rigidity = 1.5", 1.5, id="a depth"),
        pytest.param('rigidity = "1/16 in"', pytest.approx(1.5875), id="a depth in inches"),
        pytest.param("rigidity = 2", 2.0, id="a whole number"),
        pytest.param("", "light", id="left out"),
    ],
)
def test_rigidity(tmp_path: Path, written: str, rigidity: object) -> None:
    found = shop(tmp_path, LIKE, rigidity=written).machine.rigidity
    assert found == rigidity
    assert isinstance(found, str | float)


@pytest.mark.parametrize(
    ("written", "said"),
    [
        pytest.param(
            'rigidity = "ligth"', '"ligth" is not known, did you mean "light"?', id="misspelt"
        ),
        pytest.param("rigidity = 0", "0 mm is too small, it must be at least 0.1 mm", id="nothing"),
        pytest.param("rigidity = true", "true is not a rigidity, ", id="neither"),
        pytest.param("rigidity = [1]", "a list is not a rigidity, ", id="a list"),
    ],
)
def test_what_is_no_rigidity(tmp_path: Path, written: str, said: str) -> None:
    with pytest.raises(JobError) as error:
        shop(tmp_path, LIKE, rigidity=written)
    (fault,) = error.value.faults
    assert str(fault).startswith(f"mill.toml:4: machine.rigidity: {said}")
