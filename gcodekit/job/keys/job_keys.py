"""The keys of the job file above its features: the job, its stock, set-ups, zero and holding."""

from __future__ import annotations

from gcodekit.job.keys.keys import THINNEST, Key, KeyTable

SIDES = ("top", "bottom", "front", "back", "left", "right")
AXES = ("x", "y", "z")

JOB = KeyTable(
    "the top of the file",
    (
        Key(name="name", kind="text", meaning="name of the part", unset="the file's name"),
        Key(
            name="units",
            kind="choice",
            choices=("mm", "inch"),
            required=True,
            meaning="unit of every length without one of its own",
        ),
        Key(
            name="workshop",
            kind="text",
            meaning="workshop file, relative to this file",
            unset="a built-in small bench mill",
        ),
        Key(name="material", kind="text", required=True, meaning="material of the stock"),
        Key(
            name="post",
            kind="text",
            meaning="post processor (dialect of the control)",
            unset="the machine's",
        ),
        Key(
            name="tolerance",
            kind="length",
            default=0.01,
            least=0.001,
            most=1,
            meaning="tolerance of the programmed shape",
        ),
        Key(
            name="include",
            kind="texts",
            entries=20,
            meaning="files whose [dimensions], [outlines] and [places] are used here too",
        ),
        Key(name="dimensions", kind="table", meaning="named sizes for use in expressions"),
        Key(name="stock", kind="table", required=True, meaning="the stock"),
        Key(name="outlines", kind="table", meaning="named outlines"),
        Key(name="places", kind="table", meaning="named hole patterns"),
        Key(
            name="measured",
            kind="table",
            meaning="sizes measured after a finishing pass, by the names of features",
        ),
        Key(name="setup", kind="tables", entries=50, required=True, meaning="set-ups, in sequence"),
    ),
)

MEASURED = KeyTable(
    "an entry of [measured]",
    (
        Key(
            name="nominal",
            kind="length",
            over=0,
            meaning="size across that the last program aimed at",
        ),
        Key(name="measured", kind="length", over=0, meaning="size across as measured"),
        Key(
            name="depth_nominal",
            kind="length",
            over=0,
            meaning="depth that the last program aimed at",
        ),
        Key(name="depth_measured", kind="length", over=0, meaning="depth as measured"),
    ),
    "[measured]",
)

STOCK = KeyTable(
    "[stock]",
    (
        Key(
            name="block",
            kind="lengths",
            least=THINNEST,
            figures=3,
            meaning="X, Y and Z size of a block; Z of one plate if stacked",
        ),
        Key(name="round", kind="table", meaning="round bar: diameter, length, axis"),
        Key(name="tube", kind="table", meaning="round tube: diameter, bore, length, axis"),
        Key(
            name="outline",
            kind="outline",
            meaning="shape of a plate; its lowest X and Y lie at the stock's corner",
        ),
        Key(
            name="thickness",
            kind="length",
            least=THINNEST,
            meaning="thickness of the plate that outline shapes",
        ),
        Key(
            name="oversize",
            kind="length",
            default=0.0,
            least=0,
            most=5,
            meaning="greatest oversize of the real bar on any side not yet machined",
        ),
        Key(
            name="stacked",
            kind="count",
            default=1,
            least=1,
            most=100,
            meaning="number of plates stacked and cut as one",
        ),
    ),
)

ROUND = KeyTable(
    "round",
    (
        Key(
            name="diameter",
            kind="length",
            least=THINNEST,
            required=True,
            meaning="diameter of the bar",
        ),
        Key(
            name="length", kind="length", least=THINNEST, required=True, meaning="length of the bar"
        ),
        Key(
            name="axis",
            kind="choice",
            choices=AXES,
            default="z",
            meaning="axis that the bar lies along",
        ),
    ),
    "[stock]",
)

TUBE = KeyTable(
    "tube",
    (
        *ROUND.keys[:1],
        Key(name="bore", kind="length", over=0, required=True, meaning="diameter of the hole"),
        *ROUND.keys[1:],
    ),
    "[stock]",
)

SETUP = KeyTable(
    "[[setup]]",
    (
        Key(
            name="name",
            kind="text",
            meaning="name of the set-up",
            unset="its number, such as set-up 2",
        ),
        Key(
            name="up",
            kind="choice",
            choices=SIDES,
            default="top",
            meaning="face of the raw block toward the spindle",
        ),
        Key(
            name="turn",
            kind="angle",
            default=0.0,
            meaning="turn of the work about the spindle axis: 0, 90, 180 or 270",
        ),
        Key(
            name="zero",
            kind="table",
            meaning="program zero (work origin)",
            unset="left, front and top of the work",
        ),
        Key(
            name="clearance",
            kind="length",
            default=5.0,
            least=0.1,
            most=500,
            meaning="clearance of rapids above stock, jaws and clamps",
        ),
        Key(
            name="breakthrough",
            kind="length",
            default=0.5,
            least=0,
            most=20,
            meaning="depth of a through cut below the stock, or past where it breaks in (until)",
        ),
        Key(
            name="work_offset",
            kind="count",
            default=1,
            least=1,
            most=6,
            meaning="work offset that holds program zero: 1 for G54 to 6 for G59",
        ),
        Key(
            name="order",
            kind="choice",
            choices=("planned", "as written"),
            default="planned",
            meaning="sequence of features that do not touch",
        ),
        Key(
            name="break_edges",
            kind="length",
            least=0.05,
            most=5,
            meaning="width of the chamfer on all top edges that this set-up cuts",
            unset="edges stay as cut",
            text="After everything else a chamfer cutter of the rack breaks every edge at the top "
            "of this set-up's features by this width, seen from above. An edge that it cannot "
            "reach gets a warning. Edges that another feature cuts away, edges with a chamfer of "
            "their own and the edges of the raw stock are left.",
            see=("chamfer", "countersink"),
        ),
        Key(
            name="against",
            kind="text",
            meaning="finished face that goes against the fixed jaw, for the set-up sheet",
        ),
        Key(name="down", kind="text", meaning="finished face that goes down, for the set-up sheet"),
        Key(
            name="loose",
            kind="flag",
            default=False,
            meaning="the part has been broken out of its frame",
        ),
        Key(
            name="piece",
            kind="table",
            meaning="the piece that is held, once an earlier set-up has parted the stock",
            unset="all of the stock",
        ),
        Key(
            name="hold",
            kind="table",
            meaning="work-holding",
            unset="none, and clearance of it is not proved",
        ),
        Key(name="feature", kind="tables", entries=500, required=True, meaning="features to cut"),
        Key(
            name="copy",
            kind="mixed",
            forms=("tables", "table"),
            entries=500,
            meaning="further copies of every feature of the set-up",
        ),
    ),
)

PIECE = KeyTable(
    "piece",
    (
        Key(
            name="setup",
            kind="text",
            required=True,
            meaning="name of the set-up that parted the stock",
        ),
        Key(
            name="at",
            kind="lengths",
            required=True,
            meaning="place in the piece, [x, y] or [x, y, z], in that set-up's program coordinates",
        ),
    ),
    "[[setup]]",
)

ZERO = KeyTable(
    "zero",
    (
        Key(
            name="x",
            kind="expression",
            default="left",
            meaning="distance from the left, or text with "
            "left, right, centre, raw_left, raw_right, raw_centre",
        ),
        Key(
            name="y",
            kind="expression",
            default="front",
            meaning="distance from the front, or text with "
            "front, back, centre, raw_front, raw_back, raw_centre",
        ),
        Key(
            name="z",
            kind="expression",
            default="top",
            meaning="distance from the bottom, or text with "
            "top, bottom, centre, raw_top, raw_bottom, raw_centre",
        ),
        Key(
            name="on",
            kind="text",
            meaning="name of an earlier round feature whose axis is X 0, Y 0",
        ),
    ),
    "[[setup]]",
)

HOLD = KeyTable(
    "[setup.hold]",
    (
        Key(name="vise", kind="table", meaning="vise that grips the work"),
        Key(
            name="parallels",
            kind="mixed",
            forms=("length", "table"),
            over=0,
            meaning="parallels in the vise: height under the work, or height and thickness",
        ),
        Key(name="clamps", kind="tables", entries=50, meaning="clamps on top of the work"),
        Key(
            name="board",
            kind="length",
            over=0,
            most=500,
            meaning="thickness of the spoil board under the work",
        ),
        Key(name="rotary", kind="table", meaning="rotary table under the work"),
        Key(name="chuck", kind="table", meaning="chuck on the table, jaws up"),
        Key(
            name="bolts",
            kind="text",
            meaning="name of through holes, cut earlier, for bolts that hold the work down",
        ),
    ),
    "[[setup]]",
)

VISE = KeyTable(
    "vise",
    (
        Key(
            name="grip",
            kind="length",
            over=0,
            required=True,
            meaning="height of work in the jaws",
        ),
        Key(name="jaw_width", kind="length", over=0, required=True, meaning="length of the jaws"),
        Key(
            name="jaw_depth",
            kind="length",
            over=0,
            required=True,
            meaning="thickness of one jaw, in the closing direction",
        ),
        Key(
            name="along",
            kind="choice",
            choices=("x", "y"),
            default="x",
            meaning="axis that the jaw faces run along",
        ),
        Key(
            name="centre",
            kind="point",
            meaning="middle of the grip",
            unset="the middle of the stock",
        ),
        Key(
            name="fixed",
            kind="choice",
            choices=("back", "front", "left", "right"),
            default="back",
            meaning="side of the fixed jaw; left if the jaws run along y",
        ),
        Key(
            name="parallels",
            kind="mixed",
            forms=("length", "table"),
            over=0,
            meaning="parallels: height under the work, or height and thickness",
        ),
    ),
    "[setup.hold]",
)

PARALLELS = KeyTable(
    "parallels",
    (
        Key(
            name="height",
            kind="length",
            over=0,
            required=True,
            meaning="height under the work",
        ),
        Key(name="thick", kind="length", over=0, default=12.0, meaning="thickness of one parallel"),
    ),
    "vise",
)

CLAMP = KeyTable(
    "clamps",
    (
        Key(name="at", kind="point", required=True, meaning="middle of the clamp"),
        Key(
            name="size",
            kind="lengths",
            over=0,
            figures=2,
            required=True,
            meaning="width and length of the clamp",
        ),
        Key(
            name="height",
            kind="length",
            over=0,
            required=True,
            meaning="height above the top of the work, stud and nut included",
        ),
        Key(
            name="angle", kind="angle", default=0.0, meaning="angle of the clamp, counter-clockwise"
        ),
    ),
    "[setup.hold]",
)

ROTARY = KeyTable(
    "rotary",
    (Key(name="centre", kind="point", required=True, meaning="axis of the rotary table"),),
    "[setup.hold]",
)

CHUCK = KeyTable(
    "chuck",
    (
        Key(name="diameter", kind="length", over=0, required=True, meaning="diameter of the chuck"),
        Key(name="jaws", kind="count", default=3, least=2, most=8, meaning="number of jaws"),
        Key(
            name="grip",
            kind="length",
            over=0,
            required=True,
            meaning="height of work in the jaws",
        ),
        Key(
            name="jaw_height",
            kind="length",
            over=0,
            required=True,
            meaning="height of the jaws above the face of the chuck",
        ),
        Key(
            name="angle",
            kind="angle",
            default=0.0,
            meaning="angle of the first jaw, counter-clockwise from +X",
        ),
    ),
    "[setup.hold]",
)

# Copies of one feature, or of all of a set-up's: more than anyone makes in one go.
MOST_COPIES = 1_000

# One step of a copy list, or the counted form.
COPY = KeyTable(
    "copies",
    (
        Key(name="move", kind="point", meaning="distance [x, y] to move the copy, done last"),
        Key(
            name="mirror",
            kind="choice",
            choices=("x", "y"),
            meaning="axis to mirror in, done first",
        ),
        Key(name="angle", kind="angle", meaning="angle to turn the copy, counter-clockwise"),
        Key(
            name="about", kind="point", meaning="centre of the turn and the mirror", unset="[0, 0]"
        ),
        Key(
            name="count",
            kind="count",
            least=2,
            most=MOST_COPIES,
            meaning="number in all, the first included",
        ),
    ),
    "[[setup.feature]]",
)
SETUP_COPY = KeyTable("[[setup.copy]]", COPY.keys, "[[setup]]")
