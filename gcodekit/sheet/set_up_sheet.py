"""The set-up sheet of a job: a page for each set-up, and before several of them a cover."""

from __future__ import annotations

from collections.abc import Sequence

from gcodekit.job.model import Job
from gcodekit.plot.part_view.surface_mesh import SurfaceMesh
from gcodekit.sheet.blocks import BenchSheet
from gcodekit.sheet.cover_page import cover_page
from gcodekit.sheet.made_setup import MadeSetup
from gcodekit.sheet.setup_page import setup_page


def set_up_sheet(
    job: Job, made: Sequence[MadeSetup], *, part: SurfaceMesh | None = None, date: str = ""
) -> BenchSheet:
    """The sheet; `part`: the finished part in the stock's frame, `date` as it is to be written."""
    names = [setup.name for setup in job.setups]
    pages = [setup_page(job, m, names.index(m.setup.name) + 1) for m in made]
    if len(made) > 1:
        pages.insert(0, cover_page(job, made, part))
    given = "".join(f", {name} = {value}" for name, value in job.given)
    version = f", version {job.fingerprint}" if job.fingerprint else ""
    origin = f"{job.path.name}{version}{given}{f', {date}' if date else ''}"
    return BenchSheet(job.name, "set-up sheet", tuple(pages), origin)
