"""The drawing moved by what was measured: where the walls and the floor of a feature are aimed so
that a cutter which cut too little before comes out at the drawn size.

A gauge across two walls sees both lack something, so each has half of it to go; a depth gauge sees
one floor.
"""

from __future__ import annotations

from dataclasses import dataclass

from gcodekit.job.feature import Feature


@dataclass(frozen=True, slots=True)
class Moved:
    """How far, mm, each `wall` goes into what is drawn to stay, and how much lower the `floor`
    lies."""

    wall: float = 0.0
    floor: float = 0.0


NOT_MOVED = Moved()


def over_walls(feature: Feature) -> Moved:
    """The move of a feature that is measured over its walls: what is too large is too little cut
    away."""
    return Moved(-_half_lacking(feature), _too_shallow(feature))


def between_walls(feature: Feature) -> Moved:
    """The same of one that is measured between its walls."""
    return Moved(_half_lacking(feature), _too_shallow(feature))


def floor_alone(feature: Feature) -> Moved:
    """The same of one wall, which has no size across."""
    return Moved(0.0, _too_shallow(feature))


def _half_lacking(feature: Feature) -> float:
    """Half of what the size was found below the one aimed at."""
    size = feature.measured.size if feature.measured is not None else None
    return 0.0 if size is None else 0.5 * (size.aimed - size.found)


def _too_shallow(feature: Feature) -> float:
    depth = feature.measured.depth if feature.measured is not None else None
    return 0.0 if depth is None else depth.aimed - depth.found
