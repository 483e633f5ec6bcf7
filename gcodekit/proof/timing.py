"""How fast a machine of limited acceleration goes along a path: look-ahead over joined moves.

The path's speed rises and falls at no more than the machine's acceleration a. Four limits hold:

move
    v <= the feed, or what a rapid may do.
arc
    v^2 <= a r: the pull to the centre is no more than a (Newton's v^2 / r).
corner
    Between two moves that turn by t the centre line of the motion is taken for an arc of radius R
    that touches both and leaves the corner by a deviation d: R = d cos(t/2) / (1 - cos(t/2)), and
    v^2 <= a R as on any arc. It may begin no farther from the corner than half way along the
    shorter of the two, R <= length / 2 / tan(t/2), so that a circle cut in short straight moves
    takes as long as the circle. Whole straight runs count here, into however many moves they are
    divided.
stop
    v = 0 wherever the program, or the way it is run, makes the machine stand.

Speeds at the joints then follow from a pass backwards (nowhere so fast that what comes cannot be
met) and one forwards (nowhere faster than could be gathered); between joints each move is a
trapezoid or a triangle of speed against time. The acceleration is along the path in every
direction, rapids too: the workshop file names one figure, and with it no axis ever does more.

d follows from the path control in force. NISTIR 6556 names the three (table 5: exact path, exact
stop, continuous) and leaves to the control what they do at a corner; what is taken here is common
practice, no source:

exact stop (G61.1)
    The machine stands at the end of every move.
exact path (G61)
    A turn sharper than SHARP_TURN is a stop. A lesser one is run through with d = PATH_GRAIN, what
    the text's last decimal leaves open: joined arcs, and lines that follow a curve.
continuous (G64)
    d = CORNER_ROUNDING at every corner; a P beside G64, which the report does not have, is not
    looked at. Speed is reckoned along the path as written, corners and all. So is a program that
    names none: the report's sessions run so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

# Common practice, no source: 90 degrees is a corner to everyone, chords of a curve turn by less
# than this at the sags that programs are written with.
SHARP_TURN = math.radians(15)
# The last decimal of most programs in mm.
PATH_GRAIN = 0.001
# Common practice, no source: what a small mill may round a corner by unnoticed.
CORNER_ROUNDING = 0.05
# Of two moves that the shorter leads sideways by less than this, mm, the turn is rounding.
NO_TURN = 1e-9

EXACT_PATH, EXACT_STOP, CONTINUOUS = 0, 1, 2


@dataclass(frozen=True, slots=True)
class TimedWay:
    """Joined moves in running order, none of no length.

    Attributes
    ----------
    length : (n,) mm
    limit : (n,) mm/s, above zero
    bend : (n,) radius of curvature, mm, infinite for a line
    leaving, arriving : (n, 3) unit vectors of the path at each move's start and end
    stop : (n,) whether the machine stands before the move; at the very end it always does
    control : (n,) which path control each move is made under
    """

    length: Array
    limit: Array
    bend: Array
    leaving: Array
    arriving: Array
    stop: Flags
    control: NDArray[np.int64]


def seconds(way: TimedWay, acceleration: float) -> Array:
    """(n,) how long each move takes; `acceleration` in mm/s2, infinite for none to mind."""
    if not len(way.length) or math.isinf(acceleration):
        return way.length / way.limit
    most = np.minimum(way.limit**2, acceleration * way.bend)
    caps = np.zeros(len(most) + 1)
    caps[1:-1] = np.minimum(acceleration * corner_radius(way), np.minimum(most[:-1], most[1:]))
    at = _look_ahead(caps, 2 * acceleration * way.length)
    before, after = at[:-1], at[1:]
    peak = np.minimum(most, (before + after) / 2 + acceleration * way.length)
    ramps = (2 * np.sqrt(peak) - np.sqrt(before) - np.sqrt(after)) / acceleration
    steady = way.length - (2 * peak - before - after) / (2 * acceleration)
    return ramps + np.maximum(steady, 0.0) / np.sqrt(most)


def corner_radius(way: TimedWay) -> Array:
    """(n - 1,) mm, of one move or more: the radius that the turn from each to the next may be taken
    at; 0 for a stop, infinite where there is no turn."""
    out, into = way.arriving[:-1], way.leaving[1:]
    # of half the turn; from chords, for 1 - cos loses small angles
    sine = np.linalg.norm(into - out, axis=1) / 2
    cosine = np.linalg.norm(into + out, axis=1) / 2
    shorter = np.minimum(way.length[:-1], way.length[1:])
    straight = (cosine > sine) & (shorter * 2 * sine * cosine < NO_TURN)
    reach = _reach(way, straight)
    control = way.control[:-1]
    deviation = np.where(control == CONTINUOUS, CORNER_ROUNDING, PATH_GRAIN)
    with np.errstate(divide="ignore", invalid="ignore"):
        touching = deviation * cosine * (1 + cosine) / sine**2
        radius = np.minimum(touching, reach / 2 * cosine / sine)
    radius[straight] = math.inf
    sharp = (control == EXACT_PATH) & (sine > math.sin(SHARP_TURN / 2))
    radius[way.stop[1:] | sharp | (control == EXACT_STOP)] = 0.0
    return np.asarray(radius, dtype=np.float64)


def _reach(way: TimedWay, straight: Flags) -> Array:
    """(n - 1,) mm at each joint: the length of the shorter of the two runs that meet there; lines
    that go straight on are one run."""
    line = np.isinf(way.bend)
    run = np.concatenate(([0], np.cumsum(~(straight & line[:-1] & line[1:]))))
    whole = np.bincount(run, weights=way.length)[run]
    return np.minimum(whole[:-1], whole[1:])


def _look_ahead(caps: Array, gains: Array) -> Array:
    """(n + 1,) squares of the speed at every joint: at most `caps`, and from one to the next no
    farther apart than `gains`.

    Each joint waits for its neighbour, so this is a walk through plain floats: numpy's running
    minimum would do it too, but along a long path its sums lose what the shortest moves gain.
    """
    at, gain = caps.tolist(), gains.tolist()
    speed = at[-1]
    for i in range(len(gain) - 1, -1, -1):
        speed += gain[i]
        if speed < at[i]:
            at[i] = speed
        else:
            speed = at[i]
    speed = at[0]
    for i, more in enumerate(gain, start=1):
        speed += more
        if speed < at[i]:
            at[i] = speed
        else:
            speed = at[i]
    return np.array(at)
