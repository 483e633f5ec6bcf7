"""The keys of features: those every feature has, and each kind's own."""

from __future__ import annotations

from gcodekit.job.keys.keys import (
    FASTEST_SPEED,
    FINEST,
    SHORTEST,
    SLOWEST_FEED,
    SLOWEST_SPEED,
    SMALLEST,
    Key,
    KeyTable,
)

# A stop cuts nothing, but stands among the features: it is where the holding changes.
STOP = "stop"
KINDS = ("face", "pocket", "slot", "profile", "bore", "hole", "edge", "boss", "arc", STOP)

DEPTH_KEYS = (
    Key(name="top", kind="expression", default=0.0, meaning="program z that depth counts from"),
    Key(name="depth", kind="length", least=SHORTEST, meaning="how deep below top"),
    Key(name="floor", kind="length", meaning="program z of the floor, below z 0 negative"),
    Key(name="through", kind="flag", default=False, meaning="right through the metal"),
    Key(
        name="until",
        kind="text",
        meaning="name of the earlier set-up's feature that it stops at on breaking into it",
    ),
)

CUTTING_KEYS = (
    Key(
        name="cutter",
        kind="mixed",
        forms=("count", "text"),
        meaning="number or name of the finishing cutter",
    ),
    Key(
        name="rough_with",
        kind="mixed",
        forms=("count", "text"),
        meaning="number or name of the roughing cutter",
    ),
    Key(
        name="rough",
        kind="mixed",
        forms=("flag", "choice"),
        choices=("even load", "follow outline", "to and fro"),
        default=True,
        meaning="whether to rough, or how",
    ),
    Key(name="finish", kind="flag", default=True, meaning="whether to finish"),
    Key(name="allowance", kind="table", meaning="metal that roughing leaves for finishing"),
    Key(
        name="spring_passes",
        kind="count",
        default=0,
        least=0,
        most=20,
        meaning="how often the last finishing pass is run again",
    ),
    Key(name="cut", kind="choice", choices=("climb", "conventional"), meaning="milling direction"),
    Key(
        name="speed",
        kind="speed",
        least=SLOWEST_SPEED,
        most=FASTEST_SPEED,
        meaning="spindle speed",
    ),
    Key(name="feed", kind="feed", least=SLOWEST_FEED, meaning="feed when cutting sideways"),
    Key(
        name="plunge_feed",
        kind="feed",
        least=SLOWEST_FEED,
        meaning="feed when going straight down",
    ),
    Key(name="stepdown", kind="length", least=FINEST, meaning="how deep one pass goes"),
    Key(
        name="stepover",
        kind="length",
        least=FINEST,
        meaning="how wide one roughing pass cuts",
    ),
)

COMMON = (
    Key(name="name", kind="text", meaning="what messages and report call it"),
    Key(name="kind", kind="choice", choices=KINDS, required=True, meaning="what the feature is"),
    *DEPTH_KEYS,
    *CUTTING_KEYS,
    Key(name="after", kind="text", meaning="name of the feature that this one comes after"),
    Key(
        name="from_setup",
        kind="text",
        meaning="name of the earlier set-up in whose coordinates its place is given",
    ),
    Key(
        name="copies",
        kind="mixed",
        forms=("table", "tables"),
        entries=500,
        meaning="further copies of the feature",
    ),
)

ALLOWANCE = KeyTable(
    "allowance",
    (
        Key(name="wall", kind="length", least=0, most=10, meaning="left on walls"),
        Key(name="floor", kind="length", least=0, most=10, meaning="left on the floor"),
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
        Key(name="at", kind="points", entries=200, meaning="where tabs stand, instead of count"),
        Key(
            name="width",
            kind="length",
            least=0.1,
            required=True,
            meaning="the least metal in a tab",
        ),
        Key(
            name="height",
            kind="length",
            least=0.05,
            required=True,
            meaning="the tabs' height from the stock's bottom",
        ),
    ),
    "[[setup.feature]]",
)

COUNTERBORE = KeyTable(
    "counterbore",
    (
        Key(name="diameter", kind="length", over=0, required=True, meaning="its diameter"),
        Key(
            name="depth", kind="length", over=0, required=True, meaning="how deep it goes from top"
        ),
    ),
    "[[setup.feature]]",
)

COUNTERSINK = KeyTable(
    "countersink",
    (
        Key(name="diameter", kind="length", over=0, required=True, meaning="at the surface"),
        Key(
            name="angle", kind="angle", default=90, least=30, most=150, meaning="of the whole cone"
        ),
    ),
    "[[setup.feature]]",
)

BUSH = KeyTable(
    "bush",
    (
        Key(
            name="diameter",
            kind="length",
            over=0,
            required=True,
            meaning="its outside diameter: nominal, or as measured",
        ),
        Key(name="fit", kind="text", meaning="tolerance class of its outside, as r6"),
        Key(
            name="limits",
            kind="lengths",
            figures=2,
            meaning="how far its outside may be off the diameter, signed: [lo, hi]",
        ),
        Key(
            name="interference",
            kind="lengths",
            figures=2,
            meaning="how much larger than the bore it is to be: [least, greatest]",
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

# Places of one feature: more than anyone drills.
MOST_PLACES = 5_000

PLACE_KEYS = (
    Key(name="at", kind="points", entries=MOST_PLACES, meaning="one place or a list"),
    Key(name="row", kind="table", meaning="places in a row"),
    Key(name="grid", kind="table", meaning="places in rows and columns"),
    Key(name="pitch_circle", kind="table", meaning="places on a circle"),
    Key(name="polar", kind="table", meaning="places by radius and angle"),
)

_SIZE_KEYS = (
    Key(name="fit", kind="text", meaning="tolerance class of the size, as H7"),
    Key(
        name="limits",
        kind="lengths",
        figures=2,
        meaning="how far the size may be off, signed: [lo, hi]",
    ),
)

_BUSH = Key(name="bush", kind="table", meaning="the bush that is pressed in, instead of diameter")

OWN_KEYS: dict[str, tuple[Key, ...]] = {
    "face": (
        Key(name="outline", kind="outline", meaning="what to mill; left out: the whole top"),
        Key(name="leave", kind="length", over=0, meaning="thickness of metal left"),
    ),
    "pocket": (
        Key(name="outline", kind="outline", required=True, meaning="the pocket's rim"),
        Key(name="islands", kind="outlines", entries=500, meaning="what stays standing in it"),
        Key(
            name="corner",
            kind="length",
            least=FINEST,
            meaning="largest radius allowed in an inside corner",
        ),
        *_SIZE_KEYS,
    ),
    "slot": (
        Key(name="from", kind="point", meaning="centre of the first end's radius"),
        Key(name="to", kind="point", meaning="centre of the last end's radius"),
        Key(name="path", kind="path", meaning="the centre line, instead of from and to"),
        Key(
            name="width",
            kind="length",
            least=SMALLEST,
            required=True,
            meaning="the slot's width",
        ),
        Key(
            name="ends",
            kind="mixed",
            forms=("choice", "table"),
            choices=("round", "open"),
            default="round",
            meaning="whether it ends in the metal or runs out of it",
        ),
        *_SIZE_KEYS,
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
        *_SIZE_KEYS,
    ),
    "bore": (
        *PLACE_KEYS,
        Key(name="diameter", kind="length", least=SMALLEST, meaning="the finished diameter"),
        Key(
            name="finish_with",
            kind="choice",
            choices=("end mill", "boring head", "reamer"),
            default="end mill",
            meaning="what brings it to size",
        ),
        *_SIZE_KEYS,
        _BUSH,
    ),
    "hole": (
        *PLACE_KEYS,
        Key(
            name="diameter",
            kind="length",
            least=SMALLEST,
            meaning="the finished diameter; of a threaded hole the tapping drill, if not the usual",
        ),
        *_SIZE_KEYS,
        _BUSH,
        Key(name="spot", kind="flag", default=True, meaning="spot it first"),
        Key(
            name="pilot",
            kind="length",
            least=SMALLEST,
            meaning="diameter of a smaller drill to go first",
        ),
        Key(
            name="peck",
            kind="mixed",
            forms=("length", "flag"),
            least=0.05,
            meaning="depth of a peck, or false for none; left out: by depth and material",
        ),
        Key(name="ream", kind="flag", default=False, meaning="drill under size and ream"),
        Key(name="thread", kind="text", meaning="the thread to be tapped, as M4"),
        Key(
            name="tapping",
            kind="choice",
            choices=("by hand", "machine"),
            meaning="who taps it; by hand if left out",
        ),
        Key(
            name="drill_depth",
            kind="length",
            least=SHORTEST,
            meaning="of the drill, reamed or tapped",
        ),
        Key(name="counterbore", kind="table", meaning="flat-bottomed widening of the mouth"),
        Key(name="countersink", kind="table", meaning="cone at the mouth"),
    ),
    "edge": (
        Key(
            name="side",
            kind="choice",
            choices=("left", "right", "front", "back"),
            required=True,
            meaning="which side of the work, as it sits",
        ),
        Key(
            name="at",
            kind="length",
            required=True,
            meaning="x of the finished side, or y for front and back",
        ),
    ),
    "boss": (
        Key(name="outline", kind="outline", meaning="what stays standing"),
        Key(
            name="outlines",
            kind="outlines",
            entries=500,
            meaning="several of them, instead of outline",
        ),
        Key(name="within", kind="outline", meaning="how far to clear; default the metal's edge"),
        *_SIZE_KEYS,
    ),
    "arc": (
        Key(name="centre", kind="point", required=True, meaning="the arc's centre"),
        Key(name="radius", kind="length", over=0, required=True, meaning="the finished radius"),
        Key(name="start", kind="angle", required=True, meaning="the angle where it starts"),
        Key(name="end", kind="angle", required=True, meaning="the angle where it ends"),
        Key(
            name="side",
            kind="choice",
            choices=("outside", "inside"),
            required=True,
            meaning="on which side of the radius the metal goes",
        ),
        Key(
            name="from_radius",
            kind="length",
            over=0,
            meaning="where the cutting starts; default the metal's limit",
        ),
        Key(name="ends", kind="choice", choices=("open",), meaning="open lets the cutter run on"),
    ),
    STOP: (
        Key(name="text", kind="text", required=True, meaning="what the operator is to do"),
        Key(name="hold", kind="table", meaning="how the work is held from here on"),
    ),
}

FEATURE = KeyTable("[[setup.feature]]", COMMON, "[[setup]]")


def _common(kind: str) -> KeyTable:
    """What a kind has as every feature has it; a stop cuts nothing."""
    named = tuple(k for k in COMMON if k.name in ("name", "kind"))
    return KeyTable(FEATURE.header, named, FEATURE.inside) if kind == STOP else FEATURE


FEATURES: dict[str, KeyTable] = {kind: _common(kind).with_keys(*OWN_KEYS[kind]) for kind in KINDS}
