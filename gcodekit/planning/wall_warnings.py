"""Warnings of thin walls that the cutting force deflects: a wall that gives way comes out thick."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from gcodekit.errors import Fault
from gcodekit.job.stock.removed_stock import Slab
from gcodekit.operations.choosing.tool_suggestions import as_sold
from gcodekit.operations.planned_operation import PlanContext, wall_allowance
from gcodekit.part.planned_target import PlannedTarget
from gcodekit.part.thin_walls import ThinWall, thin_walls
from gcodekit.planning.load_warnings import (
    MOST_SPRING_PASSES,
    OVER_LIMIT,
    LoadWarning,
    after_springs,
    cut_of,
    say_fine,
    worst_each,
)
from gcodekit.planning.program import Operation
from gcodekit.trade.cut_load import Load
from gcodekit.trade.milling_force import MillingCut
from gcodekit.trade.wall_bending import WallShape, ring_shape, thick_enough

# What a feature cuts within this of a wall, mm, it leaves that wall.
BESIDE_WALL = 0.05
# Walls thicker than this, mm, are not looked for, whatever the force.
THICKEST = 10.0


def wall_warnings(
    work: PlanContext,
    operations: Sequence[Operation],
    asked: Sequence[PlannedTarget],
    gone: Sequence[Slab],
) -> tuple[Fault, ...]:
    """`gone`: what of the stock has gone when the set-up is done, and what falls off."""
    modulus = work.job.material.modulus
    cutting = [(o, o.load) for o in operations if o.load is not None and o.load.force]
    # where all may be left as an allowance nothing is sure to be gone
    if modulus is None or not cutting or not gone:
        return ()
    low, high = work.setup.left.low[2], work.setup.left.high[2]
    deepest = high - max(low, min(s.low for s in gone))
    found: list[LoadWarning] = []
    for wall in thin_walls(work.setup, gone, _looked_for(cutting, deepest, modulus)):
        bent = list(_bent(work, wall, _beside(wall, cutting, asked), modulus))
        found += [max(bent, key=lambda w: w.over)] if bent else []
    return worst_each(found)


def _looked_for(cutting: Sequence[tuple[Operation, Load]], height: float, modulus: float) -> float:
    """The thickness that a long wall of that height needs for the strongest cut at its edge."""
    edge = WallShape(height, 1.0, math.inf)
    bends = (edge.deflection(load.force or 0.0, height, modulus) for _, load in cutting)
    allowed = (load.deflection_allowed or 1.0 for _, load in cutting)
    over = max(bend / most for bend, most in zip(bends, allowed, strict=True))
    return min(thick_enough(1.0, over, 1.0), height, THICKEST)


def _beside(
    wall: ThinWall, cutting: Sequence[tuple[Operation, Load]], asked: Sequence[PlannedTarget]
) -> list[tuple[Operation, Load]]:
    """The cuts that leave a wall, those that come once it is open on both sides."""
    z = (wall.low + wall.top) / 2
    names = {a.name for a in asked if a.required_at(z).dwithin(wall.area, BESIDE_WALL)}
    own = [i for i, (o, _) in enumerate(cutting) if o.feature in names]
    firsts = {cutting[i][0].feature: i for i in reversed(own)}
    opened = max(firsts.values(), default=0)
    return [cutting[i] for i in own if i >= opened]


def _bent(
    work: PlanContext, wall: ThinWall, cuts: Sequence[tuple[Operation, Load]], modulus: float
) -> Iterator[LoadWarning]:
    features = {f.name: f for f in work.setup.features}
    for o, load in cuts:
        finishing, allowed = load.stepover is None, load.deflection_allowed or 0.0
        feature = features[o.feature]
        shape = _while_cut(wall, load, 0.0 if finishing else wall_allowance(feature, o.cutter))
        at = shape.height - min(load.depth, shape.height) / 2

        def bent(cut: MillingCut, shape: WallShape = shape, at: float = at) -> float:
            return shape.deflection(cut.force, at, modulus)

        after = after_springs(cut_of(work.job.material, o.cutter, load), bent)
        given = min(feature.cutting.spring_passes, MOST_SPRING_PASSES) if finishing else 0
        if after[given] <= allowed * OVER_LIMIT:
            continue
        x, y = wall.area.representative_point().coords[0]
        text = (
            f"{o.label} deflects the wall at x {work.say(round(x, 1))}, y {work.say(round(y, 1))} "
            f"by {say_fine(work, after[given])}, allowed {say_fine(work, allowed)}: the wall is "
            f"{work.say_about(wall.thickness)} thick and {work.say_about(wall.height)} high"
        )
        thick = thick_enough(wall.thickness, after[given], allowed)
        ways = [f"make it at least {work.say(as_sold(work, thick, up=True))} thick", "support it"]
        enough = next((n for n, still in enumerate(after) if still <= allowed), None)
        if finishing and enough is not None:
            ways.insert(0, f"set spring_passes = {enough}")
        fault = Fault(feature.place, text, " or ".join(ways), "warning")
        yield LoadWarning("wall", after[given] / allowed, fault)


def _while_cut(wall: ThinWall, load: Load, allowance: float) -> WallShape:
    """Roughing finds a wall as high as its pass is deep, for below that it still stands in solid,
    and thicker by what is left on it."""
    height = min(wall.height, load.depth) if allowance else wall.height
    thickness = wall.thickness + allowance
    if wall.closed:
        return ring_shape(height, thickness, wall.length, rooted=wall.rooted)
    return WallShape(height, thickness, wall.length, wall.rooted, wall.ends)
