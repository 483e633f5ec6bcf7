"""The reference: every key of the tables is in it, and every example of it loads."""

from __future__ import annotations

import re
import shutil
import tomllib
from pathlib import Path

import pytest

from gcodekit.errors import JobError
from gcodekit.job.features.kind import Kind
from gcodekit.job.keys.keys import Key
from gcodekit.job.keys.kind_tables import kind_names
from gcodekit.job.keys.not_yet import KEYS
from gcodekit.job.keys.tables import own_keys, standings
from gcodekit.job.kinds import kinds
from gcodekit.job.load import load_job
from gcodekit.job.reference.long_texts import Note, line_for, notes
from gcodekit.job.reference.look_up import look_up, nearest_word
from gcodekit.job.reference.overview import overview
from gcodekit.job.reference.reference import homes
from gcodekit.job.workshop.workshop import load_workshop

DRAWING = Path(__file__).parents[2] / "jobs" / "saddle-bracket.dxf"
ADDRESSES = {s.address for s in standings()}
WORKSHOP_ADDRESSES = {s.address for s in standings() if s.file == "workshop"}
TO_COME = {k for keys in KEYS.values() for k in keys}
HOLE = '[[setup.feature]]\nkind = "hole"\nat = [25, 25]\ndiameter = 4\ndepth = 3\n'


def examples() -> list[object]:
    """(address, example) of every note that has one, of what is supported."""
    found: list[object] = []
    for sort, group in (
        ("topic", notes().topics),
        ("kind", kinds()),
        ("table", notes().tables),
        ("key", notes().keys),
        ("key", {f"{h.address}.{k.name}": k for h in homes() for k in h.keys}),
    ):
        for name, note in group.items():
            supported = {"table": ADDRESSES}.get(sort, {name})
            of_a_drawing = name in ("outline.dxf", "outline.svg")  # a line by itself, no such file
            if note.example and name in supported and not of_a_drawing:
                found.append(pytest.param(name, note.example, id=f"{sort} {name}"))
    return found


def completed_job(example: str) -> str:
    """The example with what a job file needs besides."""
    given = tomllib.loads(example)
    top = {"units": 'units = "mm"\n', "material": 'material = "mild steel"\n'}
    text = "".join(line for key, line in top.items() if key not in given)
    if "setup" in given and not re.search(r"^\[\[setup\]\]", example, re.MULTILINE):
        text += "[[setup]]\n"
    text += f"{example}\n"
    if "stock" not in given:
        text += "[stock]\nblock = [100, 60, 10]\n"
    if "setup" not in given:
        text += "[[setup]]\n"
    if "kind =" not in example:
        text += HOLE
    return text


def completed_workshop(example: str) -> str:
    """The example with what a workshop file needs besides."""
    given = tomllib.loads(example)
    text = "" if "units" in given else 'units = "mm"\n'
    text += f"{example}\n"
    if "machine" not in given:
        text += "[machine]\nspindle = { min = 100, max = 2000 }\n"
    if "cutter" not in given:
        text += '[[cutter]]\nnumber = 1\nkind = "drill"\ndiameter = 4\n'
    return text


@pytest.mark.parametrize(("address", "example"), examples())
def test_every_example_loads(address: str, example: str, tmp_path: Path) -> None:
    file = tmp_path / "file.toml"
    if address in WORKSHOP_ADDRESSES:
        file.write_text(completed_workshop(example), encoding="utf-8")
        load_workshop(file)
        return
    (tmp_path / "workshop.toml").write_text(completed_workshop(""), encoding="utf-8")
    shutil.copy(DRAWING, tmp_path)
    file.write_text(completed_job(example), encoding="utf-8")
    job = load_job(file)
    # a hold left out of an example is all that may be remarked on, and a slug of a part without
    assert all(str(w.place.key).endswith("hold") for w in job.warnings), job.warnings


def test_an_example_of_the_wrong_kind_would_be_found(tmp_path: Path) -> None:
    file = tmp_path / "file.toml"
    file.write_text(completed_job("[stock]\nblok = [1, 2, 3]"), encoding="utf-8")
    with pytest.raises(Exception, match="blok"):
        load_job(file)


def test_every_key_is_explained() -> None:
    for home in homes():
        for key in home.keys:
            assert key.meaning
            entries = look_up(f"{home.address}.{key.name}")
            said = [line.meaning for e in entries for g in e.groups for line in g.lines]
            leads = [e.name for e in entries if e.sort == "table"]
            assert key.meaning in said or leads, (home.address, key.name)


BARRED = [
    pytest.param(kind, key, id=f"{kind} {key}")
    for kind, told in kinds().items()
    if told.cuts
    for key in told.barred
]
VALUES_OF_BARRED = {
    "depth": "1", "floor": "-1", "through": "true", "until": '"other"', "rough": "true",
    "rough_with": "1", "finish": "true", "allowance": "{ wall = 0.1 }", "spring_passes": "1",
    "stepdown": "1", "stepover": "1", "top": "0", "plunge_feed": "100", "cut": '"climb"',
}  # fmt: skip


@pytest.mark.parametrize(("kind", "key"), BARRED)
def test_what_a_kind_refuses_is_not_offered(kind: str, key: str, tmp_path: Path) -> None:
    """The explanation leaves it out, and the loader refuses it, once."""
    (entry,) = (e for e in look_up(kind) if e.sort == "kind")
    shown = {line.name for group in entry.groups for line in group.lines}
    assert key not in shown.union(*(names for _, names in entry.besides))
    (tmp_path / "workshop.toml").write_text(completed_workshop(""), encoding="utf-8")
    file = tmp_path / "file.toml"
    given = f"{key} = {VALUES_OF_BARRED[key]}\n"
    file.write_text(completed_job(kinds()[kind].example + "\n" + given), encoding="utf-8")
    with pytest.raises(JobError) as refused:
        load_job(file)
    said = [f for f in refused.value.faults if f.message.startswith("does not apply to")]
    assert [str(f.place.key).rpartition(".")[2] for f in said] == [key]


def test_every_key_stands_in_the_overview_or_below_it() -> None:
    page = " ".join(f"{name} {words}" for part in overview() for name, words in part.rows)
    words = set(re.findall(r"[a-z_]+", page))
    for kind in kind_names():
        assert {k.name for k in own_keys(kind)} <= words
    for address in ("job", "stock", "setup", "setup.hold", "setup.feature", "machine", "cutter"):
        table = next(s.table for s in standings() if s.address == address)
        assert set(table.names) <= words | {"feature", "copy", "hold"}, address


def test_every_table_stands_once() -> None:
    addresses = [s.address for s in standings()]
    assert len(addresses) == len(set(addresses))


def test_every_kind_and_table_has_a_note() -> None:
    assert all(kind.text and kind.example for kind in kinds().values())
    assert {a for a in ADDRESSES if a not in notes().tables} == set()


def test_every_note_is_of_something_there_is_or_is_to_come() -> None:
    assert {a for a in notes().tables if a.split(".")[-1] not in TO_COME} <= ADDRESSES
    keys = {f"{h.address}.{k.name}" for h in homes() for k in h.keys}
    assert {a for a in notes().keys if not TO_COME.intersection(a.split("."))} <= keys


def all_notes() -> list[Note | Kind | Key]:
    groups = (notes().topics, kinds(), notes().tables, notes().keys)
    keys = [k for home in homes() for k in home.keys]
    return [*(note for group in groups for note in group.values()), *keys]


def test_what_else_to_see_is_there() -> None:
    for note in all_notes():
        for word in note.see:
            assert look_up(word), word


def test_nothing_is_wider_than_a_terminal() -> None:
    for note in all_notes():
        for row in note.example.splitlines():
            assert len(row) <= 75, row


@pytest.mark.parametrize(
    ("word", "sorts"),
    [
        pytest.param("pocket", ["kind"], id="kind"),
        pytest.param("[setup.hold]", ["table"], id="header with its brackets"),
        pytest.param("[[setup]]", ["table", "key"], id="double brackets"),
        pytest.param("setup 1.feature 2.spring_passes", ["key"], id="as a fault names it"),
        pytest.param("zero = { x = 5 }", ["table"], id="as typed"),
        pytest.param("order", ["key"], id="key that a subject is about"),
        pytest.param("clearance", ["key"], id="key"),
        pytest.param("Clearance", ["key"], id="capital"),
        pytest.param("machine.rapid", ["key"], id="key of a table"),
        pytest.param("slot.width", ["key"], id="key of a kind"),
        pytest.param("setup.feature.slot", ["kind"], id="kind by its address"),
        pytest.param("vise.grip", ["key"], id="end of an address"),
        pytest.param("sqrt", ["subject"], id="word of a subject"),
        pytest.param("raw_left", ["table"], id="word of a table"),
        pytest.param("automatic", ["word"], id="word of a key"),
        pytest.param("measured", ["table", "key", "key"], id="table, and keys of its name"),
        pytest.param("stock.width", [], id="key of another table"),
        pytest.param("", [], id="nothing"),
        pytest.param("...", [], id="stops"),
    ],
)
def test_look_up(word: str, sorts: list[str]) -> None:
    assert [e.sort for e in look_up(word)] == sorts


def test_a_subject_comes_before_the_keys_of_its_name() -> None:
    first, second, *_ = look_up("depth")
    assert (first.sort, second.sort) == ("subject", "key")
    assert second.where == ("[[setup.feature]]",)


def test_a_key_that_is_the_same_in_several_kinds_is_said_once() -> None:
    (entry,) = [e for e in look_up("at") if 'kind = "hole"' in e.where]
    assert {'kind = "bore"', 'kind = "hole"'} <= set(entry.where)


@pytest.mark.parametrize(
    ("word", "close"),
    [("clearence", "clearance"), ("pockt", "pocket"), ("stick_out", "stickout"), ("xyzzy", None)],
)
def test_nearest_word(word: str, close: str | None) -> None:
    assert nearest_word(word) == close


@pytest.mark.parametrize(
    ("example", "said"),
    [
        pytest.param("grip = 8\nalong = 'x'", "grip = 8", id="line of its own"),
        pytest.param("grip   = 8", "grip = 8", id="aligned"),
        pytest.param("vise = { jaw = 2, grip = 8 }", "grip = 8", id="in a table"),
        pytest.param("a = { grip = [1, 2], b = 1 }", "grip = [1, 2]", id="list in a table"),
        pytest.param("grip = [\n 1,\n]", "", id="over several lines"),
        pytest.param("regrip = 8", "", id="part of a word"),
    ],
)
def test_line_for(example: str, said: str) -> None:
    assert line_for("grip", example) == said
