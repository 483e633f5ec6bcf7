"""How the work is held, and what a through cut may find under the metal."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, cast

from gcodekit.geometry.chain import Point
from gcodekit.job.holdings import Bolts, Chuck, Clamp, Hold, Vise
from gcodekit.job.keys import job_keys
from gcodekit.job.keys.reading import Table
from gcodekit.job.raw_stock import RawStock

# What a spoil board must keep: thinner than this it no longer carries the work.
BOARD_KEPT = 2.0


def read_hold(setup: Table, raw: RawStock, bolted: Callable[[Table, str], Bolts | None]) -> Hold:
    """The holding of a set-up, or from a stop on; empty where it is left out. `bolted` finds the
    holes that a key of a table names."""
    table = setup.table("hold", job_keys.HOLD)
    if table is None:
        if not setup.has("hold"):
            setup.warn(
                "hold",
                "no work-holding is given, so clearance of it is not proved",
                "add [setup.hold]",
            )
        return Hold()
    vise = table.table("vise", job_keys.VISE)
    clamps = [_clamp(t.checked()) for t in table.tables("clamps", job_keys.CLAMP)]
    rotary = table.table("rotary", job_keys.ROTARY)
    chuck = table.table("chuck", job_keys.CHUCK)
    _one_base(table)
    hold = Hold(
        vise=_vise(vise, table, raw) if vise is not None else None,
        chuck=_chuck(chuck, raw) if chuck is not None else None,
        clamps=tuple(c for c in clamps if c is not None),
        board=table.length("board"),
        rotary=rotary.point("centre") if rotary is not None else None,
        bolts=bolted(table, "bolts") if table.has("bolts") else None,
    )
    if not table.data:
        setup.warn(
            "hold",
            "is empty, so clearance of the work-holding is not proved",
            "add a vise, chuck, board or clamps",
        )
    return hold


def _one_base(table: Table) -> None:
    """Refuse holdings that cannot go together."""
    if table.has("vise") and table.has("board"):
        table.error(
            "board",
            "a vise and a spoil board are both given",
            "use parallels in a vise, a board with clamps",
        )
    for base in table.given("vise", "board"):
        if table.has("chuck"):
            what = "a vise" if base == "vise" else "a spoil board"
            table.error(
                "chuck",
                f"{what} is given too",
                "remove one of them; a chuck is bolted to the table",
            )
    if table.has("parallels") and not table.has("vise"):
        table.error(
            "parallels",
            "parallels are given without a vise",
            "add the vise, or give board = thickness",
        )


def _vise(table: Table, hold: Table, raw: RawStock) -> Vise | None:
    """The vise, its parallels beside it or in it."""
    grip, width, depth = (table.length(k) for k in ("grip", "jaw_width", "jaw_depth"))
    along = table.choice("along")
    # the back jaw is the usual fixed one; in a vise turned a quarter the left one is
    fixed = "left" if along == "y" and not table.has("fixed") else table.choice("fixed")
    centre = table.point("centre") if table.has("centre") else _middle(raw)
    if table.has("parallels") and hold.has("parallels"):
        hold.error("parallels", "the parallels are given twice", "remove one of them")
    parallels = _parallels(table if table.has("parallels") else hold)
    if grip is None or width is None or depth is None or None in (along, fixed, centre):
        return None
    _jaws_fit(table, grip, raw)
    _fixed_side(table, along, fixed)
    return Vise(
        grip=grip,
        jaw_width=width,
        jaw_depth=depth,
        along=cast("Literal['x', 'y']", along),
        centre=cast("Point", centre),
        fixed=str(fixed),
        parallels=parallels,
    )


def _jaws_fit(table: Table, grip: float, raw: RawStock) -> None:
    """The jaws may not stand above the work."""
    height = raw.high[2] - raw.low[2]
    if grip > height:
        say = table.source.say
        table.error(
            "grip", f"{say(grip)} is more than the height of the work", f"use at most {say(height)}"
        )


def _fixed_side(table: Table, along: str | None, fixed: str | None) -> None:
    """The fixed jaw is on one of the sides that the vise closes on."""
    sides = ("front", "back") if along == "x" else ("left", "right")
    if fixed not in sides:
        key = "fixed" if table.has("fixed") else "along"
        table.error(
            key,
            f"jaws along {along} close in {'y' if along == 'x' else 'x'}, not on the {fixed}",
            f'use fixed = "{sides[0]}" or "{sides[1]}"',
        )


def _parallels(table: Table) -> tuple[float, float] | None:
    """Height and thickness of the pair: a number is the height."""
    value = table.raw("parallels")
    if value is None:
        return None
    if isinstance(value, dict):
        pair = table.table("parallels", job_keys.PARALLELS)
        height = pair.length("height") if pair else None
        thick = pair.length("thick") if pair else None
    else:
        keys = job_keys.PARALLELS.keys
        height = table.source.amount(table.below("parallels"), value, keys[0], "length")
        thick = cast("float", keys[1].default)
    return None if height is None or thick is None else (height, thick)


def _chuck(table: Table, raw: RawStock) -> Chuck | None:
    """The work upright in a chuck."""
    diameter, grip, stands = (table.length(k) for k in ("diameter", "grip", "jaw_height"))
    jaws, angle = table.count("jaws"), table.angle("angle")
    say = table.source.say
    if grip is not None:
        _jaws_fit(table, grip, raw)
    if grip is not None and stands is not None and grip > stands:
        hint = f"use at most {say(stands)}"
        table.error("grip", f"{say(grip)} is more than the height of the jaws", hint)
    across = min(raw.high[0] - raw.low[0], raw.high[1] - raw.low[1])
    if diameter is not None and across >= diameter:
        hint = "use clamps or a vise"
        table.error("diameter", f"the work is {say(across)} across, wider than the chuck", hint)
    if diameter is None or grip is None or stands is None or jaws is None or angle is None:
        return None
    return Chuck(diameter=diameter, jaws=jaws, grip=grip, jaw_height=stands, angle=angle)


def _middle(raw: RawStock) -> Point:
    return ((raw.low[0] + raw.high[0]) / 2, (raw.low[1] + raw.high[1]) / 2)


def _clamp(table: Table) -> Clamp | None:
    at, size, height = table.point("at"), table.lengths("size", 2), table.length("height")
    angle = table.angle("angle")
    if at is None or size is None or height is None or angle is None:
        return None
    return Clamp(at=at, size=(size[0], size[1]), height=height, angle=angle)


def room_below(hold: Hold) -> float | None:
    """Find how deep a through cut may go below the metal, mm; None: as deep as it likes."""
    if hold.board is not None:
        return max(0.0, hold.board - BOARD_KEPT)
    if hold.vise is not None and hold.vise.parallels is not None:
        return hold.vise.parallels[0]
    if hold.chuck is not None:
        return max(0.0, hold.chuck.jaw_height - hold.chuck.grip)
    if hold.said:
        return 0.0
    return None


def why_no_room(hold: Hold) -> str:
    """Find what would let a cut go through, where nothing lies under the work."""
    if hold.vise is not None:
        return "add parallels = their height under the work"
    if hold.chuck is not None:
        return "grip less than the height of the jaws, for a gap under the work"
    return "add board = thickness of the spoil board under the work"
