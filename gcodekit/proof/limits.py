"""A program against the limits of its machine and its cutters."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from gcodekit.job.model import Machine
from gcodekit.part.overlay import common, less
from gcodekit.proof.blank import Blank
from gcodekit.proof.chords import Array, Segments, each_cutter, lowest
from gcodekit.proof.findings import Box
from gcodekit.proof.passed import Passed
from gcodekit.proof.rapids import TOUCH, Standing
from gcodekit.proof.sections import LEVEL, disc
from gcodekit.proof.walls import first_through
from gcodekit.rs274.moves import Event, Move, Reading
from gcodekit.rs274.problems import Point3, ProblemList
from gcodekit.trade.cutter import SIDE_MILLS, Cutter

# A geared or belt speed is met when it is this near, as a share.
SPEED_NEAR = 0.02
# Below the flutes there may stand this much, mm, before it is called rubbing.
RUB = 0.005
# Planes looked at for metal above the flutes: a helix has a pass at every height.
MOST_PLANES = 24


@dataclass(slots=True)
class _Once:
    """One problem for the first of many lines with the same fault, with their number."""

    first: dict[str, tuple[int, Point3 | None]] = field(default_factory=dict)
    count: dict[str, int] = field(default_factory=dict)

    def note(self, text: str, line: int, where: Point3 | None = None) -> None:
        self.first.setdefault(text, (line, where))
        self.count[text] = self.count.get(text, 0) + 1

    def report(self, problems: ProblemList) -> None:
        for text, (line, where) in self.first.items():
            more = self.count[text] - 1
            also = f" (and {more} more moves)" if more else ""
            problems.error(text + also, line=line, where=where)


def check_machine(moves: Sequence[Move], machine: Machine | None, problems: ProblemList) -> None:
    """Feeds and speeds of every move."""
    once = _Once()
    for move in moves:
        if move.kind != "rapid":
            _check_feed(move, machine, once)
            if machine is not None and move.spindle:
                _check_speed(move, machine, once)
    once.report(problems)


def _check_feed(move: Move, machine: Machine | None, once: _Once) -> None:
    if move.feed <= 0.0:
        once.note("no feed: F was never set or is zero", move.line, move.end)
    elif machine is not None and move.feed > machine.feed_max * (1 + 1e-6):
        text = f"feed {move.feed:g} mm/min is above the machine's {machine.feed_max:g}"
        once.note(text, move.line, move.end)


def _check_speed(move: Move, machine: Machine, once: _Once) -> None:
    spindle = machine.spindle
    if not spindle.slowest * (1 - 1e-6) <= move.speed <= spindle.fastest * (1 + 1e-6):
        text = (
            f"speed {move.speed:g} rev/min is outside the machine's "
            f"{spindle.slowest:g} to {spindle.fastest:g}"
        )
        once.note(text, move.line)
    elif spindle.steps and not any(abs(move.speed - s) <= SPEED_NEAR * s for s in spindle.steps):
        steps = ", ".join(f"{s:g}" for s in spindle.steps)
        once.note(f"speed {move.speed:g} rev/min is none of the machine's {steps}", move.line)
    if move.spindle < 0 and not spindle.reverse:
        once.note("the spindle is to turn backwards, which this machine cannot", move.line)


def check_travel(box: Box | None, machine: Machine | None, problems: ProblemList) -> None:
    """The size of the program's box; where it lies on the machine is not known."""
    if box is None or machine is None or machine.travel is None:
        return
    for axis, low, high, travel in zip("xyz", *box, machine.travel, strict=True):
        if high - low > travel + TOUCH:
            text = f"{axis} goes {high - low:.3f} mm, the machine's travel is {travel:g}"
            problems.error(text)


def check_end(reading: Reading, problems: ProblemList) -> None:
    """Whether the program ends as it should; without any end the reader has said so."""
    if not reading.ended and not any("no end" in p.text for p in reading.problems):
        problems.warn("the program ends without M2 or M30", line=reading.last_line)
    offsets = {e.value for e in reading.events if e.kind == "work offset"}
    if len(offsets) > 1:
        first = next(e for e in reading.events if e.kind == "work offset" and _other(e, reading))
        problems.warn("more than one work offset: all are taken as one zero", line=first.line)


def _other(event: Event, reading: Reading) -> bool:
    first = next(e for e in reading.events if e.kind == "work offset")
    return event.value != first.value


def check_cutters(
    moves: Sequence[Move],
    cutters: Mapping[int, Cutter],
    standing: Standing,
    *,
    tolerance: float,
    problems: ProblemList,
) -> None:
    """Cutter known, spindle turning, not too deep, and able to go straight down where it does."""
    once = _Once()
    blank = standing.blank
    for index, move in enumerate(moves):
        if move.known != "XYZ" or _lowest(move) >= blank.top - TOUCH:
            continue
        cutter = cutters.get(move.cutter)
        if cutter is None:
            name = f"cutter {move.cutter} is not in the rack" if move.cutter else "no cutter"
            text = f"{name}: what it cuts cannot be proved"
            once.note(text, move.line, move.end)
            continue
        _check_depth(move, cutter, blank, tolerance, once)
        if move.kind != "rapid":
            _check_turning(move, cutter, once)
            _check_plunge(index, move, cutter, standing, once)
    once.report(problems)


def _lowest(move: Move) -> float:
    return lowest(move) if move.known_before == "XYZ" else move.end[2]


def _check_depth(move: Move, cutter: Cutter, blank: Blank, tolerance: float, once: _Once) -> None:
    """Depth counts where the full diameter is; a point or lead may go further."""
    shoulder = cutter.point_length if cutter.kind not in SIDE_MILLS else 0.0
    if _lowest(move) + shoulder < blank.lowest - tolerance:
        text = f"cutter {cutter.number} goes below z {blank.lowest:.3f}, the lowest allowed"
        once.note(text, move.line, move.end)


def _check_turning(move: Move, cutter: Cutter, once: _Once) -> None:
    if move.spindle == 0:
        once.note("cutting with the spindle not turning", move.line, move.end)
    elif move.speed <= 0.0:
        once.note("cutting with no speed set", move.line, move.end)
    elif move.spindle < 0 and cutter.kind != "tap":
        once.note("cutting with the spindle turning backwards", move.line, move.end)


def _check_plunge(index: int, move: Move, cutter: Cutter, standing: Standing, once: _Once) -> None:
    """Straight down into metal that this cutter cannot bore."""
    start = move.start if move.known_before == "XYZ" else (*move.end[:2], standing.blank.top)
    if move.curve is not None or start[:2] != move.end[:2] or move.end[2] >= start[2]:
        return
    if cutter.kind in SIDE_MILLS and not cutter.centre_cutting:
        radius, reason = cutter.radius, "has no teeth at its centre"
    elif cutter.kind in ("reamer", "tap", "boring head", "thread mill"):
        # it follows a hole, and the hole leaves it something to cut
        radius, reason = cutter.radius / 2, "needs a hole first"
    else:
        return
    x, y, z = move.end
    left = standing.within(disc(x, y, radius), z + TOUCH, index)
    if not left.is_empty and not left.buffer(-TOUCH).is_empty:
        text = f"cutter {cutter.number} straight down into metal: a {cutter.kind} that {reason}"
        once.note(text, move.line, move.end)


def check_flutes(standing: Standing, moves: Sequence[Move], problems: ProblemList) -> None:
    """No cutter may pass metal above its flutes: in each plane, what it sweeps there must have
    been cut by fluted parts. One problem a cutter."""
    for cutter, group in each_cutter(standing.segments):
        tips = np.concatenate([np.minimum(s.start[:, 2], s.end[:, 2]) for s in group])
        lowest_plane = float(tips.min()) + cutter.flute_length + TOUCH
        passed = Passed(standing.segments, _planes_under(tips, lowest_plane, standing.blank))
        for plane in reversed(range(len(passed.planes))):
            if _rubs_at(plane, passed, cutter, standing, moves, problems):
                break


def _planes_under(tips: Array, lowest_plane: float, blank: Blank) -> list[float]:
    """Where metal may have been skipped: just under each pass and each level of the blank."""
    levels = np.concatenate((tips, [blank.top], np.array(blank.levels)))
    heights = np.unique(np.round(levels - TOUCH, 3))
    heights = heights[(heights > lowest_plane) & (heights < blank.top)]
    if len(heights) > MOST_PLANES:
        heights = heights[np.linspace(0, len(heights) - 1, MOST_PLANES).astype(int)]
    return [float(h) for h in heights]


def _rubs_at(
    plane: int,
    passed: Passed,
    cutter: Cutter,
    standing: Standing,
    moves: Sequence[Move],
    problems: ProblemList,
) -> bool:
    """One cutter in one plane: rubbing is where only the part above the flutes has passed."""
    above = passed.above_flutes(plane, cutter)
    bare = less(above, passed.fluted(plane)) if not above.is_empty else above
    # most of it are hairs between sweeps side by side
    if bare.buffer(-RUB).is_empty:
        return False
    z = passed.planes[plane]
    rubbed = common(bare, standing.metal(z))
    if rubbed.buffer(-RUB).is_empty:
        return False
    text = (
        f"flutes too short: cutter {cutter.number} has {cutter.flute_length:g} mm, and metal "
        "stands above them"
    )
    point = rubbed.representative_point()
    where = (point.x, point.y, z)
    move = moves[first_through(where, _bare(cutter, standing, z))]
    problems.error(text, line=move.line, where=where)
    return True


def _bare(cutter: Cutter, standing: Standing, z: float) -> Iterator[Segments]:
    """Where a cutter goes with its flutes below a plane."""
    for s in standing.segments:
        bare = np.minimum(s.start[:, 2], s.end[:, 2]) < z - s.cutter.flute_length - LEVEL
        if s.cutter.number == cutter.number and bare.any():
            yield s.rows(bare)
