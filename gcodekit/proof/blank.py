"""The metal a program starts with."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """The metal before the program's first cut, program coordinates, mm.

    `at` gives the metal at a height; `levels` are the heights where it changes other than at
    `bottom` and `top`; `lowest` is as deep as a cutter's full diameter may go.
    """

    at: Callable[[float], BaseGeometry]
    bottom: float
    top: float
    lowest: float
    levels: tuple[float, ...] = ()
