"""Files left for the user: each whole or not at all."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from gcodekit.errors import Fault, GcodekitError, Place


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
            wrong = "nothing can be written into this folder"
    except OSError as error:
        there, wrong = folder, f"cannot be a folder: {error.strerror or error}"
    if wrong:
        raise GcodekitError([Fault(Place(str(there)), wrong, "name another")])


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
