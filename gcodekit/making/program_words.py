"""The comments and messages of a program: which set-up of a job it is for, whether it is one file
of several, from which version of the job it was made, and at which stops the work-holding
changes."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from gcodekit.errors import Fault, JobError, Place
from gcodekit.job.model import Job, Setup
from gcodekit.part.keep_out import Body, held_by
from gcodekit.planning.program import PART_NOTICE, PRACTICE_NOTICE
from gcodekit.post.comments import printable
from gcodekit.post.header import PART, VERSION, heading
from gcodekit.proof.chords import FeatureLines
from gcodekit.proof.keepout import Holding
from gcodekit.rs274 import ReadProgram

_COMMENT = re.compile(r"\s*(?:N\d+\s*)?(?:\(([^)]*)\)|;(.*))\s*", re.IGNORECASE)
# A header is within the first lines of a program, and those are not long.
_HEAD_LINES, _HEAD_LENGTH = 80, 12_000
# The most lines that a heading is broken into.
_BROKEN = 6
# How an operation of a feature is announced.
_OPERATION = re.compile(r"(.+): [a-z ]+")
# Put before a piece of a message or remark by the writer or for the control.
_MARKS = re.compile(r"^(?:MSG, *|note: *)", re.IGNORECASE)


def setup_of(text: str, file: str, job: Job, named: str | None) -> Setup:
    """The set-up a program is for: the one named, else the job's only one, else the one in its
    header.

    Raises
    ------
    JobError
        When none can be told.
    """
    known = ", ".join(f'"{s.name}"' for s in job.setups)
    if named is not None:
        found = [s for s in job.setups if s.name.casefold() == named.strip().casefold()]
        if not found:
            text_ = f'no such set-up: "{named}"'
            raise JobError([Fault(Place(job.file), text_, f"choose one of {known}")])
        return found[0]
    if len(job.setups) == 1:
        return job.setups[0]
    found = [s for s in job.setups if is_headed(text, job, s)]
    if len(found) != 1:
        text_ = f"header names no set-up of {job.name}"
        raise JobError([Fault(Place(file), text_, f"give --setup NAME, one of {known}")])
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


def is_part(text: str) -> bool:
    """Tell whether a program says that it is a part of a set-up's, begun where others end."""
    return any(comment.startswith(PART_NOTICE) for comment in _comments(text))


def is_practice(text: str) -> bool:
    """Tell whether a program says that it is for practice, and cuts one feature alone."""
    return any(comment.startswith(PRACTICE_NOTICE) for comment in _comments(text))


def older_note(text: str, file: str, job: Job) -> tuple[Fault, ...]:
    """A warning where a program was made from another version of its job."""
    versions = [m[1] for comment in _comments(text) if (m := VERSION.fullmatch(comment))]
    if not versions or versions[0] == job.fingerprint:
        return ()
    said = f"made from another version of {job.file}: job, workshop or drawing has changed since"
    return (Fault(Place(file), said, "make the job again", "warning"),)


def is_headed(text: str, job: Job, setup: Setup) -> bool:
    """Tell whether a program's header gives this set-up."""
    return _bare(printable(heading(job, setup))) in _said(text)


def holdings(setup: Setup, reading: ReadProgram) -> tuple[Holding, ...] | None:
    """The holdings with their first lines; None where the program does not name every stop
    of the set-up in its order."""
    found = [Holding(0, held_by(setup.hold, setup))]
    said = list(_stops_said(reading))
    for stop in setup.stops:
        wanted = _bare(printable(stop.text))
        line = next((n for n, text in said if wanted in text and n > found[-1].first), None)
        if line is None:
            return None
        found.append(Holding(line, held_by(stop.hold, setup)))
    return tuple(found)


def feature_lines(setup: Setup, reading: ReadProgram) -> tuple[FeatureLines, ...]:
    """The lines that are for each feature, as far as the comments before them name it."""
    names = {printable(f.name): f.name for f in setup.features}
    begins: list[tuple[int, str]] = []
    for number, line in enumerate(reading.lines, 1):
        said = _remark(line)
        found = _OPERATION.fullmatch(_MARKS.sub("", said)) if said is not None else None
        if found is not None and found[1] in names:
            begins.append((number, names[found[1]]))
    ends = (*(first - 1 for first, _ in begins[1:]), len(reading.lines))
    # without any there is still an end
    pairs = zip(begins, ends, strict=False)
    return tuple(FeatureLines(name, first, last) for (first, name), last in pairs)


def always_standing(setup: Setup) -> tuple[Holding, ...]:
    """The bodies that stand in every stage: all that is sure where nobody says when it is."""
    bodies: Sequence[Body] = held_by(setup.hold, setup)
    for hold in setup.holds[1:]:
        kept = held_by(hold, setup)
        bodies = [b for b in bodies if b in kept]
    return (Holding(0, tuple(bodies)),)


def _stops_said(reading: ReadProgram) -> Iterator[tuple[int, str]]:
    """Every stop's line with the words just before it, in one piece."""
    for event in reading.events:
        if event.kind != "stop":
            continue
        words: list[str] = []
        for line in range(event.line - 1, 0, -1):
            said = _remark(reading.lines[line - 1])
            if said is None:
                break
            words.append(_MARKS.sub("", said))
        yield event.line, _bare("".join(reversed(words)))


def _comments(text: str) -> list[str]:
    """The comments at the head of a program, without the mark that keeps one from being taken
    for an order."""
    lines = text[:_HEAD_LENGTH].splitlines()[:_HEAD_LINES]
    found = (_remark(line) for line in lines)
    return [c.removeprefix("note: ") for c in found if c is not None]


def _said(text: str) -> set[str]:
    """Every run of comments as one text without its spaces: long lines are broken."""
    comments = [_bare(c) for c in _comments(text)]
    return {
        "".join(comments[i : i + n]) for i in range(len(comments)) for n in range(1, _BROKEN + 1)
    }


def _remark(line: str) -> str | None:
    """The text of a line that is all comment; None of any other line."""
    match = _COMMENT.fullmatch(line)
    return (match[1] or match[2] or "").strip() if match else None


def _bare(text: str) -> str:
    """A text without its spaces: long lines are broken anywhere."""
    return "".join(text.split())


def shown_messages(reading: ReadProgram) -> list[str]:
    """The messages that a program shows, each whole: a long one goes on in the lines below it."""
    found: list[str] = []
    last = -1
    for event in reading.events:
        if event.kind == "message":
            if found and event.line == last + 1:
                found[-1] += f" {event.text}"
            else:
                found.append(event.text)
            last = event.line
    return found
