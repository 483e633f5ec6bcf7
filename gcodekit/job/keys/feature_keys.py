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
    Key(
        name="top", kind="expression", default=0.0, meaning="program Z that depth is measured from"
    ),
    Key(name="depth", kind="length", least=SHORTEST, meaning="depth below top"),
    Key(name="floor", kind="length", meaning="program Z of the floor; negative below Z 0"),
    Key(name="through", kind="flag", default=False, meaning="cut right through the stock"),
    Key(
        name="until",
        kind="text",
        meaning="name of a feature of an earlier set-up; stop on breaking into it",
        text="The cut goes on into it by the breakthrough of the set-up, but no farther than "
        "half-way to its far side. The point of a drill may go further.",
    ),
)

CUTTING_KEYS = (
    Key(
        name="cutter",
        kind="mixed",
        forms=("count", "text"),
        meaning="number or name of the finishing cutter",
        unset="chosen from the rack",
    ),
    Key(
        name="rough_with",
        kind="mixed",
        forms=("count", "text"),
        meaning="number or name of the roughing cutter",
        unset="chosen from the rack",
    ),
    Key(
        name="rough",
        kind="mixed",
        forms=("flag", "choice"),
        choices=("constant engagement", "contour parallel", "zigzag"),
        default=True,
        meaning="roughing: on, off, or the method",
    ),
    Key(name="finish", kind="flag", default=True, meaning="finishing passes: on or off"),
    Key(
        name="allowance",
        kind="table",
        meaning="stock that roughing leaves for finishing",
        unset="by the cutter's diameter",
    ),
    Key(
        name="spring_passes",
        kind="count",
        default=0,
        least=0,
        most=20,
        meaning="number of repeats of the last finishing pass",
    ),
    Key(
        name="cut",
        kind="choice",
        choices=("climb", "conventional"),
        meaning="milling direction",
        unset="climb if backlash is 0.02 mm or less, else conventional",
    ),
    Key(
        name="speed",
        kind="speed",
        least=SLOWEST_SPEED,
        most=FASTEST_SPEED,
        meaning="spindle speed",
        unset="from material, cutter and machine",
    ),
    Key(
        name="feed",
        kind="feed",
        least=SLOWEST_FEED,
        meaning="cutting feed; drilling feed for a hole",
        unset="from material, cutter and machine",
    ),
    Key(
        name="plunge_feed",
        kind="feed",
        least=SLOWEST_FEED,
        meaning="plunge feed; drilling feed for a hole",
        unset="from material, cutter and machine",
    ),
    Key(
        name="stepdown",
        kind="length",
        least=FINEST,
        meaning="depth of cut: greatest depth of a roughing pass",
        unset="from material, cutter and machine",
    ),
    Key(
        name="stepover",
        kind="length",
        least=FINEST,
        meaning="width of cut: greatest width of a roughing pass",
        unset="from material, cutter and machine",
    ),
)

COMMON = (
    Key(
        name="name",
        kind="text",
        meaning="name used in messages and the report",
        unset="the kind and a number, such as hole 2",
    ),
    Key(name="kind", kind="choice", required=True, meaning="kind of feature"),
    *DEPTH_KEYS,
    *CUTTING_KEYS,
    Key(name="after", kind="text", meaning="name of a feature that must be cut before this one"),
    Key(
        name="from_setup",
        kind="text",
        meaning="name of an earlier set-up whose coordinates place this feature",
        unset="this set-up's coordinates",
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
        Key(name="wall", kind="length", least=0, most=10, meaning="stock left on walls"),
        Key(name="floor", kind="length", least=0, most=10, meaning="stock left on the floor"),
    ),
    "[[setup.feature]]",
)

# Places of one feature: more than anyone drills.
MOST_PLACES = 5_000

PLACE_KEYS = (
    Key(name="at", kind="points", entries=MOST_PLACES, meaning="one point or a list of points"),
    Key(name="row", kind="table", meaning="points in a row"),
    Key(name="grid", kind="table", meaning="points in rows and columns"),
    Key(name="pitch_circle", kind="table", meaning="points on a circle (bolt circle)"),
    Key(name="polar", kind="table", meaning="points by radius and angle"),
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
