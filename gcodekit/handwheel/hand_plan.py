"""The hand work of a set-up: every operation of its proved plan as strokes, holes or turns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.overlay import less, union
from gcodekit.handwheel.axis_scales import TableScales, scales_of
from gcodekit.handwheel.centre_rooms import CentreRoom, alike, centre_room, grown
from gcodekit.handwheel.dialling import NoWayByHandError
from gcodekit.handwheel.hand_cutting import (
    HandPasses,
    hole_notes,
    no_way,
    not_by_hand,
    passes_of,
    slowest,
    stroke_notes,
    whole_of,
)
from gcodekit.handwheel.row_strokes import clearing_rows
from gcodekit.handwheel.straight_runs import straight_tables
from gcodekit.handwheel.strokes import (
    HandHole,
    HandOperation,
    HandTable,
    HoleTable,
    StrokeTable,
    TableStop,
    TurnStroke,
    TurnTable,
)
from gcodekit.handwheel.swept_area import merged, swept_by, swept_in_turns
from gcodekit.handwheel.turning import split_turns
from gcodekit.handwheel.wall_lines import wall_lines
from gcodekit.handwheel.wall_strokes import strokes_along
from gcodekit.job.feature import Feature
from gcodekit.job.model import Job, Setup
from gcodekit.part.planned_target import PlannedTarget
from gcodekit.planning.plan import Plan
from gcodekit.planning.program import Operation, Program
from gcodekit.toolpath.moves import HoleCycle, OperatorStop
from gcodekit.trade.cutter import FLAT_MILLS


@dataclass(frozen=True, slots=True, kw_only=True)
class HandSetup:
    """A set-up's work by hand, in order: `program` is what it is taken from."""

    job: Job
    setup: Setup
    program: Program
    scales: TableScales
    operations: tuple[HandOperation, ...]


def hand_setup(
    job: Job,
    setup: Setup,
    plan: Plan,
    *,
    scales: TableScales | None = None,
    cusp: float | None = None,
    driven: tuple[str, ...] = (),
) -> HandSetup:
    """The hand work of one set-up.

    Parameters
    ----------
    scales : what places are read on; default: the machine's dials, or a readout
    cusp : what may stay between steps along a finished wall, mm; default: what is filed off
    driven : axes (of "x", "y") that a control moves: rows are laid along them, and nothing turned
    """
    scales = scales or scales_of(job.workshop.machine, job.units)
    work = _SetupByHand(job, setup, plan, scales, cusp, driven)
    operations = tuple(work.operation(o) for o in plan.program.operations)
    return HandSetup(
        job=job,
        setup=setup,
        program=plan.program,
        scales=scales,
        operations=operations,
    )


@dataclass(slots=True)
class _SetupByHand:
    """The work as it comes along: `cut` is what each feature's operations have cut, by depth."""

    job: Job
    setup: Setup
    plan: Plan
    scales: TableScales
    cusp: float | None = None
    driven: tuple[str, ...] = ()
    begun: list[Operation] = field(default_factory=list)
    cut: dict[str, list[tuple[float, BaseGeometry]]] = field(default_factory=dict)

    def operation(self, planned: Operation) -> HandOperation:
        """One operation by hand."""
        feature = next(f for f in self.setup.features if f.name == planned.feature)
        words = (
            *planned.stops,
            *(m.text for m in planned.moves if isinstance(m, OperatorStop)),
        )
        cycles = [m for m in planned.moves if isinstance(m, HoleCycle)]
        if cycles:
            found = self._holes(planned, cycles)
        elif planned.cutter.kind not in FLAT_MILLS:
            found = self._as_planned(planned, feature)
        else:
            found = self._milled(planned, feature)
        self.begun.append(planned)
        return replace(found, stops=words, touch_off=planned.touch_off)

    def _holes(self, planned: Operation, cycles: Sequence[HoleCycle]) -> HandOperation:
        """Holes on the scales, from the cycles of the plan."""
        holes = tuple(
            HandHole(
                at=self.scales.nearest((c.x, c.y)),
                bottom=c.bottom,
                peck=c.peck,
            )
            for c in cycles
        )
        return _operation(
            planned,
            (HoleTable(holes=holes, start=cycles[0].retract),),
            feed=cycles[0].feed,
            notes=hole_notes(cycles[0], planned.cutter),
        )

    def _as_planned(self, planned: Operation, feature: Feature) -> HandOperation:
        """The strokes of the plan where they run along X and Y, and what is said where not."""
        tables = straight_tables(planned.moves, feature, self.scales)
        if not tables:
            return _only_said(planned, not_by_hand(self.job, planned, feature))
        return _operation(
            planned, tuple(tables), feed=slowest(planned.moves), notes=stroke_notes(feature)
        )

    def _milled(self, planned: Operation, feature: Feature) -> HandOperation:
        """Rows and strokes along the walls, pass by pass."""
        passes = passes_of(
            self.job, self.plan, planned, feature, self.scales.coarsest, cusp=self.cusp
        )
        tables: list[HandTable] = []
        before: tuple[CentreRoom, BaseGeometry] | None = None
        for z in passes.depths:
            room = self._room(planned, feature, passes, z)
            had = self._had(feature.name, z)
            same = before is not None and room.same_as(before[0]) and alike(had, before[1])
            before = room, had
            if same:
                tables = _deeper(tables, z)
            else:
                try:
                    tables += self._pass(planned, passes, room, had, z)
                except NoWayByHandError:
                    return _only_said(planned, no_way(self.job, planned))
        for table in tables:
            self._remember(feature.name, table, planned.cutter.radius)
        return _operation(
            planned,
            tuple(tables),
            feed=passes.feed,
            notes=passes.notes,
            file_to=passes.file_to if _steps(tables) else 0.0,
        )

    def _pass(
        self, planned: Operation, passes: HandPasses, room: CentreRoom, had: BaseGeometry, z: float
    ) -> list[HandTable]:
        """The strokes at one depth. Raises `NoWayByHandError`."""
        if room.centre.is_empty or room.to_cut.is_empty:
            return []
        centre = self._rotary(planned)
        beside, turns, stepped = self._along_walls(room, passes, centre)
        left = less(room.to_cut, had)
        if passes.wall_width < planned.cutter.diameter:
            left = less(left, grown(room.walls, passes.wall_width + passes.leave))
        else:
            left = less(left, swept_by(beside, planned.cutter.radius))
            if centre is not None:
                left = less(left, swept_in_turns(turns, centre, planned.cutter.radius))
        stops = clearing_rows(room, self.scales, left, passes, self.driven) + beside
        tables: list[HandTable] = []
        if stops:
            tables.append(StrokeTable(depths=(z,), stops=tuple(merged(stops)), stepped=stepped))
        if turns and centre is not None:
            tables.append(TurnTable(depths=(z,), centre=centre, turns=tuple(turns)))
        return tables

    def _rotary(self, planned: Operation) -> Point | None:
        """The axis of the rotary table under the work, if it lies on one and all is by hand."""
        if self.cusp is not None:
            return None
        feature = next(f for f in self.setup.features if f.name == planned.feature)
        return self.setup.holds[feature.stage].rotary

    def _along_walls(
        self, room: CentreRoom, passes: HandPasses, centre: Point | None
    ) -> tuple[list[TableStop], list[TurnStroke], bool]:
        """Strokes and turns along every wall, and whether there are steps among them."""
        stops: list[TableStop] = []
        turns: list[TurnStroke] = []
        stepped = False
        for line in wall_lines(room, self.scales.coarsest / 2):
            straight = [line]
            if centre is not None:
                found, straight = split_turns(room, self.scales, line, centre)
                turns += found
            for piece in straight:
                along, steps = strokes_along(room, self.scales, piece, passes.cusp)
                stops += along
                stepped = stepped or steps
        return stops, turns, stepped

    def _room(
        self, planned: Operation, feature: Feature, passes: HandPasses, z: float
    ) -> CentreRoom:
        asked = next(a for a in self.plan.asked if a.name == feature.name)
        return centre_room(
            self.setup,
            whole_of(asked, feature),
            self._done(feature, planned),
            planned.cutter,
            z,
            leave=passes.leave,
            scales=self.scales,
            stage=feature.stage,
        )

    def _done(self, feature: Feature, planned: Operation) -> list[PlannedTarget]:
        """What other features ask whose operations are all behind."""
        to_come = {o.feature for o in self.plan.program.operations[len(self.begun) :]}
        done = {o.feature for o in self.begun} - to_come - {feature.name, planned.feature}
        return [a for a in self.plan.asked if a.name in done]

    def _had(self, name: str, z: float) -> BaseGeometry:
        """What a feature's operations before have cut at a depth."""
        return union(area for low, area in self.cut.get(name, ()) if low <= z + 1e-6)

    def _remember(self, name: str, table: HandTable, radius: float) -> None:
        """Take in what a table cuts."""
        if isinstance(table, StrokeTable):
            area = swept_by(table.stops, radius)
        elif isinstance(table, TurnTable):
            area = swept_in_turns(table.turns, table.centre, radius)
        else:
            return
        self.cut.setdefault(name, []).append((min(table.depths), area))


def _deeper(tables: list[HandTable], z: float) -> list[HandTable]:
    """The tables of the last depth for one more; those of earlier depths as they are."""
    last = _last_depth(tables)
    found: list[HandTable] = []
    for table in tables:
        if isinstance(table, StrokeTable) and last in table.depths:
            found.append(
                StrokeTable(depths=(*table.depths, z), stops=table.stops, stepped=table.stepped)
            )
        elif isinstance(table, TurnTable) and last in table.depths:
            found.append(
                TurnTable(depths=(*table.depths, z), centre=table.centre, turns=table.turns)
            )
        else:
            found.append(table)
    return found


def _last_depth(tables: Sequence[HandTable]) -> float:
    depths = [z for t in tables if not isinstance(t, HoleTable) for z in t.depths]
    return min(depths, default=0.0)


def _steps(tables: Sequence[HandTable]) -> bool:
    return any(isinstance(t, StrokeTable) and t.stepped for t in tables)


def _operation(
    planned: Operation,
    tables: tuple[HandTable, ...],
    *,
    feed: float,
    notes: tuple[str, ...] = (),
    file_to: float = 0.0,
) -> HandOperation:
    return HandOperation(
        feature=planned.feature,
        label=planned.label,
        cutter=planned.cutter,
        speed=planned.speed,
        feed=feed,
        tables=tables,
        notes=notes,
        file_to=file_to,
    )


def _only_said(planned: Operation, instead: str) -> HandOperation:
    return HandOperation(
        feature=planned.feature,
        label=planned.label,
        cutter=planned.cutter,
        speed=planned.speed,
        feed=0.0,
        tables=(),
        instead=instead,
    )
