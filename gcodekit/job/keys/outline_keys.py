"""The keys of outlines, paths and places."""

from __future__ import annotations

from gcodekit.job.keys.feature_keys import MOST_PLACES, PLACE_KEYS
from gcodekit.job.keys.keys import FINEST, SHORTEST, Key, KeyTable

# An outline is one of these shapes ...
SHAPES = (
    "rectangle",
    "circle",
    "obround",
    "polygon",
    "path",
    "dxf",
    "svg",
    "union",
    "minus",
    "common",
    "use",
)

_CENTRE = Key(name="centre", kind="point", default=(0.0, 0.0), meaning="the shape's middle")

# ... and any of them takes the keys that place it.
PLACING = (
    Key(name="mirror", kind="choice", choices=("x", "y"), meaning="reflected in that axis, first"),
    Key(name="angle", kind="angle", meaning="turned counter-clockwise"),
    Key(name="move", kind="point", meaning="moved by [x, y], after mirror and angle"),
    Key(name="grow", kind="length", meaning="made bigger all round, last; negative: smaller"),
    Key(name="about", kind="point", meaning="centre of mirror and angle; left out: 0, 0"),
)

OUTLINE = KeyTable(
    "an outline",
    (
        Key(
            name="rectangle",
            kind="lengths",
            least=SHORTEST,
            figures=2,
            meaning="its width and height",
        ),
        Key(
            name="corner",
            kind="point",
            meaning="the rectangle's lower left corner, instead of centre",
        ),
        Key(name="round", kind="length", least=0, meaning="radius of the rectangle's corners"),
        Key(name="circle", kind="length", least=SHORTEST, meaning="its diameter"),
        Key(
            name="obround",
            kind="lengths",
            least=SHORTEST,
            figures=2,
            meaning="overall length and width",
        ),
        Key(name="polygon", kind="count", least=3, most=360, meaning="its number of sides"),
        Key(
            name="across_flats",
            kind="length",
            least=SHORTEST,
            meaning="the polygon from flat to flat",
        ),
        Key(name="across_corners", kind="length", least=SHORTEST, meaning="twice centre to corner"),
        _CENTRE,
        Key(name="path", kind="path", meaning="points, lines and arcs one after another"),
        Key(
            name="closed",
            kind="flag",
            default=True,
            meaning="whether the path runs back to its start",
        ),
        Key(name="dxf", kind="text", meaning="a DXF file, looked for beside the job file"),
        Key(
            name="layer",
            kind="text",
            meaning="the layer of the DXF; may be left out where only one has shapes",
        ),
        Key(name="svg", kind="text", meaning="an SVG file, looked for beside the job file"),
        Key(
            name="id",
            kind="text",
            meaning="the id of a shape or group of the SVG; left out: all of the drawing",
        ),
        Key(
            name="scale",
            kind="number",
            over=0,
            default=1.0,
            meaning="how many times larger than drawn",
        ),
        Key(name="union", kind="outlines", meaning="all of these together"),
        Key(name="minus", kind="outlines", meaning="the first less the rest"),
        Key(name="common", kind="outlines", meaning="what these have in common"),
        Key(name="use", kind="text", meaning="name of an outline, to be moved, turned or mirrored"),
        *PLACING,
    ),
    "[outlines]",
)

# Which of the keys above go with which shape, besides those that place it.
SHAPE_KEYS: dict[str, tuple[str, ...]] = {
    "rectangle": ("centre", "corner", "round"),
    "circle": ("centre",),
    "obround": ("centre",),
    "polygon": ("centre", "across_flats", "across_corners"),
    "path": ("closed",),
    "dxf": ("layer", "scale"),
    "svg": ("id", "scale"),
    "union": (),
    "minus": (),
    "common": (),
    "use": (),
}

PATH_ENTRY = KeyTable(
    "a path's entry",
    (
        Key(name="to", kind="point", required=True, meaning="where the segment ends"),
        Key(name="centre", kind="point", meaning="an arc's centre"),
        Key(name="radius", kind="length", least=SHORTEST, meaning="an arc's radius"),
        Key(name="via", kind="point", meaning="a point on the arc"),
        Key(
            name="turn",
            kind="choice",
            choices=("ccw", "cw"),
            meaning="which way the arc goes round",
        ),
        Key(
            name="large",
            kind="flag",
            default=False,
            meaning="the longer of the two arcs of that radius",
        ),
        Key(name="round", kind="length", over=0, meaning="radius of the corner here"),
        Key(name="bevel", kind="length", over=0, meaning="leg of the corner's bevel here"),
    ),
    "path",
)

_COUNT = Key(
    name="count", kind="count", required=True, least=1, most=MOST_PLACES, meaning="how many places"
)
_SKIP = Key(
    name="skip",
    kind="counts",
    least=1,
    entries=MOST_PLACES,
    meaning="places left out, counted from 1",
)

ROW = KeyTable(
    "row",
    (
        Key(name="start", kind="point", meaning="the first place"),
        Key(name="centre", kind="point", meaning="the row's middle, instead of start"),
        Key(
            name="pitch",
            kind="length",
            least=FINEST,
            required=True,
            meaning="the distance between places along the row",
        ),
        _COUNT,
        Key(name="angle", kind="angle", default=0.0, meaning="the row's direction"),
        _SKIP,
    ),
    "[[setup.feature]]",
)

GRID = KeyTable(
    "grid",
    (
        Key(name="start", kind="point", required=True, meaning="the lower left place"),
        Key(
            name="pitch",
            kind="lengths",
            least=FINEST,
            figures=2,
            required=True,
            meaning="the pitch in x and y",
        ),
        Key(
            name="count",
            kind="counts",
            least=1,
            most=MOST_PLACES,
            figures=2,
            required=True,
            meaning="how many places in x and y",
        ),
        Key(name="angle", kind="angle", default=0.0, meaning="the grid turned about its start"),
        _SKIP,
    ),
    "[[setup.feature]]",
)

PITCH_CIRCLE = KeyTable(
    "pitch_circle",
    (
        Key(name="centre", kind="point", default=(0.0, 0.0), meaning="the circle's middle"),
        Key(
            name="diameter",
            kind="length",
            least=SHORTEST,
            required=True,
            meaning="the circle's diameter",
        ),
        _COUNT,
        Key(name="start", kind="angle", default=0.0, meaning="the first place's angle"),
        Key(
            name="sweep", kind="angle", default=360.0, meaning="the angle that the places share out"
        ),
        _SKIP,
    ),
    "[[setup.feature]]",
)

POLAR = KeyTable(
    "polar",
    (
        Key(name="centre", kind="point", default=(0.0, 0.0), meaning="where radii start"),
        Key(
            name="points",
            kind="polar",
            entries=MOST_PLACES,
            required=True,
            meaning="the radius and angle of each place",
        ),
        _SKIP,
    ),
    "[[setup.feature]]",
)

PLACES = KeyTable("an entry of [places]", PLACE_KEYS, "[places]")
