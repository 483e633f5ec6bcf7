"""What is left in a hole for the reamer."""

from __future__ import annotations

# (up to this diameter in mm, metal left on the diameter in mm). From 2.29 to 22.35 mm the lower
# half of what a reamer maker's chart prints; smaller and larger common practice, no source.
REAMING_ALLOWANCE = ((2.2, 0.1), (4.32, 0.15), (7.11, 0.2), (22.35, 0.3))
LARGEST = 0.4


def reaming_allowance(diameter: float) -> float:
    """Metal to leave on the diameter of a hole that will be reamed, mm."""
    for up_to, allowance in REAMING_ALLOWANCE:
        if diameter <= up_to:
            return allowance
    return LARGEST
