"""Files that an earlier run of the same job left in its folder: none is to be taken for today's."""

from __future__ import annotations

import hashlib
import json
import os
import re
from collections.abc import Container, Mapping
from pathlib import Path

from gcodekit.errors import Fault, Place
from gcodekit.job.fingerprint import plain_bytes

REPORT = "report.json"
OUTDATED = ".outdated"
_PICTURES = (".svg", ".png")
# What this tool calls its files: nothing hidden, nothing in another folder.
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,120}")


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
        text = "the report of another job was here, its programs still are"
        return {}, [Fault(Place(str(out)), text, "give each job a folder of its own", "warning")]
    named = {n: d for n, d in written.items() if _NAME.fullmatch(n) and isinstance(d, str)}
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
        picture = file.suffix in _PICTURES
        try:
            if _digest(file) != digest:
                faults += [] if picture else [_changed(file)]
            elif failed and not picture:
                os.replace(file, out / (name + OUTDATED))
            else:
                file.unlink()
        except OSError as error:
            text = f"of an earlier run, cannot be cleared away: {error.strerror or error}"
            faults.append(Fault(Place(str(file)), text, "do not run it, delete it", "warning"))
    return faults


def _changed(file: Path) -> Fault:
    text = "is of an earlier run and was changed since: it is no part of this one"
    return Fault(Place(str(file)), text, "do not run it, delete it", "warning")


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
