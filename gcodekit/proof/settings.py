"""Cutters that need more than a place to go: a boring head's setting, a tap's pitch, and for each
canned cycle the cutter it is for."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from gcodekit.job.document.wording import one
from gcodekit.proof.chords import FeatureLines, Owners
from gcodekit.proof.fault_groups import FaultGroups
from gcodekit.rs274.program_read import Move, ProblemList, ReadProgram
from gcodekit.trade.cutter import Cutter
from gcodekit.units import MM_PER_INCH, format_size

# The canned cycles that are for one kind of cutter alone.
TAPPING, BACK_BORING = 84, 87
# A tap's feed may be off its pitch a turn by this share, over 20 mm of thread 0.02 mm, which a tap
# holder gives; or by what half of F's last usual decimal leaves, mm/min.
PITCH_NEAR = 0.001
FEED_ROUNDED = {"mm": 0.0501, "inch": 0.1271}
_LENGTH_SAID = re.compile(r"(\d+(?:\.\d+)?)\s*(mm|in)\b")
_ABOUT_HEAD = re.compile(r"\bhead\b")


def settings_of(
    reading: ReadProgram, cutters: Mapping[int, Cutter], ranges: Iterable[FeatureLines]
) -> dict[int, float]:
    """The diameter, mm, that a boring head is set to for each move it makes, by the move's index:
    as the last message before it says, or where there are no messages as the ranges do."""
    heads = {n for n, c in cutters.items() if c.kind == "boring head"}
    owners, said = Owners(ranges), _said(reading)
    found: dict[int, float] = {}
    for index, move in enumerate(reading.moves):
        if move.cutter not in heads:
            continue
        told = [mm for before, mm in said if before <= index]
        within = owners.range_of(move.line)
        if told:
            found[index] = told[-1]
        elif within is not None and within.set_to is not None:
            found[index] = within.set_to
    return found


def _said(reading: ReadProgram) -> list[tuple[int, float]]:
    """The settings that messages ask for, each with the index of the move after it: the last
    length of a message about the head. A long one comes in several lines."""
    texts: dict[int, str] = {}
    for event in (e for e in reading.events if e.kind == "message"):
        texts[event.before] = f"{texts.get(event.before, '')} {event.text}"
    told = (
        (i, _LENGTH_SAID.findall(text)) for i, text in texts.items() if _ABOUT_HEAD.search(text)
    )
    return [(i, _mm(*lengths[-1])) for i, lengths in told if lengths]


def _mm(figure: str, unit: str) -> float:
    return float(figure) * (MM_PER_INCH if unit == "in" else 1.0)


def cutters_as_set(
    cutters: Mapping[int, Cutter], moves: Sequence[Move], settings: Mapping[int, float]
) -> Mapping[int, Cutter]:
    """The rack with each boring head as wide as it is ever set: for bodies and rapids."""
    widest: dict[int, float] = {}
    for index, mm in settings.items():
        number = moves[index].cutter
        widest[number] = max(mm, widest.get(number, 0.0))
    return {n: replace(c, diameter=widest.get(n, c.diameter)) for n, c in cutters.items()}


def check_tapping(
    reading: ReadProgram, cutters: Mapping[int, Cutter], problems: ProblemList
) -> None:
    """A tap moves its pitch a turn, neither more nor less."""
    rounded = FEED_ROUNDED[reading.units]
    for move in reading.moves:
        cutter = cutters.get(move.cutter)
        if cutter is None or cutter.kind != "tap" or move.kind == "rapid":
            continue
        if move.cycle not in (0, TAPPING):
            # in a cycle that cuts no thread no feed is right
            continue
        asked = (cutter.pitch or 0.0) * move.speed
        if abs(move.feed - asked) > max(PITCH_NEAR * asked, rounded):
            unit, per = ("mm", 1.0) if problems.units == "mm" else ("in", MM_PER_INCH)
            feed, right = (f"{f / per:.6g} {unit}/min" for f in (move.feed, asked))
            problems.error(
                f"cutter {cutter.number} taps at {feed}: its pitch of "
                f"{format_size(cutter.pitch or 0.0, problems.units)} at {move.speed:g} rev/min "
                f"needs {right}",
                line=move.line,
                where=move.end,
                hint="correct F or S",
            )
            return


def check_duties(
    reading: ReadProgram, cutters: Mapping[int, Cutter], problems: ProblemList
) -> None:
    """A tapping cycle drives a tap and nothing else; back boring needs a bar that reaches through
    the hole."""
    once = FaultGroups(problems.units)
    for move in reading.moves:
        cutter = cutters.get(move.cutter) if move.cycle and move.kind != "rapid" else None
        if cutter is None:
            continue
        what = f"cutter {cutter.number} is {one(cutter.kind)}"
        if cutter.kind == "tap" and move.cycle != TAPPING:
            text = f"{what}: G{move.cycle} does not turn it back out of its thread"
            hint = "use G84"
        elif cutter.kind != "tap" and move.cycle == TAPPING:
            text, hint = f"G84 is for taps: {what}", "load a tap, or use G81"
        elif cutter.kind != "boring head" and move.cycle == BACK_BORING:
            text, hint = f"G87 is for boring heads: {what}", "load a boring head"
        else:
            continue
        once.note(text, move.line, move.end, hint=hint)
    once.report(problems)
