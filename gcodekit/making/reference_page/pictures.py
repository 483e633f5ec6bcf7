"""A picture of each kind of feature: the example of its own reference page, made and drawn."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from gcodekit.errors import Fault, GcodekitError, Place
from gcodekit.job.reference.example_jobs import example_job
from gcodekit.making.make import make


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
        drawn = next((file for file in made.files if file.suffix == ".svg"), None)
        if made.verdict != "pass" or drawn is None:
            what = "; ".join(f.text for f in made.faults)
            raise GcodekitError([Fault(Place(f"the example of {kind}"), what)])
        return drawn.read_text(encoding="utf-8")
