"""Findings of the virtual stock: shank or holder in the stock, cutters that cut where they have no
teeth, and the share of the time that cuts air."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from gcodekit.job.document.wording import one
from gcodekit.proof.chords import Owners, in_feature
from gcodekit.proof.collision_remedies import Part, longer_hint
from gcodekit.proof.cutting_data import CuttingData
from gcodekit.proof.cutting_loads import CuttingLoads, Plunges
from gcodekit.proof.fault_groups import FaultGroups
from gcodekit.proof.findings import Blank, StockFinding
from gcodekit.proof.stock_field import Footprint, VirtualStock, virtual_stock
from gcodekit.proof.stock_grid import CELL_OF_TOLERANCE, Heights, Mask
from gcodekit.proof.stock_sweeps import bodies_above, cylinder, profile_of
from gcodekit.proof.stock_ways import StockWay, lowest_known, pieces, work_of
from gcodekit.rs274.program_read import Move, Point3, ProblemList
from gcodekit.trade.cutter import FLAT_MILLS, SIDE_MILLS, Cutter
from gcodekit.units import format_size

# Cutters that cut at their end alone, or follow a hole.
END_CUTTING = frozenset({"drill", "reamer", "tap", "boring head"})
# Down a slope steeper than this a cutter without teeth at its centre stands on what it leaves
# there. Common practice, no source.
STEEPEST_TOOTHLESS = math.radians(10.0)
# Of its radius, what such a cutter has no teeth in. Common practice, no source.
TOOTHLESS = 0.5
# Of a spot drill's radius, what its chisel edge takes up. Common practice, no source.
WEB = 0.1
# Cells that all pieces together may look at; a longer program gets wider cells.
MOST_CELLS_SEEN = 1.5e9
# Sideways by less than this, mm, is a way straight down.
SIDEWAYS = 0.01
# Pieces that are known again where a program makes them once more.
MOST_KNOWN = 100_000
# Of the time at feed rates, what may pass in air before it is worth a word. Common practice, no
# source: leads, run-offs and the way down to the metal come to less.
AIR_SHARE = 0.5


@dataclass(slots=True)
class _Meeting:
    """The first move that meets metal where it must not, and the worst of all."""

    line: int
    worst: float
    where: Point3


@dataclass(slots=True)
class _Taker:
    stock: VirtualStock
    moves: Sequence[Move]
    top: float
    loads: CuttingLoads | None = None
    plunges: Plunges | None = None
    meetings: dict[tuple[int, str], _Meeting] = field(default_factory=dict)
    known: set[object] = field(default_factory=set)
    feed_s: float = 0.0
    air_s: float = 0.0

    def take(self, cutter: Cutter, ways: list[StockWay], *, rapid: bool) -> None:
        """Cut one piece, with a look at what stands in its way first."""
        again = self._again(cutter, ways)
        footprint = None if again else self.stock.footprint(ways, profile_of(cutter))
        met = self._met(cutter, footprint) if footprint is not None else None
        cuts = met is not None and bool(met.any())
        if not rapid:
            seconds = sum(w.seconds for w in ways)
            self.feed_s += seconds
            self.air_s += 0.0 if cuts else seconds
        if cuts and footprint is not None and met is not None:
            if not rapid:
                self._look_at_teeth(cutter, ways, footprint, met)
            if cutter.leaves_ridges:
                # between its grooves the stock stays: in a field of heights all of it does
                return self._look_above(cutter, ways, again=again)
            taken = self._cut(cutter, footprint, met)
            if not rapid and self.loads is not None:
                self.loads.take(cutter, ways, taken)
        elif self.loads is not None:
            self.loads.air()
        self._look_above(cutter, ways, again=again)

    def _look_above(self, cutter: Cutter, ways: list[StockWay], *, again: bool) -> None:
        """Look at what stands in the way of neck, shank and holder."""
        for part, body, begins in () if again else bodies_above(cutter):
            if ways[0].low + begins < self.top:
                over = self.stock.footprint(ways, body)
                if over is not None:
                    self._note(cutter, part, ways, over, self.stock.met(over, begins), begins)

    def _met(self, cutter: Cutter, footprint: Footprint) -> Mask:
        if cutter.is_blade:
            return self.stock.met_by_blade(footprint, cutter.flute_length)
        return self.stock.met(footprint)

    def _cut(self, cutter: Cutter, footprint: Footprint, met: Mask) -> Heights:
        if cutter.is_blade:
            return self.stock.saw(footprint, met, cutter.flute_length)
        return self.stock.cut(footprint, met)

    def _again(self, cutter: Cutter, ways: list[StockWay]) -> bool:
        """Tell whether the same piece was cut before by the same cutter: nothing is left in its
        way."""
        key = (cutter, tuple((w.start, w.end, w.centre, w.sweep) for w in ways))
        if key in self.known:
            return True
        if len(self.known) < MOST_KNOWN:
            self.known.add(key)
        return False

    def _look_at_teeth(
        self, cutter: Cutter, ways: list[StockWay], footprint: Footprint, met: Mask
    ) -> None:
        way = ways[0]
        sideways = math.dist(way.start[:2], way.end[:2])
        if cutter.kind in END_CUTTING:
            if sideways > SIDEWAYS or way.centre is not None:
                self._note(cutter, "sideways", ways, footprint, met, 0.0)
        elif cutter.kind == "spot drill":
            if sideways > SIDEWAYS or way.centre is not None:
                self._look_at_flank(cutter, ways)
        elif cutter.kind not in SIDE_MILLS:
            return
        elif sideways <= SIDEWAYS and way.centre is None:
            self._look_at_plunge(cutter, ways)
        elif cutter.kind in FLAT_MILLS and cutter.centre_cutting and self.loads is not None:
            # a ball goes up and down the slopes of what it shapes
            if _steep(way, sideways, self.loads.data.steepest_ramp):
                self._note(cutter, "steep", ways, footprint, met, 0.0)
        elif not cutter.centre_cutting and _steep(way, sideways, STEEPEST_TOOTHLESS):
            core = self.stock.footprint(ways, cylinder(TOOTHLESS * cutter.radius))
            if core is not None:
                self._note(cutter, "ramp", ways, core, self.stock.met(core), 0.0)

    def _look_at_flank(self, cutter: Cutter, ways: list[StockWay]) -> None:
        """A spot drill breaks an edge with the flank of its point: its middle and what is above the
        point do not cut."""
        for wide, begins in ((WEB * cutter.radius, 0.0), (cutter.radius, cutter.point_length)):
            body = self.stock.footprint(ways, cylinder(wide))
            if body is not None:
                self._note(cutter, "flank", ways, body, self.stock.met(body, begins), begins)

    def _look_at_plunge(self, cutter: Cutter, ways: list[StockWay]) -> None:
        """Judge a plunge; a cutter with no teeth at its centre is refused in `limits.py`."""
        core = self.stock.footprint(ways, cylinder(TOOTHLESS * cutter.radius))
        if core is None or self.plunges is None or not cutter.centre_cutting:
            return
        under = self.stock.met(core)
        if under.any() and ways[0].end[2] < ways[0].start[2]:
            over, where = self.stock.highest(core, under, 0.0)
            self.plunges.take(cutter, self.moves[ways[0].move], over, where)

    def _note(
        self,
        cutter: Cutter,
        what: str,
        ways: list[StockWay],
        at: Footprint,
        met: Mask,
        above: float,
    ) -> None:
        if not met.any():
            return
        height, where = self.stock.highest(at, met, above)
        known = self.meetings.get((cutter.number, what))
        if known is None:
            line = self.moves[_nearest(ways, where).move].line
            self.meetings[cutter.number, what] = _Meeting(line, height, where)
        elif height > known.worst:
            known.worst = height


def _steep(way: StockWay, sideways: float, steepest: float) -> bool:
    """Tell whether a way goes down steeper than an angle, radians, but not straight down."""
    fall = way.start[2] - way.end[2]
    if way.centre is not None:
        sideways = math.dist(way.centre, way.start[:2]) * abs(way.sweep)
    return sideways > SIDEWAYS and math.atan2(fall, sideways) > steepest


def _nearest(ways: list[StockWay], where: Point3) -> StockWay:
    """The one of straight ways that join that passes nearest to a place."""

    def off(way: StockWay) -> float:
        (ax, ay), (bx, by) = way.start[:2], way.end[:2]
        dx, dy = bx - ax, by - ay
        square = dx * dx + dy * dy
        t = ((where[0] - ax) * dx + (where[1] - ay) * dy) / square if square else 0.0
        t = min(1.0, max(0.0, t))
        return math.hypot(ax + t * dx - where[0], ay + t * dy - where[1])

    return min(ways, key=off)


def take_stock(
    moves: Sequence[Move],
    cutters: Mapping[int, Cutter],
    blank: Blank,
    *,
    tolerance: float,
    problems: ProblemList,
    whole: bool = True,
    cell: float | None = None,
    cutting: CuttingData | None = None,
    owners: Owners | None = None,
) -> StockFinding | None:
    """Cut the moves from the blank in program order and report what they meet; None where there is
    no stock.

    Parameters
    ----------
    whole : False where the blank is only what is sure to stand: what is cut and what is air is
        then not known
    cutting : what depths, chips and power are held against; None: they are not judged
    owners : which feature a line is for
    cell : mm, chosen from the tolerance, the metal's size and the program's length unless given
    """
    asked = cell or CELL_OF_TOLERANCE * tolerance
    work = work_of(moves, cutters, asked, blank.top)
    stock = virtual_stock(blank, asked * math.sqrt(max(1.0, work / MOST_CELLS_SEEN)))
    if stock is None:
        return None
    before = stock.volume
    over = _seconds_over(moves, cutters, blank.top)
    area = stock.grid.dx * stock.grid.dy
    loads = plunges = None
    if cutting is not None and whole:
        loads = CuttingLoads(cutting, moves, area, FaultGroups(problems.units))
        plunges = Plunges(cutting, FaultGroups(problems.units))
    taker = _Taker(stock, moves, blank.top, loads, plunges, feed_s=over, air_s=over)
    for cutter, rapid, ways in pieces(moves, cutters, top=blank.top):
        taker.take(cutter, ways, rapid=rapid)
    for (number, what), meeting in taker.meetings.items():
        owner = owners.of(meeting.line) if owners is not None else ""
        _report(cutters[number], what, meeting, owner, cutting, problems)
    if loads is not None:
        loads.report(problems)
    if plunges is not None:
        plunges.report(problems)
    if not whole:
        return None
    share = taker.air_s / taker.feed_s if taker.feed_s else 0.0
    if share > AIR_SHARE:
        problems.warn(f"{share:.0%} of the feed time cuts air")
    return StockFinding(stock.grid.cell, before, stock.volume, share)


def _seconds_over(moves: Sequence[Move], cutters: Mapping[int, Cutter], top: float) -> float:
    """Seconds at feed rates above all metal."""
    return math.fsum(
        m.length / m.feed * 60.0
        for m in moves
        if m.kind != "rapid"
        and m.feed > 0.0
        and m.cutter in cutters
        and m.known_before == "XYZ"
        and lowest_known(m) >= top
    )


def _report(
    cutter: Cutter,
    what: str,
    meeting: _Meeting,
    owner: str,
    cutting: CuttingData | None,
    problems: ProblemList,
) -> None:
    name, line, where = f"cutter {cutter.number}", meeting.line, meeting.where
    if what == "steep" and cutting is not None:
        steepest = math.degrees(cutting.steepest_ramp)
        text = f"{name} ramps into stock steeper than {steepest:.3g} degrees, twice the table's"
        hint = "ramp at a smaller angle, or plunge at the plunge feed"
        problems.warn(f"{text} {cutting.named}", line=line, where=where, hint=hint)
    elif what == "sideways":
        text = f"{name} moves sideways in stock: a {cutter.kind} cuts only at its end"
        problems.error(text, line=line, where=where, hint="retract first")
    elif what == "flank":
        only = "a spot drill can do so only with the flank of its point"
        text = f"{name} moves sideways in stock: {only}"
        hint = "retract first, or keep its tip and what is above its point clear of the stock"
        problems.error(text, line=line, where=where, hint=hint)
    elif what == "ramp":
        steepest = math.degrees(STEEPEST_TOOTHLESS)
        text = f"{name} ramps into stock steeper than {steepest:g} degrees"
        text += f": {one(cutter.kind)} that has no teeth at its centre"
        hint = "ramp at a smaller angle, or use a centre-cutting cutter"
        problems.error(text, line=line, where=where, hint=hint)
    elif what == "shank" or what == "holder":
        units = problems.units
        text = f"collision{in_feature(owner)}: {what} of {name} into stock"
        text += f", {format_size(meeting.worst, units)} deep"
        part: Part = "shank" if what == "shank" else "holder"
        hint = longer_hint(part, meeting.worst, units)
        problems.error(text, line=line, where=where, hint=hint)
