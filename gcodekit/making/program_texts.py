"""The text of a set-up's program: its files as they are written and read back, with their names."""

from __future__ import annotations

from dataclasses import dataclass

from gcodekit.job.model import Job
from gcodekit.planning.program import Program
from gcodekit.post.changes import one_file_a_cutter
from gcodekit.post.contract import Post
from gcodekit.post.writer import Written, write_program
from gcodekit.rs274 import ReadProgram, read_program


@dataclass(frozen=True, slots=True)
class ProgramText:
    """A program file as written, and as read back; `stem`: its name without an ending."""

    stem: str
    written: Written
    reading: ReadProgram


def program_texts(job: Job, program: Program, post: Post, *, unproven: bool) -> list[ProgramText]:
    """The files of a set-up's program, in running order."""
    found = []
    for part in program.visits if one_file_a_cutter(job, post) else (program,):
        stem = _stem(job, part, unproven=unproven)
        written = write_program(part, post, unproven=unproven)
        name, cutter = stem + written.file_ending, _in_spindle(part, post)
        by_hand = job.workshop.machine.hand_letters
        reading = read_program(
            written.text, name, cutter=cutter, units=written.units, by_hand=by_hand
        )
        found.append(ProgramText(stem, written, reading))
    return found


def _in_spindle(part: Program, post: Post) -> int:
    """The cutter that a file without T words is for, as its name and header say; where there are
    T words the text alone is to say it."""
    return 0 if post.tool_change or not part.cutters else part.cutters[0].number


def _stem(job: Job, part: Program, *, unproven: bool) -> str:
    """The file's name without its ending: sorted by it, files stand in running order."""
    words = "".join(c if c.isascii() and c.isalnum() else "-" for c in part.setup.name.lower())
    number = _numbered(job.setups.index(part.setup) + 1, len(job.setups))
    stem = f"{number}-{words.strip('-')[:60] or 'set-up'}"
    which, parts = part.part
    if parts > 1:
        stem += f"-{_numbered(which, parts)}-t{part.cutters[0].number}"
    if part.suffix:
        stem += f"_{part.suffix}"
    return f"UNPROVEN-{stem}" if unproven else stem


def _numbered(number: int, most: int) -> str:
    return str(number).zfill(len(str(most)))
