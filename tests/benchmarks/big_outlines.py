"""What outlines of 10,000 vertices cost in a job: read from a DXF, grown, subtracted, intersected,
and a profile along one made and proved.

    python tests/benchmarks/big_outlines.py [VERTICES]

Prints seconds at work for each, in one process; ezdxf is imported before the first. Seen on two
cores that other work kept busy, at a load of 8: one sum or offset 0.5 to 0.8 s with the reading of
the drawing, all of them 2.4 s, the profile 6.5 s.
"""

from __future__ import annotations

import math
import sys
import tempfile
import time
from pathlib import Path

import ezdxf

from gcodekit.job.load import load_job
from gcodekit.making.make import make

HEAD = """
units = "mm"
material = "brass"
[stock]
block = [170, 170, 4]
[outlines]
a = { dxf = "a.dxf", layer = "A" }
b = { dxf = "a.dxf", layer = "B" }
"""
SETUP = """
[[setup]]
zero = { x = "centre", y = "centre", z = "top" }
[setup.hold]
board = 12
[[setup.feature]]
"""
POCKET = "kind = 'pocket'\ndepth = 1\noutline = "
SUMS = {
    "the outline": '"a"',
    "grow 3": '{ dxf = "a.dxf", layer = "A", grow = 3 }',
    "grow -3": '{ dxf = "a.dxf", layer = "A", grow = -3 }',
    "minus": '{ minus = ["a", "b"] }',
    "common": '{ common = ["a", "b"] }',
    "all of them": '{ minus = [{ common = ["a", { union = ["a", "b"], grow = 2 }], grow = -1 },'
    " { circle = 20 }], grow = -1 }",
}
PROFILE = "kind = 'profile'\nside = 'outside'\nthrough = true\noutline = 'a'\n"
PROFILE += "tabs = { count = 4, width = 6, height = 1 }\n"


def wave(n: int, *, lobes: int, at: tuple[float, float]) -> list[tuple[float, float]]:
    """A closed line about a circle of 60 mm, in and out by 3 mm."""
    angles = [math.tau * i / n for i in range(n)]
    radii = [60 + 3 * math.sin(lobes * t) for t in angles]
    places = zip(radii, angles, strict=True)
    return [(at[0] + r * math.cos(t), at[1] + r * math.sin(t)) for r, t in places]


def main(n: int) -> None:
    """Time each."""
    document = ezdxf.new("R2000", units=4)
    space = document.modelspace()
    for layer, lobes, at in (("A", 40, (0.0, 0.0)), ("B", 37, (5.0, 3.0))):
        space.add_lwpolyline(wave(n, lobes=lobes, at=at), close=True, dxfattribs={"layer": layer})
    with tempfile.TemporaryDirectory() as folder:
        job = Path(folder, "job.toml")
        document.saveas(Path(folder, "a.dxf"))
        for name, outline in SUMS.items():
            job.write_text(f"{HEAD}{SETUP}{POCKET}{outline}\n", encoding="utf-8")
            started = time.process_time()
            load_job(job)
            print(f"{time.process_time() - started:6.2f} s  {name}")
        job.write_text(f"{HEAD}{SETUP}{PROFILE}", encoding="utf-8")
        started = time.process_time()
        made = make(job, Path(folder, "out"))
        print(f"{time.process_time() - started:6.2f} s  a profile made: {made.verdict}")
        for fault in made.faults:
            print(fault)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
