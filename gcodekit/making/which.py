"""Which set-up of a job a program is for, and whether it is one file of several: from the words
in its header, or as the user says."""

from __future__ import annotations

from gcodekit.errors import Fault, JobError, Place
from gcodekit.job.model import Job, Setup
from gcodekit.making.remarks import bare, remark
from gcodekit.post.comments import printable
from gcodekit.post.header import PART, STATE, heading

# A header is within the first lines of a program, and those are not long.
_HEAD_LINES, _HEAD_LENGTH = 80, 12_000
# The most lines that a heading is broken into.
_BROKEN = 6


def setup_of(text: str, file: str, job: Job, named: str | None) -> Setup:
    """The set-up a program is for: the one that is named, else the job's only one, else the one
    its header gives.

    Raises
    ------
    JobError
        When none can be told.
    """
    known = ", ".join(f'"{s.name}"' for s in job.setups)
    if named is not None:
        found = [s for s in job.setups if s.name.casefold() == named.strip().casefold()]
        if not found:
            text_ = f'"{named}" is no set-up of this job'
            raise JobError([Fault(Place(job.file), text_, f"there are: {known}")])
        return found[0]
    if len(job.setups) == 1:
        return job.setups[0]
    found = [s for s in job.setups if is_headed(text, job, s)]
    if len(found) != 1:
        text_ = f"its header does not say which set-up of {job.name} it is for"
        raise JobError([Fault(Place(file), text_, f"say --setup NAME, one of {known}")])
    return found[0]


def part_of(text: str, job: Job, setup: Setup) -> tuple[int, int] | None:
    """(2, 3) for the second of three files that together are a set-up, (1, 1) for the whole; None
    where a machine takes one cutter a file and the header does not say which file this is."""
    for comment in _comments(text):
        match = PART.fullmatch(comment)
        if match:
            return int(match[1]), int(match[2])
    whole = job.workshop.machine.tool_change != "separate files"
    return (1, 1) if whole or is_headed(text, job, setup) else None


def older_note(text: str, file: str, job: Job) -> tuple[Fault, ...]:
    """A warning where a program says that it was made from another state of its job."""
    states = [m[1] for comment in _comments(text) if (m := STATE.fullmatch(comment))]
    if not states or states[0] == job.fingerprint:
        return ()
    said = f"made from another state of {job.file}: the job, its workshop or a drawing has changed"
    return (Fault(Place(file), said, "make the job again", "warning"),)


def is_headed(text: str, job: Job, setup: Setup) -> bool:
    """Whether a program's header gives this set-up."""
    return bare(printable(heading(job, setup))) in _said(text)


def _comments(text: str) -> list[str]:
    """The comments at the head of a program, without the mark that keeps one from being taken
    for an order."""
    lines = text[:_HEAD_LENGTH].splitlines()[:_HEAD_LINES]
    found = (remark(line) for line in lines)
    return [c.removeprefix("note: ") for c in found if c is not None]


def _said(text: str) -> set[str]:
    """Every run of comments as one text without its spaces: long lines are broken."""
    comments = [bare(c) for c in _comments(text)]
    return {
        "".join(comments[i : i + n]) for i in range(len(comments)) for n in range(1, _BROKEN + 1)
    }
