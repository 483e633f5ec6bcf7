"""Every tolerance of the geometry, with its reason. All mm unless said otherwise."""

from __future__ import annotations

import math

# Two points nearer than this are one point: far below any machine's resolution, far above
# rounding in double precision at 10 m.
SAME_POINT = 1e-7

# A piece of a chain shorter than this is rounding, not drawing; its ends must not be one point, or
# a piece of an arc would be taken for the whole circle.
SHORTEST_PIECE = 2 * SAME_POINT

# Chords of the polygons handed to the overlay and offset engines leave the true curve by this
# at most. Ten times finer than the stated error of 0.001 mm, so that what the engine decides
# (what is cut off, what stays) is decided rightly to well within it.
ENGINE_SAG = 1e-4

# An edge of an engine's result belongs to a curve when its ends and middle lie this near to it:
# thirty times the sag, and far less than any two features of a drawing are apart.
LABEL = 3e-3

# A gap or neck is measured with this to spare, so that a neck exactly as wide as the cutter is
# open: more than rounding and than the millionth of the distance within which GEOS makes two
# points one; with arcs in the outline the sag of their chords as well.
PASSABLE = 2e-5
PASSABLE_ARCS = PASSABLE + ENGINE_SAG

# The engines round to this grid: two lines of different outlines that were meant to be the same
# line become it. A thousandth of the label tolerance.
ENGINE_GRID = 1e-6

# A ring with less mean width than this is a sliver between two outlines meant to coincide.
SLIVER = 1e-3

# A ring shorter than this is a point: where exactly the cutter fits and nothing more.
POINT_RING = 2e-3

# Neighbouring curves nearer than this over their common run are one curve.
SAME_CURVE = 1e-6

# Two directions nearer than this (radians) are tangent: drawn fillets are this good.
SAME_DIRECTION = 1e-6

# Nothing lies further out: clipper coordinates (scale below) then stay inside 2**53.
FARTHEST_OUT = 10_000.0

# Clipper works on whole numbers: this many to the millimetre.
CLIPPER_SCALE = 1e6

# A centre given for an arc may be this far from equally far from both ends: drawings are
# dimensioned to 0.001 mm, and both ends may be rounded.
ARC_MISMATCH = 2e-3

# The widest chord of any flattened arc (radians), whatever its sag.
WIDEST_CHORD = math.pi / 8

# Drawn chains are checked for crossings, and rings for nesting, as chords this close.
CHECK_SAG = 1e-3

# Chords of the areas that are metal, or were, stay this near their arc, with their ends on it:
# inside a disc, outside a round hole. Under half of the 0.0005 mm that the proof may lose on discs.
METAL_SAG = 2e-4

# An arc put to places turns no further (radians): its bulge is well told up to a half circle.
WIDEST_FITTED = math.radians(150)
