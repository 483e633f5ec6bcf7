"""A stop: nothing is cut, the operator does what is asked, and the holding may change."""

from __future__ import annotations

from gcodekit.job.features.kind import Kind
from gcodekit.job.keys.keys import Key

KIND = Kind(
    rank=90,
    keys=(
        Key(name="text", kind="text", required=True, meaning="what the operator is to do"),
        Key(name="hold", kind="table", meaning="how the work is held from here on"),
    ),
    text="""\
The program goes up, stops spindle and coolant, shows `text` and waits. What is written before it \
is cut before it, what is written behind it afterwards: nothing goes across. With `hold` the work \
is held that way from there on, all of it said anew; without, as before. That is how clamps are \
moved to reach what they stood on.""",
    example="""\
[[setup]]

[setup.hold]
board = 12
clamps = [{ at = [90, 30], size = [24, 30], height = 14 }]

[[setup.feature]]
kind = "pocket"
outline = { rectangle = [30, 20], centre = [25, 30], round = 4 }
depth = 3

[[setup.feature]]
kind = "stop"
text = "move the clamp to the left end"

[setup.feature.hold]
board = 12
clamps = [{ at = [10, 30], size = [24, 30], height = 14 }]

[[setup.feature]]
kind = "pocket"
outline = { rectangle = [30, 20], centre = [75, 30], round = 4 }
depth = 3""",
    see=("hold", "after"),
    read=None,
)
