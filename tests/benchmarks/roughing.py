"""Roughing of six pockets as the planner makes it: load on the cutter, way, and time.

    python tests/benchmarks/roughing.py [--strategy NAME ...] [--width PERCENT ...] [POCKET ...]

A 6 mm cutter, one level 2 mm deep, cuts at 1500 mm/min, links at 3000, 300 mm/s^2; a finishing pass
follows, and what is cleared before that is the pocket as named. The figures come from the program's
text alone (`engagement`): of the roughing, but for `done`, how far metal stands in reach of the
cutter after the finishing pass. `peak` is the time at the one feed that the worst
moment allows, in brackets its share of the time of "contour parallel"; `load` that with the feed
lowered wherever more than the width is taken; neither says anything of a cutter that is not limited
by its load.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import shapely
from engagement.left import left_standing, reachable
from engagement.metrics import Machine, Metrics, measure
from engagement.ways import read_level
from shapely.geometry.base import BaseGeometry

from gcodekit.errors import GcodekitError
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.making.check import sound_job
from gcodekit.part.plane_regions import area_of
from gcodekit.planning.plan import plan_setups
from gcodekit.post.find import find_post
from gcodekit.post.writer import write_program

RADIUS = 3.0
OUTLINE = "contour parallel"
STRATEGIES = (OUTLINE, "constant engagement")
WIDTHS = (10, 20, 40)
MACHINE = Machine()

FINISHING = "(pocket: finish)"
# What roughing leaves for the finishing pass, mm: the pockets are drawn larger by this.
ALLOWANCE = 0.2


def _rectangle(w: float, h: float, *, at: str = "[0, 0]", grown: float = ALLOWANCE) -> str:
    return f"{{ rectangle = [{w + 2 * grown}, {h + 2 * grown}], centre = {at} }}"


def _path(points: Sequence[tuple[float, float]]) -> str:
    drawn = shapely.Polygon(points).buffer(ALLOWANCE, join_style="mitre", mitre_limit=10)
    return f"{{ path = {[list(p) for p in drawn.exterior.coords[:-1]]} }}"


STAR = [
    *[(42, 0), (15.53, 11.28), (12.98, 39.94), (-5.93, 18.26), (-33.98, 24.69)],
    *[(-19.2, 0), (-33.98, -24.69), (-5.93, -18.26), (12.98, -39.94), (15.53, -11.28)],
]
POCKETS = {
    "rectangle": f"outline = {_rectangle(100, 60)}",
    "circle": f"outline = {{ circle = {60 + 2 * ALLOWANCE}, centre = [0, 0] }}",
    "L": f"outline = {_path([(-45, -35), (45, -35), (45, 3), (0, 3), (0, 35), (-45, 35)])}",
    "two islands": f"""outline = {_rectangle(100, 80)}
  islands = [{{ circle = {24 - 2 * ALLOWANCE}, centre = [-22, 8] }},
    {_rectangle(20, 30, at="[22, -6]", grown=-ALLOWANCE)}]""",
    "slot": "outline = "
    f"{{ obround = [{113 + 2 * ALLOWANCE}, {10 + 2 * ALLOWANCE}], centre = [0, 0] }}",
    "star": f"outline = {_path(STAR)}",
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
  allowance = {{ wall = {allowance}, floor = 0 }}
  feed = 1500
  stepdown = 2
  stepover = {stepover}
"""


@dataclass(frozen=True, slots=True)
class Figures:
    """`rough`: the roughing's; `done`: how far metal stands in reach after the finishing pass, mm;
    seconds to plan, and to measure."""

    rough: Metrics
    done: float
    plan_s: float
    here_s: float


def program(outline: str, strategy: str, width: float) -> tuple[str, BaseGeometry]:
    """The program's text, and the pocket as drawn. Raises GcodekitError for what the job cannot
    say."""
    told = {"outline": outline, "strategy": strategy, "allowance": ALLOWANCE, "stepover": width}
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "workshop.toml").write_text(WORKSHOP, encoding="utf-8")
        job_file = Path(folder) / "job.toml"
        job_file.write_text(JOB.format(**told), encoding="utf-8")
        job = sound_job(job_file)
        ((done, plan),) = plan_setups(job)
        written = write_program(plan.program, find_post(job.post))
    pocket = done.setup.features[0]
    assert isinstance(pocket, Pocket)
    return written.text, area_of(pocket.area)


def roughing(text: str) -> str:
    """A program's text up to the finishing pass."""
    before, found, _ = text.partition(FINISHING)
    assert found, "the program has no finishing pass"
    return before + "G0 Z5\nM2\n"


def figures(outline: str, strategy: str, percent: float) -> Figures:
    """What one pocket comes to."""
    ae = percent / 100 * 2 * RADIUS
    began = time.perf_counter()
    text, drawn = program(outline, strategy, ae)
    planned = time.perf_counter()
    area = drawn.buffer(-ALLOWANCE, quad_segs=64)
    level = read_level(roughing(text), feed=MACHINE.feed)
    found = measure(level, area, radius=RADIUS, ae=ae, machine=MACHINE)
    done = read_level(text, feed=MACHINE.feed)
    _, lump, _ = left_standing(done, reachable(drawn, RADIUS), RADIUS)
    return Figures(found, lump, planned - began, time.perf_counter() - planned)


HEADER = (
    f"{'pocket':12}{'strategy':16}{'ae':>4} {'r_cut':>6}{'r_all':>6}{'O_1.1':>7}{'p99':>6}"
    f"{'worst':>6}{'phi':>6}{'air':>6}{'left':>8}{'lump':>7}{'done':>7}{'gouge':>7}"
    f"{'bl/mm':>6}"
    f"{'metal':>6}{'lifts':>6}{'entries':>8}{'plain':>7}{'load':>7}{'peak':>7}{'':7}"
    f"{'plan s':>7}{'here':>6}"
)


def row(pocket: str, strategy: str, percent: float, of: Figures, beside: str) -> str:
    """One line of the table."""
    found = of.rough
    return (
        f"{pocket:12}{strategy:16}{percent:3.0f}%{found.cut_ratio:6.2f}{found.total_ratio:6.2f}"
        f"{found.over:7.1%}{found.high:6.2f}{found.worst:6.2f}{found.worst_phi * 57.29578:6.0f}"
        f"{found.air:6.1%}{found.left:8.4%}{found.lump:7.3f}{of.done:7.3f}{found.gouge:7.4f}"
        f"{found.blocks:6.2f}"
        f"{found.links_in_metal:6d}{found.retracts:6d}{found.entries:8d}{found.plain_s:7.0f}"
        f"{found.load_s:7.0f}{found.peak_s:7.0f}{beside:>7}{of.plan_s:7.1f}{of.here_s:6.1f}"
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
                    found = figures(POCKETS[pocket], strategy, percent)
                except GcodekitError as error:
                    print(f"{pocket:12}{strategy:16}left out: {error.faults[0].message}")
                    continue
                peak = found.rough.peak_s if strategy == OUTLINE else peak
                beside = f"({found.rough.peak_s / peak:.2f})" if peak else ""
                print(row(pocket, strategy, percent, found, beside), flush=True)


if __name__ == "__main__":
    main()
