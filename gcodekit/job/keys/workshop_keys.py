"""The keys of the workshop file: the machine and its cutters."""

from __future__ import annotations

from gcodekit.job.keys.keys import FASTEST_SPEED, SLOWEST_SPEED, SMALLEST, Key, KeyTable
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
        Key(name="cutter", kind="tables", entries=500, required=True, meaning="the rack"),
        Key(name="material", kind="tables", entries=100, meaning="materials of your own"),
    ),
)

MACHINE = KeyTable(
    "[machine]",
    (
        Key(name="name", kind="text", default="mill", meaning="what it is called"),
        Key(name="post", kind="text", default="rs274_full", meaning="the dialect it reads"),
        Key(name="travel", kind="table", meaning="travel of x, y and z; left out: not checked"),
        Key(name="rapid", kind="feed", default=1000.0, least=1, meaning="how fast rapids go"),
        Key(name="feed_max", kind="feed", default=500.0, least=1, meaning="fastest cutting feed"),
        Key(
            name="acceleration",
            kind="acceleration",
            default=100.0,
            least=0.1,
            meaning="how fast an axis gathers speed",
        ),
        Key(name="spindle", kind="table", required=True, meaning="speeds and power"),
        Key(
            name="rigidity",
            kind="mixed",
            forms=("choice", "length"),
            choices=("light", "medium", "heavy"),
            default="light",
            least=0.1,
            most=50,
            meaning="how heavy a cut it stands, or the depth it takes",
        ),
        Key(name="backlash", kind="table", meaning="lost motion of x and y; left out: not known"),
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
            meaning="driven axes: all three, until a program may leave one to its handwheel",
        ),
        Key(
            name="coolant",
            kind="choice",
            choices=("none", "mist", "flood"),
            default="none",
            meaning="the coolant it can switch on",
        ),
        Key(name="park", kind="table", meaning="program x and y at a change and at the end"),
        Key(name="edge_finder", kind="length", over=0, meaning="diameter of the edge finder"),
    ),
)

TRAVEL = KeyTable(
    "travel",
    tuple(
        Key(name=axis, kind="length", least=1, required=True, meaning=f"the travel of {axis}")
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


BACKLASH = two_axes("backlash", "lost motion of", least=0)
PARK = two_axes("park", "program")

SPINDLE = KeyTable(
    "spindle",
    (
        Key(
            name="min",
            kind="speed",
            least=SLOWEST_SPEED,
            most=FASTEST_SPEED,
            meaning="slowest speed",
        ),
        Key(
            name="max",
            kind="speed",
            least=SLOWEST_SPEED,
            most=FASTEST_SPEED,
            meaning="fastest speed",
        ),
        Key(name="power", kind="number", least=1, most=100_000, meaning="watts at the motor"),
        Key(
            name="speeds",
            kind="numbers",
            least=SLOWEST_SPEED,
            most=FASTEST_SPEED,
            entries=100,
            meaning="the steps of a belt or gear head",
        ),
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
        Key(name="name", kind="text", meaning="what it is called; left out: its size and kind"),
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
            least=SMALLEST,
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
        Key(
            name="flute_length",
            kind="length",
            least=SMALLEST,
            most=500,
            meaning="how much of it cuts, from the tip up",
        ),
        Key(
            name="stickout",
            kind="length",
            least=SMALLEST,
            most=500,
            meaning="how far the tip is from the holder's face",
        ),
        Key(name="shank", kind="length", least=SMALLEST, most=300, meaning="diameter of its shank"),
        Key(
            name="reach",
            kind="length",
            least=SMALLEST,
            most=500,
            meaning="from the tip to where a relieved neck ends",
        ),
        Key(name="holder", kind="table", meaning="the holder, as a cylinder"),
        Key(name="centre_cutting", kind="flag", meaning="whether it can go straight down"),
        Key(name="corner_radius", kind="length", least=0, meaning="a bull-nose end mill's corner"),
        Key(
            name="tip_angle",
            kind="angle",
            over=0,
            most=180,
            meaning="angle of the point, side to side",
        ),
        Key(
            name="pitch",
            kind="length",
            least=SMALLEST,
            most=20,
            meaning="pitch of a tap or thread mill",
        ),
        Key(
            name="lead",
            kind="length",
            least=0,
            most=50,
            meaning="a tap's or reamer's tip to full size",
        ),
        Key(name="fit", kind="text", meaning="tolerance class that a reamer cuts, such as H7"),
        Key(
            name="thickness",
            kind="length",
            least=SMALLEST,
            most=50,
            meaning="thickness of a slitting saw",
        ),
        Key(
            name="range",
            kind="lengths",
            least=SMALLEST,
            figures=2,
            meaning="least and largest bore of a boring head",
        ),
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
