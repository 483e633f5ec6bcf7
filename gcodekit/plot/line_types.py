"""The lines of the sheet: widths and dashes as ISO 128-2 has them for line group 0.5, mm."""

from __future__ import annotations

# ISO 128-2, line group 0.5: wide and narrow lines, two to one. Tool paths are no lines of a
# drawing: they are thinner than any.
WIDE, NARROW, PATH = 0.5, 0.25, 0.18
# ISO 128-2: dashes are 12, long dashes 24 line widths, gaps 3, dots not more than half a width
# (round ends make them up to a whole one); in small views they may be shorter.
_D = NARROW
# 02.1, hidden edges.
HIDDEN = f"{12 * _D * 0.7:g} {3 * _D:g}"
# 04.1, centre lines.
CENTRE = f"{24 * _D * 0.8:g} {4 * _D:g} {0.2 * _D:g} {4 * _D:g}"
# 05.1, the outline of a blank, with the finished part drawn in it.
BLANK = f"{24 * _D:g} {4 * _D:g} {0.2 * _D:g} {4 * _D:g} {0.2 * _D:g} {4 * _D:g}"
# 01.1 with zigzags: where a body is broken off. Width and height of a zigzag, mm on the paper.
ZIGZAG = (2.4, 1.6)
# No line of the standard: rapid moves, and the height they are made at.
RAPID = "1.6 1.1"
CLEARANCE = "5 1.2 1.6 1.2"

# ISO 129-1, arrowheads closed and filled, 30 degrees at most: length and half their width, mm.
ARROW = (2.2, 0.4)
