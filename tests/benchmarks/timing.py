"""How long it takes to time a program of 1,000,000 moves, and of 1,000,000 arcs.

    python tests/benchmarks/timing.py [MOVES]

Seen on two cores that other work kept busy, at a load of 5 to 7: straight moves 1.9 s at work, 4.3
to 11.3 s by the clock; arcs 2.7 to 2.8 s at work, 6.7 to 8.7 s by the clock.
"""

from __future__ import annotations

import math
import sys
import time

from gcodekit.job.workshop.machine import Machine, Spindle
from gcodekit.proof.time import travel
from gcodekit.rs274.program_read import CircularPart, Conditions, Move, ReadProgram

MACHINE = Machine(
    name="bench mill",
    rapid=2500,
    feed_max=1200,
    acceleration=150,
    spindle=Spindle(slowest=100, fastest=2800),
)
FEED = Conditions(feed=600, speed=2000, spindle=1, cutter=1)


def wave(count: int) -> list[Move]:
    """Short straight moves along a sine wave, to and fro."""
    places = [(0.05 * (i % 2000), 5 * math.sin(i / 20), -0.001 * i % 3) for i in range(count + 1)]
    return [Move(i, "line", places[i], places[i + 1], FEED) for i in range(count)]


def scallops(count: int) -> list[Move]:
    """Half circles one after another."""
    moves = []
    for i in range(count):
        x = float(i % 5000)
        curve = CircularPart((x + 0.5, 0.0, 0.0), 17, -math.pi, 0.5)
        moves.append(Move(i, "arc", (x, 0.0, 0.0), (x + 1, 0.0, 0.0), FEED, curve=curve))
    return moves


def main() -> None:
    """Both kinds."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    for name, make in (("straight moves", wave), ("arcs", scallops)):
        reading = ReadProgram("", tuple(make(count)), (), (), count, "mm", ended=True)
        began, worked = time.perf_counter(), time.process_time()
        found = travel(reading, MACHINE)
        took, work = time.perf_counter() - began, time.process_time() - worked
        print(
            f"{count} {name}: {took:.2f} s, {work:.2f} s of them at work, "
            f"for {found.time_s / 3600:.2f} h of machining"
        )


if __name__ == "__main__":
    main()
