"""The plain motion line, the bulk of every program, read by one pattern.

A line of G0 to G3 with its words in the usual order is matched as a whole. Whatever does not match,
or breaks a rule, is left to the full interpreter, which says what is wrong; a line that is read
here means the same there.
"""

from __future__ import annotations

import re
from dataclasses import replace

from gcodekit.rs274.exact_arcs import BlockError, arc_by_centre, arc_by_radius
from gcodekit.rs274.expressions import NUMBER_PATTERN
from gcodekit.rs274.motion import go, go_round
from gcodekit.rs274.program_read import CircularPart, Point3
from gcodekit.rs274.state import State
from gcodekit.rs274.words import LARGEST_NUMBER, LONGEST_BLOCK

_WORDS = "".join(rf"(?:{letter}({NUMBER_PATTERN})[ \t]*+)?" for letter in "XYZIJRF")
_PLAIN_MOTION = re.compile(
    rf"[ \t]*+(?:N[0-9]{{1,5}}[ \t]*+)?(?:G0?([0-3])[ \t]*+)?{_WORDS}"
).fullmatch


def read_plain(state: State, line: str) -> bool:
    """Execute a plain motion line. False: it is none, and nothing that matters was changed."""
    found = _PLAIN_MOTION(line)
    if found is None:
        return False
    code, x, y, z, i, j, r, f = found.groups()
    motion = state.motion if code is None else int(code) * 10
    if motion is None or motion > 30 or state.compensation is not None or len(line) > LONGEST_BLOCK:
        return False
    if (x is None and y is None and z is None) or state.conditions.inverse_time:
        return False
    target = _target(state, x, y, z)
    if target is None:
        return False
    end, known = target
    most = LARGEST_NUMBER
    if not (-most < end[0] < most and -most < end[1] < most and -most < end[2] < most):
        return False
    curve = None
    if motion > 10:
        curve = (
            _round(state, end, motion == 30, i, j, r) if x is not None or y is not None else None
        )
        if curve is None:
            return False
    elif not (i is None and j is None and r is None):
        return False
    # last of all, for nothing may be changed by a line that is left to the full interpreter
    if f is not None and not _feed(state, float(f)):
        return False
    if curve is None:
        go(state, end, known, rapid=motion == 0)
    else:
        go_round(state, end, known, curve)
    state.sticky = None
    state.motion = motion
    state.blocks += 1
    return True


def _target(state: State, x: str | None, y: str | None, z: str | None) -> tuple[Point3, int] | None:
    """Return the place the axis words name, and the axes known there; None if a word is out of
    range, wherever it would lead."""
    known, unit, absolute, most = state.known, state.unit, state.absolute, LARGEST_NUMBER
    # an increment is added to where it stands, a place to where zero is
    px, py, pz = state.position
    ax, ay, az = state.shift if absolute else state.position
    if x is not None:
        value = float(x)
        if not -most <= value <= most:
            return None
        px = value * unit + ax
        known |= absolute
    if y is not None:
        value = float(y)
        if not -most <= value <= most:
            return None
        py = value * unit + ay
        known |= absolute << 1
    if z is not None:
        value = float(z)
        if not -most <= value <= most:
            return None
        pz = value * unit + az
        known |= absolute << 2
    return (px, py, pz), known


def _feed(state: State, value: float) -> bool:
    if not 0 <= value <= LARGEST_NUMBER:
        return False
    feed = value * state.unit
    conditions = state.conditions
    if feed != conditions.feed or not conditions.feed_set:
        state.conditions = replace(conditions, feed=feed, feed_set=True)
    return True


def _round(
    state: State,
    end: Point3,
    ccw: bool,
    i: str | None,
    j: str | None,
    r: str | None,
) -> CircularPart | None:
    """An arc of the XY plane; None if there is none."""
    if state.conditions.plane != 17:
        return None
    start, unit = state.position, state.unit
    try:
        if r is None and (i is not None or j is not None):
            u, v = float(i or 0.0) * unit, float(j or 0.0) * unit
            curve = arc_by_centre(start, end, u, v, ccw=ccw, plane=17, unit=unit)
        elif r is not None and i is None and j is None:
            curve = arc_by_radius(start, end, float(r) * unit, ccw=ccw, plane=17, unit=unit)
        else:
            return None
    except BlockError:
        # again with every word's column, for the message
        return None
    return curve if curve.radius <= LARGEST_NUMBER else None
