"""Whether what a program cuts is known as a whole."""

from __future__ import annotations

from gcodekit.rs274.program_read import ProblemList, ReadProgram


def is_whole(reading: ReadProgram, problems: ProblemList, *, judged: bool, all_known: bool) -> bool:
    """Whether all that the program cuts is known; what stands is its fault only then. Where it is
    not, that is said; `judged`: what stands is asked for."""
    # what is wrong with a line has its column; a file too large to be read has no lines
    unread = sorted({p.line for p in reading.errors if p.column})
    whole = all_known and not unread and bool(reading.lines)
    standing = "what is left standing is not judged" if judged and not whole else ""
    if unread and (standing or any(p.line > unread[0] for p in problems.problems)):
        more = f" and {len(unread) - 1} more" if unread[1:] else ""
        text = f"errors after line {unread[0]} may come of what is wrong with it{more}"
        problems.warn(f"{text}; {standing}" if standing else text)
    elif standing:
        problems.warn(f"a cutter is not known: {standing}")
    return whole
