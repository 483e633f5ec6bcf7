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

_CENTRE = Key(name="centre", kind="point", default=(0.0, 0.0), meaning="centre of the shape")

# ... and any of them takes the keys that place it.
PLACING = (
    Key(name="mirror", kind="choice", choices=("x", "y"), meaning="axis to mirror in, done first"),
    Key(name="angle", kind="angle", meaning="angle to turn, counter-clockwise"),
    Key(name="move", kind="point", meaning="distance [x, y] to move, after mirror and angle"),
    Key(
        name="grow",
        kind="length",
        meaning="offset outward all round, done last; negative makes it smaller",
    ),
    Key(
        name="about",
        kind="point",
        meaning="centre of mirror and angle",
        unset="[0, 0], but the own centre for the angle of a rectangle, obround or polygon",
    ),
)

OUTLINE = KeyTable(
    "an outline",
    (
        Key(
            name="rectangle",
            kind="lengths",
            least=SHORTEST,
            figures=2,
            meaning="width and height of the rectangle",
        ),
        Key(
            name="corner",
            kind="point",
            meaning="lower left corner of the rectangle, instead of centre",
        ),
        Key(
            name="round",
            kind="length",
            least=0,
            meaning="corner radius of the rectangle",
            unset="sharp corners",
        ),
        Key(name="circle", kind="length", least=SHORTEST, meaning="diameter of the circle"),
        Key(
            name="obround",
            kind="lengths",
            least=SHORTEST,
            figures=2,
            meaning="overall length and width of the obround",
        ),
        Key(
            name="polygon",
            kind="count",
            least=3,
            most=360,
            meaning="number of sides of the polygon",
        ),
        Key(
            name="across_flats",
            kind="length",
            least=SHORTEST,
            meaning="size across flats of the polygon",
        ),
        Key(
            name="across_corners",
            kind="length",
            least=SHORTEST,
            meaning="size across corners: twice centre to corner",
        ),
        _CENTRE,
        Key(name="path", kind="path", meaning="points, lines and arcs in sequence"),
        Key(
            name="closed",
            kind="flag",
            default=True,
            meaning="the path runs back to its start",
        ),
        Key(name="dxf", kind="text", meaning="DXF file, relative to the job file"),
        Key(
            name="layer",
            kind="text",
            meaning="layer of the DXF",
            unset="the only layer that has shapes",
        ),
        Key(name="svg", kind="text", meaning="SVG file, relative to the job file"),
        Key(
            name="id",
            kind="text",
            meaning="id of a shape or group of the SVG",
            unset="the whole drawing",
        ),
        Key(
            name="scale",
            kind="number",
            over=0,
            default=1.0,
            meaning="scale factor",
        ),
        Key(name="union", kind="outlines", meaning="all of these outlines together"),
        Key(name="minus", kind="outlines", meaning="the first outline less the rest"),
        Key(name="common", kind="outlines", meaning="area that all of these outlines share"),
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
        Key(name="to", kind="point", required=True, meaning="end point of the segment"),
        Key(name="centre", kind="point", meaning="centre of the arc"),
        Key(name="radius", kind="length", least=SHORTEST, meaning="radius of the arc"),
        Key(name="via", kind="point", meaning="a point on the arc"),
        Key(
            name="turn",
            kind="choice",
            choices=("ccw", "cw"),
            meaning="direction of the arc",
        ),
        Key(
            name="large",
            kind="flag",
            default=False,
            meaning="take the longer of the two arcs of that radius",
        ),
        Key(name="round", kind="length", over=0, meaning="radius of the corner here"),
        Key(name="bevel", kind="length", over=0, meaning="leg of the bevel at the corner here"),
    ),
    "path",
)

_COUNT = Key(
    name="count", kind="count", required=True, least=1, most=MOST_PLACES, meaning="number of points"
)
_SKIP = Key(
    name="skip",
    kind="counts",
    least=1,
    entries=MOST_PLACES,
    meaning="points to skip, counted from 1",
    unset="none",
)

ROW = KeyTable(
    "row",
    (
        Key(name="start", kind="point", meaning="first point"),
        Key(name="centre", kind="point", meaning="middle of the row, instead of start"),
        Key(
            name="pitch",
            kind="length",
            least=FINEST,
            required=True,
            meaning="distance between points (pitch)",
        ),
        _COUNT,
        Key(name="angle", kind="angle", default=0.0, meaning="direction of the row"),
        _SKIP,
    ),
    "[[setup.feature]]",
)

GRID = KeyTable(
    "grid",
    (
        Key(name="start", kind="point", required=True, meaning="lower left point"),
        Key(
            name="pitch",
            kind="lengths",
            least=FINEST,
            figures=2,
            required=True,
            meaning="pitch in X and Y",
        ),
        Key(
            name="count",
            kind="counts",
            least=1,
            most=MOST_PLACES,
            figures=2,
            required=True,
            meaning="number of points in X and Y",
        ),
        Key(name="angle", kind="angle", default=0.0, meaning="angle of the grid about its start"),
        _SKIP,
    ),
    "[[setup.feature]]",
)

PITCH_CIRCLE = KeyTable(
    "pitch_circle",
    (
        Key(name="centre", kind="point", default=(0.0, 0.0), meaning="centre of the circle"),
        Key(
            name="diameter",
            kind="length",
            least=SHORTEST,
            required=True,
            meaning="diameter of the circle",
        ),
        _COUNT,
        Key(name="start", kind="angle", default=0.0, meaning="angle of the first point"),
        Key(
            name="sweep",
            kind="angle",
            default=360.0,
            meaning="angle that the points are spread over",
        ),
        _SKIP,
    ),
    "[[setup.feature]]",
)

POLAR = KeyTable(
    "polar",
    (
        Key(name="centre", kind="point", default=(0.0, 0.0), meaning="centre of the radii"),
        Key(
            name="points",
            kind="polar",
            entries=MOST_PLACES,
            required=True,
            meaning="radius and angle of each point",
        ),
        _SKIP,
    ),
    "[[setup.feature]]",
)

PLACES = KeyTable("an entry of [places]", PLACE_KEYS, "[places]")
