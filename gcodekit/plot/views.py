"""How plan and front view share the sheet: one above the other or side by side, whichever is
larger, at one scale; a flat front view stretched upwards, a small one enlarged, and that said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gcodekit.job.model import Setup
from gcodekit.part.keep_out import keep_out
from gcodekit.planning.heights import safe_height
from gcodekit.plot.backdrop import standing_bodies
from gcodekit.plot.paper import VIEW, PaperBox
from gcodekit.plot.scale import Extent, Scale
from gcodekit.proof.chords import lowest
from gcodekit.rs274.program_read import Move

# Program zero this many times the metal's size away from it is off the sheet, and what cuts do
# farther away than the other.
FARTHEST, _BESIDE_METAL = 1.0, 0.35
# Free space round the metal, as a share of its size.
_AIR = 0.04
# What is shown of a holding beyond the metal, as a share of its size.
_OF_JAWS = 0.3
# Between two views, one under the other and side by side: ruler, figures, caption.
_UNDER, _BESIDE = 18.0, 15.0
# A front view lower than this is stretched, and one smaller than this both ways enlarged, if that
# takes no more than a fifth of the plan's scale; mm on the paper.
_LOW, _SMALL_VIEW, _LEAST_SHARE = 20.0, 45.0, 0.8
_MAGNIFICATIONS = (1.0, 2.0, 5.0, 10.0)

Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Views:
    """Both views' scales; `note` says how the front view's differs, "" where it does not."""

    plan: Scale
    front: Scale
    note: str


def laid_out(across: Span, away: Span, up: Span) -> Views:
    """Room and scale for views of this extent in x, y and z."""
    x, y, z = (max(s[1] - s[0], 1e-3) for s in (across, away, up))
    beside = min((VIEW.width - _BESIDE) / (2 * x), VIEW.height / max(y, z))
    times, under = _stretched(x, y, z)
    plan, front = (*across[:1], away[0], across[1], away[1]), (across[0], up[0], across[1], up[1])
    if under >= beside:
        top, bottom = _split(VIEW.height - _UNDER, y * under, z * under * times)
        split = VIEW.top + top
        boxes = (
            PaperBox(VIEW.left, VIEW.top, VIEW.right, split),
            PaperBox(VIEW.left, VIEW.bottom - bottom, VIEW.right, VIEW.bottom),
        )
        note = f"heights {times:g} times as large" if times > 1 else ""
        return Views(
            Scale.centred(plan, boxes[0], under),
            Scale.centred(front, boxes[1], under, times),
            note,
        )
    times = _enlarged(x, z, beside)
    left, right = _split(VIEW.width - _BESIDE, x * beside, x * beside * times)
    boxes = (
        PaperBox(VIEW.left, VIEW.top, VIEW.left + left, VIEW.bottom),
        PaperBox(VIEW.right - right, VIEW.top, VIEW.right, VIEW.bottom),
    )
    note = f"{times:g} times the plan's scale" if times > 1 else ""
    return Views(
        Scale.centred(plan, boxes[0], beside), Scale.centred(front, boxes[1], beside * times), note
    )


def _stretched(x: float, y: float, z: float) -> tuple[float, float]:
    """Of views one under the other: how many times heights are stretched, and the scale."""
    best = (1.0, _under(x, y, z, 1.0))
    plain = best[1]
    for times in _MAGNIFICATIONS:
        factor = _under(x, y, z, times)
        if factor < _LEAST_SHARE * plain:
            break
        best = (times, factor)
        if z * factor * times >= _LOW:
            break
    return best


def _under(x: float, y: float, z: float, times: float) -> float:
    return min(VIEW.width / x, (VIEW.height - _UNDER) / (y + z * times))


def _enlarged(x: float, z: float, factor: float) -> float:
    """Of views side by side: how many times the plan's scale the front view has."""
    best = 1.0
    for times in _MAGNIFICATIONS:
        wide, high = x * factor * times, z * factor * times
        if wide + x * factor > VIEW.width - _BESIDE or high > VIEW.height:
            break
        best = times
        if max(wide, high) >= _SMALL_VIEW:
            break
    return best


def _split(room: float, one: float, other: float) -> tuple[float, float]:
    """Room shared out: what each takes, and half of what is left."""
    spare = max(0.0, room - one - other) / 2
    return one + spare, room - one - spare


def plan_extent(moves: Sequence[Move], setup: Setup, more: float) -> Extent:
    """Metal, holding, cuts and program zero, as far away as is of use."""
    (x0, y0, _), (x1, y1, _) = setup.left.low, setup.left.high
    far = FARTHEST * max(x1 - x0, y1 - y0)
    near = [(0.0, 0.0)] if x0 - far <= 0 <= x1 + far and y0 - far <= 0 <= y1 + far else []
    far = _BESIDE_METAL * max(x1 - x0, y1 - y0)
    for m in moves:
        if m.kind != "rapid" and m.known_before == "XYZ":
            near += [
                (min(max(p[0], x0 - far), x1 + far), min(max(p[1], y0 - far), y1 + far))
                for p in (m.start, m.end)
            ]
    # of jaws so much as shows where they are
    some = _OF_JAWS * max(x1 - x0, y1 - y0)
    for b in standing_bodies(setup):
        u0, v0, u1, v1 = b.bounds
        near.append((max(u0, x0 - some), max(v0, y0 - some)))
        near.append((min(u1, x1 + some), min(v1, y1 + some)))
    xs, ys = [x0, x1, *(p[0] for p in near)], [y0, y1, *(p[1] for p in near)]
    air = _AIR * max(max(xs) - min(xs), max(ys) - min(ys)) + more
    return (min(xs) - air, min(ys) - air, max(xs) + air, max(ys) + air)


def height_extent(moves: Sequence[Move], setup: Setup, *, metal: bool) -> Span:
    """Metal, what it lies on, what holds it, cuts, clearance height and program zero."""
    low, high = setup.left.low, setup.left.high
    tall = high[2] - low[2]
    far = FARTHEST * max(h - a for a, h in zip(low, high, strict=True))
    heights = [0.0, *(b.top for b in keep_out(setup))]
    heights += [lowest(m) for m in moves if m.kind != "rapid" and m.known_before == "XYZ"]
    heights += [m.end[2] for m in moves if (m.kind != "rapid" or not metal) and "Z" in m.known]
    if metal and setup.clearance > 0:
        heights.append(safe_height(setup))
    near = [h for h in heights if low[2] - far <= h <= high[2] + far]
    bottom, top = min(low[2], *near), max(high[2], *near)
    hold = setup.hold
    if hold.board is not None:
        bottom = min(bottom, low[2] - hold.board)
    elif hold.vise is not None:
        bottom = min(bottom, low[2] - (hold.vise.parallels or (0.0,))[0] - 0.1 * tall)
    elif hold.said:
        bottom = min(bottom, low[2] - 0.15 * tall)
    return bottom, top + _AIR * (top - bottom) + 0.2
