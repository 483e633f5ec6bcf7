"""RS-274 programs: text to moves. Knows nothing of whoever wrote the text."""

from gcodekit.rs274.program_read import (
    Conditions,
    Curve,
    Event,
    Move,
    Problem,
    ProblemList,
    Reading,
    Tool,
)
from gcodekit.rs274.reader import read_program

__all__ = [
    "Conditions",
    "Curve",
    "Event",
    "Move",
    "Problem",
    "ProblemList",
    "Reading",
    "Tool",
    "read_program",
]
