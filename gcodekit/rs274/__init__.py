"""RS-274 programs: text to moves. Knows nothing of whoever wrote the text."""

from gcodekit.rs274.program_read import Move, Problem, ReadProgram, Tool
from gcodekit.rs274.reader import read_program

__all__ = ["Move", "Problem", "ReadProgram", "Tool", "read_program"]
