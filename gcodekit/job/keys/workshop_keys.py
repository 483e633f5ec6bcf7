"""The keys of the workshop file: the machine and its cutters."""

from __future__ import annotations

from gcodekit.job.keys.keys import (
    FASTEST_SPEED,
    SHORTEST,
    SLOWEST_SPEED,
    SMALLEST,
    Key,
    KeyTable,
)
from gcodekit.trade.cutter import CUTTER_KINDS

WORKSHOP = KeyTable(
    "the top of the workshop file",
    (
        Key(
            name="units",
            kind="choice",
            choices=("mm", "inch"),
            required=True,
            meaning="unit of every length without one of its own",
        ),
        Key(name="machine", kind="table", required=True, meaning="the machine"),
        Key(
            name="cutter", kind="tables", entries=500, required=True, meaning="the rack of cutters"
        ),
        Key(name="material", kind="tables", entries=100, meaning="materials of your own"),
    ),
)

MACHINE = KeyTable(
    "[machine]",
    (
        Key(name="name", kind="text", default="mill", meaning="name of the machine"),
        Key(
            name="post",
            kind="text",
            default="rs274_full",
            meaning="post processor (dialect of the control)",
        ),
        Key(name="travel", kind="table", meaning="travel of X, Y and Z", unset="not checked"),
        Key(name="rapid", kind="feed", default=1000.0, least=1, meaning="rapid rate"),
        Key(name="feed_max", kind="feed", default=500.0, least=1, meaning="fastest cutting feed"),
        Key(
            name="acceleration",
            kind="acceleration",
            default=100.0,
            least=0.1,
            meaning="acceleration of an axis",
        ),
        Key(name="spindle", kind="table", required=True, meaning="spindle speeds and power"),
        Key(
            name="rigidity",
            kind="mixed",
            forms=("choice", "length"),
            choices=("light", "medium", "heavy"),
            default="light",
            least=0.1,
            most=50,
            meaning="rigidity in a word, or the depth of cut it takes",
        ),
        Key(
            name="backlash",
            kind="table",
            meaning="backlash (lost motion) of X and Y",
            unset="unknown",
        ),
        Key(
            name="tool_change",
            kind="choice",
            choices=("by hand", "automatic", "separate files"),
            default="by hand",
            meaning="method of changing cutters",
        ),
        Key(
            name="tool_length",
            kind="choice",
            choices=("touch off", "table"),
            default="touch off",
            meaning="source of tool lengths",
        ),
        Key(
            name="converted",
            kind="texts",
            choices=("x", "y", "z"),
            default=("x", "y", "z"),
            meaning="axes that the control drives; the others are on handwheels",
        ),
        Key(
            name="coolant",
            kind="choice",
            choices=("none", "mist", "flood"),
            default="none",
            meaning="coolant that a program can switch on",
        ),
        Key(
            name="park",
            kind="table",
            meaning="place of the spindle at a cutter change and at the end",
            unset="X and Y stay; Z goes up for the longest cutter to come",
        ),
        Key(
            name="edge_finder",
            kind="length",
            over=0,
            meaning="diameter of the edge finder",
            unset="no edge finder",
        ),
        Key(
            name="dial",
            kind="table",
            meaning="dials of the handwheels",
            unset="handwheel sheets are for a digital readout",
        ),
        Key(
            name="feeler",
            kind="length",
            over=0,
            most=5,
            meaning="thickness of the feeler that cutters and pins are set against",
            unset="no feeler: cutters touch the work itself",
        ),
    ),
)

TRAVEL = KeyTable(
    "travel",
    tuple(
        Key(name=axis, kind="length", least=1, required=True, meaning=f"travel of {axis.upper()}")
        for axis in ("x", "y", "z")
    ),
    "[machine]",
)


def two_axes(header: str, meaning: str, *, least: float | None = None) -> KeyTable:
    """A table of x and y in [machine]."""
    return KeyTable(
        header,
        tuple(
            Key(
                name=axis,
                kind="length",
                required=True,
                least=least,
                meaning=f"{meaning} {axis.upper()}",
            )
            for axis in ("x", "y")
        ),
        "[machine]",
    )


DIAL = KeyTable(
    "dial",
    (
        *(
            Key(
                name=axis,
                kind="length",
                least=SHORTEST,
                most=1,
                required=axis != "z",
                meaning=f"travel of {axis.upper()} for one division of its dial",
                unset="depths in mm or inch" if axis == "z" else "",
            )
            for axis in ("x", "y", "z")
        ),
        Key(
            name="turn",
            kind="table",
            meaning="travel for one turn of each handwheel (the lead of its screw)",
            unset="positions in divisions alone, without turns",
        ),
        Key(
            name="reversed",
            kind="texts",
            choices=("x", "y", "z"),
            meaning="axes whose dial numbers rise as the cutter moves toward minus over the work",
            unset="none: numbers rise toward plus",
        ),
    ),
    "[machine]",
)
TURN = KeyTable(
    "turn",
    tuple(
        Key(
            name=axis,
            kind="length",
            least=SMALLEST,
            most=100,
            meaning=f"travel of {axis.upper()} for one turn",
            unset=f"{axis.upper()} in divisions alone",
        )
        for axis in ("x", "y", "z")
    ),
    "dial",
)
BACKLASH = two_axes("backlash", "backlash of", least=0)
PARK = KeyTable(
    "park",
    (
        Key(name="x", kind="length", meaning="program X", unset="X stays"),
        Key(name="y", kind="length", meaning="program Y", unset="Y stays"),
        Key(
            name="z",
            kind="length",
            meaning="program Z of the tip of the cutter",
            unset="as high as the longest cutter still to come needs to go in",
        ),
    ),
    "[machine]",
)

SPINDLE = KeyTable(
    "spindle",
    (
        Key(
            name="min",
            kind="speed",
            least=SLOWEST_SPEED,
            most=FASTEST_SPEED,
            meaning="slowest spindle speed",
        ),
        Key(
            name="max",
            kind="speed",
            least=SLOWEST_SPEED,
            most=FASTEST_SPEED,
            meaning="fastest spindle speed",
        ),
        Key(
            name="power",
            kind="number",
            least=1,
            most=100_000,
            meaning="power of the motor, W",
            unset="not checked",
        ),
        Key(
            name="speeds",
            kind="numbers",
            least=SLOWEST_SPEED,
            most=FASTEST_SPEED,
            entries=100,
            meaning="speed steps of a belt or gear head, rev/min",
        ),
        Key(
            name="by",
            kind="choice",
            choices=("hand",),
            meaning="who sets the speed",
            unset="the program",
        ),
        Key(name="reverse", kind="flag", default=False, meaning="can run backwards"),
        Key(
            name="start_time",
            kind="number",
            default=0.0,
            least=0,
            most=120,
            meaning="time to come up to speed, s",
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
            meaning="number in the rack",
        ),
        Key(name="name", kind="text", meaning="name of the cutter", unset="its size and kind"),
        Key(
            name="kind",
            kind="choice",
            choices=CUTTER_KINDS,
            required=True,
            meaning="kind of cutter",
        ),
        Key(
            name="diameter",
            kind="length",
            least=SMALLEST,
            most=300,
            required=True,
            meaning="diameter, as measured",
        ),
        Key(
            name="flutes",
            kind="count",
            least=1,
            most=200,
            meaning="number of teeth",
            unset="2, but 4 for a roughing end mill or face mill, 6 for a reamer",
        ),
        Key(
            name="material",
            kind="choice",
            choices=("hss", "carbide"),
            default="hss",
            meaning="material of the cutter",
        ),
        Key(
            name="flute_length",
            kind="length",
            least=SMALLEST,
            most=500,
            meaning="length of the flutes, from the tip; a slitting saw has its thickness instead",
            unset="2 diameters for an end mill, 8 for a drill, 4 for a reamer",
        ),
        Key(
            name="stickout",
            kind="length",
            least=SMALLEST,
            most=500,
            meaning="length from the holder's face to the tip",
            unset="flute length or reach, plus 10 mm",
        ),
        Key(
            name="shank",
            kind="length",
            least=SMALLEST,
            most=300,
            meaning="diameter of the shank; of a slitting saw, its arbor with the flange",
            unset="the diameter of the cutter, but 6 mm or more for an end mill; half the "
            "diameter of a face mill or slitting saw",
        ),
        Key(
            name="reach",
            kind="length",
            least=SMALLEST,
            most=500,
            meaning="length from the tip to the end of a relieved neck",
            unset="no relieved neck",
        ),
        Key(
            name="neck",
            kind="length",
            least=SMALLEST,
            most=300,
            meaning="diameter of the relieved neck, up to reach",
            unset="the smaller one of cutter and shank",
        ),
        Key(
            name="holder",
            kind="table",
            meaning="holder, as a cylinder",
            unset="no holder is checked",
        ),
        Key(
            name="centre_cutting",
            kind="flag",
            meaning="can plunge straight down",
            unset="true for end mills of up to 3 flutes",
        ),
        Key(
            name="corner_radius",
            kind="length",
            least=0,
            meaning="corner radius of a bull-nose end mill",
        ),
        Key(
            name="tip_angle",
            kind="angle",
            over=0,
            most=180,
            meaning="included angle of the point, or between the flanks of a thread mill",
            unset="118 for a drill, 90 for a spot drill or chamfer mill, "
            "60 for an engraving cutter or thread mill",
        ),
        Key(
            name="tip_diameter",
            kind="length",
            default=0.0,
            least=0,
            most=100,
            meaning="width of the flat at the tip of a chamfer mill or engraving cutter",
        ),
        Key(
            name="pitch",
            kind="length",
            least=SMALLEST,
            most=20,
            meaning="pitch of a tap or of a thread mill with several rows of teeth",
            unset="a thread mill has a single row of teeth",
        ),
        Key(
            name="tip_flat",
            kind="length",
            least=0,
            most=5,
            meaning="width of the flat at the tip of a thread mill's teeth, as measured",
            unset="an eighth of the pitch; required for a single row of teeth",
        ),
        Key(
            name="lead",
            kind="length",
            least=0,
            most=50,
            meaning="length from the tip to full size of a tap or reamer",
            unset="4 pitches for a tap, 1 mm or a quarter of the diameter for a reamer",
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
            name="nut",
            kind="table",
            meaning="screw head or nut below the blade of a slitting saw",
            unset="as wide as the shank, 8 mm long",
        ),
        Key(
            name="range",
            kind="lengths",
            least=SMALLEST,
            figures=2,
            meaning="smallest and largest bore of a boring head",
        ),
    ),
)

NUT = KeyTable(
    "nut",
    (
        Key(
            name="diameter",
            kind="length",
            least=0,
            most=500,
            required=True,
            meaning="diameter of the screw head, nut or washer; 0 for none",
        ),
        Key(
            name="length",
            kind="length",
            least=0,
            most=500,
            required=True,
            meaning="length below the underside of the blade; 0 for none",
        ),
    ),
    "[[cutter]]",
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
            meaning="diameter of the holder",
        ),
        Key(
            name="length",
            kind="length",
            over=0,
            most=500,
            required=True,
            meaning="length of the holder above its face",
        ),
    ),
    "[[cutter]]",
)
