"""The keys of the job file above its features: the job, its stock, set-ups, zero and holding."""

from __future__ import annotations

from gcodekit.job.keys.keys import THINNEST, Key, KeyTable

SIDES = ("top", "bottom", "front", "back", "left", "right")
AXES = ("x", "y", "z")

JOB = KeyTable(
    "the top of the file",
    (
        Key(name="name", kind="text", meaning="what the part is called; left out: the file's name"),
        Key(
            name="units",
            kind="choice",
            choices=("mm", "inch"),
            required=True,
            meaning="the unit of every bare length",
        ),
        Key(
            name="workshop",
            kind="text",
            meaning="the workshop file, relative to this one; left out: a small bench mill",
        ),
        Key(name="material", kind="text", required=True, meaning="what the stock is made of"),
        Key(name="post", kind="text", meaning="the dialect to write, instead of the machine's"),
        Key(
            name="tolerance",
            kind="length",
            default=0.01,
            least=0.001,
            most=1,
            meaning="how true the programmed shape is",
        ),
        Key(
            name="include",
            kind="texts",
            entries=20,
            meaning="files whose [dimensions], [outlines] and [places] are used here too",
        ),
        Key(name="dimensions", kind="table", meaning="named dimensions for use in expressions"),
        Key(name="stock", kind="table", required=True, meaning="the raw metal"),
        Key(name="outlines", kind="table", meaning="named outlines"),
        Key(name="places", kind="table", meaning="named places of holes"),
        Key(name="setup", kind="tables", entries=50, required=True, meaning="the set-ups in order"),
    ),
)

STOCK = KeyTable(
    "[stock]",
    (
        Key(
            name="block",
            kind="lengths",
            least=THINNEST,
            figures=3,
            meaning="x, y and z of a block; z of one plate when stacked",
        ),
        Key(name="round", kind="table", meaning="a round bar: diameter, length, axis"),
        Key(name="tube", kind="table", meaning="a round tube: diameter, bore, length, axis"),
        Key(
            name="outline",
            kind="outline",
            meaning="the shape of a plate, its lowest x and y at the stock's corner",
        ),
        Key(
            name="thickness",
            kind="length",
            least=THINNEST,
            meaning="of the plate that outline shapes",
        ),
        Key(
            name="oversize",
            kind="length",
            default=0.0,
            least=0,
            most=5,
            meaning="how much bigger the real bar may be on any side not yet machined",
        ),
        Key(
            name="stacked",
            kind="count",
            default=1,
            least=1,
            most=100,
            meaning="plates tacked together and cut as one",
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
            meaning="the bar's diameter",
        ),
        Key(
            name="length", kind="length", least=THINNEST, required=True, meaning="the bar's length"
        ),
        Key(
            name="axis",
            kind="choice",
            choices=AXES,
            default="z",
            meaning="the axis that the bar lies along",
        ),
    ),
    "[stock]",
)

TUBE = KeyTable(
    "tube",
    (
        *ROUND.keys[:1],
        Key(name="bore", kind="length", over=0, required=True, meaning="the hole's diameter"),
        *ROUND.keys[1:],
    ),
    "[stock]",
)

SETUP = KeyTable(
    "[[setup]]",
    (
        Key(name="name", kind="text", meaning="what the set-up is called"),
        Key(
            name="up",
            kind="choice",
            choices=SIDES,
            default="top",
            meaning="the raw block's face toward the spindle",
        ),
        Key(
            name="turn",
            kind="angle",
            default=0.0,
            meaning="the work turned by 0, 90, 180 or 270 about the spindle's axis",
        ),
        Key(name="zero", kind="table", meaning="where program zero is"),
        Key(
            name="clearance",
            kind="length",
            default=5.0,
            least=0.1,
            most=500,
            meaning="how far rapids stay above metal, jaws and clamps",
        ),
        Key(
            name="breakthrough",
            kind="length",
            default=0.5,
            least=0,
            most=20,
            meaning="how far a through cut goes below the metal",
        ),
        Key(
            name="work_offset",
            kind="count",
            default=1,
            least=1,
            most=6,
            meaning="the control's offset that holds zero: 1 for G54 to 6 for G59",
        ),
        Key(
            name="order",
            kind="choice",
            choices=("planned", "as written"),
            default="planned",
            meaning="whether features that do not touch may be cut in another order",
        ),
        Key(
            name="against", kind="text", meaning="the finished face at the fixed jaw, for the sheet"
        ),
        Key(name="down", kind="text", meaning="the finished face that is down, for the sheet"),
        Key(
            name="loose",
            kind="flag",
            default=False,
            meaning="the part has been broken out of its frame",
        ),
        Key(name="hold", kind="table", meaning="how the work is held"),
        Key(name="feature", kind="tables", entries=500, required=True, meaning="what is cut"),
        Key(
            name="copy",
            kind="mixed",
            forms=("tables", "table"),
            entries=500,
            meaning="further copies of every feature of the set-up",
        ),
    ),
)

ZERO = KeyTable(
    "zero",
    (
        Key(
            name="x",
            kind="expression",
            default="left",
            meaning="from the left, or with left, right, centre, raw_left, raw_right, raw_centre",
        ),
        Key(
            name="y",
            kind="expression",
            default="front",
            meaning="from the front, or with front, back, centre, raw_front, raw_back, raw_centre",
        ),
        Key(
            name="z",
            kind="expression",
            default="top",
            meaning="from the bottom, or with top, bottom, centre, raw_top, raw_bottom, raw_centre",
        ),
        Key(
            name="on",
            kind="text",
            meaning="name of an earlier round feature whose axis x and y are put on",
        ),
    ),
    "[[setup]]",
)

HOLD = KeyTable(
    "[setup.hold]",
    (
        Key(name="vise", kind="table", meaning="the vise that grips the work"),
        Key(
            name="parallels",
            kind="mixed",
            forms=("length", "table"),
            over=0,
            meaning="the parallels in the vise: their height under the work, or both sizes",
        ),
        Key(name="clamps", kind="tables", entries=50, meaning="clamps that stand on the work"),
        Key(
            name="board",
            kind="length",
            over=0,
            most=500,
            meaning="thickness of the spoil board below",
        ),
        Key(name="rotary", kind="table", meaning="a rotary table under the work"),
        Key(name="chuck", kind="table", meaning="a chuck on the table, its jaws up"),
        Key(
            name="bolts",
            kind="text",
            meaning="name of the through holes, cut before, that bolts hold the work down by",
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
            meaning="the height of work in the jaws",
        ),
        Key(name="jaw_width", kind="length", over=0, required=True, meaning="the jaws' length"),
        Key(name="jaw_depth", kind="length", over=0, required=True, meaning="how deep one jaw is"),
        Key(
            name="along",
            kind="choice",
            choices=("x", "y"),
            default="x",
            meaning="the axis that the jaw faces run along",
        ),
        Key(name="centre", kind="point", meaning="middle of the grip; left out: the stock's"),
        Key(
            name="fixed",
            kind="choice",
            choices=("back", "front", "left", "right"),
            default="back",
            meaning="the side of the fixed jaw; left where the jaws run along y",
        ),
        Key(
            name="parallels",
            kind="mixed",
            forms=("length", "table"),
            over=0,
            meaning="the parallels: their height under the work, or both sizes",
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
            meaning="the gap under the work",
        ),
        Key(name="thick", kind="length", over=0, default=12.0, meaning="how thick one is"),
    ),
    "vise",
)

CLAMP = KeyTable(
    "clamps",
    (
        Key(name="at", kind="point", required=True, meaning="the clamp's middle"),
        Key(
            name="size",
            kind="lengths",
            over=0,
            figures=2,
            required=True,
            meaning="the clamp's width and length",
        ),
        Key(
            name="height",
            kind="length",
            over=0,
            required=True,
            meaning="the height above the work's top, stud and nut included",
        ),
        Key(name="angle", kind="angle", default=0.0, meaning="the clamp turned counter-clockwise"),
    ),
    "[setup.hold]",
)

ROTARY = KeyTable(
    "rotary",
    (Key(name="centre", kind="point", required=True, meaning="the rotary table's axis"),),
    "[setup.hold]",
)

CHUCK = KeyTable(
    "chuck",
    (
        Key(name="diameter", kind="length", over=0, required=True, meaning="the chuck's diameter"),
        Key(name="jaws", kind="count", default=3, least=2, most=8, meaning="how many jaws"),
        Key(
            name="grip",
            kind="length",
            over=0,
            required=True,
            meaning="the height of work in the jaws",
        ),
        Key(
            name="jaw_height",
            kind="length",
            over=0,
            required=True,
            meaning="how far the jaws stand out of the chuck's face",
        ),
        Key(
            name="angle",
            kind="angle",
            default=0.0,
            meaning="where the first jaw is, counter-clockwise from +X",
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
        Key(name="move", kind="point", meaning="the copy moved by [x, y], last"),
        Key(
            name="mirror",
            kind="choice",
            choices=("x", "y"),
            meaning="reflected in that axis, first",
        ),
        Key(name="angle", kind="angle", meaning="the copy turned counter-clockwise"),
        Key(name="about", kind="point", meaning="centre of the turn and mirror; left out: 0, 0"),
        Key(
            name="count",
            kind="count",
            least=2,
            most=MOST_COPIES,
            meaning="how many in all, the first counted",
        ),
    ),
    "[[setup.feature]]",
)
SETUP_COPY = KeyTable("[[setup.copy]]", COPY.keys, "[[setup]]")
