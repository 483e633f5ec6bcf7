"""A job file and its workshop file, read and checked whole."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, cast

from gcodekit.errors import Fault, FaultList, JobError, errors_of
from gcodekit.expr import nearest, resolve_dimensions
from gcodekit.job.document.document import Document, read_document
from gcodekit.job.document.wording import quoted
from gcodekit.job.fingerprint import fingerprint
from gcodekit.job.included import with_included
from gcodekit.job.keys import job_keys
from gcodekit.job.keys.amounts import FileSource
from gcodekit.job.keys.reading import Table
from gcodekit.job.measured_features import with_measured
from gcodekit.job.model import Job
from gcodekit.job.outlines.outlines import Outlines
from gcodekit.job.raw_stock import Stock
from gcodekit.job.setups import read_setups
from gcodekit.job.stock.stock import read_stock
from gcodekit.job.workshop.named_workshop import named_workshop
from gcodekit.job.workshop.workshop import bench_mill
from gcodekit.trade.materials import Material, find_material, near_materials
from gcodekit.units import Units

__all__ = ["Given", "load_job", "read_job"]

# Dimensions in place of a file's own: names of its [dimensions], and numbers or text as there.
Given = Mapping[str, float | str]


def load_job(path: Path | str, *, dimensions: Given | None = None) -> Job:
    """The job that a file describes, its warnings in `Job.warnings`.

    Parameters
    ----------
    dimensions : values in place of those of its [dimensions]: numbers in the job's units, or text
        as the file has it ("12.5", "3/8 in", "L / 2")

    Raises
    ------
    JobError
        every fault of the job file and of its workshop file, warnings among them

    Examples
    --------
    >>> load_job("jobs/cable-clip.toml").setups[0].features[0].places
    ((-12.0, 0.0), (12.0, 0.0))
    >>> wide = load_job("jobs/cable-clip.toml", dimensions={"pitch": "1-1/4 in"})
    >>> wide.setups[0].features[0].places
    ((-15.875, 0.0), (15.875, 0.0))
    """
    job, faults = read_job(Path(path), dimensions)
    if job is None or errors_of(faults):
        raise JobError(faults)
    return job


def read_job(path: Path, given: Given | None = None) -> tuple[Job | None, tuple[Fault, ...]]:
    """The job as far as it can be read, and every fault of it. A job with an error lacks the
    features that are at fault; None where what all of them need is. `given`: as `load_job` has its
    dimensions.

    Raises
    ------
    JobError
        where the file cannot be read at all
    """
    faults = FaultList()
    document = read_document(path, str(path))
    texts = {name: _as_written(value) for name, value in (given or {}).items()}
    job = _read(document, path, faults, texts)
    return job, tuple(_in_order(faults.faults, str(path)))


def _as_written(value: float | str) -> str:
    """A number as a file has it."""
    return value if isinstance(value, str) else f"{value:.12g}"


def _in_order(faults: list[Fault], file: str) -> list[Fault]:
    """Each fault once, the job's before the workshop's, as they stand in the file."""
    once = dict.fromkeys(faults)
    return sorted(once, key=lambda f: (f.place.file != file, f.place.file, f.place.line))


def _read(
    document: Document, path: Path, faults: FaultList, given: Mapping[str, str]
) -> Job | None:
    alone = Table(FileSource(document, faults), (), document.data, job_keys.JOB)
    names = alone.texts("include") if alone.has("include") else ()
    joined = with_included(document, path, names or (), faults)
    if faults.errors:
        return None  # what is missing would be missed in many places
    top = Table(FileSource(joined, faults), (), joined.data, job_keys.JOB).checked()
    units = cast("Units | None", top.choice("units"))
    source = _with_dimensions(top, units or "mm", given)
    top = Table(source, (), joined.data, job_keys.JOB)
    outlines = Outlines.of(top, joined.folder)
    workshop, own = named_workshop(top, path)
    material, name, post = _material(top, own), top.text("name"), top.text("post")
    tolerance = top.length("tolerance")
    stock_table = top.table("stock", job_keys.STOCK)
    stock = read_stock(stock_table, outlines) if stock_table is not None else None
    # Set-ups are read against stand-ins where stock or workshop are at fault already: their own
    # faults are worth having at once.
    setups = read_setups(top, stock or _STAND_IN, workshop or bench_mill(), outlines, stock is None)
    setups = with_measured(top, setups)
    outlines.check_all()
    if material is None or tolerance is None or stock is None or workshop is None or units is None:
        return None
    return Job(
        name=name or path.stem,
        file=str(path),
        path=path,
        units=units,
        material=material,
        tolerance=tolerance,
        stock=stock,
        workshop=workshop,
        post=post or workshop.machine.post,
        setups=setups,
        warnings=tuple(_in_order(list(faults.warnings), str(path))),
        fingerprint=fingerprint(joined.files, given.items()),
        given=tuple(given.items()),
    )


_STAND_IN = Stock(shape="block", size=(1000.0, 1000.0, 1000.0))


def _with_dimensions(top: Table, units: Units, given: Mapping[str, str]) -> FileSource:
    """The source with its units and dimensions, those that are given in place of the file's."""
    raw: Any = top.raw("dimensions")
    for name in given:
        if not isinstance(raw, dict) or name not in raw:
            close = nearest(name, list(raw)) if isinstance(raw, dict) else ""
            hint = f"did you mean {close}?" if close else _dimensions_there(raw)
            top.error("dimensions", f"{quoted(name)} is not one of its dimensions", hint)
    if raw is None:
        return FileSource(top.source.document, top.source.faults, units)
    if not isinstance(raw, dict):
        top.error("dimensions", "is not a table", "write [dimensions] and the names below it")
        return FileSource(top.source.document, top.source.faults, units)
    names, found = resolve_dimensions(raw | {n: given[n] for n in given if n in raw}, units)
    for fault in found:
        if fault.follows:
            continue
        place = top.source.place(("dimensions", fault.name))
        top.source.faults.faults.append(Fault(place, fault.message, fault.hint, fault.severity))
    for name in raw:
        if name in job_keys.JOB.names:
            top.error(
                ("dimensions", name),
                f"{name} belongs at the top of the file",
                "move it above the first header in [ ], or rename the dimension",
            )
    return FileSource(top.source.document, top.source.faults, units, names)


def _dimensions_there(raw: object) -> str:
    """Find what a value can be given to."""
    if isinstance(raw, dict) and raw:
        return f"choose from {', '.join(map(str, raw))}"
    return "add it below [dimensions] in the file first"


def _material(top: Table, own: tuple[Material, ...]) -> Material | None:
    if isinstance(top.raw("material"), list):
        hint = '[[material]] goes into the workshop file, material = "its name" here'
        top.error("material", "is a table of a material of your own", hint)
        return None
    name = top.text("material")
    if name is None:
        return None
    material = find_material(name, own)
    if material is None and not any(_of_material(f) for f in top.source.faults.errors):
        top.error("material", f"{quoted(name)} is not known", near_materials(name, own))
    return material


def _of_material(fault: Fault) -> bool:
    """Tell whether it is of one of the workshop's own materials: that may be the one meant."""
    return fault.place.key.startswith("material ")
