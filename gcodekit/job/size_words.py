"""Sizes that have limits, in words: for the head of a program and for who measures the part."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from gcodekit.job.band import Band
from gcodekit.job.machine import Units
from gcodekit.job.model import Bore, Feature, Hole, Setup
from gcodekit.units import format_length


def size_lines(setup: Setup, units: Units) -> Iterator[str]:
    """A line for each feature whose size has limits, copies with what they are copies of."""
    for feature in setup.features:
        if feature.band is not None and not feature.copy_of:
            copies = sum(f.copy_of == feature.name for f in setup.features)
            said = _said(feature.band, units, aimed=_aimed(feature))
            yield f"{feature.name}{_several(feature, copies)}: {said}"


def _aimed(feature: Feature) -> bool:
    """Whether the program makes the size; a drill or reamer has its own."""
    return not isinstance(feature, Hole) and not (
        isinstance(feature, Bore) and feature.finish_with == "reamer"
    )


def _several(feature: Feature, copies: int) -> str:
    """How many there are of it, where it is more than one."""
    places = len(feature.places) if isinstance(feature, Bore | Hole) else 1
    count = places * (copies + 1)
    return f", {count} times" if count > 1 else ""


def _said(band: Band, units: Units, *, aimed: bool) -> str:
    """Nominal, limits, aim, and what is pressed in."""

    def say(sizes: Sequence[float]) -> str:
        return " by ".join(format_length(s, units) for s in sizes)

    if not band.sizes:
        wall = format_length(band.wall, units)
        return (
            f"across {say([band.lower])} to {say([band.upper])} off the drawing, every wall aimed "
            f"{wall} outward"
        )
    named = " ".join(w for w in (say(band.sizes), band.fit) if w)
    low, high = ([s + off for s in band.sizes] for off in (band.lower, band.upper))
    text = f"{named}, {say(low)} to {say(high)}"
    if aimed:
        text += f", aimed at {say([s + band.aim for s in band.sizes])}"
    if band.bush is None or band.tight is None:
        return text
    bush, tight = band.bush, band.tight
    outside = say([bush.least])
    if bush.most > bush.least:
        outside += f" to {say([bush.most])}"
    return f"{text}, for a bush of {outside}: {say([tight[0]])} to {say([tight[1]])} tight"
