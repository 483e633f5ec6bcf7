"""What a handwheel sheet says of itself: how its readings are meant, and how places are come to."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from gcodekit.handwheel.axis_scales import AxisScale, TableScales
from gcodekit.handwheel.hand_plan import HandSetup
from gcodekit.handwheel.strokes import TurnTable
from gcodekit.sheet.blocks import Block, Column, Paragraph, SheetTable, WriteIn
from gcodekit.sheet.figures import length, unit_of


def reading_blocks(hands: Sequence[HandSetup]) -> Iterator[Block]:
    """How the sheet is read, for this machine's scales."""
    scales = hands[0].scales
    yield from (Paragraph(text) for text in _meanings(hands, scales))
    if scales.dials:
        yield from _backlash(scales)


def _meanings(hands: Sequence[HandSetup], scales: TableScales) -> Iterator[str]:
    yield (
        f"{_zeroed(scales)} at program zero. X and Y are of the spindle's axis over the work; the "
        "radius of each cutter is allowed for. X+ is to the right, Y+ away from you: the table "
        "goes the other way."
    )
    yield (
        "down: raise the cutter to the safe height. Wind X and Y "
        f"{length(scales.take_up, scales.units)} past the place on its minus side, come back up to "
        "the reading, then feed down to the depth. Always arrive from the minus side."
    )
    yield (
        "X+, Y-: turn that handle alone to the reading, the other one locked. Two handles, as in "
        "Y+ X-: the first one first. Stops are read line by line. Strokes are laid to cut against "
        "the feed (conventional milling); a stroke back along the one before cuts nothing."
    )
    yield f"Readings are rounded to {_rounded(scales)}, away from finished walls."
    operations = [o for hand in hands for o in hand.operations]
    if filed := max((o.file_to for o in operations), default=0.0):
        yield (
            f"Steps along a curve or a slant leave up to {length(up_to(filed), scales.units)} "
            "beside the line: file to it."
        )
    if any(isinstance(t, TurnTable) for o in operations for t in o.tables):
        yield (
            "Rotary table: lock Y at its centre, set X to the reading, feed down at the first "
            "angle and turn the table to the second. Angles are the drawing's, counter-clockwise "
            "from X+; at 0 the work lies square to the table's travel, and turning the work "
            "clockwise seen from above counts up. Set it back to 0 for straight strokes."
        )


def up_to(mm: float) -> float:
    """A length to a micrometre, not shorter."""
    return math.ceil(mm * 1e3 - 1e-6) / 1e3


def _zeroed(scales: TableScales) -> str:
    if not scales.dials:
        return "Zero the digital readout"
    return "Set the dials of X and Y to 0, coming from the minus side,"


def _rounded(scales: TableScales) -> str:
    if not scales.dials:
        return length(scales.x.step, scales.units)
    x, y = (length(s.step, scales.units) for s in (scales.x, scales.y))
    return f"a division, {x}" if x == y else f"a division, {x} in X and {y} in Y"


def _backlash(scales: TableScales) -> Iterator[Block]:
    """What dials need: how turns are counted, which way their numbers rise, what is lost."""
    words = []
    if scales.x.turn is not None or scales.y.turn is not None:
        words.append(
            "Dial readings are whole turns from zero plus the division to stop at: -3+12 is three "
            "whole turns to the minus side of zero, then on with rising numbers to division 12."
        )
    down = [name for name, s in (("X", scales.x), ("Y", scales.y)) if s.reversed_]
    if down:
        words.append(
            f"The numbers of {' and '.join(down)} rise toward minus: their turns count from zero "
            "toward minus."
        )
    if scales.backlash is not None:
        lost = [
            f"{name} {length(_taken(s, b), scales.units)}"
            for name, s, b in zip("XY", (scales.x, scales.y), scales.backlash, strict=True)
        ]
        words.append(
            "Readings that are reached toward minus have the backlash taken off: "
            f"{', '.join(lost)}."
        )
        yield Paragraph(" ".join(words))
        return
    words.append(
        "The backlash of this machine is not given. Measure it with an indicator and write it "
        "here; toward minus, turn on past each reading by so much."
    )
    yield Paragraph(" ".join(words))
    unit = unit_of(scales.units)
    columns = (Column("backlash of X", unit), Column("backlash of Y", unit))
    yield SheetTable(columns, ((WriteIn(), WriteIn()),))


def _taken(scale: AxisScale, backlash: float) -> float:
    """Of the backlash, the whole divisions."""
    return -scale.from_plus(0.0, backlash)
