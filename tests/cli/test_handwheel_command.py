"""`gcodekit handwheel JOB --out FILE`."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from gcodekit.cli.app import app

CLIP = Path(__file__).parents[2] / "jobs" / "cable-clip.toml"


@pytest.mark.parametrize(
    ("ending", "begins"), [(".txt", b"Cable clip\nhandwheel sheet\n"), (".pdf", b"%PDF-")]
)
def test_a_sheet_is_written(tmp_path: Path, ending: str, begins: bytes) -> None:
    out = tmp_path / f"clip{ending}"
    found = CliRunner().invoke(app, ["handwheel", str(CLIP), "--out", str(out), "-q"])
    assert found.exit_code == 0, found.output
    assert out.read_bytes().startswith(begins)


def test_html_with_another_size(tmp_path: Path) -> None:
    out = tmp_path / "clip.html"
    words = ["handwheel", str(CLIP), "--out", str(out), "--set", "pitch=30"]
    found = CliRunner().invoke(app, words)
    assert found.exit_code == 0, found.output
    assert "written" in found.output
    page = out.read_text()
    assert "15.00" in page
    assert "<script" not in page


def test_a_text_sheet_is_80_columns_wide_at_most(tmp_path: Path) -> None:
    out = tmp_path / "clip.txt"
    CliRunner().invoke(app, ["handwheel", str(CLIP), "--out", str(out), "-q"])
    assert max(map(len, out.read_text().splitlines())) <= 80


def test_an_ending_that_no_sheet_has(tmp_path: Path) -> None:
    with pytest.raises(Exception, match=r"end its name in \.html, \.pdf, \.txt"):
        CliRunner().invoke(
            app, ["handwheel", str(CLIP), "--out", str(tmp_path / "a.doc")], catch_exceptions=False
        )


def test_a_job_that_fails_leaves_no_sheet(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(
        'name = "Trial"\nunits = "mm"\nmaterial = "aluminium"\n[stock]\nblock = [60, 40, 8]\n'
        '[[setup]]\nzero = { x = "centre", y = "centre", z = "top" }\n[setup.hold]\nboard = 12\n'
        '[[setup.feature]]\nkind = "pocket"\noutline = { circle = 1 }\ndepth = 3\n'
    )
    out = tmp_path / "a.txt"
    found = CliRunner().invoke(app, ["handwheel", str(job), "--out", str(out), "-q"])
    assert found.exit_code != 0
    assert not out.exists()


def test_help_is_not_cut_at_80_columns() -> None:
    shown = CliRunner().invoke(app, ["handwheel", "--help"], env={"COLUMNS": "80"}).output
    assert "Write a job as work for a mill moved by hand." in shown
    assert "…" not in shown
    assert "..." not in shown.replace("[OPTIONS]", "")
    assert max(map(len, shown.splitlines())) <= 80
    listed = CliRunner().invoke(app, ["--help"], env={"COLUMNS": "80"}).output
    (line,) = [text for text in listed.splitlines() if text.strip().startswith("handwheel")]
    assert line.endswith("by hand.")
