"""The dials of the handwheels: [machine] dial."""

from __future__ import annotations

import math

from gcodekit.job.keys import workshop_keys
from gcodekit.job.keys.reading import Table
from gcodekit.job.workshop.machine import AXES, Dial

# A turn is a whole number of divisions to within this share of one: leads in inch and divisions in
# mm are rounded.
WHOLE_DIVISION = 0.01


def read_dial(machine: Table, converted: tuple[str, ...]) -> Dial | None:
    """The dials as the table gives them; None where it gives none, or they are at fault. X and Y
    have to be there but where one axis or the other alone is on its handwheel."""
    table = machine.table("dial", workshop_keys.DIAL)
    if table is None:
        return None
    divisions = [table.length(axis) if table.has(axis) else None for axis in AXES]
    turn = table.table("turn", workshop_keys.TURN)
    turns = [turn.length(a) if turn is not None and turn.has(a) else None for a in AXES]
    reversed_axes = (table.texts("reversed") or ()) if table.has("reversed") else ()
    x, y, z = divisions
    by_hand = [axis for axis in AXES if axis not in converted]
    lacking = [a for a, d in zip(AXES, divisions, strict=True) if d is None]
    lacking = [a for a in lacking if a in (by_hand or ("x", "y"))]
    if lacking:
        for axis in lacking:
            table.length(axis)
        return None
    if turn is not None:
        for axis, division, travel in zip(AXES, divisions, turns, strict=True):
            _check_turn(turn, axis, division, travel)
    return Dial(
        divisions=(x, y, z), turns=(turns[0], turns[1], turns[2]), reversed_axes=reversed_axes
    )


def dial_reading(count: float, a_turn: int | None) -> str:
    """A position, counted in divisions from zero, as a dial shows it: whole turns from zero, then
    the division to stop at. `a_turn`: divisions of a whole turn, None where it is not known.

    Examples
    --------
    >>> dial_reading(-150, 100), dial_reading(12.5, 100), dial_reading(-150, None)
    ('-2+50', '0+12.5', '-150')
    """
    if a_turn is None:
        return f"{count:g}"
    turns = math.floor(count / a_turn)
    return f"{turns}+{round(count - turns * a_turn, 1):g}"


def _check_turn(turn: Table, axis: str, division: float | None, travel: float | None) -> None:
    """Refuse a turn that is not a whole number of divisions."""
    if travel is None:
        return
    say = turn.source.say
    if division is None:
        turn.error(axis, f"dial gives no division of {axis.upper()}", f"add {axis} to dial")
        return
    count = travel / division
    if count < 2 or abs(count - round(count)) > WHOLE_DIVISION:
        turn.error(
            axis,
            f"a turn of {say(travel)} is {count:.6g} divisions of {say(division)}",
            "give the lead of the screw and the travel of one division, as the dial has them",
        )
