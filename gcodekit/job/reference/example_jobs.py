"""A whole job round the example that the reference has of a kind of feature."""

from __future__ import annotations

from gcodekit.job.kinds import kinds

# The stock that the examples of every kind are drawn on.
TOP = """\
name     = "One {kind}"
units    = "mm"                      # "mm" or "inch": every length below
material = "aluminium"               # list: gcodekit materials
{workshop}
[stock]
block = [100, 60, 10]                # x, y, z

"""
SETUP = """\
[[setup]]
name = "Top"
zero = { x = "left", y = "front", z = "top" }

[setup.hold]
board = 12                           # fixed to a spoil board 12 mm thick

"""


def example_job(kind: str, *, workshop: str = "") -> str:
    """The text of a job with one feature of that kind; `workshop`: the line that names another
    than the built-in one."""
    example = kinds()[kind].example
    setup = "" if "[[setup]]" in example else SETUP
    return f"{TOP.format(kind=kind, workshop=workshop)}{setup}{example}\n"
