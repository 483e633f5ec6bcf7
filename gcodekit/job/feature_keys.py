"""The keys of features: those every feature has, and each kind's own."""

from __future__ import annotations

from gcodekit.job.keys import Key, KeyTable

KINDS = ("face", "pocket", "slot", "profile", "bore", "hole")

DEPTH_KEYS = (
    Key(name="top", kind="expression", default=0.0, meaning="program z that depth counts from"),
    Key(name="depth", kind="length", over=0, meaning="from top down"),
    Key(name="floor", kind="length", meaning="program z of the floor"),
    Key(name="through", kind="flag", default=False, meaning="to the bottom of the metal"),
)

CUTTING_KEYS = (
    Key(name="cutter", kind="mixed", meaning="number or name of the finishing cutter"),
    Key(name="rough_with", kind="mixed", meaning="number or name of the roughing cutter"),
    Key(name="rough", kind="mixed", default=True, meaning="whether or how to rough"),
    Key(name="finish", kind="flag", default=True, meaning="whether to finish"),
    Key(name="allowance", kind="table", meaning="left by roughing"),
    Key(
        name="spring_passes",
        kind="count",
        default=0,
        least=0,
        most=20,
        meaning="finishing passes repeated",
    ),
    Key(name="cut", kind="choice", choices=("climb", "conventional"), meaning="milling direction"),
    Key(name="speed", kind="speed", over=0, meaning="of the spindle"),
    Key(name="feed", kind="feed", over=0, meaning="sideways"),
    Key(name="plunge_feed", kind="feed", over=0, meaning="downwards"),
    Key(name="stepdown", kind="length", over=0, meaning="depth of one pass"),
    Key(name="stepover", kind="length", over=0, meaning="width of one pass"),
)

COMMON = (
    Key(name="name", kind="text", meaning="unique in the job; default the kind and a number"),
    Key(name="kind", kind="choice", choices=KINDS, required=True, meaning="what the feature is"),
    *DEPTH_KEYS,
    *CUTTING_KEYS,
    Key(name="after", kind="text", meaning="name of the feature that this one comes after"),
    Key(name="copies", kind="mixed", meaning="further copies of the feature"),
)

ALLOWANCE = KeyTable(
    "allowance",
    (
        Key(name="wall", kind="length", least=0, most=10, meaning="on walls"),
        Key(name="floor", kind="length", least=0, most=10, meaning="on the floor"),
    ),
    "[[setup.feature]]",
)

TABS = KeyTable(
    "tabs",
    (
        Key(
            name="count",
            kind="count",
            least=1,
            most=200,
            meaning="how many tabs, spread evenly",
        ),
        Key(name="at", kind="points", meaning="where tabs stand, instead of count"),
        Key(name="width", kind="length", over=0, required=True, meaning="the least metal in a tab"),
        Key(
            name="height",
            kind="length",
            over=0,
            required=True,
            meaning="the tabs' height from the stock's bottom",
        ),
    ),
    "[[setup.feature]]",
)

ENDS = KeyTable(
    "ends",
    (
        Key(
            name="start",
            kind="choice",
            choices=("round", "open"),
            default="round",
            meaning="the slot's first end",
        ),
        Key(
            name="end",
            kind="choice",
            choices=("round", "open"),
            default="round",
            meaning="the slot's last end",
        ),
    ),
    "[[setup.feature]]",
)

PLACE_KEYS = (
    Key(name="at", kind="points", meaning="one place or a list"),
    Key(name="row", kind="table", meaning="places in a row"),
    Key(name="grid", kind="table", meaning="places in rows and columns"),
    Key(name="pitch_circle", kind="table", meaning="places on a circle"),
    Key(name="polar", kind="table", meaning="places by radius and angle"),
)

_DIAMETER = Key(
    name="diameter", kind="length", over=0, required=True, meaning="the finished diameter"
)

OWN_KEYS: dict[str, tuple[Key, ...]] = {
    "face": (
        Key(name="outline", kind="outline", meaning="what to mill; default the work's top"),
        Key(name="leave", kind="length", over=0, meaning="thickness of metal left"),
    ),
    "pocket": (
        Key(name="outline", kind="outline", required=True, meaning="the pocket's rim"),
        Key(name="islands", kind="outlines", meaning="what stays standing in it"),
        Key(name="corner", kind="length", over=0, meaning="largest radius left in a corner"),
    ),
    "slot": (
        Key(name="from", kind="point", meaning="centre of the first end's radius"),
        Key(name="to", kind="point", meaning="centre of the last end's radius"),
        Key(name="path", kind="path", meaning="the centre line, instead of from and to"),
        Key(name="width", kind="length", over=0, required=True, meaning="the slot's width"),
        Key(name="ends", kind="mixed", default="round", meaning="round or open"),
    ),
    "profile": (
        Key(name="outline", kind="outline", meaning="closed outline to follow"),
        Key(name="path", kind="path", meaning="open path to follow"),
        Key(
            name="side",
            kind="choice",
            choices=("outside", "inside", "on", "left", "right"),
            required=True,
            meaning="where the cutter stands",
        ),
        Key(name="tabs", kind="table", meaning="bridges that hold the part"),
        Key(
            name="skin",
            kind="length",
            least=0.05,  # thinner, board and touching off decide what is left
            meaning="thickness left at the bottom to hold the part",
        ),
    ),
    "bore": (
        *PLACE_KEYS,
        _DIAMETER,
        Key(
            name="finish_with",
            kind="choice",
            choices=("end mill", "reamer"),
            default="end mill",
            meaning="what brings it to size",
        ),
    ),
    "hole": (
        *PLACE_KEYS,
        _DIAMETER,
        Key(name="spot", kind="flag", default=True, meaning="spot it first"),
        Key(name="peck", kind="mixed", meaning="depth of a peck, or false"),
        Key(name="ream", kind="flag", default=False, meaning="drill under size and ream"),
        Key(name="drill_depth", kind="length", over=0, meaning="of the drill, when reamed"),
    ),
}

FEATURE = KeyTable("[[setup.feature]]", COMMON, "[[setup]]")
FEATURES: dict[str, KeyTable] = {kind: FEATURE.with_keys(*OWN_KEYS[kind]) for kind in KINDS}
