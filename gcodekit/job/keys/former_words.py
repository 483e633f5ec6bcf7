"""Words that job and workshop files used before 0.3, and what has taken their place."""

from __future__ import annotations

FORMER_KEYS = {"reversal": "backlash"}
FORMER_VALUES = {
    "even load": "constant engagement",
    "follow outline": "contour parallel",
    "to and fro": "zigzag",
    "bull end mill": "bull-nose end mill",
    "ball end mill": "ball-nose end mill",
}
