"""The workshop that a job names, without the rest of the job."""

from __future__ import annotations

from pathlib import Path

from gcodekit.errors import FaultList, JobError
from gcodekit.job.document.document import read_document
from gcodekit.job.document.wording import quoted
from gcodekit.job.keys import job_keys
from gcodekit.job.keys.amounts import FileSource
from gcodekit.job.keys.reading import Table
from gcodekit.job.workshop.machine import Workshop
from gcodekit.job.workshop.workshop import bench_mill, read_workshop
from gcodekit.trade.materials import Material


def workshop_of(path: Path) -> Workshop:
    """The workshop of a job file, whatever else of the job is at fault.

    Raises
    ------
    JobError
        every fault of the workshop file, or that of its name
    """
    faults = FaultList()
    document = read_document(path, str(path))
    top = Table(FileSource(document, faults), (), document.data, job_keys.JOB)
    workshop, _ = named_workshop(top, path)
    if workshop is None:
        raise JobError(faults.errors)
    return workshop


def named_workshop(top: Table, path: Path) -> tuple[Workshop | None, tuple[Material, ...]]:
    """The workshop the job names, or the built-in bench mill; and its own materials, whatever else
    of it is at fault."""
    name = top.text("workshop")
    if name is None:
        return None if top.has("workshop") else bench_mill(), ()
    file = path.parent / name
    try:
        there = file.is_file()
    except OSError:  # a name no file can have
        there = False
    if not there:
        top.error(
            "workshop", f"no such file: {quoted(name)}", f"give the path relative to {path.name}"
        )
        return None, ()
    workshop, faults = read_workshop(file, shown_as=str(file))
    top.source.faults.faults.extend(faults.faults)
    own = workshop.materials if workshop is not None else ()
    return None if faults.errors else workshop, own
