"""How long the proof takes, and in how much memory: planes against a drawing, the union of one
level, the walls beside many moves, and a whole program from elsewhere against a block.

    python tests/benchmarks/proving.py [RUNS]

Prints the quickest of RUNS (default 5) by the processor's time and by the clock.
"""

from __future__ import annotations

import math
import resource
import sys
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gcodekit.proof.chords import FeatureLines, Segments, segments_of
from gcodekit.proof.compare import compare
from gcodekit.proof.findings import Blank
from gcodekit.proof.prove import prove
from gcodekit.proof.sections import ProgramCut
from gcodekit.proof.walls import depths
from gcodekit.rs274 import ReadProgram, read_program
from gcodekit.rs274.program_read import ProblemList
from gcodekit.target.target import FeatureSlice, Slice
from gcodekit.trade.cutter import Cutter

Array = NDArray[np.float64]

BLOCK = shapely.box(-10, -10, 110, 70)
NOTHING = shapely.Polygon()
BLANK = Blank(at=lambda z: BLOCK if -20 <= z <= 0 else NOTHING, bottom=-20.0, top=0.0, lowest=-20.0)
CUTTER = Cutter(
    number=1,
    name="6 mm",
    kind="end mill",
    diameter=6,
    flute_length=22,
    stickout=35,
    shank=6,
    centre_cutting=True,
)
PITCH = 2.5
# Chords of a corner sag this much, mm.
CHORD = 0.003


def outline(level: int) -> BaseGeometry:
    """A pocket of 100 x 60 with round corners, narrower each level by a step of 0.2 mm."""
    return shapely.box(0, 0, 100, 60).buffer(-10 - 0.2 * level).buffer(10, quad_segs=200)


def rings(level: int, count: int) -> list[Array]:
    """The pocket's rings from the wall inwards, together at least `count` short chords."""
    ways: list[BaseGeometry] = []
    room = outline(level).buffer(-CUTTER.radius, quad_segs=200)
    while not room.is_empty:
        ways += [part.exterior.simplify(CHORD) for part in shapely.get_parts(room)]
        room = room.buffer(-PITCH, quad_segs=200)
    longest = sum(way.length for way in ways) / count
    while True:
        found = [shapely.get_coordinates(way.segmentize(longest)) for way in ways]
        if sum(len(ring) - 1 for ring in found) >= count:
            return found
        longest *= 0.95


def program(levels: int, count: int, *, deep: float) -> str:
    """The pocket cut down to `deep` in so many levels of `count` moves or a few more each."""
    lines = ["G21 G90 G17 G94", "T1 M6", "S3000 M3", "G0 Z5"]
    for level in range(levels):
        z = -deep * (level + 1) / levels
        for ring in rings(level, count):
            (x, y), *rest = ring.tolist()
            lines += [f"G0 X{x:.4f} Y{y:.4f}", f"G0 Z{z + deep / levels + 0.1:.4f}"]
            lines += [f"G1 Z{z:.4f} F100", "F300"]
            lines += [f"X{x:.4f} Y{y:.4f}" for x, y in rest]
            lines.append("G0 Z5")
    return "\n".join([*lines, "M5", "M2"])


class Steps:
    """The drawing of the stepped pocket."""

    threads = ()

    def __init__(self, levels: int, *, deep: float) -> None:
        self._floors = [-deep * (k + 1) / levels for k in range(levels)]
        self._areas = [outline(k) for k in range(levels)]
        self.levels: tuple[float, ...] = (0.0, *self._floors, BLANK.bottom)

    def asks(self, z: float) -> bool:
        """Whether anything has to go at a height."""
        return not self.slice(z).required.is_empty

    def slice(self, z: float) -> Slice:
        """What is asked at a height."""
        found = (a for floor, a in zip(self._floors, self._areas, strict=True) if floor < z)
        required = next(found, NOTHING) if z <= 0 else NOTHING
        air = shapely.box(-200, -200, 300, 300).difference(BLANK.at(z))
        feature = FeatureSlice("pocket", required, NOTHING, NOTHING, CUTTER.radius)
        return Slice(z, air, required, NOTHING, NOTHING, (feature,))


def read(text: str) -> ReadProgram:
    """Raises RuntimeError when something is wrong with the program."""
    reading = read_program(text)
    if reading.problems:
        raise RuntimeError(f"the program has problems: {reading.problems[0]}")
    return reading


def segments(reading: ReadProgram) -> tuple[Segments, ...]:
    """As the proof has them."""
    ranges = [FeatureLines("pocket", 1, len(reading.lines))]
    return segments_of(reading.moves, {1: CUTTER}, ranges, top=0.0)


def planes() -> Callable[[], None]:
    """20 levels of 2,000 moves: sections, and the comparison with the drawing."""
    reading = read(program(20, 2_000, deep=18))
    found, steps = segments(reading), Steps(20, deep=18)

    def work() -> None:
        problems = ProblemList([])
        got = compare(
            ProgramCut(found), steps, BLANK, reading.moves, tolerance=0.01, problems=problems
        )
        if problems.problems or not 0 < got.gouge < 0.002:
            raise RuntimeError(f"the cut is not as drawn: {got} {problems.problems[:1]}")

    return work


def level() -> Callable[[], None]:
    """The union of what 20,000 moves cut in one plane."""
    found = segments(read(program(1, 20_000, deep=1)))
    area = outline(0).area

    def work() -> None:
        got = ProgramCut(found).by_owner(-0.5)["pocket"].area
        if not math.isclose(got, area, rel_tol=1e-3):
            raise RuntimeError(f"{got} mm^2 are cut instead of {area}")

    return work


def walls() -> Callable[[], None]:
    """How deep each of 50,000 moves goes into what is to be kept in one plane."""
    (found,) = segments(read(program(25, 2_000, deep=18)))
    kept = BLOCK.difference(outline(3))

    def work() -> None:
        into = depths(found.rows(np.arange(50_000)), kept, -0.01)
        # three steps of 0.2 mm on both sides of a corner
        if not math.isclose(into.max(), 0.6 * math.sqrt(2), abs_tol=0.003):
            raise RuntimeError(f"the deepest goes in by {into.max()} mm")

    return work


def foreign(cutter: Cutter = CUTTER) -> Callable[[], None]:
    """A program of 100,000 short moves against a block, without any drawing."""
    reading = read(program(10, 10_000, deep=18))

    def work() -> None:
        found = prove(reading, target=None, blank=BLANK, cutters={1: cutter})
        if not found.passed:
            raise RuntimeError(f"the program has problems: {found.problems[0]}")

    return work


def short_flutes() -> Callable[[], None]:
    """The same with flutes that every pass but the first few goes deeper than."""
    return foreign(replace(CUTTER, flute_length=5))


WORK: dict[str, Callable[[], Callable[[], None]]] = {
    "planes, 20 levels of 2,000 moves": planes,
    "one level of 20,000 moves": level,
    "walls beside 50,000 moves": walls,
    "a program of 100,000 moves": foreign,
    "the same with short flutes": short_flutes,
}


def main() -> None:
    """Every kind."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    for name, make in WORK.items():
        work = make()
        found = []
        for _ in range(runs):
            began, worked = time.perf_counter(), time.process_time()
            work()
            found.append((time.process_time() - worked, time.perf_counter() - began))
        busy, clock = min(b for b, _ in found), min(c for _, c in found)
        # ru_maxrss is bytes on one family of systems and kilobytes on the rest
        unit = 1e-6 if sys.platform == "darwin" else 1e-3
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit
        print(f"{name}: {busy:.2f} s at work, {clock:.2f} s by the clock, {memory:.0f} MB so far")


if __name__ == "__main__":
    main()
