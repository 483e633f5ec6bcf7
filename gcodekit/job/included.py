"""Dimensions, outlines and places that a job takes from other files."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from gcodekit.errors import Fault, FaultList, JobError, Place
from gcodekit.job.document.document import Document, KeyPath, read_document
from gcodekit.job.document.wording import quoted
from gcodekit.job.keys import job_keys

SHARED = ("dimensions", "outlines", "places")


@dataclass(frozen=True, slots=True)
class JoinedDocument:
    """A job file with what it includes, each key with its place in the file it stands in.

    Parameters
    ----------
    data : the job file's values, the tables of SHARED with what is included
    files : every file with its values, the job file first
    owners : the included file of a name, by table and name
    """

    own: Document
    data: dict[str, Any]
    files: tuple[tuple[Path, dict[str, Any]], ...]
    owners: Mapping[tuple[str, str], tuple[Path, Document]] = field(default_factory=dict)

    def place(self, path: KeyPath) -> Place:
        """Line and bench name of a key."""
        found = self._owner(path)
        return (self.own if found is None else found[1]).place(path)

    def folder(self, path: KeyPath) -> Path:
        """The folder of the file that a key stands in."""
        found = self._owner(path)
        return (self.files[0][0] if found is None else found[0]).parent

    def _owner(self, path: KeyPath) -> tuple[Path, Document] | None:
        match path:
            case (str() as table, str() as name, *_):
                return self.owners.get((table, name))
        return None


def with_included(
    document: Document, path: Path, names: tuple[str, ...], faults: FaultList
) -> JoinedDocument:
    """The job's document with the files it includes, `names` as it gives them; what is wrong with
    those is noted in `faults`."""
    merged = {name: _table(document.data, name) for name in SHARED}
    owners: dict[tuple[str, str], tuple[Path, Document]] = {}
    files = [(path, document.data)]
    for file, included in _included(document, path, names, faults):
        files.append((file, included.data))
        _check_keys(document, included, faults)
        for table in SHARED:
            for name, value in _table(included.data, table).items():
                if name in merged[table]:
                    first = owners[table, name][1] if (table, name) in owners else document
                    there, place = first.place((table, name)), included.place((table, name))
                    what = f"line {there.line} of {there.file} has the same name"
                    faults.error(place, what, "rename one of them")
                    continue
                merged[table][name] = value
                owners[table, name] = (file, included)
    shared = {
        name: table
        for name, table in merged.items()
        # what the job has in the place of a table is a fault of its own
        if table and isinstance(document.data.get(name, {}), Mapping)
    }
    return JoinedDocument(document, document.data | shared, tuple(files), owners)


def _table(data: Mapping[str, Any], name: str) -> dict[str, Any]:
    """A table's values; none where it is no table, which is noted when it is read."""
    value = data.get(name)
    return dict(value) if isinstance(value, Mapping) else {}


def _included(
    document: Document, path: Path, names: tuple[str, ...], faults: FaultList
) -> Iterator[tuple[Path, Document]]:
    seen: set[Path] = set()
    for i, name in enumerate(names):
        file = path.parent / name
        if file.resolve() in seen:
            place = document.place(("include", i))
            faults.error(place, f"{quoted(name)} is included twice", "remove one of them")
            continue
        seen.add(file.resolve())
        try:
            yield file, read_document(file, str(file))
        except JobError as error:
            if file.is_file():
                faults.faults.extend(error.faults)
                continue
            wrong = error.faults[0]
            message = f"{quoted(name)}: {wrong.message}"
            faults.faults.append(Fault(document.place(("include", i)), message, wrong.hint))


def _check_keys(document: Document, included: Document, faults: FaultList) -> None:
    """Refuse what an included file cannot give. Another job's own keys are that job's."""
    only = f"only {', '.join(f'[{s}]' for s in SHARED)} are read"
    whole_job = "setup" in included.data
    for name, value in included.data.items():
        if name in SHARED and not isinstance(value, Mapping):
            faults.error(included.place((name,)), "is not a table", f"write [{name}]")
        elif name == "include":
            hint = "name those files in the job's own include"
            faults.error(included.place((name,)), "is not read in an included file", hint)
        elif name == "units" and value != document.data.get("units", value):
            hint = "use the same units in both files"
            faults.error(included.place((name,)), "are not those of the job", hint)
        elif name not in job_keys.JOB.names:
            what = "is not a key of an included file"
            faults.error(included.place((name,)), what, f"remove it: {only}")
        elif name not in (*SHARED, "units") and not whole_job:
            what = "is not read in an included file"
            faults.error(included.place((name,)), what, f"move it to the job: {only} here")
