"""Sizes that have limits, in words: for the head of a program and for who measures the part."""

from __future__ import annotations

from collections.abc import Iterator

from gcodekit.job.band import Band
from gcodekit.job.feature import Feature, Round
from gcodekit.job.model import Setup
from gcodekit.job.workshop.machine import Units
from gcodekit.units import format_length


def size_lines(setup: Setup, units: Units) -> Iterator[str]:
    """A line for each feature whose size has limits, copies with what they are copies of."""
    for feature in setup.features:
        if feature.band is not None and not feature.copy_of:
            copies = sum(f.copy_of == feature.name for f in setup.features)
            said = _said(feature.band, units, aimed=feature.aimed)
            yield f"{feature.name}{_several(feature, copies)}: {said}"


def _several(feature: Feature, copies: int) -> str:
    """Find how many there are of it, where it is more than one."""
    places = len(feature.places) if isinstance(feature, Round) else 1
    count = places * (copies + 1)
    return f", {count} times" if count > 1 else ""


def _said(band: Band, units: Units, *, aimed: bool) -> str:
    """Nominal, limits, aim, and what is pressed in."""

    def say(mm: float) -> str:
        return format_length(mm, units)

    def span(least: float, most: float) -> str:
        return say(least) if least == most else f"{say(least)} to {say(most)}"

    if not band.sizes:
        way = "outward" if band.wall >= 0 else "inward"
        limits = span(band.lower, band.upper)
        return f"size {limits} off the drawing, every wall aimed {say(abs(band.wall))} {way}"
    text = "; ".join(
        f"{say(size)}{' ' if band.fit else ''}{band.fit}, "
        f"{span(size + band.lower, size + band.upper)}"
        + (f", aimed at {say(size + band.aim)}" if aimed else "")
        for size in band.sizes
    )
    if band.bush is None or band.tight is None:
        return text
    bush = span(band.bush.least, band.bush.most)
    return f"{text}, for a bush of {bush}: {span(*band.tight)} interference"
