"""Roughing of six pockets as the planner makes it: load on the cutter, way, and time.

    python tests/benchmarks/roughing.py [--strategy NAME ...] [--width PERCENT ...] [POCKET ...]

A 6 mm cutter, one level 2 mm deep, cuts at 1500 mm/min, links at 3000, 300 mm/s^2. The figures come
from the program's text alone (`engagement`). `peak` is the time at the one feed that the worst
moment allows, in brackets its share of the time of "follow outline"; `load` that with the feed
lowered wherever more than the width is taken; neither says anything of a cutter that is not limited
by its load.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from pathlib import Path

from engagement.metrics import Machine, Metrics, measure
from engagement.ways import read_level
from shapely.geometry.base import BaseGeometry

from gcodekit.errors import GcodekitError
from gcodekit.job.model import Pocket
from gcodekit.making.check import sound_job
from gcodekit.part.plane import area_of
from gcodekit.planning.plan import plan_setups
from gcodekit.post.find import find_post
from gcodekit.post.writer import write_program

RADIUS = 3.0
OUTLINE = "follow outline"
STRATEGIES = (OUTLINE, "even load")
WIDTHS = (10, 20, 40)
MACHINE = Machine()

STAR = """{ path = [[42, 0], [15.53, 11.28], [12.98, 39.94], [-5.93, 18.26], [-33.98, 24.69],
    [-19.2, 0], [-33.98, -24.69], [-5.93, -18.26], [12.98, -39.94], [15.53, -11.28]] }"""
POCKETS = {
    "rectangle": "outline = { rectangle = [100, 60], centre = [0, 0] }",
    "circle": "outline = { circle = 60, centre = [0, 0] }",
    "L": "outline = { path = [[-45, -35], [45, -35], [45, 3], [0, 3], [0, 35], [-45, 35]] }",
    "two islands": """outline = { rectangle = [100, 80], centre = [0, 0] }
  islands = [{ circle = 24, centre = [-22, 8] }, { rectangle = [20, 30], centre = [22, -6] }]""",
    "slot": "outline = { obround = [113, 10], centre = [0, 0] }",
    "star": f"outline = {STAR}",
}

WORKSHOP = """
units = "mm"
[machine]
post = "rs274_full"
travel = { x = 400, y = 300, z = 200 }
rapid = 3000
feed_max = 3000
acceleration = 300
spindle = { min = 100, max = 24000, power = 2000 }
rigidity = "heavy"
[[cutter]]
number = 1
name = "6 mm end mill"
kind = "end mill"
diameter = 6
flutes = 3
material = "carbide"
flute_length = 18
stickout = 24
shank = 6
centre_cutting = true
"""
JOB = """
name = "Roughing"
units = "mm"
workshop = "workshop.toml"
material = "aluminium"
[stock]
block = [140, 110, 12]
[[setup]]
zero = {{ x = "centre", y = "centre", z = "top" }}
  [setup.hold]
  board = 10
  [[setup.feature]]
  name = "pocket"
  kind = "pocket"
  {outline}
  depth = 2
  rough = "{strategy}"
  finish = false
  allowance = {{ wall = 0, floor = 0 }}
  feed = 1500
  stepdown = 2
  stepover = {stepover}
"""


def program(outline: str, strategy: str, width: float) -> tuple[str, BaseGeometry]:
    """The program's text, and the pocket as drawn. Raises GcodekitError for what the job cannot
    say."""
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "workshop.toml").write_text(WORKSHOP, encoding="utf-8")
        job_file = Path(folder) / "job.toml"
        job_file.write_text(
            JOB.format(outline=outline, strategy=strategy, stepover=width), encoding="utf-8"
        )
        job = sound_job(job_file)
        ((done, plan),) = plan_setups(job)
        written = write_program(plan.program, find_post(job.post))
    pocket = done.setup.features[0]
    assert isinstance(pocket, Pocket)
    return written.text, area_of(pocket.area)


def figures(outline: str, strategy: str, percent: float) -> tuple[Metrics, float, float]:
    """What one pocket comes to, and the seconds to plan and to measure it."""
    ae = percent / 100 * 2 * RADIUS
    began = time.perf_counter()
    text, area = program(outline, strategy, ae)
    planned = time.perf_counter()
    level = read_level(text, feed=MACHINE.feed)
    found = measure(level, area, radius=RADIUS, ae=ae, machine=MACHINE)
    return found, planned - began, time.perf_counter() - planned


HEADER = (
    f"{'pocket':12}{'strategy':16}{'ae':>4} {'r_cut':>6}{'r_all':>6}{'O_1.1':>7}{'p99':>6}"
    f"{'worst':>6}{'phi':>6}{'air':>6}{'left':>8}{'lump':>7}{'gouge':>7}{'bl/mm':>6}"
    f"{'metal':>6}{'lifts':>6}{'entries':>8}{'plain':>7}{'load':>7}{'peak':>7}{'':7}"
    f"{'plan s':>7}{'here':>6}"
)


def row(pocket: str, strategy: str, percent: float, found: Metrics, beside: str) -> str:
    """One line of the table."""
    return (
        f"{pocket:12}{strategy:16}{percent:3.0f}%{found.cut_ratio:6.2f}{found.total_ratio:6.2f}"
        f"{found.over:7.1%}{found.high:6.2f}{found.worst:6.2f}{found.worst_phi * 57.29578:6.0f}"
        f"{found.air:6.1%}{found.left:8.4%}{found.lump:7.3f}{found.gouge:7.4f}{found.blocks:6.2f}"
        f"{found.links_in_metal:6d}{found.retracts:6d}{found.entries:8d}{found.plain_s:7.0f}"
        f"{found.load_s:7.0f}{found.peak_s:7.0f}{beside:>7}"
    )


def main() -> None:
    """The table, pocket by pocket."""
    parser = argparse.ArgumentParser()
    parser.add_argument("pockets", nargs="*", default=list(POCKETS), metavar="POCKET")
    parser.add_argument("--strategy", action="append", dest="strategies")
    parser.add_argument("--width", action="append", dest="widths", type=float)
    asked = parser.parse_args()
    print(HEADER)
    for percent in asked.widths or WIDTHS:
        for pocket in asked.pockets:
            peak = None
            for strategy in asked.strategies or STRATEGIES:
                try:
                    found, plan_s, here_s = figures(POCKETS[pocket], strategy, percent)
                except GcodekitError as error:
                    print(f"{pocket:12}{strategy:16}left out: {error.faults[0].message}")
                    continue
                peak = found.peak_s if strategy == OUTLINE else peak
                beside = f"({found.peak_s / peak:.2f})" if peak else ""
                print(
                    row(pocket, strategy, percent, found, beside) + f"{plan_s:7.1f}{here_s:6.1f}",
                    flush=True,
                )


if __name__ == "__main__":
    main()
