"""The finished part as a closed solid, read back from its own file."""

from __future__ import annotations

import math
from collections import Counter
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from gcodekit.job.load import load_job
from gcodekit.part.finished_part import SetupCut, finished, volume, without_offcuts
from gcodekit.part.other_setups import surely_gone
from gcodekit.part.solid import solid, stl
from gcodekit.planning.cutter_assignment import asked_of, finished_with

JOBS = Path(__file__).parents[2] / "jobs"
HEAD = 'units = "mm"\nmaterial = "brass"\n[stock]\n'
CENTRE = 'zero = { x = "centre", y = "centre", z = "top" }\nhold = { board = 12 }\n'


def typed(stock: str, *setups: str) -> str:
    return HEAD + stock + "\n" + "".join(f"[[setup]]\n{s}" for s in setups)


def feature(kind: str, *keys: str) -> str:
    return "\n".join(("[[setup.feature]]", f'kind = "{kind}"', *keys, ""))


def hole(diameter: float, *keys: str) -> str:
    return feature("hole", "at = [0, 0]", f"diameter = {diameter}", *keys)


def cuts_of(path: Path) -> tuple[object, list[SetupCut]]:
    job, cuts, faults = finished_with(load_job(path))
    assert not faults
    gone = [surely_gone(s, asked_of(s, cuts)) for s in job.setups]
    return job.stock, [without_offcuts(s, g) for s, g in zip(job.setups, gone, strict=True)]


def corners_of(data: bytes) -> NDArray[np.float64]:
    """(n, 3, 3): the corners of a binary STL's triangles. Layout from memory of the format: 80
    bytes, a count, then 50 bytes a triangle."""
    count = int(np.frombuffer(data, "<u4", 1, 80)[0])
    assert len(data) == 84 + 50 * count
    rows = np.frombuffer(data, np.dtype([("f", "<f4", (4, 3)), ("idle", "<u2")]), count, 84)
    return rows["f"][:, 1:].astype(float)


def enclosed(corners: NDArray[np.float64]) -> float:
    """By tetrahedra from the origin: right only of a closed surface, its normals outwards."""
    a, b, c = corners.transpose(1, 0, 2)
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


def is_closed(corners: NDArray[np.float64]) -> bool:
    """Every edge is gone along as often one way as the other."""
    edges: Counter[tuple[bytes, bytes]] = Counter()
    for triangle in corners:
        keys = [p.tobytes() for p in triangle]
        for i in range(3):
            edges[keys[i], keys[(i + 1) % 3]] += 1
    return all(edges[b, a] == n for (a, b), n in edges.items())


BLOCK = "block = [40, 30, 20]"
WINDOW = feature(
    "pocket", "outline = { rectangle = [20, 14], centre = [0, 0], round = 4 }", "depth = 10"
)
WINDOW_AREA = 20 * 14 - (4 - math.pi) * 16
# Text, volume worked out by hand, and how many holes go through.
PARTS = {
    "a hole through": (
        typed(BLOCK, CENTRE + hole(8, "through = true")),
        40 * 30 * 20 - 20 * math.pi * 16, 1,
    ),
    "pockets from both sides that just meet": (
        typed(BLOCK, CENTRE + WINDOW, 'up = "bottom"\n' + CENTRE + WINDOW),
        40 * 30 * 20 - 20 * WINDOW_AREA, 1,
    ),
    "a blind hole with its point": (
        typed(BLOCK, CENTRE + hole(8, "depth = 10", "spot = false")),
        # 118 degrees
        40 * 30 * 20 - math.pi * 16 * (10 + 4 / math.tan(math.radians(59)) / 3), 0,
    ),
    "a countersunk hole": (
        typed(BLOCK, CENTRE + hole(6, "through = true",
                                   "countersink = { diameter = 10, angle = 90 }")),
        40 * 30 * 20 - 20 * math.pi * 9 - math.pi * (2 / 3 * (25 + 15 + 9) - 18), 1,
    ),
    "holes from two sides that cross": (
        typed(BLOCK, CENTRE + hole(8, "through = true"), 'up = "left"\n' + CENTRE + hole(
            8, "through = true")),
        # two round bars of radius 4 that cross share 16/3 of its cube
        40 * 30 * 20 - 60 * math.pi * 16 + 16 / 3 * 64, 3,
    ),
    "a round bar lying down, with a flat": (
        typed('round = { diameter = 30, length = 40, axis = "x" }',
              CENTRE + feature("face", "depth = 5")),
        40 * (math.pi * 225 - (225 * math.acos(10 / 15) - 10 * math.sqrt(125))), 0,
    ),
    "cut out of a plate on tabs, with a window": (
        typed("block = [80, 60, 6]", CENTRE
              + feature("profile", "outline = { circle = 20, centre = [0, 0] }", 'side = "inside"',
                        "through = true")
              + feature("profile", "outline = { rectangle = [60, 40], centre = [0, 0] }",
                        'side = "outside"', "through = true",
                        "tabs = { count = 4, width = 5, height = 1 }")),
        6 * (60 * 40 - math.pi * 100), 1,
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", PARTS)
def test_a_solid_is_closed_and_as_large_as_by_hand(name: str, tmp_path: Path) -> None:
    text, by_hand, holes = PARTS[name]
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    stock, cuts = cuts_of(tmp_path / "job.toml")
    body = solid(stock, cuts)  # type: ignore[arg-type]  # a stock
    corners = corners_of(stl(body, name))
    assert is_closed(corners)
    assert enclosed(corners) == pytest.approx(by_hand, rel=1e-3)
    assert volume(finished(cuts)) == pytest.approx(by_hand, rel=1e-3)
    assert volume(finished(cuts)) == pytest.approx(enclosed(corners), rel=1e-3)
    assert (body.genus(), len(body.decompose())) == (holes, 1)


@pytest.mark.parametrize("path", [pytest.param(p, id=p.stem) for p in JOBS.glob("*.toml")
                                  if p.stem != "workshop"])  # fmt: skip
def test_a_shipped_job_s_solid_agrees_with_its_planes(path: Path) -> None:
    stock, cuts = cuts_of(path)
    corners = corners_of(stl(solid(stock, cuts), path.stem))  # type: ignore[arg-type]  # a stock
    assert is_closed(corners)
    assert enclosed(corners) == pytest.approx(volume(finished(cuts)), rel=1e-3)
