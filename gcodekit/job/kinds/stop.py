"""A stop: nothing is cut, the operator does what is asked, and the holding may change."""

from __future__ import annotations

from gcodekit.job.features.kind import Kind
from gcodekit.job.keys.keys import Key

KIND = Kind(
    rank=90,
    keys=(
        Key(name="text", kind="text", required=True, meaning="instruction to the operator"),
        Key(name="hold", kind="table", meaning="work-holding from here on", unset="as before"),
    ),
    text="""\
The program retracts, stops spindle and coolant, shows `text` and waits for the operator. \
Features written above it are cut before it, features below it afterwards. With `hold` the \
work-holding changes from there on: give all of it again. That is how clamps are moved to reach \
what they stood on.""",
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
