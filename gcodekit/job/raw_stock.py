"""The raw stock, as the job gives it and as it sits in a set-up. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """Raw stock in its own frame, corner left front bottom at 0, 0, 0; `size` is x, y, z overall.

    A round bar has its axis along `axis`, its diameter is the size across it. `plates` > 1: a
    stack cut as one; `size` is the whole stack's. `hollow` is what a tube or a shaped plate lacks
    of its bar or block all along its axis, seen along that, from its lower left corner.
    """

    shape: Literal["block", "round"]
    size: tuple[float, float, float]
    axis: Literal["x", "y", "z"] = "z"
    plates: int = 1
    oversize: float = 0.0  # every side not yet machined may lie this much further out
    hollow: BaseGeometry | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RawStock:
    """The raw stock as it sits in a set-up, program coordinates.

    `low`, `high` are opposite corners of its box; a round's axis runs along `axis` (program axes)
    through the middle of the box.
    """

    shape: Literal["block", "round"]
    low: tuple[float, float, float]
    high: tuple[float, float, float]
    axis: Literal["x", "y", "z"] = "z"
    plates: int = 1
