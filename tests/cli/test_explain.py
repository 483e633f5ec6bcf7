"""`explain` and `schema`: what is printed, how wide, and what they need."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from gcodekit.cli.explain import WIDTH, entry_rows
from gcodekit.job.keys.kind_tables import kind_names
from gcodekit.job.keys.not_yet import KEYS
from gcodekit.job.reference.long_texts import notes
from gcodekit.job.reference.look_up import look_up
from gcodekit.job.reference.reference import homes
from gcodekit.job.reference.trade_words import trade_words
from gcodekit.making.reference_page import page

Run = Callable[..., Any]


def test_overview_is_a_page(run: Run) -> None:
    ended = run("explain")
    assert (ended.code, ended.err) == (0, "")
    rows = ended.out.splitlines()
    assert max(map(len, rows)) <= WIDTH
    assert len(rows) < 80
    for word in ("[stock]", "[[setup]]", "[setup.hold]", "[machine]", "[[cutter]]", *kind_names()):
        assert any(row.strip().startswith(word) for row in rows), word


def every_word() -> set[str]:
    """Everything that can be asked for."""
    words = {h.address for h in homes()} | {
        f"{h.address}.{k.name}" for h in homes() for k in h.keys
    }
    words |= {k.name for h in homes() for k in h.keys} | set(notes().topics)
    words |= {c for h in homes() for k in h.keys for c in k.choices}
    words |= {k for keys in KEYS.values() for k in keys}
    return words | set(trade_words())


def test_everything_fits_a_terminal_and_says_something() -> None:
    for word in every_word():
        entries = look_up(word)
        assert entries, word
        for entry in entries:
            rows = list(entry_rows(entry))
            assert max(map(len, rows)) <= WIDTH, (word, max(rows, key=len))
            assert "\x00" not in "".join(rows)
            assert not any(row != row.rstrip() for row in rows)


def test_a_kind_in_full(run: Run) -> None:
    ended = run("explain", "profile")
    assert (ended.code, ended.err) == (0, "")
    assert 'kind = "profile" of [[setup.feature]]\n' in ended.out
    for word in ("side", "tabs", "depth", "floor", "through", "stepover", "Example", "See also"):
        assert word in ended.out


def test_a_key_names_its_limits_and_default(run: Run) -> None:
    assert run("explain", "clearance").out.splitlines()[:3] == [
        "clearance  in [[setup]]",
        "  Clearance of rapids above stock, jaws and clamps.",
        "  length, mm or in; default: 5 mm; 0.1 to 500 mm",
    ]


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("clearence", "clearence: not found, did you mean clearance?\n"),
        (
            "xyzzy",
            "xyzzy: not found, gcodekit explain lists every word\n",
        ),
        (
            "\x1b[2Jq",
            "?[2Jq: not found, gcodekit explain lists every word\n",
        ),
    ],
)
def test_unknown_is_1_with_one_line(run: Run, word: str, said: str) -> None:
    assert run("explain", word) == (1, "", said)


def test_json(run: Run) -> None:
    found = json.loads(run("explain", "arc", "--json").out)
    assert found["key"] == "arc"
    entry, _ = found["entries"]  # the kind, then the table of a text along an arc
    own = {line["name"]: line for line in entry["groups"][0]["lines"]}
    assert own["radius"]["takes"] == "length, mm or in"
    assert own["radius"]["default"] == "required"
    assert own["radius"]["bounds"] == "greater than 0"
    headings = [part["heading"] for part in json.loads(run("explain", "--json").out)]
    assert headings[0] == "The job file"


def test_a_trade_word_leads_on(run: Run) -> None:
    ended = run("explain", "G41")
    assert (ended.code, ended.err) == (0, "")
    assert ended.out.startswith("G41\n\n  Cutter compensation (G41, G42) is never written:")
    assert "See also: gcodekit explain cutter.diameter, offsets" in ended.out
    found = json.loads(run("explain", "wcs", "--json").out)
    assert [e["sort"] for e in found["entries"]] == ["trade word", "key"]


def test_a_whole_page(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(page, "picture", lambda kind: f"<svg><title>{kind}</title></svg>")
    file = tmp_path / "reference.html"
    ended = run("explain", "--html", str(file))
    assert (ended.code, ended.out) == (0, f"{file} written\n")
    assert "drawing pocket\n" in ended.err
    assert file.read_text(encoding="utf-8").startswith("<!DOCTYPE html>\n")


def test_a_page_that_cannot_be(run: Run, tmp_path: Path) -> None:
    ended = run("explain", "--html", str(tmp_path / "page.txt"))
    assert (ended.code, ended.out) == (1, "")
    said = "page.txt: is not an HTML file, name a file that ends in .html\n"
    assert ended.err == f"{tmp_path / said}"
    assert run("explain", "pocket", "--html", str(tmp_path / "page.html")).code == 2


@pytest.mark.parametrize("options", [[], ["--job"], ["--workshop"]])
def test_schema_is_one_document(run: Run, options: list[str]) -> None:
    ended = run("schema", *options)
    assert (ended.code, ended.err) == (0, "")
    assert json.loads(ended.out)["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_schema_of_one_or_of_both(run: Run) -> None:
    ended = run("schema", "--job", "--workshop")
    assert (ended.code, ended.out) == (2, "")


@pytest.mark.parametrize("command", ["explain", "explain pocket", "schema", "--help"])
def test_nothing_heavy_is_imported(command: str) -> None:
    code = (
        "import sys\nfrom gcodekit.cli.app import main\n"
        f"try:\n    main({command.split()!r})\nexcept SystemExit:\n    pass\n"
        "print([m for m in ('numpy', 'shapely', 'pyclipper') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"
