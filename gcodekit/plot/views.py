"""How plan and front view share the drawing: the front view under the plan at the same x, or, of
long or tall work, a view from the right beside it at the same y; both at one standard scale.

Third angle projection (ISO 5456-2): each view lies on the side it is seen from. Of flat work the
heights may be drawn at a larger standard scale, which is then said.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from gcodekit.job.model import Setup
from gcodekit.part.keep_out import keep_out
from gcodekit.planning.heights import safe_height
from gcodekit.plot.backdrop import standing_bodies
from gcodekit.plot.paper import VIEW, PaperBox
from gcodekit.plot.scale import STANDARD_SCALES, Scale, ratio
from gcodekit.proof.chords import lowest, turning_points
from gcodekit.rs274.program_read import Move

# Program zero this many times the stock's size away from it is off the sheet, and what cuts do
# farther away than the other.
FARTHEST, _BESIDE_STOCK = 1.0, 0.35
# Free space round a view; what is shown of a holding beyond the stock; the zigzags it is broken off
# with included; mm on the paper.
AIR, SHOWN = 2.0, 8.0
# Between two views, one under the other and side by side: sizes, lettering, caption.
_UNDER, _BESIDE = 19.0, 20.0
# Stock thinner than this on the paper, mm, has its heights drawn larger.
_THIN = 4.5
# Heights at most so many times as large as lengths.
_MOST_STRETCH = 10.0

Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Views:
    """Both views' scales; `axis` is the one that the second view has besides z: 0 for x, seen from
    the front, 1 for y, seen from the right; `note` says how its heights differ, "" where they do
    not."""

    plan: Scale
    front: Scale
    axis: int
    note: str

    @property
    def name(self) -> str:
        """Of the second view."""
        return ("FRONT", "RIGHT SIDE")[self.axis]


@dataclass(frozen=True, slots=True)
class Contents:
    """What is to be seen: from `low` to `high` in all of it, and of it and what holds the work from
    `low_held` to `high_held`, program coordinates, mm."""

    low: tuple[float, float, float]
    high: tuple[float, float, float]
    low_held: tuple[float, float, float]
    high_held: tuple[float, float, float]
    thick: float = math.inf

    def span(self, axis: int, factor: float) -> Span:
        """Along an axis, at a scale: of the holding no more than shows what it is."""
        more = SHOWN / factor
        air = AIR / factor
        low = max(min(self.low[axis], self.low_held[axis]), self.low[axis] - more)
        high = min(max(self.high[axis], self.high_held[axis]), self.high[axis] + more)
        return low - air, high + air


def laid_out(seen: Contents) -> Views:
    """The largest standard scale at which both views have room, and where they lie."""
    for factor in STANDARD_SCALES:
        x, y, z = (_size(seen.span(axis, factor)) * factor for axis in range(3))
        if x <= VIEW.width and y + z + _UNDER <= VIEW.height:
            return _one_under_the_other(seen, factor)
        if x + z + _BESIDE <= VIEW.width and y <= VIEW.height:
            return _side_by_side(seen, factor)
    return _one_under_the_other(seen, STANDARD_SCALES[-1])


def _size(span: Span) -> float:
    return span[1] - span[0]


def _stretch(seen: Contents, factor: float, room: float) -> float:
    """How many times as large heights are drawn where the stock is thin."""
    best = 1.0
    for scale in reversed(STANDARD_SCALES):
        times = scale / factor
        if times <= 1.0 or times > _MOST_STRETCH + 1e-9:
            continue
        if seen.thick * factor * best >= _THIN or _size(seen.span(2, scale)) * scale > room:
            break
        best = times
    return best


def _one_under_the_other(seen: Contents, factor: float) -> Views:
    across, away = seen.span(0, factor), seen.span(1, factor)
    high = _size(away) * factor
    times = _stretch(seen, factor, VIEW.height - _UNDER - high)
    up = seen.span(2, factor * times)
    low = _size(up) * factor * times
    spare = max(0.0, VIEW.height - _UNDER - high - low)
    wide = _size(across) * factor
    left = VIEW.left + max(0.0, VIEW.width - wide) / 2
    # a part near the middle of its half leaves room for lettering all round
    top = VIEW.top + 0.35 * spare
    under = top + high + _UNDER + 0.35 * spare
    plan = PaperBox(left, top, left + wide, top + high)
    front = PaperBox(left, under, left + wide, under + low)
    return Views(
        Scale.centred((across[0], away[0], across[1], away[1]), plan, factor),
        Scale.centred((across[0], up[0], across[1], up[1]), front, factor, times),
        0,
        f"Z scale {ratio(factor * times)}" if times > 1 else "",
    )


def _side_by_side(seen: Contents, factor: float) -> Views:
    across, away = seen.span(0, factor), seen.span(1, factor)
    wide, high = _size(across) * factor, _size(away) * factor
    times = _stretch(seen, factor, VIEW.width - _BESIDE - wide)
    up = seen.span(2, factor * times)
    deep = _size(up) * factor * times
    spare = max(0.0, VIEW.width - _BESIDE - wide - deep)
    top = VIEW.top + max(0.0, VIEW.height - high) / 2
    left = VIEW.left + 0.35 * spare
    beside = left + wide + _BESIDE + 0.35 * spare
    plan = PaperBox(left, top, left + wide, top + high)
    side = PaperBox(beside, top, beside + deep, top + high)
    return Views(
        Scale.centred((across[0], away[0], across[1], away[1]), plan, factor),
        Scale.centred((away[0], up[0], away[1], up[1]), side, factor, times, turned=True),
        1,
        f"Z scale {ratio(factor * times)}" if times > 1 else "",
    )


def contents(moves: Sequence[Move], setup: Setup, widest: float, *, metal: bool) -> Contents:
    """Stock, holding, cuts, clearance height and program zero, as far away as is of use; `widest`
    is the radius of the widest cutter, which counts where there is no stock to be seen."""
    (x0, y0, z0), (x1, y1, z1) = setup.left.low, setup.left.high
    far = _BESIDE_STOCK * max(x1 - x0, y1 - y0)
    zero = _zero_near(setup)
    xs, ys = [x0, x1, *zero], [y0, y1, *zero]
    for x, y in _cut_places(moves):
        xs.append(min(max(x, x0 - far), x1 + far))
        ys.append(min(max(y, y0 - far), y1 + far))
    more = 0.0 if metal else widest
    zs = _heights(moves, setup, metal=metal)
    held = _held(setup)
    low, high = (min(xs) - more, min(ys) - more, min(zs)), (max(xs) + more, max(ys) + more, max(zs))
    return Contents(
        low,
        high,
        held[0],
        held[1],
        z1 - z0 if metal else math.inf,
    )


def _zero_near(setup: Setup) -> list[float]:
    (x0, y0, _), (x1, y1, _) = setup.left.low, setup.left.high
    far = FARTHEST * max(x1 - x0, y1 - y0)
    return [0.0] if x0 - far <= 0 <= x1 + far and y0 - far <= 0 <= y1 + far else []


def _cut_places(moves: Sequence[Move]) -> list[tuple[float, float]]:
    """Where cuts go in plan; of arcs all the way round."""
    found: list[tuple[float, float]] = []
    for m in moves:
        if m.kind == "rapid" or m.known_before != "XYZ":
            continue
        found += [(p[0], p[1]) for p in turning_points(m)]
    return found


def _heights(moves: Sequence[Move], setup: Setup, *, metal: bool) -> list[float]:
    """z of stock, cuts, clearance height and program zero."""
    low, high = setup.left.low, setup.left.high
    far = FARTHEST * max(h - a for a, h in zip(low, high, strict=True))
    heights = [0.0, *(b.top for b in keep_out(setup) if b.top > low[2])]
    heights += [lowest(m) for m in moves if m.kind != "rapid" and m.known_before == "XYZ"]
    heights += [m.end[2] for m in moves if (m.kind != "rapid" or not metal) and "Z" in m.known]
    if metal and setup.clearance > 0:
        heights.append(safe_height(setup))
    return [low[2], high[2], *(h for h in heights if low[2] - far <= h <= high[2] + far)]


def _held(setup: Setup) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """Opposite corners of all that holds the work."""
    low, high = [*setup.left.low], [*setup.left.high]
    for b in standing_bodies(setup):
        u0, v0, u1, v1 = b.bounds
        low[:2] = min(low[0], u0), min(low[1], v0)
        high[:2] = max(high[0], u1), max(high[1], v1)
    if setup.hold.said:
        low[2] = -math.inf
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])
