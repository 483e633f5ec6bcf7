"""Files for the user: each is left whole or not at all, and none of an earlier run of the same job
is to be taken for today's."""

from __future__ import annotations

import hashlib
import json
import os
import re
from collections.abc import Container, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from gcodekit.errors import Fault, GcodekitError, JobError, Place
from gcodekit.job.fingerprint import plain_bytes
from gcodekit.job.model import Job

if TYPE_CHECKING:
    from gcodekit.part.finished_part import SetupCut

REPORT = "report.json"
OUTDATED = ".outdated"
# What is looked at and not run.
_PAPER_ENDINGS = (".svg", ".png", ".html")
# What this tool calls its files: nothing hidden, nothing in another folder.
_OWN_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,120}")


def check_folder(folder: Path) -> None:
    """Refuse a folder that cannot be one, before the work is done that is to be left there.

    Raises
    ------
    GcodekitError
    """
    try:
        there = next(p for p in (folder, *folder.parents) if p.exists())
        wrong = None if there.is_dir() else "is a file, not a folder"
        if wrong is None and not os.access(there, os.W_OK):
            wrong = "folder cannot be written to"
    except OSError as error:
        there, wrong = folder, f"not a usable folder: {error.strerror or error}"
    if wrong:
        raise GcodekitError([Fault(Place(str(there)), wrong, "choose another")])


def leave(folder: Path, texts: Mapping[str, str | bytes]) -> tuple[Path, ...]:
    """Write texts, or pictures' bytes, by their names: all beside their places first, then moved
    into them.

    Raises
    ------
    GcodekitError
        When one cannot be written; unless a file could not be moved, none of them is then there.
    """
    waiting: list[tuple[Path, Path]] = []
    place = folder
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, text in texts.items():
            place = folder / name
            part = folder / f".{name}.part"
            waiting.append((part, place))
            part.write_bytes(text if isinstance(text, bytes) else text.encode())
        for part, place in waiting:  # `place` names the one that failed
            os.replace(part, place)
    except OSError as error:
        for part, _ in waiting:
            part.unlink(missing_ok=True)
        shown = folder if error.filename == str(folder) else place
        message = f"cannot be written: {error.strerror or error}"
        raise GcodekitError([Fault(Place(str(shown)), message)]) from error
    return tuple(place for _, place in waiting)


def check_model(file: Path | None) -> None:
    """Refuse a file for the finished part that cannot be written, before the work is done. Raises
    `GcodekitError`."""
    if file is None:
        return
    if file.suffix.lower() != ".stl":
        what = f"{file.name} is not an STL file"
        raise JobError([Fault(Place(str(file)), what, "give a name that ends in .stl")])
    check_folder(file.parent)


def leave_model(file: Path | None, job: Job, cuts: Sequence[SetupCut]) -> tuple[Path, ...]:
    """Write the finished part, where a file is named: mm, as the raw block stood, its corner left
    front bottom at 0, 0, 0.

    Raises
    ------
    GcodekitError
        When it cannot be made or written.
    """
    if file is None:
        return ()
    try:
        from gcodekit.part.solid import solid, stl
    except ImportError as error:  # no build for this machine
        what = f"an STL file needs manifold3d, which is not installed: {error}"
        raise GcodekitError(
            [Fault(Place(str(file)), what, "run pip install manifold3d")]
        ) from error
    return leave(file.parent, {file.name: stl(solid(job.stock, cuts), job.name)})


def digests(texts: Mapping[str, str | bytes]) -> dict[str, str]:
    """The sha256 of each file's bytes by its name."""
    found = {n: t if isinstance(t, bytes) else t.encode() for n, t in texts.items()}
    return {name: hashlib.sha256(raw).hexdigest() for name, raw in found.items()}


def earlier_files(out: Path, job: Path) -> tuple[dict[str, str], list[Fault]]:
    """The files, by name with their sha256, that the report in the folder says its run wrote;
    none where it is another job's, which is warned of, or no report of this tool."""
    try:
        found = json.loads(_bytes(out / REPORT))
        written, of = found["written"], found["job_file"]
        if not isinstance(written, dict) or not isinstance(of, str):
            return {}, []
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return {}, []
    if of != job.name:
        text = "folder holds the programs of another job"
        return {}, [Fault(Place(str(out)), text, "give each job a folder of its own", "warning")]
    named = {n: d for n, d in written.items() if _OWN_NAME.fullmatch(n) and isinstance(d, str)}
    return {n: d for n, d in named.items() if n != REPORT and not n.endswith(OUTDATED)}, []


def clear_away(
    out: Path, files: Mapping[str, str], kept: Container[str], *, failed: bool
) -> list[Fault]:
    """Remove the earlier files that are not among those `kept`; where the run has `failed` mark
    the programs as outdated instead. One that was changed since is left, and warned of."""
    faults: list[Fault] = []
    for name, digest in files.items():
        file = out / name
        if name in kept or not os.path.lexists(file):
            continue
        paper = file.suffix in _PAPER_ENDINGS
        try:
            if _digest(file) != digest:
                faults += [] if paper else [_changed(file)]
            elif failed and not paper:
                os.replace(file, out / (name + OUTDATED))
            else:
                file.unlink()
        except OSError as error:
            text = f"program of an earlier run cannot be deleted: {error.strerror or error}"
            faults.append(Fault(Place(str(file)), text, "delete it, do not run it", "warning"))
    return faults


def _changed(file: Path) -> Fault:
    text = "program of an earlier run, edited since: not part of this run"
    return Fault(Place(str(file)), text, "delete it, do not run it", "warning")


def _digest(file: Path) -> str | None:
    """None for what is not a plain file of our size."""
    try:
        return hashlib.sha256(_bytes(file)).hexdigest()
    except ValueError:
        return None


def _bytes(file: Path) -> bytes:
    """The bytes of a plain file; `ValueError` where it is none, or too large."""
    if file.is_symlink():
        raise ValueError(file)
    return plain_bytes(file)
