"""A check that planning and proof have the right stock in later set-ups.

They have it from sections of what earlier set-ups took away. Here its limits and the areas of ten
sections are held against solids cut in set-up order: one of which as little is gone as its cutters
reach, one of which as much is gone as the drawing allows. What planning uses must lie between.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from manifold3d import CrossSection, Manifold
from shapely.geometry.base import BaseGeometry

from gcodekit.errors import Fault
from gcodekit.job.model import Job, Setup
from gcodekit.remaining.stock_solids import begun_with, gone_after_each, heights
from gcodekit.target.kind_target import target_kind
from gcodekit.target.planar import SOLID_SAG
from gcodekit.target.volumes import Finish
from gcodekit.units import MM_PER_INCH, format_length

# Limits differ by no more than this, mm.
LIMITS_DIFFER = 0.01
# Sections looked at, and how far off the height an edge may lie, mm.
SECTIONS, HEIGHT_NEAR = 10, 0.004
# Of a section's rim, how far off its chords lie on either side together, mm; and the least area
# that counts, mm2.
RIM_SAG, LEAST_SECTION = 4 * SOLID_SAG, 0.05
STOCK_SIDES = (("left", 0, 0), ("front", 1, 0), ("bottom", 2, 0), ("right", 0, 1), ("back", 1, 1),
         ("top", 2, 1))  # fmt: skip
Section = Callable[[Setup, float], BaseGeometry]


def disagreements(job: Job, finishes: Mapping[str, Finish], section: Section) -> Iterator[Fault]:
    """A fault for every set-up whose stock is not what planning and proof believe.

    Parameters
    ----------
    job : with the set-ups as they were planned, each with the stock it begins with
    section : the section of a set-up's stock at a height, program coordinates, as they have it
    """
    if len(job.setups) < 2:
        return
    most_gone, least_gone = (gone_after_each(job, finishes, e) for e in ("most", "least"))
    for number, setup in enumerate(job.setups):
        if number == 0 or not any(s.features for s in job.setups[:number]):
            continue
        most, least = (begun_with(job, number, gone) for gone in (least_gone, most_gone))
        if most.is_empty() or least.is_empty():
            # it takes a piece that is not there: `loose_pieces` says so
            continue
        text = next(_limits(job, number, least, most), None)
        text = text or next(_sections(job, setup, least, most, section), None)
        if text is not None:
            hint = "this is a defect of gcodekit, not of the job: no program is written"
            yield Fault(setup.place, f"{setup.name}: {text}", hint)


def _limits(job: Job, number: int, least: Manifold, most: Manifold) -> Iterator[str]:
    """The faults in the limits of a set-up's stock."""
    setup = job.setups[number]
    box = (setup.left.low, setup.left.high)
    # of a kerf or an allowance, the limits count on the least there may be
    loose = any(
        target_kind(f).kerf_wide or not f.cutting.finish
        for s in job.setups[:number]
        for f in s.features
    )
    for name, axis, end in STOCK_SIDES:
        sign = 1 if end else -1
        used = sign * box[end][axis]
        low, high = (sign * body.bounding_box()[axis + 3 * end] for body in (least, most))
        if used < low - LIMITS_DIFFER or (used > high + LIMITS_DIFFER and not loose):
            wrong = low if used < low - LIMITS_DIFFER else high
            say = [format_length(round(sign * v, 3), job.units) for v in (used, wrong)]
            yield (
                f"{name} of the stock left by earlier set-ups assumed at {say[0]}: "
                f"cut as drawn it is at {say[1]}"
            )


def _sections(
    job: Job, setup: Setup, least: Manifold, most: Manifold, section: Section
) -> Iterator[str]:
    """The faults in the sections of a set-up's stock."""
    for z in heights(most, SECTIONS):
        used = section(setup, z)
        slack = LEAST_SECTION + RIM_SAG * used.length
        near = (z - HEIGHT_NEAR, z, z + HEIGHT_NEAR)
        low = min(_area(least.slice(h)) for h in near) - slack
        high = max(_area(most.slice(h)) for h in near) + slack
        if not low <= used.area <= high:
            wrong = low if used.area < low else high
            yield (
                f"stock left by earlier set-ups assumed to have {_of(used.area, job)} at "
                f"Z {format_length(round(z, 3), job.units)}: cut as drawn it has {_of(wrong, job)}"
            )


def _of(area: float, job: Job) -> str:
    """An area in words, of mm2."""
    return f"{area:.2f} mm2" if job.units == "mm" else f"{area / MM_PER_INCH**2:.4f} in2"


def _area(section: CrossSection) -> float:
    return float(section.area())
