"""One short figure for the state of a job: of its file, its workshop and its drawings."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

# A file larger than this, bytes, is none that this tool reads or writes.
LARGEST_READ = 50_000_000
# Digits of it: two states of one job that share them are not met in practice.
DIGITS = 12
_DRAWINGS = ("dxf", "svg")


def fingerprint(
    files: Sequence[tuple[Path, dict[str, Any]]], given: Iterable[tuple[str, str]] = ()
) -> str:
    """Hexadecimal digits of the sha256 over the bytes of a job file, of the workshop file it names,
    of the files it includes and of every drawing they take outlines from.

    Parameters
    ----------
    files : the job file and those it includes, each with what it says. Files that cannot be read
        count by their names alone.
    given : the dimensions given in place of the job's own
    """
    found = hashlib.sha256()
    for file in (f for path, data in files for f in (path, *_named(path.parent, data))):
        found.update(file.name.encode("utf-8", "replace") + b"\0")
        try:
            found.update(hashlib.sha256(plain_bytes(file)).digest())
        except (OSError, ValueError):
            continue
    for name, value in given:
        found.update(f"{name} = {value}\0".encode("utf-8", "replace"))
    return found.hexdigest()[:DIGITS]


def plain_bytes(file: Path) -> bytes:
    """The bytes of a plain file. Raises `ValueError` where it is none, for a device or a pipe may
    never end, or where it is too large."""
    if not file.is_file() or file.stat().st_size > LARGEST_READ:
        raise ValueError(file)
    return file.read_bytes()


def _named(folder: Path, data: dict[str, Any]) -> Iterator[Path]:
    """The workshop file and the drawings, in the order of the file."""
    workshop = data.get("workshop")
    if isinstance(workshop, str):
        yield folder / workshop
    yield from dict.fromkeys(_drawings(folder, data))


def _drawings(folder: Path, value: object) -> Iterator[Path]:
    match value:
        case dict():
            for key, inner in value.items():
                if key in _DRAWINGS and isinstance(inner, str):
                    yield folder / inner
                yield from _drawings(folder, inner)
        case list():
            for inner in value:
                yield from _drawings(folder, inner)
        case _:
            return
