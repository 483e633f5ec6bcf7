"""Sizes that have limits, and those corrected by what was measured, in words: for the head of a
program and for who measures the part."""

from __future__ import annotations

from collections.abc import Iterator

from gcodekit.job.band import Band
from gcodekit.job.feature import Feature, Round
from gcodekit.job.measured import Gauged
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


def correction_lines(setup: Setup, units: Units) -> Iterator[str]:
    """A line for each feature whose finishing passes make up for what was measured, copies with
    what they are copies of."""
    said_of: set[str] = set()
    for feature in setup.features:
        found = feature.measured
        if found is None or (feature.copy_of and found.place.key in said_of):
            continue
        said_of.add(found.place.key)
        said = []
        if (size := found.size) is not None:
            by = format_length(abs(size.aimed - size.found) / 2, units)
            said.append(f"{_gauged(size, units)}, so finishing passes go {by} farther at each wall")
        if (depth := found.depth) is not None:
            by = format_length(depth.aimed - depth.found, units)
            said.append(f"depth {_gauged(depth, units)}, so its floor is cut {by} deeper")
        if said:
            yield f"{feature.name}: {'; '.join(said)}"


def _gauged(size: Gauged, units: Units) -> str:
    found, aimed = (format_length(mm, units) for mm in (size.found, size.aimed))
    return f"{found} measured, {aimed} aimed at"


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
