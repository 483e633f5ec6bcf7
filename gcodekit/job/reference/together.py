"""Which keys of a table go together, for what checks a file without reading it.

A way is a set of keys that together say one thing. The loader has its own eyes and better words
for these faults; the tests hold the two against each other. A table or kind that is not here has
no such rule.
"""

from __future__ import annotations

from gcodekit.job.keys.feature_keys import PLACE_KEYS
from gcodekit.job.keys.outline_keys import SHAPES

Ways = tuple[tuple[str, ...], ...]

_PLACES: Ways = tuple((k.name,) for k in PLACE_KEYS)
_DEPTHS: Ways = tuple((name,) for name in ("depth", "floor", "through", "until"))
_TRUE: Ways = (("fit",), ("limits",))

# Exactly one of the ways, by the table's header or the feature's kind. A way with a key that the
# table does not have yet counts for nothing.
ONE_OF: dict[str, tuple[Ways, ...]] = {
    "[stock]": ((("block",), ("round",), ("tube",), ("outline", "thickness")),),
    "polygon": ((("across_flats",), ("across_corners",)),),
    "row": ((("start",), ("centre",)),),
    "an outline": (tuple((shape,) for shape in SHAPES),),
    "spindle": ((("min", "max"), ("speeds",)),),
    "face": ((*_DEPTHS, ("leave",)),),
    "pocket": (_DEPTHS,),
    "slot": (_DEPTHS, (("from", "to"), ("path",))),
    "profile": (_DEPTHS, (("outline",), ("path",))),
    "bore": (_DEPTHS, _PLACES, (("diameter",), ("bush",))),
    "hole": (_PLACES,),
    "boss": (_DEPTHS, (("outline",), ("outlines",))),
    "arc": (_DEPTHS,),
    "tabs": ((("count",), ("at",)),),
}
# At most one of the ways.
NOT_BOTH: dict[str, tuple[Ways, ...]] = {
    "zero": ((("x",), ("on",)), (("y",), ("on",))),
    "an outline": ((("centre",), ("corner",)),),
    "[setup.hold]": ((("vise",), ("board",), ("chuck",)),),
    "pocket": (_TRUE,),
    "slot": (_TRUE,),
    "boss": (_TRUE,),
    "profile": ((("tabs",), ("skin",)), _TRUE),
    "bore": (_TRUE,),
    "hole": (_DEPTHS, _TRUE, (("diameter",), ("bush",)), (("thread",), ("bush",))),
    "bush": (_TRUE,),
    "edge": (_DEPTHS,),
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
}
# Words of a key that go with another key.
WORDS_WITH: dict[str, dict[str, tuple[str, tuple[str, ...]]]] = {
    "profile": {
        "outline": ("side", ("outside", "inside", "on")),
        "path": ("side", ("left", "right", "on")),
    },
}
# Keys that a cutter of some kind must have.
CUTTER_NEEDS: dict[str, str] = {
    "bull end mill": "corner_radius",
    "tap": "pitch",
    "thread mill": "pitch",
    "slitting saw": "thickness",
}
