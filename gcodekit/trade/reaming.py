"""What is left in a hole for the reamer."""

from __future__ import annotations

# (up to this diameter in mm, metal left on the diameter in mm). Common practice, no source.
REAMING_ALLOWANCE = ((5.0, 0.1), (10.0, 0.2), (20.0, 0.25), (50.0, 0.3))


def reaming_allowance(diameter: float) -> float:
    """Metal to leave on the diameter of a hole that will be reamed, mm."""
    for up_to, allowance in REAMING_ALLOWANCE:
        if diameter <= up_to:
            return allowance
    return 0.4
