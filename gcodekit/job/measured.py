"""Readings taken of a feature after a finishing pass, and the sizes that they are of."""

from __future__ import annotations

from dataclasses import dataclass, field

from gcodekit.errors import Place


@dataclass(frozen=True, slots=True)
class Gauged:
    """One size, mm: what the last program aimed at, and what was measured then."""

    aimed: float
    found: float


@dataclass(frozen=True, slots=True)
class Measured:
    """A feature's size across and its depth as measured; None where that was not. `place`: of its
    entry in the job."""

    size: Gauged | None = None
    depth: Gauged | None = None
    place: Place = field(default=Place(), compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class SizeAcross:
    """The different `sizes` across a feature that its program aims at, mm, the smallest first
    (none of an outline without walls right opposite), measured `inside` its walls or over them."""

    sizes: tuple[float, ...]
    inside: bool
