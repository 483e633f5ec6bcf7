"""The metal a program starts with."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """The metal before the program's first cut, program coordinates, mm.

    `at` gives the metal at a height; `levels` are the heights where it changes other than at
    `bottom` and `top`; `lowest` is as deep as a cutter's full diameter may go. `whole` is the
    metal without what was hollowed out of it before: only round that is there room for a cutter to
    come in from; left out, it is the metal itself.
    """

    at: Callable[[float], BaseGeometry]
    bottom: float
    top: float
    lowest: float
    levels: tuple[float, ...] = ()
    whole: Callable[[float], BaseGeometry] | None = None

    @property
    def hollow(self) -> bool:
        """Whether there may be metal above free space."""
        return self.whole is not None

    def outer(self, z: float) -> BaseGeometry:
        """The metal at a height, its hollows counted in."""
        return (self.whole or self.at)(z)
