"""TOML text to values with lines, and every syntax error in bench words."""

import time
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gcodekit.errors import JobError
from gcodekit.job.document.document import LARGEST_JOB, nearest, parse_document, read_document
from gcodekit.job.document.key_places import in_bench_words

GOLDEN = Path(__file__).parent / "golden_document"

JOB = '''\
units = "mm"   # required
[dimensions]
"pitch" = 12.5
[stock]
block = [
  130, 70,  # "a [ in a comment"
  4,
]
[[setup]]
name = """two
lines"""
zero = { x = "left + 5", y = 'front', z = [1, [2]] }
  [setup.hold]
  vise.grip = 8
  vise.jaws = { width = 100 }
  [[setup.feature]]
  kind = "face"
  [[setup.feature]]
  kind = "hole"
  at = [[0, 0], [
    5, 5]]
    [setup.feature.tabs]
    width = 4
    [[setup.feature.copies]]
    angle = 15
    [[setup.feature.copies]]
    angle = 30
[[setup]]
name = "second"
  [[setup.feature]]
  depth = 3
'''


def key_of(path):
    return pytest.param(path[0], path[1], id=in_bench_words(path[0]) or "file")


@pytest.mark.parametrize(
    ("path", "line"),
    [
        key_of(case)
        for case in [
            ((), 1),
            (("units",), 1),
            (("dimensions",), 2),
            (("dimensions", "pitch"), 3),
            (("stock", "block"), 5),
            (("stock", "block", 0), 6),
            (("stock", "block", 1), 6),
            (("stock", "block", 2), 7),
            (("setup", 0), 9),
            (("setup", 0, "name"), 10),
            (("setup", 0, "zero"), 12),
            (("setup", 0, "zero", "z", 1, 0), 12),
            (("setup", 0, "hold"), 13),
            (("setup", 0, "hold", "vise", "grip"), 14),
            (("setup", 0, "hold", "vise", "jaws", "width"), 15),
            (("setup", 0, "feature", 0), 16),
            (("setup", 0, "feature", 0, "kind"), 17),
            (("setup", 0, "feature", 1), 18),
            (("setup", 0, "feature", 1, "at", 0, 1), 20),
            (("setup", 0, "feature", 1, "at", 1), 20),
            (("setup", 0, "feature", 1, "at", 1, 0), 21),
            (("setup", 0, "feature", 1, "tabs", "width"), 23),
            (("setup", 0, "feature", 1, "copies", 0), 24),
            (("setup", 0, "feature", 1, "copies", 1, "angle"), 27),
            (("setup", 1, "name"), 29),
            (("setup", 1, "feature", 0, "depth"), 31),
            (("setup", 1, "feature", 0, "not there"), 30),
            (("stock", "not there"), 4),
        ]
    ],
)
def test_lines_of_keys(path, line):
    place = parse_document(JOB, "fork.toml").place(path)
    assert (place.file, place.line) == ("fork.toml", line)


def test_bench_words():
    document = parse_document(JOB, "fork.toml")
    place = document.place(("setup", 0, "feature", 1, "at", 1, 0))
    assert place.key == "setup 1.feature 2.at 2 1"
    assert document.data == tomllib.loads(JOB)


VALUES = {  # a value, and on which of its lines the parts of it stand
    "5": {},
    '"a # b ] \\" }"': {},
    "'''x\n[y]\n'''": {},
    '"""q""" ': {},
    '""""two"" quotes"""': {},
    "[1,\n 2, # ]\n\n [3, \n4]]": {(0,): 0, (1,): 1, (2,): 3, (2, 0): 3, (2, 1): 4},
    "{ a = [\n1, '}'], b.c = 2 }": {("a",): 0, ("a", 0): 1, ("b", "c"): 1},
    "1979-05-27T07:32:00Z": {},
}
STATEMENTS = st.one_of(
    st.tuples(st.just("table"), st.sampled_from(["[s]", "[ s . h ]", "[[s]]", "[[ s.f ]]"])),
    st.tuples(st.sampled_from(["# note [", "", "   "]), st.just("")),
    st.tuples(st.just("pair"), st.sampled_from(list(VALUES))),
)


@settings(max_examples=150, deadline=None)
@given(st.lists(STATEMENTS, max_size=12))
def test_every_key_is_found_on_the_line_it_was_written_on(statements):
    text = "[[s]]\n"
    expected, table = {}, ("s", 0)
    setups, features = 1, 0
    for number, (sort, body) in enumerate(statements):
        line = text.count("\n") + 1
        if sort == "table":
            if body == "[[s]]":
                table, setups, features = ("s", setups), setups + 1, 0
            elif body == "[[ s.f ]]":
                table, features = ("s", setups - 1, "f", features), features + 1
            else:
                continue  # a plain table may stand only once: the fixed text above has them
            expected[table] = line
            text += f"{body}\n"
        elif sort == "pair":
            text += f"k{number} = {body}\n"
            expected[(*table, f"k{number}")] = line
            for inner, down in VALUES[body].items():
                expected[(*table, f"k{number}", *inner)] = line + down
        else:
            text += f"{sort}\n"
    document = parse_document(text, "x")
    assert {path: document.place(path).line for path in expected} == expected


# ------------------------------------------------------------------ syntax errors


@pytest.mark.parametrize("path", sorted(GOLDEN.glob("*.toml")), ids=lambda p: p.stem)
def test_syntax_errors_in_bench_words(path):
    with pytest.raises(JobError) as caught:
        read_document(path, path.name)
    assert str(caught.value) + "\n" == path.with_suffix(".txt").read_text(encoding="utf-8")
    assert len(caught.value.faults) == 1


def test_every_golden_text_has_its_fault():
    texts = {p.stem for p in GOLDEN.glob("*.txt")}
    assert texts == {p.stem for p in GOLDEN.glob("*.toml")}
    assert len(texts) > 50


def test_every_parser_error_says_that_there_may_be_more():
    for path in GOLDEN.glob("*.txt"):
        text = path.read_text(encoding="utf-8")
        if path.stem not in ("nested_too_deeply", "long_dotted_key"):  # refused before parsing
            assert "later errors may follow from this one" in text, path.stem


SIGNS = ["[", "]", "{", "}", '"', "'", '"""', "=", ",", ".", "#", "\n", " ", "-", "\\", "\r"]
WORDS = ["[[s]]\n", "[s]\n", "a", "b = 1\n", "5", "\u201c", "a = ", "3/8", "\u00e9", "\x07", "true"]
SNIPPETS = st.sampled_from([*SIGNS, *WORDS])


@settings(max_examples=400, deadline=None)
@given(st.one_of(st.text(max_size=40), st.lists(SNIPPETS, max_size=14).map("".join)))
def test_any_text_is_a_document_or_one_fault(text):
    try:
        document = parse_document(text, "x.toml")
    except JobError as error:
        (fault,) = error.faults
        assert 0 <= fault.place.line <= text.count("\n") + 1
        assert "\n" not in str(fault)
    else:
        for path in document.places:
            value = document.data
            for part in path:
                value = value[part]  # every place is that of something there


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("a = " + "[" * 50_000, id="brackets"),
        pytest.param("a = " + "[" * 300 + "x", id="fault far inside"),
        pytest.param("a = " + "{a=" * 50_000, id="tables"),
        pytest.param(".".join("a" * 100_000) + " = 1", id="dotted key"),
        pytest.param("a" * 300_000, id="one long word"),
        pytest.param(" " * 300_000 + "x", id="blanks"),
        pytest.param("a b" * 100_000, id="words"),
        pytest.param('a = "' + "x " * 100_000, id="open string"),
        pytest.param("a = " + "1 " * 100_000, id="numbers"),
        pytest.param('"""\\' * 50_000, id="quotes and backslashes"),
        pytest.param("(" * 300_000, id="round brackets"),
    ],
)
def test_hostile_text_is_refused_at_once(text):
    start = time.perf_counter()
    with pytest.raises(JobError) as caught:
        parse_document(text, "x.toml")
    assert time.perf_counter() - start < 3
    assert len(str(caught.value)) < 400


# ------------------------------------------------------------------ files


def test_byte_order_mark_and_other_line_ends(tmp_path):
    path = tmp_path / "job.toml"
    path.write_bytes(b'\xef\xbb\xbfunits = "mm"\r\n[stock]\r\nblock = [1,\r\n2]\r\n')
    document = read_document(path, "job.toml")
    assert document.data == {"units": "mm", "stock": {"block": [1, 2]}}
    assert document.place(("stock", "block", 1)).line == 4


def _folder(path):
    path.mkdir()


def _not_utf8(path):
    path.write_bytes(b'a = 1\nname = "caf\xe9"\n')


def _too_big(path):
    path.write_bytes(b"#" * (LARGEST_JOB + 1))


@pytest.mark.parametrize(
    ("make", "text"),
    [
        pytest.param(lambda path: None, "job.toml: no such file, check", id="missing"),
        pytest.param(_folder, "job.toml: is a folder, name a job file", id="folder"),
        pytest.param(_not_utf8, "job.toml:2: not UTF-8 text, save the file", id="not UTF-8"),
        pytest.param(_too_big, "job.toml: larger than 1 MB, keep a job", id="too big"),
        pytest.param(
            lambda path: path.symlink_to(path), "job.toml: cannot be read (", id="unreadable"
        ),
    ],
)
def test_files_that_cannot_be_read(tmp_path, make, text):
    path = tmp_path / "job.toml"
    make(path)
    with pytest.raises(JobError) as caught:
        read_document(path, "job.toml")
    assert str(caught.value).startswith(text)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("word", "near"),
    [
        pytest.param("diamter", "diameter", id="letter left out"),
        pytest.param("Depth", "depth", id="capital"),
        pytest.param("xyzzy", None, id="nothing like it"),
        pytest.param("", None, id="empty"),
    ],
)
def test_nearest_known_key(word, near):
    assert nearest(word, ["diameter", "depth", "feed"]) == near
