"""How true a size must be: its limits, and what is pressed into it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Bush:
    """What a bore is for: its outside diameter lies between `least` and `most`, mm."""

    least: float
    most: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """Limits of a size, mm: how far it may be off its nominal, signed.

    `sizes` are the nominal sizes across, the smallest first: of what is round its diameter, of a
    rectangle both; none where an outline has no walls right opposite one another. `fit`: the
    tolerance class that the limits come from.
    """

    lower: float
    upper: float
    sizes: tuple[float, ...]
    fit: str = ""
    bush: Bush | None = None

    @property
    def width(self) -> float:
        """Between the limits."""
        return self.upper - self.lower

    @property
    def aim(self) -> float:
        """How far off its nominal a program aims: the middle."""
        return (self.lower + self.upper) / 2

    @property
    def wall(self) -> float:
        """How far each wall of an outline moves outward for that: half of it."""
        return self.aim / 2

    @property
    def nominal(self) -> float:
        """The smallest size across."""
        return self.sizes[0]

    @property
    def least(self) -> float:
        """Its lower limit."""
        return self.nominal + self.lower

    @property
    def most(self) -> float:
        """Its upper limit."""
        return self.nominal + self.upper

    @property
    def middle(self) -> float:
        """What a program aims at."""
        return self.nominal + self.aim

    @property
    def tight(self) -> tuple[float, float] | None:
        """Least and greatest interference with the bush."""
        if self.bush is None:
            return None
        return (self.bush.least - self.most, self.bush.most - self.least)
