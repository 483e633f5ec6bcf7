"""The schema: a good 2020-12 schema that accepts whatever the loader accepts and refuses by type,
name and word what it can without reading."""

from __future__ import annotations

import json
import runpy
import tomllib
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from gcodekit.errors import JobError
from gcodekit.job.keys.kind_tables import kind_names, kind_tables, usable_keys
from gcodekit.job.keys.not_yet import KEYS
from gcodekit.job.keys.tables import standings
from gcodekit.job.load import load_job
from gcodekit.job.reference import key_rules
from gcodekit.job.reference.long_texts import notes
from gcodekit.job.reference.schema import schema
from gcodekit.job.workshop.workshop import BENCH_MILL, load_workshop
from gcodekit.trade.cutter import CUTTER_KINDS

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
BOTH = Draft202012Validator(schema("both"))
JOB = Draft202012Validator(schema("job"))
WORKSHOP = Draft202012Validator(schema("workshop"))

# Jobs of the loader's own tests.
FAULTS = runpy.run_path(str(HERE / "test_job_faults.py"))
MUTATIONS = runpy.run_path(str(HERE / "test_job_mutations.py"))
GOOD_JOBS = runpy.run_path(str(HERE / "test_good_jobs.py"))
MILLS: dict[str, str] = {
    **FAULTS["WORKSHOPS"],
    "mill.toml": GOOD_JOBS["WORKSHOP"].format(backlash=0.02),
}


def faults_of(validator: Draft202012Validator, text: str) -> list[str]:
    """Each fault as `place: message`."""
    found = validator.iter_errors(tomllib.loads(text))
    return sorted(f"{'.'.join(map(str, e.absolute_path))}: {e.message}" for e in found)


@cache
def accepted(text: str) -> bool:
    """Whether the loader takes a job."""
    with TemporaryDirectory() as room:
        for name, mill in MILLS.items():
            Path(room, name).write_text(mill, encoding="utf-8")
        file = Path(room, "job.toml")
        file.write_text(text, encoding="utf-8", errors="surrogateescape")
        try:
            load_job(file)
        except JobError:
            return False
    return True


@pytest.mark.parametrize("which", ["job", "workshop", "both"])
def test_it_is_a_schema(which: Any) -> None:
    found = schema(which)
    if which == "both":  # it holds the other two
        Draft202012Validator.check_schema(found)
    assert json.loads(json.dumps(found)) == found


@pytest.mark.parametrize(
    ("file", "validator"),
    [
        *[
            (f, JOB if "[[setup]]" in f.read_text(encoding="utf-8") else WORKSHOP)
            for f in sorted((ROOT / "jobs").glob("*.toml"))
        ],
        (ROOT / "gcodekit" / "cli" / "starter.toml", JOB),
        (BENCH_MILL, WORKSHOP),
    ],
    ids=lambda v: v.name if isinstance(v, Path) else "",
)
def test_shipped_files(file: Path, validator: Draft202012Validator) -> None:
    text = file.read_text(encoding="utf-8")
    assert faults_of(validator, text) == []
    assert faults_of(BOTH, text) == []


# -- what the loader accepts, the schema accepts ----------------------------------------------


def jobs_of_the_tests() -> list[object]:
    """Every job text of the loader's tests, good or bad."""
    texts: list[object] = [
        pytest.param(GOOD_JOBS["plate"](inch=False), id="plate in mm"),
        pytest.param(GOOD_JOBS["plate"](inch=True), id="plate in inches"),
        pytest.param(MUTATIONS["GOOD"], id="good"),
    ]
    for file in sorted((HERE / "golden").glob("*.txt")):
        for section in FAULTS["sections"](file.name):
            text = section.values[0]
            whole = FAULTS["BASE"] + text.removeprefix("+\n") if text.startswith("+\n") else text
            texts.append(pytest.param(whole, id=f"{file.stem} {section.id}"))
    block = GOOD_JOBS["BLOCK"] + "[[setup.feature]]\n"
    for name, head in (
        ("test_places", 'kind = "hole"\ndiameter = 4\ndepth = 3\n{}'),
        ("test_outlines", 'kind = "pocket"\noutline = {}\ndepth = 2\n'),
    ):
        (mark,) = GOOD_JOBS[name].pytestmark
        for case in mark.args[1]:
            texts.append(pytest.param(block + head.format(case.values[0]), id=f"{name} {case.id}"))
    return texts


@pytest.mark.parametrize("text", jobs_of_the_tests())
def test_what_the_loader_accepts_the_schema_accepts(text: str) -> None:
    if accepted(text):
        assert faults_of(JOB, text) == []


def test_enough_of_them_are_accepted() -> None:
    good = [p for p in jobs_of_the_tests() if accepted(p.values[0])]  # type: ignore[attr-defined]  # a ParameterSet
    assert len(good) > 40


@settings(max_examples=40, deadline=2000)
@given(
    edits=st.lists(
        st.tuples(
            st.integers(0, len(MUTATIONS["PIECES"]) - 1),
            st.sampled_from([*MUTATIONS["ODD"], *sorted(set(MUTATIONS["PIECES"]))]),
        ),
        min_size=1,
        max_size=2,
    )
)
def test_words_exchanged(edits: list[tuple[int, str]]) -> None:
    pieces = list(MUTATIONS["PIECES"])
    for at, piece in edits:
        pieces[at] = piece
    text = "".join(pieces)
    if accepted(text):
        assert faults_of(JOB, text) == []


@pytest.mark.parametrize("address", [a for a, n in notes().tables.items() if n.example])
def test_examples_of_the_workshop(address: str) -> None:
    place = next((s for s in standings() if s.address == address), None)
    if place is None or place.file == "job":
        return
    text = notes().tables[address].example
    text = text if text.startswith("units") else f'units = "mm"\n{text}\n'
    missing = [f for f in faults_of(WORKSHOP, text) if "is a required property" not in f]
    assert missing == []


# -- what it must refuse ----------------------------------------------------------------------

TOP = 'units = "mm"\nmaterial = "brass"\n'
STOCK = "[stock]\nblock = [100, 60, 10]\n"
FEATURE = TOP + STOCK + "[[setup]]\n[[setup.feature]]\n"
HOLE = 'kind = "hole"\nat = [5, 5]\ndiameter = 4\ndepth = 3\n'
POCKET = 'kind = "pocket"\ndepth = 3\n'


@pytest.mark.parametrize(
    ("text", "place", "said"),
    [
        pytest.param("", "", "'units' is a required property", id="nothing"),
        pytest.param(TOP + STOCK, "", "'setup' is a required property", id="no set-up"),
        pytest.param(
            TOP.replace("mm", "cm") + STOCK, "units", "is not one of ['mm', 'inch']", id="units"
        ),
        pytest.param(TOP + "tolerence = 1\n", "", "'tolerence' was unexpected", id="top key"),
        pytest.param(TOP + "measured = 1\n", "measured", "is not of type", id="no table"),
        pytest.param(TOP + "tolerance = 0\n", "tolerance", "less than the minimum", id="too small"),
        pytest.param(TOP + "tolerance = true\n", "tolerance", "is not of type", id="not a number"),
        pytest.param(TOP + 'tolerance = "2 ½"\n', "tolerance", "does not match", id="odd sign"),
        pytest.param(
            TOP + "[dimensions]\nleft = 1\n", "dimensions", "should not be valid", id="side word"
        ),
        pytest.param(
            TOP + "[dimensions]\n2x = 1\n", "dimensions", "does not match", id="dimension's name"
        ),
        pytest.param(TOP + "[stock]\n", "stock", "not valid under any", id="no stock"),
        pytest.param(
            TOP + "[stock]\nblock = [1, 2]\n", "stock.block", "is too short", id="two of a block"
        ),
        pytest.param(
            TOP + STOCK + "round = { diameter = 1, length = 1 }\n",
            "stock",
            "False schema does not allow {'diameter': 1, 'length': 1}",
            id="block and round",
        ),
        pytest.param(
            TOP + STOCK + "[setup]\n", "setup", "is not of type 'array'", id="single brackets"
        ),
        pytest.param(TOP + "setup = []\n" + STOCK, "setup", "non-empty", id="no set-ups"),
        pytest.param(
            TOP + STOCK + "[[setup]]\nup = 'under'\n", "setup.0.up", "is not one of", id="up"
        ),
        pytest.param(
            TOP + STOCK + "[[setup]]\n[setup.hold]\nvice = 1\n",
            "setup.0.hold",
            "'vice' was unexpected",
            id="unknown in hold",
        ),
        pytest.param(
            TOP + STOCK + "[[setup]]\n[setup.hold]\nparallels = 3\n",
            "setup.0.hold",
            "'vise' is a dependency of 'parallels'",
            id="parallels alone",
        ),
        pytest.param(FEATURE, "setup.0.feature.0", "'kind' is a required", id="no kind"),
        pytest.param(
            FEATURE + HOLE.replace("hole", "hol"),
            "setup.0.feature.0.kind",
            "'hol' is not one of",
            id="wrong kind",
        ),
        pytest.param(
            FEATURE + HOLE + "corner = 3\n",
            "setup.0.feature.0",
            "'corner' was unexpected",
            id="another kind's key",
        ),
        pytest.param(
            FEATURE + "kind = 'slot'\nfrom = [1, 1]\nto = [9, 1]\nwide = 4\ndepth = 3\n",
            "setup.0.feature.0",
            "'width' is a required property",
            id="missing",
        ),
        pytest.param(
            FEATURE + HOLE.replace("hole", "bore").replace("diameter", "dia"),
            "setup.0.feature.0",
            "is not valid under any of the given schemas",
            id="neither diameter nor bush",
        ),
        pytest.param(
            FEATURE + HOLE + "bush = { diameter = 8, fit = 'r6' }\n",
            "setup.0.feature.0",
            "False schema does not allow",
            id="diameter and bush",
        ),
        pytest.param(
            FEATURE + HOLE + "through = true\n",
            "setup.0.feature.0",
            "False schema does not allow 3",
            id="two depths",
        ),
        pytest.param(
            FEATURE + HOLE + "row = { start = [0, 0], pitch = 1, count = 2 }\n",
            "setup.0.feature.0",
            "False schema does not allow [5, 5]",
            id="two places",
        ),
        pytest.param(
            FEATURE + HOLE.replace("[5, 5]", "[5]"),
            "setup.0.feature.0.at",
            "[5] is too short",
            id="half a point",
        ),
        pytest.param(
            FEATURE + HOLE.replace("[5, 5]", "[[5, 5], [1, 2, 3]]"),
            "setup.0.feature.0.at.1",
            "[1, 2, 3] is too long",
            id="long point in a list",
        ),
        pytest.param(
            FEATURE + HOLE + "peck = [1]\n", "setup.0.feature.0.peck", "is not of type", id="peck"
        ),
        pytest.param(
            FEATURE + POCKET.replace("depth", "outline = 'a'\n#"),
            "setup.0.feature.0",
            "not valid under any",
            id="no depth",
        ),
        pytest.param(
            FEATURE + POCKET + "outline = { circle = 5, round = 1 }\n",
            "setup.0.feature.0.outline",
            "'round' was unexpected",
            id="another shape's key",
        ),
        pytest.param(
            FEATURE + POCKET + "outline = { centre = [1, 1] }\n",
            "setup.0.feature.0.outline",
            "not valid under any",
            id="no shape",
        ),
        pytest.param(
            FEATURE + POCKET + "outline = { rectangle = [5], centre = [1, 1] }\n",
            "setup.0.feature.0.outline.rectangle",
            "[5] is too short",
            id="half a rectangle",
        ),
        pytest.param(
            FEATURE + POCKET + "outline = { path = [[1, 1], { to = [2, 2], centre = [1, 2] }] }\n",
            "setup.0.feature.0.outline.path.1",
            "'turn' is a dependency of 'centre'",
            id="arc without turn",
        ),
        pytest.param(
            FEATURE + POCKET + "outline = { union = ['a'] }\n",
            "setup.0.feature.0.outline.union",
            "is too short",
            id="a union of one",
        ),
        pytest.param(
            FEATURE + POCKET + "outline = { polygon = 6 }\n",
            "setup.0.feature.0.outline",
            "not valid under any",
            id="a polygon without size",
        ),
        pytest.param(
            FEATURE + "kind = 'profile'\npath = [[1, 1], [2, 2]]\nside = 'outside'\ndepth = 1\n",
            "setup.0.feature.0.side",
            "'outside' is not one of ['left', 'right', 'on']",
            id="side of a path",
        ),
    ],
)
def test_what_a_job_may_not_say(text: str, place: str, said: str) -> None:
    for validator in (JOB, BOTH):
        found = faults_of(validator, text)
        assert any(f.startswith(f"{place}: ") and said in f for f in found), found
    assert not accepted(text)


MILL = 'units = "mm"\n[machine]\nspindle = { min = 100, max = 2000 }\n'
DRILL = '[[cutter]]\nnumber = 1\nkind = "drill"\ndiameter = 4\n'


@pytest.mark.parametrize(
    ("text", "place", "said"),
    [
        pytest.param(MILL, "", "'cutter' is a required property", id="no rack"),
        pytest.param(MILL + DRILL + "diametr = 4\n", "cutter.0", "'diametr' was", id="key"),
        pytest.param(
            MILL + DRILL.replace("drill", "dril"), "cutter.0.kind", "is not one of", id="kind"
        ),
        pytest.param(
            MILL + DRILL.replace("drill", "tap"),
            "cutter.0",
            "'pitch' is a required property",
            id="tap without pitch",
        ),
        pytest.param(
            MILL.replace("min = 100, ", "") + DRILL,
            "machine.spindle",
            "not valid under any",
            id="spindle without min",
        ),
        pytest.param(
            MILL + "travel = { x = 3, y = 4 }\n" + DRILL,
            "machine.travel",
            "'z' is a required property",
            id="travel of two",
        ),
        pytest.param(
            MILL + "converted = ['x', 'a']\n" + DRILL,
            "machine.converted.1",
            "is not one of",
            id="axis",
        ),
    ],
)
def test_what_a_workshop_may_not_say(text: str, place: str, said: str, tmp_path: Path) -> None:
    for validator in (WORKSHOP, BOTH):
        found = faults_of(validator, text)
        assert any(f.startswith(f"{place}: ") and said in f for f in found), found
    file = tmp_path / "workshop.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(JobError):
        load_workshop(file)


def test_a_wrong_feature_has_its_own_faults_alone() -> None:
    found = faults_of(JOB, FEATURE + HOLE + "cornr = 3\n")
    assert len(found) == 1
    assert "'cornr' was unexpected" in found[0]


def test_only_its_kind_offers_its_keys() -> None:
    found = schema("job")["$defs"]
    for kind in kind_names():
        usable = tuple(k.name for k in usable_keys(kind))
        assert tuple(found[f"kind.{kind}"]["properties"]) == usable


def test_rules_are_of_keys_there_are_or_are_to_come() -> None:
    tables = {s.table.header: set(s.table.names) for s in standings()}
    tables |= {kind: set(table.names) for kind, table in kind_tables().items()}
    tables["polygon"] = tables["an outline"]
    coming = {k for keys in KEYS.values() for k in keys}
    for name, keys in tables.items():
        for groups in (key_rules.one_of(name), key_rules.not_both(name)):
            named = {k for ways in groups for way in ways for k in way}
            assert named <= keys | coming, name
    for name, needs in key_rules.NEEDS.items():
        assert {*needs, *(k for ks in needs.values() for k in ks)} <= tables[name]
    assert set(key_rules.CUTTER_NEEDS) <= set(CUTTER_KINDS)
