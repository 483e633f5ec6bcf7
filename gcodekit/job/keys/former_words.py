"""Words that are no longer, or not, those of job and workshop files, and the right ones."""

from __future__ import annotations

# What files said before 0.3.
FORMER_KEYS = {"reversal": "backlash"}
FORMER_VALUES = {
    "even load": "constant engagement",
    "follow outline": "contour parallel",
    "to and fro": "zigzag",
    "bull end mill": "bull-nose end mill",
    "ball end mill": "ball-nose end mill",
}

# What a workshop may say for a key or a kind. Common practice, no source.
SAID_FOR_KEYS = {
    "radius": "round",
    "fillet": "round",
    "dia": "diameter",
    "od": "diameter",
    "thru": "through",
    "tool": "cutter",
    "finish_with": "cutter",
    "doc": "stepdown",
    "woc": "stepover",
    "position": "at",
    "places": "at",
    "location": "at",
    "rpm": "speed",
    "bolt_circle": "pitch_circle",
    "pattern": "grid",
    "onion_skin": "skin",
    "bridges": "tabs",
    "z": "floor",
}
SAID_FOR_KINDS = {
    "drill": "hole",
    "drilling": "hole",
    "ream": "hole",
    "tap": "hole",
    "counterbore": "hole",
    "countersink": "hole",
    "boring": "bore",
    "contour": "profile",
    "cutout": "profile",
    "outline": "profile",
    "facing": "face",
    "groove": "slot",
    "keyway": "slot",
    "island": "boss",
    "stud": "boss",
    "radius": "arc",
    "bevel": "chamfer",
    "step": "edge",
}
