"""RS-274 programs: text to moves. Knows nothing of whoever wrote the text."""

from gcodekit.rs274.moves import Conditions, Curve, Event, Move, Reading, Tool
from gcodekit.rs274.problems import Problem, ProblemList
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
