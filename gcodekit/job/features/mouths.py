"""The mouth of a hole: counterbore and countersink as a job gives them, and how they go with it."""

from __future__ import annotations

import math

from gcodekit.job.feature import Depth, Round
from gcodekit.job.hole_shapes import Counterbore, Countersink
from gcodekit.job.keys.keys import Key, KeyTable
from gcodekit.job.keys.reading import Table

COUNTERBORE = KeyTable(
    "counterbore",
    (
        Key(
            name="diameter",
            kind="length",
            over=0,
            required=True,
            meaning="diameter of the counterbore",
        ),
        Key(name="depth", kind="length", over=0, required=True, meaning="depth below top"),
    ),
    "[[setup.feature]]",
)

COUNTERSINK = KeyTable(
    "countersink",
    (
        Key(
            name="diameter", kind="length", over=0, required=True, meaning="diameter at the surface"
        ),
        Key(
            name="angle",
            kind="angle",
            default=90,
            least=30,
            most=150,
            meaning="included angle of the cone",
        ),
    ),
    "[[setup.feature]]",
)


class MouthKeys:
    """The keys that shape a hole's mouth."""

    def __init__(self, table: Table) -> None:
        self._bored = table.table("counterbore", COUNTERBORE)
        self._sunk = table.table("countersink", COUNTERSINK)
        bored, sunk = self._bored, self._sunk
        self._wide = bored.length("diameter") if bored else None
        self._deep = bored.length("depth") if bored else None
        self._sunk_wide = sunk.length("diameter") if sunk else None
        self._angle = sunk.angle("angle") if sunk else None

    def counterbore(self, depth: Depth) -> Counterbore | None:
        """The counterbore below the feature's datum."""
        if self._wide is None or self._deep is None:
            return None
        return Counterbore(diameter=self._wide, floor=depth.top - self._deep)

    def countersink(self, top: float, counterbore: Counterbore | None) -> Countersink | None:
        """The countersink: at the counterbore's floor where it is the narrower one."""
        if self._sunk_wide is None or self._angle is None:
            return None
        below = counterbore is not None and self._sunk_wide < counterbore.diameter
        mouth = counterbore.floor if below and counterbore else top
        return Countersink(diameter=self._sunk_wide, angle=self._angle, mouth=mouth)


def check_mouth(
    table: Table,
    hole: Round,
    bored: Counterbore | None,
    sunk: Countersink | None,
    bottom: float,
) -> None:
    """Note a mouth that does not go with its hole; `bottom`: z of the metal's."""
    say = table.source.say
    if bored is not None:
        if bored.diameter <= hole.diameter:
            text = f"{say(bored.diameter)} is not wider than the hole"
            table.error(("counterbore", "diameter"), text, f"give more than {say(hole.diameter)}")
        if hole.has_depth and bored.floor <= hole.depth.floor:
            text = f"{say(hole.depth.top - bored.floor)} is as deep as the hole"
            deep = say(hole.depth.top - hole.depth.floor)
            table.error(("counterbore", "depth"), text, f"give less than {deep}")
    if sunk is None:
        return
    if hole.has_depth and sunk.diameter <= hole.diameter:
        text = f"{say(sunk.diameter)} is not wider than the hole"
        table.error(("countersink", "diameter"), text, f"give more than {say(hole.diameter)}")
    if bored is not None and sunk.mouth > bored.floor:
        _check_sunk_counterbore(table, hole, bored, sunk)
    lowest = hole.depth.floor if hole.has_depth and not hole.depth.through else bottom
    if not hole.depth.through and sunk.tip < lowest:
        table.error(
            ("countersink", "diameter"),
            f"its point reaches Z {say(sunk.tip)}, below the "
            + ("floor of the hole" if hole.has_depth else "bottom of the stock")
            + f" at Z {say(lowest)}",
            "make it smaller or its angle larger, or the hole deeper",
        )


def _check_sunk_counterbore(
    table: Table, hole: Round, bored: Counterbore, sunk: Countersink
) -> None:
    """A countersink at a counterbore's rim is wider than it, and its point goes into the hole."""
    say, at_floor = table.source.say, 2 * (bored.floor - sunk.tip) * math.tan(sunk.angle / 2)
    if sunk.diameter <= bored.diameter:
        text = f"{say(sunk.diameter)} is as wide as the counterbore"
        table.error(
            ("countersink", "diameter"),
            text,
            "make it wider for the edge of the counterbore, narrower for the edge of the hole",
        )
    elif at_floor > hole.diameter:
        table.error(
            ("countersink", "diameter"),
            f"its cone is still {say(at_floor)} wide at the floor of the counterbore",
            f"reduce its diameter: the hole is {say(hole.diameter)}",
        )
