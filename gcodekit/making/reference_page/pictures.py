"""A picture of each kind of feature: the example of its own reference page, made and drawn."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from gcodekit.errors import Fault, GcodekitError, Place
from gcodekit.job.kinds import kinds
from gcodekit.making.make import make

TOP = """\
name = "{name}"
units = "mm"
material = "aluminium"

[stock]
block = [100, 60, 10]
"""
SETUP = """
[[setup]]

[setup.hold]
board = 12
"""


def example_job(kind: str) -> str:
    """A whole job file round the example of a kind."""
    example = kinds()[kind].example
    setup = "" if "[[setup]]" in example else SETUP
    return f"{TOP.format(name=kind.capitalize())}{setup}\n{example}\n"


def picture(kind: str) -> str:
    """The SVG text of a small job of that kind, as `make` draws it.

    Raises
    ------
    GcodekitError
        where the example cannot be made
    """
    with TemporaryDirectory() as folder:
        place = Path(folder)
        (place / "job.toml").write_text(example_job(kind), encoding="utf-8")
        made = make(place / "job.toml", place / "out")
        if made.verdict != "pass":
            what = "; ".join(f.text for f in made.faults)
            raise GcodekitError([Fault(Place(f"the example of {kind}"), what)])
        drawn = next(file for file in made.files if file.suffix == ".svg")
        return drawn.read_text(encoding="utf-8")
