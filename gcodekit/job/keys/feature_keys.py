"""The keys that every feature has, and those of its places."""

from __future__ import annotations

from gcodekit.job.keys.keys import (
    FASTEST_SPEED,
    FINEST,
    SHORTEST,
    SLOWEST_FEED,
    SLOWEST_SPEED,
    Key,
    KeyTable,
)

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
        choices=("constant engagement", "contour parallel", "zigzag"),
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
    Key(name="kind", kind="choice", required=True, meaning="what the feature is"),
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

# Places of one feature: more than anyone drills.
MOST_PLACES = 5_000

PLACE_KEYS = (
    Key(name="at", kind="points", entries=MOST_PLACES, meaning="one place or a list"),
    Key(name="row", kind="table", meaning="places in a row"),
    Key(name="grid", kind="table", meaning="places in rows and columns"),
    Key(name="pitch_circle", kind="table", meaning="places on a circle"),
    Key(name="polar", kind="table", meaning="places by radius and angle"),
)
NAMED_PLACES = Key(
    name="places",
    kind="mixed",
    forms=("text", "texts"),
    entries=100,
    meaning="name of one of [places], or a list of names",
)

# The same as ways of which one is taken.
PLACE_WAYS = tuple((key.name,) for key in (*PLACE_KEYS, NAMED_PLACES))

FEATURE = KeyTable("[[setup.feature]]", COMMON, "[[setup]]")
