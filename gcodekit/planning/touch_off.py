"""Where each cutter can be touched off, and the z to set there."""

from __future__ import annotations

from gcodekit.job.model import Face, Job, Setup
from gcodekit.operations.draft import Draft
from gcodekit.units import MM_PER_INCH


def touch_off_words(job: Job, setup: Setup, drafts: list[Draft]) -> dict[int, str]:
    """For each cutter's number: the surface that stands when it comes, and its z."""
    top, surface = setup.raw.high[2], "the raw top"
    words: dict[int, str] = {}
    for draft in drafts:
        words.setdefault(draft.cutter.number, f"touch {surface}, set Z {_z(job, top)}")
        feature = draft.feature
        if isinstance(feature, Face) and feature.outline is None:
            top, surface = feature.depth.floor, "the faced top"
    return words


def _z(job: Job, z: float) -> str:
    value, unit = (z / MM_PER_INCH, "inch") if job.units == "inch" else (z, "mm")
    return f"{value + 0.0:.4g} {unit}" if abs(value) > 1e-9 else "0"
