"""The table of materials against wide envelopes of published figures."""

import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from gcodekit.trade.materials import find_material, material_names, materials

ENVELOPES = tomllib.loads((Path(__file__).parent / "envelopes.toml").read_text(encoding="utf-8"))
BY_NAME = {entry["name"]: entry for entry in ENVELOPES["material"]}


def found(name):
    material = find_material(name)
    assert material is not None, name
    return material


def test_the_ten_materials_a_job_may_name():
    assert set(material_names()) == set(BY_NAME)
    assert len(material_names()) == 10


@pytest.mark.parametrize("material", materials(), ids=lambda m: m.name)
@pytest.mark.parametrize(
    ("figure", "envelope"),
    [
        pytest.param(lambda m: m.mill.hss, "hss_end_mill_m_min", id="mill, hss"),
        pytest.param(lambda m: m.mill.carbide, "carbide_end_mill_m_min", id="mill, carbide"),
        pytest.param(lambda m: m.drill.hss, "hss_drill_m_min", id="drill"),
        pytest.param(lambda m: m.ream.hss, "hss_ream_m_min", id="ream"),
    ],
)
def test_speeds_lie_inside_the_envelope(material, figure, envelope):
    low, high = BY_NAME[material.name][envelope]
    assert low <= figure(material) <= high


@pytest.mark.parametrize("material", materials(), ids=lambda m: m.name)
def test_density(material):
    assert material.density == pytest.approx(BY_NAME[material.name]["density_kg_m3"], rel=0.02)


@pytest.mark.parametrize("material", materials(), ids=lambda m: m.name)
def test_a_reamer_turns_at_a_third_to_a_half_of_a_drill(material):
    # Source: "about one half" US War Department TM 1-420; "one third to one half" a shop textbook.
    for tool in ("hss", "carbide"):
        assert 1 / 3 <= material.ream.of(tool) / material.drill.of(tool) <= 1 / 2


@pytest.mark.parametrize("material", materials(), ids=lambda m: m.name)
def test_carbide_is_faster(material):
    for speeds in (material.mill, material.drill, material.ream):
        assert speeds.of("hss") == speeds.hss < speeds.carbide == speeds.of("carbide")


@pytest.mark.parametrize("material", materials(), ids=lambda m: m.name)
def test_every_figure_says_where_it_is_from(material):
    for source in (material.source_speeds, material.source_chip, material.source_kc):
        assert len(source) > 10
    assert (material.kc is None) != (material.energy is None)


@pytest.mark.parametrize("figure", ["mill", "drill"])
def test_free_cutting_metals_are_faster(figure):
    # Source: common practice, no source; the order every book prints.
    order = ["tool steel", "mild steel", "free-cutting steel", "brass", "aluminium"]
    speeds = [getattr(found(name), figure).hss for name in order]
    assert speeds == sorted(speeds)
    assert getattr(found("stainless steel"), figure).hss < getattr(found("mild steel"), figure).hss


@pytest.mark.parametrize(
    ("word", "name"),
    [
        pytest.param("6082", "aluminium", id="6082"),
        pytest.param("6082-t6", "aluminium", id="temper"),
        pytest.param("Aluminum", "aluminium", id="other spelling"),
        pytest.param("EN1A", "free-cutting steel", id="EN1A"),
        pytest.param("en 1a leaded", "free-cutting steel", id="EN 1A leaded"),
        pytest.param("gauge plate", "tool steel", id="gauge plate"),
        pytest.param("303", "stainless steel", id="303"),
        pytest.param("CZ121", "brass", id="CZ121"),
        pytest.param("free cutting brass", "brass", id="no hyphen"),
        pytest.param("SAE660", "leaded bronze", id="SAE 660"),
        pytest.param("POM-C", "acetal", id="POM"),
        pytest.param("s235jr", "mild steel", id="S235JR"),
    ],
)
def test_aliases(word, name):
    assert found(word).name == name


@pytest.mark.parametrize("word", ["", "unobtainium", "bronze", "steel"])
def test_words_that_say_too_little(word):
    assert find_material(word) is None


def test_no_word_means_two_materials():
    def plain(word):
        return "".join(c for c in word.lower() if c.isalnum())

    words = [plain(word) for m in materials() for word in (m.name, *m.aliases)]
    assert len(words) == len(set(words))


@pytest.mark.parametrize(
    ("name", "chip", "force"),
    [
        # Source: kc = kc1.1 h**-mc worked out by hand from the table's own constants.
        pytest.param("mild steel", 0.05, 2532.5, id="low carbon steel"),
        pytest.param("brass", 0.02, 2012.9, id="free-cutting brass"),
        pytest.param("acetal", 0.05, 400, id="by energy: 0.4 J/mm3"),
    ],
)
def test_specific_cutting_force(name, chip, force):
    assert found(name).specific_force(chip) == pytest.approx(force, rel=1e-4)


def test_the_table_needs_neither_numpy_nor_shapely():
    code = (
        "import sys; from gcodekit.trade.milling import milling; "
        "from gcodekit.trade.materials import materials; materials(); "
        "sys.exit(any(m in sys.modules for m in ('numpy', 'shapely')))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
