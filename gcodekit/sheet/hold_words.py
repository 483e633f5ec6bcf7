"""How the work is put into its work-holding and squared, step by step."""

from __future__ import annotations

import math
from collections.abc import Iterator

from gcodekit.job.holdings import Bolts, Chuck, Clamp, Hold, Vise
from gcodekit.job.model import Job, Setup
from gcodekit.sheet.figures import figure, length
from gcodekit.units import Units


def hold_steps(job: Job, setup: Setup, lowest: float) -> Iterator[str]:
    """What is done until the work is held, in order; `lowest`: of all cuts' z, mm."""
    hold, units = setup.hold, job.units
    yield from _faces(job, setup)
    if hold.vise is not None:
        yield from _vise(hold.vise, setup, units)
    elif hold.chuck is not None:
        yield _chuck(hold.chuck, units)
    elif hold.said:
        yield from _flat(hold, setup, units, lowest)
    else:
        yield "The job gives no work-holding: hold the work clear of the cutters' paths."
    yield from (_clamp(clamp, n, units) for n, clamp in enumerate(hold.clamps, 1))
    if hold.bolts is not None:
        yield _bolts(hold.bolts, units)


def _faces(job: Job, setup: Setup) -> Iterator[str]:
    """Which face is up."""
    if job.stock.plates > 1 and setup is job.setups[0]:
        yield f"Stack {job.stock.plates} plates, edges flush, and fasten them together."
    if setup.loose:
        yield "Take the part out of its frame."
    if len(job.setups) > 1 or setup.up != "top" or setup.turn:
        turned = f", turned {math.degrees(setup.turn):.0f}° about Z" if setup.turn else ""
        yield f"Put the stock's {setup.up} face up{turned}, as the picture shows."
    if setup.down is not None:
        yield f"Face down: {setup.down}."


def _vise(vise: Vise, setup: Setup, units: Units) -> Iterator[str]:
    axis = vise.along.upper()
    yield (
        f"Vise: fixed jaw at the {vise.fixed}. Run an indicator along it: it has to read the same "
        f"all along {axis}."
    )
    if setup.against is not None:
        yield f"Against the fixed jaw: {setup.against}."
    under = "on the vise's bed"
    if vise.parallels is not None:
        under = f"on parallels {length(vise.parallels[0], units)} high"
    grip = length(vise.grip, units)
    yield f"Seat the work {under} and close the jaws on the lowest {grip} of it."
    at = vise.centre[1 if vise.along == "y" else 0]
    yield f"The middle of the jaws is at {axis} {figure(at, units)}."


def _chuck(chuck: Chuck, units: Units) -> str:
    return (
        f"Chuck with {chuck.jaws} jaws flat on the table: grip the lowest "
        f"{length(chuck.grip, units)} of the work; jaw 1 points {math.degrees(chuck.angle):.0f}° "
        "from X."
    )


def _flat(hold: Hold, setup: Setup, units: Units, lowest: float) -> Iterator[str]:
    """On board, rotary table or table."""
    if hold.rotary is not None:
        x, y = (figure(mm, units) for mm in hold.rotary)
        yield f"Rotary table: its axis at X {x} Y {y}."
    if hold.board is not None:
        into = setup.sure.low[2] - lowest
        cut = f": cuts go {length(into, units)} into it" if into > 0 else ""
        yield f"Fasten the work flat on a spoil board {length(hold.board, units)} thick{cut}."
    else:
        yield f"Lay the work flat on the {'rotary table' if hold.rotary else 'table'}."
    if setup.left.shape == "block":
        yield "Run an indicator along the back side: it has to read the same all along X."


def _clamp(clamp: Clamp, number: int, units: Units) -> str:
    x, y = clamp.at
    return (
        f"Clamp {number} at X {figure(x, units)} Y {figure(y, units)}, no higher than "
        f"{length(clamp.height, units)} above the work."
    )


def _bolts(bolts: Bolts, units: Units) -> str:
    places = "; ".join(f"X {figure(x, units)} Y {figure(y, units)}" for x, y in bolts.places)
    return f"Bolt down through {bolts.feature}, at {places}."
