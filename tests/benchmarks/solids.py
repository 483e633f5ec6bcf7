"""Time of the finished part as a solid: sixty features in one set-up, and six set-ups.

    python tests/benchmarks/solids.py

Prints, for each, processor seconds of what is gone, of the volume by planes (what `make` adds to
every job) and of the closed solid (`make --model` alone). The aims are 0.3 s for the solid of sixty
features and 1 s for that of six set-ups.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from gcodekit.job.load import load_job
from gcodekit.part.finished_part import finished, volume, without_offcuts
from gcodekit.part.other_setups import surely_gone
from gcodekit.part.solid import solid, stl
from gcodekit.planning.cutter_assignment import asked_of, finished_with

Value = TypeVar("Value")

HEAD = 'units = "mm"\nmaterial = "brass"\n[stock]\nblock = [150, 120, 60]\n'
SETUP = """[[setup]]
up = "{up}"
zero = {{ x = "centre", y = "centre", z = "top" }}
hold = {{ board = 12 }}
"""
FEATURE = '[[setup.feature]]\nkind = "{kind}"\n{keys}\n'
POCKET = "outline = {{ rectangle = [12, 9], centre = [{x}, {y}], round = 3 }}\ndepth = {depth}"
HOLE = "at = [{x}, {y}]\ndiameter = 5\ndepth = 12"
FACES = ("top", "bottom", "front", "back", "left", "right")


def features(across: int, along: int) -> str:
    """Holes and pockets in turn, `across` x `along` of them 14 mm apart."""
    found = []
    for i in range(across * along):
        x, y = (i % across - (across - 1) / 2) * 14, (i // across - (along - 1) / 2) * 12
        kind, keys = ("hole", HOLE) if i % 2 else ("pocket", POCKET)
        found.append(FEATURE.format(kind=kind, keys=keys.format(x=x, y=y, depth=3 + i % 4)))
    return "".join(found)


JOBS = {
    "60 features": HEAD + SETUP.format(up="top") + features(10, 6),
    "six set-ups of 10": HEAD + "".join(SETUP.format(up=up) + features(4, 3) for up in FACES),
}


def timed(work: Callable[[], Value]) -> tuple[float, Value]:
    """Processor seconds, and what came of it."""
    began = time.process_time()
    found = work()
    return time.process_time() - began, found


def main() -> None:
    """Both jobs."""
    with tempfile.TemporaryDirectory() as folder:
        for name, text in JOBS.items():
            path = Path(folder) / "job.toml"
            path.write_text(text, encoding="utf-8")
            job, cuts, _ = finished_with(load_job(path))
            asked = [asked_of(s, cuts) for s in job.setups]
            pairs = list(zip(job.setups, asked, strict=True))
            gone_s, gone = timed(lambda: [surely_gone(s, a) for s, a in pairs])  # noqa: B023  # run at once
            made = [without_offcuts(s, g) for s, g in zip(job.setups, gone, strict=True)]
            planes_s, size = timed(lambda: volume(finished(made)))  # noqa: B023
            solid_s, data = timed(lambda: stl(solid(job.stock, made), name))  # noqa: B023
            print(
                f"{name}: gone {gone_s:.2f} s, volume {planes_s:.2f} s ({size:.0f} mm3), "
                f"solid {solid_s:.2f} s ({(len(data) - 84) // 50} triangles)"
            )


if __name__ == "__main__":
    main()
