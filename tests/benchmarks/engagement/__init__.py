"""How a cutter bites along a program's own moves, found exactly: the circle of the cutter against
all that earlier moves have swept. Reads programs with `gcodekit.rs274` and knows nothing else of
what wrote them.
"""
