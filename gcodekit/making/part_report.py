"""What is told, and which files are touched, where no more than a part of a job is written."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from gcodekit.job.document.wording import quoted
from gcodekit.making.proved_job import ProvedJob
from gcodekit.planning.job_part import JobPart, operation_words


def named(file: str, part: JobPart) -> str:
    """A file's name with what sets the part's files apart from those of the whole job."""
    if part.whole:
        return file
    return f"{Path(file).stem}_{part.suffix}{Path(file).suffix}"


def of_part(files: Mapping[str, str], part: JobPart) -> tuple[dict[str, str], dict[str, str]]:
    """Files of earlier runs, by name with their digests, as those of this part and all others,
    which stay: a whole program is not to be lost by a part of it."""
    if part.whole:
        return dict(files), {}
    own = {n: d for n, d in files.items() if Path(n).stem.endswith(f"_{part.suffix}")}
    return own, {n: d for n, d in files.items() if n not in own}


def part_rows(done: ProvedJob) -> dict[str, Any]:
    """Rows of the document on the part that was written: what was asked for, and what was left out
    and counts as cut. Nothing for a whole job."""
    part = done.part
    if part.whole:
        return {}
    return {
        "part": {
            "from": part.start or None,
            "from_cutter": part.cutter,
            "finish_only": part.finish_only,
            "only": part.only or None,
            "practice": part.practice,
        },
        "left_out": [
            {
                "setup": p.setup.name,
                "feature": o.feature,
                "operation": o.label,
                "cutter": o.cutter.number,
            }
            for p in done.setups
            for o in (p.plan.done.operations if p.plan.done else ())
        ],
        "setups_left_out": _not_written(done),
    }


def _not_written(done: ProvedJob) -> list[str]:
    written = {p.setup.name for p in done.setups}
    return [s.name for s in done.job.setups if s.name not in written]


def part_lines(done: ProvedJob) -> Iterator[str]:
    """The same in words."""
    part = done.part
    if part.whole:
        return
    if part.practice:
        name = done.setups[0].setup.name
        yield f"{name}: practice cut of {quoted(part.only)} alone: cut it in air or in foam"
        return
    if others := _not_written(done):
        yield f"set-ups not written: {', '.join(others)}"
    first, *_ = done.setups
    before = first.plan.done.operations if first.plan.done is not None else ()
    yield f"{first.setup.name}: left out, counts as cut: {operation_words(before)}"
