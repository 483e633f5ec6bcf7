"""Between two levels: metal that leans, bulges or narrows where a cone goes into it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import EMPTY
from gcodekit.proof.chords import segments_of_path
from gcodekit.proof.cutter_room import room_at
from gcodekit.proof.findings import Blank
from gcodekit.proof.sections import ProgramCut
from gcodekit.proof.sloping_walls import SlopingMetal
from gcodekit.target.target import Slice
from gcodekit.trade.cutter import Cutter

SPOT = Cutter(
    number=1, name="spot", kind="spot drill", diameter=12, flute_length=12, stickout=25,
    shank=12, tip_angle=math.pi / 2,
)  # fmt: skip
# Straight down at the origin, its tip at z -5: as wide as it is high above that.
DOWN = segments_of_path([(0, 0, 2), (0, 0, -5)], SPOT)


@dataclass(frozen=True)
class Hole:
    """A hole of radius 1 at the origin, at every height."""

    threads = ()
    levels: tuple[float, ...] = (0.0, -10.0)

    def asks(self, z: float) -> bool:
        del z
        return True

    def slice(self, z: float) -> Slice:
        hole = shapely.Point(0, 0).buffer(1, quad_segs=32)
        return Slice(z=z, air=EMPTY, required=hole, allowed=EMPTY, kept=EMPTY, features=())


def leaning(z: float) -> BaseGeometry:
    """A strip 3 mm wide that moves 3 mm to the left for a millimetre up."""
    middle = -1.5 - 3 * (z + 3.5)
    return shapely.box(middle - 1.5, -20, middle + 1.5, 20)


def flank(z: float) -> BaseGeometry:
    """A wall whose foot lies under the cone: at z -3 it ends where the hole does."""
    return shapely.box(-20, -20, -1 - 2 * (z + 3), 20)


def disc(z: float) -> BaseGeometry:
    """A disc on edge, of radius 3.2 about z -3.5 and x -4.5: nothing of it at the levels."""
    half = math.sqrt(max(0.0, 3.2**2 - (z + 3.5) ** 2))
    return shapely.box(-4.5 - half, -20, -4.5 + half, 20) if half else EMPTY


def upright(z: float) -> BaseGeometry:
    del z
    return shapely.box(-20, -20, -3, 20)


def stock(metal: Callable[[float], BaseGeometry]) -> Blank:
    return Blank(at=metal, bottom=-10, top=0, lowest=-11)


def worst(metal: Callable[[float], BaseGeometry]) -> float | None:
    return SlopingMetal(ProgramCut([DOWN]), Hole(), stock(metal), 0.01).worst(-9.99, -0.01)


def gouge(metal: Callable[[float], BaseGeometry], z: float) -> float:
    (taken,) = ProgramCut([DOWN]).by_owner(z).values()
    return room_at(Hole().slice(z), stock(metal)).gouge(taken).distance


@pytest.mark.parametrize("metal", [leaning, flank, disc])
def test_the_worst_between_two_levels_is_found(metal: Callable[[float], BaseGeometry]) -> None:
    """Against looking every 0.05 mm."""
    most = max(gouge(metal, -9.99 + 0.05 * i) for i in range(200))
    found = worst(metal)
    assert most > 0.3
    assert found is not None
    assert gouge(metal, found) == pytest.approx(most, rel=0.05)


def test_where_nothing_slopes_the_levels_are_enough() -> None:
    assert worst(upright) is None


def test_a_cone_beside_sloping_metal_does_it_no_harm() -> None:
    """The same flank 4 mm further off is beyond the cone at every height."""
    assert worst(lambda z: shapely.box(-20, -20, -1 - 2 * (z + 3) - 4, 20)) is None
