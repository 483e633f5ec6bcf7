"""Jaws, clamps and whatever else no cutter, shank or holder may enter."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Protocol

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.proof.chords import Array, Segments, segments_of
from gcodekit.rs274.moves import Move
from gcodekit.rs274.problems import ProblemList
from gcodekit.trade.cutter import Cutter

# Nearer than touching by this much, mm, is a collision: above what the text's last decimal says.
TOUCH = 0.002


class Body(Protocol):
    """An upright body: `outline` in plan, from `bottom` to `top`, program coordinates, mm."""

    @property
    def name(self) -> str:
        """What the operator calls it."""

    @property
    def outline(self) -> BaseGeometry:
        """In plan."""

    @property
    def bottom(self) -> float:
        """z."""

    @property
    def top(self) -> float:
        """z."""


def check_keep_out(
    moves: Sequence[Move],
    cutters: Mapping[int, Cutter],
    bodies: Iterable[Body],
    problems: ProblemList,
) -> None:
    """Every move against every body, with the cutter's, shank's and holder's own radii.

    A move that slopes is taken at its lowest z all along. One problem for a body and a cutter.
    """
    for body in bodies:
        for segments in segments_of(moves, cutters, (), top=body.top):
            _check(segments, body, moves, problems)


def _check(segments: Segments, body: Body, moves: Sequence[Move], problems: ProblemList) -> None:
    tips = np.minimum(segments.start[:, 2], segments.end[:, 2])
    levels, which = np.unique(tips, return_inverse=True)
    radii = np.array([_widest(segments.cutter, body, float(tip)) for tip in levels])[which]
    ways = shapely.linestrings(np.stack((segments.start[:, :2], segments.end[:, :2]), axis=1))
    gaps: Array = np.atleast_1d(np.asarray(shapely.distance(ways, body.outline))) - radii
    hit = np.flatnonzero(gaps < -TOUCH)
    if len(hit):
        first, worst = int(hit[0]), int(np.argmin(gaps))
        move = moves[int(segments.move[first])]
        text = (
            f"cutter {segments.cutter.number}, its shank or its holder runs into {body.name}, "
            f"by up to {-float(gaps[worst]):.3f} mm"
        )
        problems.error(text, line=move.line, where=move.end)


def _widest(cutter: Cutter, body: Body, tip: float) -> float:
    """The widest of cutter, shank and holder between the body's bottom and top."""
    low, high = max(0.0, body.bottom - tip), body.top - tip
    if high <= 0:
        return -1.0
    steps = (cutter.point_length, cutter.flute_length, cutter.reach or 0.0, cutter.stickout)
    heights = [low, high - TOUCH, *(h for h in steps if low <= h < high - TOUCH)]
    return max(cutter.body_radius_at(max(h, 0.0)) for h in heights)
