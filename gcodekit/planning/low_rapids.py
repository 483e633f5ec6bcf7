"""Rapids no higher than what stands along each: within an operation the cutter goes over metal by
the clearance, and only over clamps, bolts and jaws that lie in its way as high as those ask."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely

from gcodekit.geometry.chain import Point
from gcodekit.job.model import Setup
from gcodekit.part.keep_out import Body, held_by
from gcodekit.toolpath.moves import ArcFeed, Feed, HoleCycle, Move, Rapid
from gcodekit.trade.cutter import Cutter

# Heights nearer than this are one, mm.
SAME_LEVEL = 1e-6


@dataclass(frozen=True, slots=True)
class Obstacles:
    """The bodies higher than the stock in one stage of a set-up."""

    over_metal: float
    clearance: float
    bodies: tuple[Body, ...]

    @staticmethod
    def of(setup: Setup, stage: int) -> Obstacles:
        """The metal's own height, and all that rises above it."""
        top = setup.left.high[2]
        tall = tuple(b for b in held_by(setup.holds[stage], setup) if b.top > top + SAME_LEVEL)
        return Obstacles(top + setup.clearance, setup.clearance, tall)

    def height(self, start: Point, end: Point, cutter: Cutter) -> float:
        """The lowest safe height of the tip from place to place."""
        way = shapely.LineString([start, end])
        tops = [
            b.top + self.clearance
            for b in self.bodies
            if way.distance(b.outline) < _widest(cutter, b.top - self.over_metal) + self.clearance
        ]
        return max([self.over_metal, *tops])


def _widest(cutter: Cutter, height: float) -> float:
    """The largest radius of cutter, shank and holder up to a height above the tip."""
    heights = (0.0, cutter.point_length, cutter.flute_length, cutter.reach or 0.0, cutter.stickout)
    # what stands lower than the tip meets the cutter alone
    return max([cutter.radius, *(cutter.body_radius_at(h) for h in heights if h <= height)])


def low_rapids(
    moves: Sequence[Move], cutter: Cutter, obstacles: Obstacles, safe_z: float
) -> tuple[Move, ...]:
    """The same moves with each rise to the safe height between two cuts only as high as the way
    that follows asks. The first and the last height stay: nobody knows here what is beyond them."""
    if not obstacles.bodies or safe_z <= obstacles.over_metal + SAME_LEVEL:
        return tuple(moves)
    found: list[Move] = []
    at: Point | None = None
    z = safe_z
    for move, after in zip(moves, [*moves[1:], None], strict=True):
        lower = move
        if at is not None and _rises(move, safe_z) and _goes_over(after):
            assert isinstance(after, Rapid)
            height = obstacles.height(at, (after.x or 0.0, after.y or 0.0), cutter)
            height -= cutter.lowest
            # a rise to below where it stands would be none
            lower = Rapid(z=max(height, z))
        found.append(lower)
        at, z = _place(lower, at), _height(lower, z)
    return tuple(found)


def _rises(move: Move, safe_z: float) -> bool:
    return isinstance(move, Rapid) and move.z is not None and abs(move.z - safe_z) < SAME_LEVEL


def _goes_over(move: Move | None) -> bool:
    return isinstance(move, Rapid) and move.x is not None and move.y is not None


def _height(move: Move, z: float) -> float:
    """The height of the tip after a move that began at `z`."""
    if isinstance(move, HoleCycle):
        return move.retract
    if isinstance(move, Feed | ArcFeed):
        return move.z
    return move.z if isinstance(move, Rapid) and move.z is not None else z


def _place(move: Move, at: Point | None) -> Point | None:
    if isinstance(move, HoleCycle | Feed | ArcFeed):
        return (move.x, move.y)
    if isinstance(move, Rapid) and move.x is not None and move.y is not None:
        return (move.x, move.y)
    return at
