"""Programs for a small mill from a job file in drawing terms, each proved by reading its own text
back and comparing the cut with the drawing.

`load_job` reads a job, `make` makes and proves its programs, `dry_run` runs any program against a
job or a piece of metal. Lengths are in mm. What is wrong with a file is a `GcodekitError`, one
fault a line with its place.

Examples
--------
A family of parts from one job file, each in a folder of its own:

>>> import tempfile
>>> import gcodekit
>>> with tempfile.TemporaryDirectory() as parts:
...     for pitch in (12, 20):
...         job = gcodekit.load_job("jobs/cable-clip.toml", dimensions={"pitch": pitch})
...         report = gcodekit.make(job, out=f"{parts}/pitch-{pitch}")
...         print(job.name, pitch, report.verdict)
Cable clip 12 pass
Cable clip 20 pass
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from gcodekit.errors import GcodekitError
    from gcodekit.job.load import load_job
    from gcodekit.job.model import Job
    from gcodekit.job.workshop.machine import Workshop
    from gcodekit.making.dryrun import DryRun, dry_run
    from gcodekit.making.make import Report, make
    from gcodekit.planning.job_part import JobPart

__all__ = [
    "DryRun",
    "GcodekitError",
    "Job",
    "JobPart",
    "Report",
    "Workshop",
    "dry_run",
    "load_job",
    "make",
]

# Where each is, and what it is called there: looked up when first asked for, so that a command
# that needs none of it is quick.
_PUBLIC = {
    "DryRun": ("gcodekit.making.dryrun", "DryRun"),
    "GcodekitError": ("gcodekit.errors", "GcodekitError"),
    "Job": ("gcodekit.job.model", "Job"),
    "JobPart": ("gcodekit.planning.job_part", "JobPart"),
    "Report": ("gcodekit.making.make", "Report"),
    "Workshop": ("gcodekit.job.workshop.machine", "Workshop"),
    "dry_run": ("gcodekit.making.dryrun", "dry_run"),
    "load_job": ("gcodekit.job.load", "load_job"),
    "make": ("gcodekit.making.make", "make"),
}


def __getattr__(name: str) -> Any:  # what it gives is said above, to type checkers
    if name == "__version__":
        return import_module("gcodekit.version").number()
    if name not in _PUBLIC:
        raise AttributeError(f"module 'gcodekit' has no attribute {name!r}")
    module, found = _PUBLIC[name]
    return getattr(import_module(module), found)


def __dir__() -> list[str]:
    return [*globals(), *_PUBLIC, "__version__"]
