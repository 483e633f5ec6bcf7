"""The target by brute force: points against predicates written apart from it.

Each drawing has a signed distance in the plane (negative inside), from the textbook formulas of
circle, segment, arc and rounded rectangle. Points nearer than NEAR to a rim are left out.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from gcodekit.errors import Place
from gcodekit.geometry.chain import Arc, Chain, Line
from gcodekit.geometry.region import Region
from gcodekit.job.feature import Cutting, Depth, Feature
from gcodekit.job.holdings import Hold
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.hole import Hole
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.kinds.slot import Slot
from gcodekit.job.model import Setup
from gcodekit.job.raw_stock import RawStock
from gcodekit.target.demand import FeatureCutters
from gcodekit.target.neighbours import Neighbours
from gcodekit.target.setup_metal import SetupSoFar
from gcodekit.target.target import Slice, Target, demand_of
from gcodekit.trade.cutter import Cutter

NEAR = 0.002
Distance = Callable[[float, float], float]


def circle(cx: float, cy: float, r: float) -> Distance:
    return lambda x, y: math.hypot(x - cx, y - cy) - r


def segment(ax: float, ay: float, bx: float, by: float) -> Distance:
    def d(x: float, y: float) -> float:
        t = ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / ((bx - ax) ** 2 + (by - ay) ** 2)
        t = min(1.0, max(0.0, t))
        return math.hypot(x - ax - t * (bx - ax), y - ay - t * (by - ay))

    return d


def arc(cx: float, cy: float, r: float, a0: float, a1: float) -> Distance:
    """Distance from an arc that goes counter-clockwise from a0 to a1."""

    def d(x: float, y: float) -> float:
        turn = (math.atan2(y - cy, x - cx) - a0) % math.tau
        if turn <= a1 - a0:
            return abs(math.hypot(x - cx, y - cy) - r)
        ends = ((cx + r * math.cos(a), cy + r * math.sin(a)) for a in (a0, a1))
        return min(math.hypot(x - ex, y - ey) for ex, ey in ends)

    return d


def rounded(x0: float, y0: float, x1: float, y1: float, r: float) -> Distance:
    def d(x: float, y: float) -> float:
        qx = abs(x - (x0 + x1) / 2) - (x1 - x0) / 2 + r
        qy = abs(y - (y0 + y1) / 2) - (y1 - y0) / 2 + r
        return math.hypot(max(qx, 0.0), max(qy, 0.0)) + min(max(qx, qy), 0.0) - r

    return d


def rounded_region(x0: float, y0: float, x1: float, y1: float, r: float) -> Chain:
    return Chain(
        (
            Line((x0 + r, y0), (x1 - r, y0)),
            Arc((x1 - r, y0), (x1, y0 + r), (x1 - r, y0 + r), True),
            Line((x1, y0 + r), (x1, y1 - r)),
            Arc((x1, y1 - r), (x1 - r, y1), (x1 - r, y1 - r), True),
            Line((x1 - r, y1), (x0 + r, y1)),
            Arc((x0 + r, y1), (x0, y1 - r), (x0 + r, y1 - r), True),
            Line((x0, y1 - r), (x0, y0 + r)),
            Arc((x0, y0 + r), (x0 + r, y0), (x0 + r, y0 + r), True),
        )
    )


def holds(part: Slice, required: Distance | None, allowed: Distance | None) -> None:
    """Every point is where its distances say: required, allowed beside it, or neither."""
    rng = np.random.default_rng(1)
    xs, ys = rng.uniform(-5, 105, 600), rng.uniform(-5, 65, 600)
    for shape, distance in (
        (part.required, required),
        (shapely.union(part.allowed, part.required), allowed),
    ):
        found = shapely.contains_xy(shape, xs, ys)
        for x, y, inside in zip(xs, ys, found, strict=True):
            d = distance(x, y) if distance is not None else 1.0
            if abs(d) > NEAR:
                assert inside == (d < 0), (x, y, d)


def values(*, floor: float | None = None) -> Any:
    through = floor is None
    cut_to = -10.5 if floor is None else floor
    depth = Depth(top=0, floor=-10 if floor is None else floor, through=through, cut_to=cut_to)
    return {"name": "it", "place": Place("part.toml", 9), "depth": depth, "cutting": Cutting()}


def asked(feature: Feature, cut: FeatureCutters) -> Target:
    setup = Setup(
        name="one",
        place=Place("part.toml", 5),
        raw=RawStock(shape="block", low=(0, 0, -10), high=(100, 60, 0)),
        zero_text="",
        clearance=5,
        breakthrough=0.5,
        work_offset=1,
        hold=Hold(),
        features=(feature,),
    )
    return Target(setup, (demand_of(feature, cut, SetupSoFar(setup), Neighbours(setup)),), ())


few = settings(max_examples=12, deadline=None)
sizes = st.floats(0.6, 6.0)


def cutter(d: float, kind: Any = "end mill", tip: float = math.pi) -> Cutter:
    return Cutter(
        number=1, name="c", kind=kind, diameter=d, flute_length=30, stickout=50, shank=d,
        tip_angle=tip,
    )  # fmt: skip


@few
@given(r=sizes, ri=st.floats(1, 8), depth=st.floats(0.1, 9.9))
def test_pocket(r: float, ri: float, depth: float) -> None:
    outer, island = rounded_region(20, 10, 80, 45, r), Chain.circle((45, 28), ri)
    made = Pocket(
        outline=Region.of(outer),
        islands=(Region.of(island),),
        area=Region.of(outer, island),
        **values(floor=-depth),
    )
    part = asked(made, FeatureCutters(cutter=cutter(2.0)))
    rim, pillar = rounded(20, 10, 80, 45, r), circle(45, 28, ri)

    def required(x: float, y: float) -> float:
        return max(rim(x, y), -pillar(x, y))

    holds(part.slice(-depth + 0.01), required, required)
    holds(part.slice(0.5), required, required)
    holds(part.slice(-depth - 0.01), None, None)


@few
@given(width=st.floats(1, 12), radius=st.floats(15, 25), sweep=st.floats(0.3, 4.0))
def test_curved_slot(width: float, radius: float, sweep: float) -> None:
    def on(a: float) -> tuple[float, float]:
        return (50 + radius * math.cos(a), 30 + radius * math.sin(a))

    path = Chain((Arc(on(0.2), on(0.2 + sweep), (50, 30), True),))
    part = asked(
        Slot(path=path, width=width, **values(floor=-3)), FeatureCutters(cutter=cutter(2.0))
    )
    middle = arc(50, 30, radius, 0.2, 0.2 + sweep)

    def required(x: float, y: float) -> float:
        return middle(x, y) - width / 2

    holds(part.slice(-2.9), required, required)


@few
@given(
    r=sizes,
    d=st.floats(1, 8),
    allowance=st.floats(0, 0.5),
    side=st.sampled_from(["out", "in", "on"]),
)
def test_closed_profile(r: float, d: float, allowance: float, side: str) -> None:
    ring = rounded_region(30, 20, 75, 45, r)
    names: dict[str, Any] = {"out": "outside", "in": "inside", "on": "on"}
    made = Profile(outline=Region.of(ring), side=names[side], **values())
    part = asked(made, FeatureCutters(cutter=cutter(d), allowance=allowance))
    rim = rounded(30, 20, 75, 45, r)
    kerf, room = d, d + allowance + min(d / 2, 5.0)

    def band(width: float) -> Distance:
        if side == "on":
            return lambda x, y: abs(rim(x, y)) - d / 2
        sign = 1.0 if side == "out" else -1.0
        return lambda x, y: max(-sign * rim(x, y), sign * rim(x, y) - width)

    holds(part.slice(-5.0), band(kerf), band(room))


@few
@given(d=st.floats(1, 8), left=st.booleans(), depth=st.floats(0.5, 9))
def test_open_profile(d: float, left: bool, depth: float) -> None:
    """Along x, then y: a bend to the left."""
    path = Chain.of_points([(20, 15), (70, 15), (70, 50)], closed=False)
    made = Profile(path=path, side="left" if left else "right", **values(floor=-depth))
    part = asked(made, FeatureCutters(cutter=cutter(d)))
    legs = (segment(20, 15, 70, 15), segment(70, 15, 70, 50))

    def required(x: float, y: float) -> float:
        near = min(leg(x, y) for leg in legs)
        to_left = x < 70 and y > 15
        off_ends = max(20 - x, -1.0) if y < 50 else max(20 - x, y - 50)
        wrong = near if to_left != left else -near
        return max(near - d, wrong, off_ends)

    holds_must(part.slice(-depth + 0.01), required)


def holds_must(part: Slice, required: Distance) -> None:
    xs, ys = np.random.default_rng(2).uniform((0, 0), (100, 60), (800, 2)).T
    for x, y, inside in zip(xs, ys, shapely.contains_xy(part.required, xs, ys), strict=True):
        d = required(x, y)
        if abs(d) > NEAR:
            assert inside == (d < 0), (x, y, d)


@few
@given(
    d=st.floats(2, 12), angle=st.floats(60, 150), depth=st.floats(0.5, 4), below=st.floats(0.0, 3.0)
)
def test_drilled_hole(d: float, angle: float, depth: float, below: float) -> None:
    drill = cutter(d, "drill", math.radians(angle))
    made = Hole(places=((30, 30), (60, 25)), diameter=d, spot=False, **values(floor=-depth))
    part = asked(made, FeatureCutters(cutter=drill))
    r = d / 2 - below * math.tan(math.radians(angle / 2))

    def pair(radius: float) -> Distance:
        a, b = circle(30, 30, radius), circle(60, 25, radius)
        return lambda x, y: min(a(x, y), b(x, y))

    holds(part.slice(-depth + 0.001), pair(d / 2), pair(d / 2))
    holds(part.slice(-depth - below - 1e-6), None, pair(r) if r > 0 else None)


@few
@given(r=st.floats(3, 25), left=st.floats(0, 0.4))
def test_bore(r: float, left: float) -> None:
    part = asked(
        Bore(places=((50, 30),), diameter=2 * r, **values()),
        FeatureCutters(cutter=cutter(4.0), left=left),
    )
    holds(part.slice(-9.9), circle(50, 30, r - left), circle(50, 30, r))
