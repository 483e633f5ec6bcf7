"""The limits of 60 degree screw threads: pitch, major and minor diameter of a tolerance class.

Basic profile of ISO 68-1; fundamental deviations and tolerances by the formulae of ISO 965-1 (from
memory, held against its tables in the tests). The tables round what the formulae give to R 40
numbers, by no more than 5 %. One rule serves any pitch, that of unified threads too: their profile
is the same.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass

from gcodekit.trade.size_limits import UnknownFitError

# ISO 68-1: of the pitch, what the pitch diameter, and that at the crests inside, is smaller than
# the major; the height of the sharp triangle, and half the angle between the flanks.
TO_PITCH_DIAMETER = 3 * math.sqrt(3) / 8
TO_MINOR = 5 * math.sqrt(3) / 8
SHARP_HEIGHT = math.sqrt(3) / 2
HALF_ANGLE = math.radians(30)
# ISO 965-1: the tolerances of grade 6 are taken times these.
CREST_GRADES = {4: 0.63, 5: 0.8, 6: 1.0, 7: 1.25, 8: 1.6}
OUTSIDE_GRADES = {3: 0.5, 4: 0.63, 5: 0.8, 6: 1.0, 7: 1.25, 8: 1.6, 9: 2.0}
INSIDE_GRADES = {4: 0.85, 5: 1.06, 6: 1.32, 7: 1.7, 8: 2.12}
# Classes that may be asked for; the outside's crests have tolerances of even grades only.
INSIDE = ("4H", "5H", "6H", "7H", "8H", "6G", "7G")
OUTSIDE = ("4h", "6h", "6g", "6f", "6e", "8g")
USUAL_INSIDE, USUAL_OUTSIDE = "6H", "6g"
# Steps of diameters, mm: a step's geometric mean counts.
_STEPS = (0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45.0, 90.0, 180.0, 355.0)
LARGEST = _STEPS[-1]
# Finer pitches are watchmakers', coarser ones are beyond the standard, mm.
FINEST_PITCH, COARSEST_PITCH = 0.2, 8.0

Limits = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadLimits:
    """The limits of one thread, mm, diameters as (least, most). `crest`: of the bore it is cut in,
    or of the boss it is cut on; `root`: where its groove ends, which the standard limits on one
    side only; the other is where sharp flanks would meet."""

    internal: bool
    major: float
    pitch: float
    fit: str
    effective: Limits
    crest: Limits
    root: Limits

    @property
    def aim(self) -> float:
        """The pitch diameter aimed at: the middle."""
        return sum(self.effective) / 2


def thread_limits(*, major: float, pitch: float, fit: str, internal: bool) -> ThreadLimits:
    """The limits of a thread of this major diameter and pitch, mm, in a class such as 6H or 6g.
    Raises `UnknownFitError`."""
    grade, letter = int(fit[0]), fit[1:]
    off = _deviation(letter, pitch)
    basic, minor = major - TO_PITCH_DIAMETER * pitch, major - TO_MINOR * pitch
    unit = 0.09 * math.pow(pitch, 0.4) * math.pow(_step(major), 0.1)
    sharp = SHARP_HEIGHT * pitch
    if internal:
        low = basic + off
        high = low + INSIDE_GRADES[grade] * unit
        crest = (minor + off, minor + off + CREST_GRADES[grade] * _inside_crest(pitch))
        root = (major + off, high + sharp)
    else:
        high = basic - off
        low = high - OUTSIDE_GRADES[grade] * unit
        crest = (major - off - CREST_GRADES[grade] * _outside_crest(pitch), major - off)
        root = (low - sharp, minor - off)
    if root[0] <= 0 or crest[0] <= 0:
        raise UnknownFitError("the pitch is too coarse for this diameter", "give a finer pitch")
    return ThreadLimits(
        internal=internal, major=major, pitch=pitch, fit=fit, effective=(low, high), crest=crest,
        root=root,
    )  # fmt: skip


def _step(major: float) -> float:
    """The geometric mean of its step of diameters."""
    at = min(max(bisect_right(_STEPS, major), 1), len(_STEPS) - 1)
    return math.sqrt(_STEPS[at - 1] * _STEPS[at])


def _deviation(letter: str, pitch: float) -> float:
    """The fundamental deviation into the material, mm."""
    base, share = {"h": (0, 0), "g": (15, 11), "f": (30, 11), "e": (50, 11)}[letter.lower()]
    return (base + share * pitch) / 1000


def _inside_crest(pitch: float) -> float:
    """Tolerance of an internal thread's minor diameter in grade 6, mm."""
    if pitch < 1:
        return 0.433 * pitch - 0.190 * math.pow(pitch, 1.22)
    return 0.230 * math.pow(pitch, 0.7)


def _outside_crest(pitch: float) -> float:
    """Tolerance of an external thread's major diameter in grade 6, mm."""
    return 0.180 * math.pow(pitch, 2 / 3) - 0.00315 / math.sqrt(pitch)
