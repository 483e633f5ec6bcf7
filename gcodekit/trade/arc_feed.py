"""Feed of the cutter's centre where its edge goes round a wall."""

from __future__ import annotations

from typing import Literal

Side = Literal["inside", "outside"]


def centre_feed(edge: float, *, wall: float, cutter: float, side: Side) -> float:
    """What the centre moves while the edge moves at `edge` along a wall of radius `wall`, in any
    one unit of feed and of length; `cutter` is its radius.

    Source: vf (R - r) / R inside, vf (R + r) / R outside, from memory of machining textbooks.

    Examples
    --------
    >>> centre_feed(200, wall=10, cutter=5, side="inside")
    100.0
    """
    centre = wall - cutter if side == "inside" else wall + cutter
    return edge * max(centre, 0.0) / wall
