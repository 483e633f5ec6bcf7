"""Which keys of a table go together, for what checks a file without reading it.

A way is a set of keys that together say one thing. The loader has its own eyes and better words
for these faults; the tests hold the two against each other. A table or kind that is not here has
no such rule.
"""

from __future__ import annotations

from collections.abc import Mapping

from gcodekit.job.features.kind import SIZE_WAYS, KeyWays
from gcodekit.job.keys.feature_keys import PLACE_KEYS
from gcodekit.job.keys.outline_keys import SHAPES
from gcodekit.job.kinds import kinds

# Exactly one of the ways, by the table's header. A way with a key that the table does not have yet
# counts for nothing.
_ONE_OF: dict[str, tuple[KeyWays, ...]] = {
    "[stock]": ((("block",), ("round",), ("tube",), ("outline", "thickness")),),
    "polygon": ((("across_flats",), ("across_corners",)),),
    "row": ((("start",), ("centre",)),),
    "an outline": (tuple((shape,) for shape in SHAPES),),
    "spindle": ((("min", "max"), ("speeds",)),),
    "tabs": ((("count",), ("at",)),),
    "an entry of [places]": (tuple((key.name,) for key in PLACE_KEYS),),
}
# At most one of the ways.
_NOT_BOTH: dict[str, tuple[KeyWays, ...]] = {
    "zero": ((("x",), ("on",)), (("y",), ("on",))),
    "an outline": ((("centre",), ("corner",)),),
    "[setup.hold]": ((("vise",), ("board",), ("chuck",)),),
    "bush": (SIZE_WAYS,),
    "a path's entry": ((("centre",), ("radius",), ("via",)), (("round",), ("bevel",))),
    "[[material]]": ((("kc", "mc"), ("energy",)),),
}
# A key that needs others beside it.
NEEDS: dict[str, dict[str, tuple[str, ...]]] = {
    "[setup.hold]": {"parallels": ("vise",)},
    "a path's entry": {
        "centre": ("turn",),
        "radius": ("turn",),
        "large": ("radius",),
    },
    "[[material]]": {"kc": ("mc",), "mc": ("kc",)},
    "an entry of [measured]": {
        "nominal": ("measured",),
        "measured": ("nominal",),
        "depth_nominal": ("depth_measured",),
        "depth_measured": ("depth_nominal",),
    },
}
# Keys that a cutter of some kind must have.
CUTTER_NEEDS: dict[str, str] = {
    "bull-nose end mill": "corner_radius",
    "tap": "pitch",
    "slitting saw": "thickness",
}


def one_of(name: str) -> tuple[KeyWays, ...]:
    """Groups of ways of which exactly one is taken, of a table's header or a feature's kind."""
    return kinds()[name].one_of if name in kinds() else _ONE_OF.get(name, ())


def not_both(name: str) -> tuple[KeyWays, ...]:
    """Groups of ways of which at most one is taken."""
    return kinds()[name].not_both if name in kinds() else _NOT_BOTH.get(name, ())


def words_with(name: str) -> Mapping[str, tuple[str, tuple[str, ...]]]:
    """By key: another key, and the words of it that go with this one."""
    return kinds()[name].words_with if name in kinds() else {}
