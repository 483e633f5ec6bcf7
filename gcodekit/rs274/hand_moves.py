"""What a program asks of the hand, as moves.

A machine may have axes on their handwheels. Its programs say at a stop how to move them, and go on
from there. Such a message, or plain comment, has one form::

    (MSG, by hand: move to Y12.500, dial 5+0, then feed down to Z-3.000, dial -2+50)
    M0

Steps are made in order, each along one axis to a place in program coordinates, in the units in
force. Raise, lower and move are through the air; feed and drill cut. Not of NISTIR 6556.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from gcodekit.rs274.expressions import NUMBER_PATTERN
from gcodekit.rs274.motion import AXIS_LETTERS, inside
from gcodekit.rs274.program_read import Move, MoveKind, Point3
from gcodekit.rs274.state import KNOWN, HandRequest, HandStep, State
from gcodekit.rs274.words import LARGEST_NUMBER
from gcodekit.units import format_coordinate

_BEGINS = re.compile(r"[ \t]*(?:msg,)?[ \t]*by hand:[ \t]*(.*)", re.IGNORECASE).match
# Whether each verb cuts, and whether it may lead up (or to either side) and down.
_VERBS = {
    "raise": (False, True, False),
    "lower": (False, False, True),
    "feed down": (True, False, True),
    "feed up": (True, True, False),
    "drill": (True, False, True),
    "move": (False, True, True),
    "feed": (True, True, True),
}
_STEP = re.compile(
    rf"(?P<verb>{'|'.join(sorted(_VERBS, key=len, reverse=True))}) to "
    rf"(?P<axis>[XYZ])(?P<place>{NUMBER_PATTERN})"
    r"(?: in pecks of \d+(?:\.\d+)?)?(?:, dial -?\d+(?:\.\d+)?(?:\+\d+(?:\.\d+)?)?)?"
).fullmatch
_UPRIGHT = ("raise", "lower", "feed down", "feed up", "drill")


def note_request(state: State, comment: str, column: int) -> str:
    """Take note of what a comment asks of the hand; what is wrong with it, "" for nothing."""
    found = _BEGINS(comment)
    if found is None or not state.by_hand:
        return ""
    text, before, count = found.group(1).strip(), state.asked, len(state.moves)
    pieces = text.split(", then ")
    steps = [_step(piece) for piece in pieces]
    made = tuple(s for s in steps if s is not None)
    fault = ""
    if None in steps:
        fault = f'"{pieces[steps.index(None)]}" is no move that a hand can be asked for'
    if before is not None and before.moves != count:
        fault = _unstopped(before)
    elif before is not None:
        # a long one comes in several lines
        text, made = f"{before.text}, then {text}", (*before.steps, *made)
    state.asked = HandRequest(state.line, column, text, made, count)
    return fault


def _step(text: str) -> HandStep | None:
    found = _STEP(text)
    if found is None:
        return None
    verb, axis, place = found["verb"], AXIS_LETTERS.index(found["axis"]), float(found["place"])
    if (verb in _UPRIGHT) != (axis == 2) or abs(place) > LARGEST_NUMBER:
        return None
    return HandStep(axis, place, *_VERBS[verb])


def _unstopped(asked: HandRequest) -> str:
    """The fault that nothing has stopped the program for a request."""
    return f"program does not stop for a hand to do what line {asked.line} says: put M0 after it"


def check_all_stopped(state: State) -> None:
    """At the end: every request was followed by its stop."""
    asked = state.asked
    if asked is not None:
        state.problems.error(_unstopped(asked), line=asked.line, column=asked.column)


def make_requested(state: State) -> bool:
    """At a stop: make the moves that were asked of the hand; False where there were none."""
    asked, state.asked = state.asked, None
    if asked is None:
        return False
    if len(state.moves) != asked.moves:
        text = f"program moves on before it stops for the hand to do what line {asked.line} says"
        state.problems.error(text, line=state.line, column=1, hint="put M0 straight after it")
    state.note("hand stop", text=asked.text)
    for step, fault in _made(state, asked):
        if fault:
            axis, at = AXIS_LETTERS[step.axis], state.position[step.axis]
            where = format_coordinate(at - state.shift[step.axis], state.problems.units)
            state.problems.error(
                f"{fault}: the cutter is at {axis}{where} then",
                line=asked.line,
                column=asked.column,
            )
    return True


def _made(state: State, asked: HandRequest) -> Iterator[tuple[HandStep, str]]:
    """Each step, made, with what is wrong with its way."""
    # how fast a hand feeds is not known
    conditions = replace(state.conditions, feed=0.0, feed_set=False)
    for step in asked.steps:
        place, k = list(state.position), step.axis
        place[k] = step.place * state.unit + state.shift[k]
        end: Point3 = (place[0], place[1], place[2])
        yield step, _wrong_way(state, step, end)
        known = state.known | 1 << k
        kind: MoveKind = "line" if step.cuts else "rapid"
        names = KNOWN[state.known], KNOWN[known]
        move = Move(asked.line, kind, state.position, end, conditions, *names, by_hand=True)
        state.moves.append(move)
        state.position, state.known = end, known


def _wrong_way(state: State, step: HandStep, end: Point3) -> str:
    """What is wrong with where a step leads, "" for nothing."""
    letter, at = AXIS_LETTERS[step.axis], state.position[step.axis]
    if letter not in state.by_hand:
        return f"{letter} is driven, and a message asks a hand to move it"
    if not inside(end):
        return "a hand is asked to move beyond any machine's travel"
    rise = end[step.axis] - at
    if not state.known & (1 << step.axis) or (rise >= 0 and step.up) or (rise <= 0 and step.down):
        return ""
    where = format_coordinate(end[step.axis] - state.shift[step.axis], state.problems.units)
    return f"a hand is asked to go {'down' if step.down else 'up'} to {letter}{where}"
