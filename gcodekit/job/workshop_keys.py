"""The keys of the workshop file: the machine and its cutters."""

from __future__ import annotations

from gcodekit.job.keys import Key, KeyTable
from gcodekit.trade.cutter import CUTTER_KINDS

WORKSHOP = KeyTable(
    "the top of the workshop file",
    (
        Key(
            name="units",
            kind="choice",
            choices=("mm", "inch"),
            required=True,
            meaning="the unit of every bare length",
        ),
        Key(name="machine", kind="table", required=True, meaning="the mill"),
        Key(name="cutter", kind="tables", required=True, meaning="the rack"),
    ),
)

MACHINE = KeyTable(
    "[machine]",
    (
        Key(name="name", kind="text", default="mill", meaning="what it is called"),
        Key(name="post", kind="text", default="rs274_full", meaning="the dialect it reads"),
        Key(name="travel", kind="table", meaning="travel of x, y and z; left out: not checked"),
        Key(name="rapid", kind="feed", default=1000.0, over=0, meaning="speed of rapid moves"),
        Key(name="feed_max", kind="feed", default=500.0, over=0, meaning="fastest cutting feed"),
        Key(
            name="acceleration",
            kind="acceleration",
            default=100.0,
            over=0,
            meaning="units per second squared",
        ),
        Key(name="spindle", kind="table", required=True, meaning="speeds and power"),
        Key(
            name="rigidity",
            kind="choice",
            choices=("light", "medium", "heavy"),
            default="light",
            meaning="how heavy a cut it stands",
        ),
        Key(name="reversal", kind="table", meaning="lost motion of x and y; left out: not known"),
        Key(
            name="tool_change",
            kind="choice",
            choices=("by hand", "automatic", "separate files"),
            default="by hand",
            meaning="how cutters are changed",
        ),
        Key(
            name="tool_length",
            kind="choice",
            choices=("touch off", "table"),
            default="touch off",
            meaning="where a cutter's length comes from",
        ),
        Key(
            name="converted",
            kind="texts",
            choices=("x", "y", "z"),
            default=("x", "y", "z"),
            meaning="driven axes; the rest are handwheels",
        ),
        Key(name="dial", kind="table", meaning="one division of a handwheel in x and y"),
        Key(
            name="coolant",
            kind="choice",
            choices=("none", "mist", "flood"),
            default="none",
            meaning="coolant to switch on",
        ),
        Key(name="park", kind="table", meaning="table's place at a change and the end"),
        Key(name="edge_finder", kind="length", over=0, meaning="its diameter"),
        Key(name="feeler", kind="length", over=0, meaning="the feeler gauge's thickness"),
    ),
)

TRAVEL = KeyTable(
    "travel",
    tuple(
        Key(name=axis, kind="length", over=0, required=True, meaning=f"the travel of {axis}")
        for axis in ("x", "y", "z")
    ),
    "[machine]",
)


def two_axes(header: str, meaning: str, *, least: float | None = None) -> KeyTable:
    """A table of x and y in [machine]."""
    return KeyTable(
        header,
        tuple(
            Key(name=axis, kind="length", required=True, least=least, meaning=f"{meaning} {axis}")
            for axis in ("x", "y")
        ),
        "[machine]",
    )


REVERSAL = two_axes("reversal", "lost motion of", least=0)
DIAL = two_axes("dial", "division of", least=0)
PARK = two_axes("park", "program")

SPINDLE = KeyTable(
    "spindle",
    (
        Key(name="min", kind="speed", over=0, meaning="slowest"),
        Key(name="max", kind="speed", over=0, meaning="fastest"),
        Key(name="power", kind="number", over=0, most=100_000, meaning="watts at the motor"),
        Key(name="speeds", kind="numbers", over=0, meaning="the steps of a belt or gear head"),
        Key(name="by", kind="choice", choices=("hand",), meaning="who sets the speed"),
        Key(name="reverse", kind="flag", default=False, meaning="it can run backwards"),
        Key(
            name="start_time",
            kind="number",
            default=0.0,
            least=0,
            most=120,
            meaning="seconds to come up to speed",
        ),
    ),
    "[machine]",
)

CUTTER = KeyTable(
    "[[cutter]]",
    (
        Key(
            name="number",
            kind="count",
            required=True,
            least=1,
            most=9999,
            meaning="its number in the rack",
        ),
        Key(name="name", kind="text", meaning="what it is called; default its size and kind"),
        Key(
            name="kind",
            kind="choice",
            choices=CUTTER_KINDS,
            required=True,
            meaning="what the cutter is",
        ),
        Key(
            name="diameter",
            kind="length",
            over=0,
            most=300,
            required=True,
            meaning="the diameter as measured",
        ),
        Key(name="flutes", kind="count", least=1, most=40, meaning="number of teeth"),
        Key(
            name="material",
            kind="choice",
            choices=("hss", "carbide"),
            default="hss",
            meaning="what it is made of",
        ),
        Key(name="flute_length", kind="length", over=0, most=500, meaning="cutting length"),
        Key(name="stickout", kind="length", over=0, most=500, meaning="holder's face to tip"),
        Key(name="shank", kind="length", over=0, most=300, meaning="diameter"),
        Key(name="reach", kind="length", over=0, most=500, meaning="below a relieved shank"),
        Key(name="holder", kind="table", meaning="diameter and length of the holder"),
        Key(name="centre_cutting", kind="flag", meaning="it can plunge"),
        Key(name="corner_radius", kind="length", least=0, meaning="of a bull end mill"),
        Key(name="tip_angle", kind="angle", over=0, most=180, meaning="of the point, included"),
        Key(name="pitch", kind="length", over=0, most=20, meaning="of a tap or thread mill"),
        Key(name="lead", kind="length", least=0, most=50, meaning="tip to full size, tap, reamer"),
        Key(name="fit", kind="text", meaning="tolerance class a reamer cuts"),
        Key(name="thickness", kind="length", over=0, most=50, meaning="of a saw"),
        Key(name="range", kind="lengths", over=0, meaning="least and largest bore of a head"),
    ),
)

HOLDER = KeyTable(
    "holder",
    (
        Key(
            name="diameter",
            kind="length",
            over=0,
            most=500,
            required=True,
            meaning="the holder's diameter",
        ),
        Key(
            name="length",
            kind="length",
            over=0,
            most=500,
            required=True,
            meaning="the length above its face",
        ),
    ),
    "[[cutter]]",
)
