"""Programs for a machine that drives one of X and Y, or neither: cuts as straight strokes along one
axis at a time, laid out as a handwheel sheet has them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from gcodekit.errors import Fault, PlanError
from gcodekit.geometry.chain import Point, same
from gcodekit.geometry.tolerances import SAME_POINT
from gcodekit.handwheel.axis_scales import AxisScale, TableScales
from gcodekit.handwheel.hand_plan import hand_setup
from gcodekit.handwheel.strokes import HandOperation, StrokeTable, TableStop
from gcodekit.job.feature import Feature
from gcodekit.job.model import Job, Setup
from gcodekit.job.workshop.machine import AXES, Machine
from gcodekit.planning.plan import Plan
from gcodekit.planning.program import Operation
from gcodekit.toolpath.moves import ArcFeed, Feed, HoleCycle, Move, OperatorStop, Rapid
from gcodekit.toolpath.path import APPROACH, Path
from gcodekit.trade.cutter import FLAT_MILLS
from gcodekit.units import MM_PER_INCH, Units

# Places are told to this step, mm, and on a dial to this share of a division.
TOLD = {"mm": 0.001, "inch": 0.0001 * MM_PER_INCH}
OF_DIVISION = 0.1
# Of the tolerance, what steps may leave beside a curve or a slant; the rest is for rounding.
STEPS_SHARE = 0.6
# More stops than this in one operation nobody would make. Common practice, no source.
MOST_STOPS = 400
# Of the feed along, that straight down where the plan has none.
PLUNGED = 0.5


def by_strokes(job: Job, setup: Setup, plan: Plan) -> Plan:
    """The plan with every cut along one axis at a time where X or Y is by hand; else as it is.

    Raises
    ------
    PlanError
        For every cut that no strokes lead along, or only too many.
    """
    machine = job.workshop.machine
    if not {0, 1} & set(machine.by_hand):
        return plan
    driven = tuple(axis for axis in AXES[:2] if axis in machine.converted)
    laid = hand_setup(
        job,
        setup,
        plan,
        scales=_scales(machine, job.units),
        cusp=STEPS_SHARE * job.tolerance,
        driven=driven,
    )
    work = _StrokeWork(job, setup, plan, driven)
    operations: list[Operation] = []
    faults: list[Fault] = []
    for planned, hand in zip(plan.program.operations, laid.operations, strict=True):
        try:
            operations.append(work.operation(planned, hand))
        except PlanError as error:
            faults += error.faults
    if faults:
        raise PlanError(tuple(dict.fromkeys(faults)))
    return replace(plan, program=replace(plan.program, operations=tuple(operations)))


def _scales(machine: Machine, units: Units) -> TableScales:
    """What the program can tell a control, or a hand."""
    told, dial = TOLD[units], machine.dial
    steps = [told, told]
    for axis in {0, 1} & set(machine.by_hand):
        division = dial.divisions[axis] if dial is not None else None
        if division is not None:
            steps[axis] = OF_DIVISION * division
    x, y = (AxisScale(step, units) for step in steps)
    return TableScales(x=x, y=y, z=AxisScale(told, units), units=units)


@dataclass(frozen=True, slots=True)
class _StrokeWork:
    """A set-up's operations as strokes; `driven` are the axes, of X and Y, that the control
    moves."""

    job: Job
    setup: Setup
    plan: Plan
    driven: tuple[str, ...]

    def operation(self, planned: Operation, hand: HandOperation) -> Operation:
        """One operation, every cut of it along one axis. Raises `PlanError`."""
        feature = next(f for f in self.setup.features if f.name == planned.feature)
        if planned.cutter.kind not in FLAT_MILLS or _holes(planned.moves):
            if _one_axis_at_a_time(planned.moves):
                return planned
            raise self._refused(
                feature,
                f"{planned.label}: it follows arcs or slants, and this machine drives {self._axes}",
                "make it by hand as `gcodekit handwheel` says, or drive X and Y",
            )
        chosen = self.plan.chosen[feature.name]
        if math.isfinite(planned.true_to) and not (chosen.reamer or chosen.boring):
            raise self._refused(
                feature,
                f"{planned.label}: its limits are closer than strokes with stops keep to",
                "finish it with a reamer or boring head, widen its limits, or drive X and Y",
                key="limits",
            )
        if hand.instead:
            size = planned.cutter.name
            raise self._refused(
                feature,
                f"{planned.label}: no straight strokes lead along it with the {size}",
                "use a narrower cutter, or drive X and Y",
                key="cutter",
            )
        tables = [t for t in hand.tables if isinstance(t, StrokeTable)]
        count = sum(len(t.depths) * sum(map(self._stops, t.stops)) for t in tables)
        if count > MOST_STOPS:
            raise self._refused(
                feature,
                f"{planned.label}: its steps take {count:,} stops to move an axis by hand, at most "
                f"{MOST_STOPS}",
                "set a larger tolerance, or drive X and Y",
            )
        moves = self._moves(planned, tables, hand.feed)
        return replace(planned, moves=moves, how=f"strokes with stops, {self._axes} driven")

    @property
    def _axes(self) -> str:
        return f"{self.driven[0].upper()} alone" if self.driven else "neither X nor Y"

    def _stops(self, stop: TableStop) -> bool:
        """Tell whether a stop of the table is one of the program's, too."""
        return stop.handle not in self.driven

    def _refused(self, feature: Feature, text: str, hint: str, *, key: str = "kind") -> PlanError:
        place = feature.place.at(f"{feature.place.key}.{key}" if feature.place.key else key)
        return PlanError([Fault(place, text, hint)])

    def _moves(
        self, planned: Operation, tables: Sequence[StrokeTable], feed: float
    ) -> tuple[Move, ...]:
        program = self.plan.program
        plunge = _plunge_feed(planned.moves) or PLUNGED * feed
        path = Path(program.safe_z, feed=feed, plunge_feed=min(plunge, feed))
        path.moves += [m for m in planned.moves if isinstance(m, OperatorStop)]
        top = self.setup.left.high[2]
        for table in tables:
            for z in table.depths:
                for stop in table.stops:
                    _go(path, stop, z, top)
        path.lift()
        return tuple(path.moves)


def _go(path: Path, stop: TableStop, z: float, top: float) -> None:
    """To one stop of the table."""
    if stop.handle == "down":
        if path.at is None or not same(path.at, stop.at) or path.z < z:
            path.over(stop.at)
            path.drop(top + APPROACH)
        path.sink(z)
        return
    x, y = path.at or stop.at
    corners: dict[str, list[Point]] = {"xy": [(stop.at[0], y)], "yx": [(x, stop.at[1])]}
    for place in (*corners.get(stop.handle, ()), stop.at):
        path.line_to(place)


def _holes(moves: Sequence[Move]) -> bool:
    return any(isinstance(m, HoleCycle) for m in moves)


def _plunge_feed(moves: Sequence[Move]) -> float:
    """The slowest feed of a plan's ways straight down; 0 where there are none."""
    steps = zip(_places(moves), moves, strict=True)
    return min(
        (m.feed for at, m in steps if isinstance(m, Feed) and at[:2] == (m.x, m.y)), default=0.0
    )


def _one_axis_at_a_time(moves: Sequence[Move]) -> bool:
    """Tell whether every cut of a plan is straight along one axis."""
    for at, move in zip(_places(moves), moves, strict=True):
        if isinstance(move, ArcFeed):
            return False
        if isinstance(move, Feed):
            ends = (move.x, move.y, move.z)
            ways = [
                a is not None and abs(a - b) > SAME_POINT for a, b in zip(at, ends, strict=True)
            ]
            if sum(ways) > 1:
                return False
    return True


def _places(moves: Sequence[Move]) -> Iterator[tuple[float | None, float | None, float | None]]:
    """Where the cutter is before each move, as far as that is known."""
    x: float | None = None
    y: float | None = None
    z: float | None = None
    for move in moves:
        yield x, y, z
        match move:
            case Rapid(x=to_x, y=to_y, z=to_z):
                x, y = x if to_x is None else to_x, y if to_y is None else to_y
                z = z if to_z is None else to_z
            case Feed(x=x, y=y, z=z) | ArcFeed(x=x, y=y, z=z) | HoleCycle(x=x, y=y, retract=z):
                pass
