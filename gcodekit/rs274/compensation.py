"""Cutter radius compensation: from the path that is programmed to the path of the cutter's centre.

Every move is shifted by the cutter's radius; round an outer corner goes an arc of that radius. An
inner corner, which a round cutter can never reach into, is an error and never rounded silently.

Source: NISTIR 6556, 3.5.10 and appendix B.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from gcodekit.rs274.block import Block
from gcodekit.rs274.exact_arcs import MISMATCH_MM, ONE_PLACE, BlockError, sweep
from gcodekit.rs274.motion import curve_of, go, go_round, target_of
from gcodekit.rs274.program_read import CircularPart, Point3, Tool
from gcodekit.rs274.state import COMPENSATION, MOTION, Compensation, State
from gcodekit.units import format_size

Vector = tuple[float, float]


def turn_on(state: State, block: Block, code: int) -> None:
    """G41 or G42. Without a diameter the path is read as it is programmed."""
    side = 1 if code == 410 else -1
    number = round(block.values["D"]) if "D" in block.values else state.conditions.cutter
    tool = Tool() if "D" in block.values and not number else state.tools.get(number)
    if tool is None:
        text = "cutter compensation with no cutter loaded: its diameter is not known"
        if number:
            text = f"cutter compensation with cutter {number}, whose diameter is not known"
        state.problems.error(text, line=state.line, column=block.columns[COMPENSATION])
        return
    state.conditions = replace(state.conditions, compensation=side)
    if tool.diameter < 0:
        side = -side
    state.compensation = Compensation(side, abs(tool.diameter) / 2)


def turn_off(state: State) -> None:
    """G40: no motion; the next one begins where the cutter stands."""
    if state.compensation is not None:
        state.compensation = None
        state.conditions = replace(state.conditions, compensation=0)


@dataclass(frozen=True, slots=True)
class _Step:
    """One programmed move in plan: outward normals of the path at both ends, on the cutter's side,
    and where the cutter's centre ends; `curve` is the programmed one, of an arc."""

    at_start: Vector
    end: Point3
    curve: CircularPart | None = None


def move_beside(state: State, values: Mapping[str, float], motion: int) -> None:
    """G0 to G3 while compensation is on."""
    compensation = state.compensation
    assert compensation is not None
    end, known = target_of(state, values)
    if compensation.drawn is None:
        _enter(state, compensation, values, end, known, motion)
        return
    drawn = compensation.drawn
    if motion in (0, 10):
        if math.dist(drawn, end[:2]) < ONE_PLACE:
            x, y, _ = state.position
            go(state, (x, y, end[2]), known, rapid=motion == 0)
            return
        step = _straight(compensation, drawn, end)
    else:
        step = _round(state, compensation, values, end, ccw=motion == 30)
    fits = _corner(state, compensation, drawn, step)
    _make(state, step, known, motion)
    state.compensation = replace(compensation, drawn=(end[0], end[1]))
    if not fits:
        text = "the cutter cannot reach into an inner corner with cutter compensation on"
        raise BlockError(text, MOTION)


def _straight(compensation: Compensation, drawn: Vector, end: Point3) -> _Step:
    length = math.dist(drawn, end[:2])
    along = (end[0] - drawn[0]) / length, (end[1] - drawn[1]) / length
    side, radius = compensation.side, compensation.radius
    normal = -along[1] * side, along[0] * side
    return _Step(normal, _beside(end, normal, radius))


def _beside(place: Point3, normal: Vector, radius: float) -> Point3:
    return place[0] + normal[0] * radius, place[1] + normal[1] * radius, place[2]


def _round(
    state: State, compensation: Compensation, values: Mapping[str, float], end: Point3, *, ccw: bool
) -> _Step:
    """An arc of the path; inside it the cutter's own arc is smaller by its radius."""
    drawn = compensation.drawn or (state.position[0], state.position[1])
    curve = curve_of(state, (*drawn, state.position[2]), end, values, ccw=ccw)
    inward = _inward(compensation, ccw=ccw)
    if (
        inward > 0
        and curve.radius <= compensation.radius + ONE_PLACE
        and compensation.radius > ONE_PLACE
    ):
        arc, own = (
            format_size(r, state.problems.units) for r in (curve.radius, compensation.radius)
        )
        text = f"arc of radius {arc} is too small for the cutter, radius {own}"
        raise BlockError(f"{text}: use a smaller cutter", MOTION)
    centre = curve.centre[0], curve.centre[1]
    at_end = _towards((end[0], end[1]), centre, inward)
    at_start = _towards(drawn, centre, inward)
    return _Step(at_start, _beside(end, at_end, compensation.radius), curve)


def _inward(compensation: Compensation, *, ccw: bool) -> float:
    """1 where the cutter is on the inside of an arc, else -1."""
    return 1.0 if (compensation.side > 0) == ccw else -1.0


def _towards(place: Vector, centre: Vector, inward: float) -> Vector:
    distance = math.dist(place, centre)
    if distance < ONE_PLACE:
        raise BlockError("arc of radius 0", MOTION)
    return (
        (centre[0] - place[0]) / distance * inward,
        (centre[1] - place[1]) / distance * inward,
    )


def _corner(state: State, compensation: Compensation, drawn: Vector, step: _Step) -> bool:
    """Go round the corner between the move before and this one. False: an inner corner, in which
    the move after it begins too deep."""
    radius = compensation.radius
    if radius < ONE_PLACE:
        return True
    x, y, z = state.position
    before = (x - drawn[0]) / radius, (y - drawn[1]) / radius
    after = step.at_start
    turn = math.atan2(
        before[0] * after[1] - before[1] * after[0], before[0] * after[0] + before[1] * after[1]
    )
    # going straight back on itself is an outer corner of half a turn
    outward = -compensation.side * turn if abs(turn) < math.pi - 1e-6 else math.pi
    if outward < 0:
        return radius * (1 - math.cos(turn)) <= MISMATCH_MM
    if radius * outward <= MISMATCH_MM:
        return True
    ccw = compensation.side < 0
    end = _beside((*drawn, z), after, radius)
    angle = sweep(*before, *after, ccw=ccw)
    curve = CircularPart((*drawn, z), 17, angle, radius)
    go_round(state, end, state.known, curve)
    return True


def _make(state: State, step: _Step, known: int, motion: int) -> None:
    """The move itself, from where the corner has led."""
    if step.curve is None:
        go(state, step.end, known, rapid=motion == 0)
        return
    start = state.position
    x, y, _ = step.curve.centre
    radius = (math.dist(start[:2], (x, y)) + math.dist(step.end[:2], (x, y))) / 2
    curve = step.curve._replace(centre=(x, y, start[2]), radius=radius)
    go_round(state, step.end, known, curve)


def _enter(
    state: State,
    compensation: Compensation,
    values: Mapping[str, float],
    end: Point3,
    known: int,
    motion: int,
) -> None:
    """The first move, from where the cutter stands to beside the end of the path's first move."""
    x, y, _ = state.position
    if motion in (0, 10):
        if math.dist((x, y), end[:2]) < ONE_PLACE:
            # straight down beside the work: the path has not begun
            go(state, end, known, rapid=motion == 0)
            return
        place = _first_place(state, compensation, (x, y), end)
        go(state, place, known, rapid=motion == 0)
    else:
        _enter_round(state, compensation, values, end, known, ccw=motion == 30)
    state.compensation = replace(compensation, drawn=(end[0], end[1]))


def _first_place(state: State, compensation: Compensation, here: Vector, end: Point3) -> Point3:
    """The right-angle corner of a triangle whose hypotenuse runs from here to the programmed end,
    one side of it the cutter's radius (B.6)."""
    length, radius = math.dist(here, end[:2]), compensation.radius
    if length <= radius:
        size = format_size(radius, state.problems.units)
        text = "first move with cutter compensation must be longer than the cutter radius"
        raise BlockError(f"{text}, {size}", MOTION)
    along = (end[0] - here[0]) / length, (end[1] - here[1]) / length
    back = radius / length
    aside = compensation.side * math.sqrt(1 - back * back)
    normal = -along[1] * aside - along[0] * back, along[0] * aside - along[1] * back
    return _beside(end, normal, radius)


def _enter_round(
    state: State,
    compensation: Compensation,
    values: Mapping[str, float],
    end: Point3,
    known: int,
    *,
    ccw: bool,
) -> None:
    """An arc that ends beside the programmed one, square to it."""
    step = _round(state, compensation, values, end, ccw=ccw)
    text = (
        "cutter compensation starts on an arc, where controls differ: start it on a straight move"
    )
    state.warn_once(text)
    start = state.position
    assert step.curve is not None
    inward = _inward(compensation, ccw=ccw)
    normal = _towards((end[0], end[1]), step.curve.centre[:2], inward)
    way = step.end[0] - start[0], step.end[1] - start[1]
    across = way[0] * normal[0] + way[1] * normal[1]
    # from the end along its normal to a centre as far from the start
    reach = -(way[0] ** 2 + way[1] ** 2) / (2 * across) if abs(across) > ONE_PLACE else 0.0
    if reach * inward <= ONE_PLACE:
        raise BlockError(
            "cutter compensation cannot start on this arc: start it on a straight move", MOTION
        )
    centre = step.end[0] + reach * normal[0], step.end[1] + reach * normal[1]
    angle = sweep(
        start[0] - centre[0], start[1] - centre[1],
        step.end[0] - centre[0], step.end[1] - centre[1], ccw=ccw,
    )  # fmt: skip
    go_round(state, step.end, known, CircularPart((*centre, start[2]), 17, angle, abs(reach)))
