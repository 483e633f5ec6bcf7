"""A program, read back from its own text, held against the drawing, the metal and the machine."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import less, union
from gcodekit.job.workshop.machine import Machine
from gcodekit.proof.blades import check_blades
from gcodekit.proof.change_room import check_change_room
from gcodekit.proof.chords import FeatureLines, Owners, Segments, chord_count, segments_of
from gcodekit.proof.compare import Comparison, compare
from gcodekit.proof.cutting_data import CuttingData
from gcodekit.proof.endings import check_endings, check_over
from gcodekit.proof.fault_groups import gathered
from gcodekit.proof.findings import Blank, Findings, StockFinding, TargetSlices
from gcodekit.proof.hand_wheels import check_hand_wheels
from gcodekit.proof.keepout import Holding, check_keep_out, stretches_held
from gcodekit.proof.length_offsets import check_length_offsets
from gcodekit.proof.limits import check_cutters, check_flutes
from gcodekit.proof.machine_limits import check_machine
from gcodekit.proof.operator_words import check_told
from gcodekit.proof.part_start import check_part_starts
from gcodekit.proof.rapids import StandingMetal, check_rapids
from gcodekit.proof.sections import ProgramCut
from gcodekit.proof.settings import check_duties, check_tapping, cutters_as_set, settings_of
from gcodekit.proof.spindle import check_spindle
from gcodekit.proof.stock_findings import take_stock
from gcodekit.proof.threads import check_threads
from gcodekit.proof.time import box_of
from gcodekit.proof.units_and_zero import check_units_said, check_zero
from gcodekit.rs274.program_read import Move, ProblemList, ReadProgram
from gcodekit.trade.cutter import Cutter
from gcodekit.units import Units

# Arcs of kilometres would fill the memory with their chords.
MOST_STRAIGHT_PIECES = 3_000_000
# Just below the top of the stock, mm: what a clamp presses on.
JUST_BELOW = 1e-3


def prove(
    reading: ReadProgram,
    *,
    target: TargetSlices | None,
    blank: Blank,
    cutters: Mapping[int, Cutter],
    machine: Machine | None = None,
    tolerance: float = 0.01,
    holdings: Sequence[Holding] = (),
    ranges: Iterable[FeatureLines] = (),
    complete: bool = True,
    first: bool = True,
    cutting: CuttingData | None = None,
    work_offset: int | None = None,
    named: Iterable[FeatureLines] | None = None,
    part_starts: Sequence[int] = (),
    units: Units = "mm",
) -> Findings:
    """Cut the program's moves from the blank and report everything that is wrong.

    Parameters
    ----------
    target : what the drawing asks; None proves only that the program can run on this blank
    holdings : bodies that no cutter, shank or holder may enter, in order of their first lines
    ranges : which lines of the program were written for which feature
    named : the same for the names in messages alone; default: `ranges`
    complete : False where other programs cut the rest: metal left standing is then no fault
    first : False where others ran before: only what the drawing keeps is then sure to be there
    cutting : what depth, chips and power of every cut are held against; None: they are not judged
    work_offset : the one that zero is held in, 1 for G54; None where nothing says
    part_starts : the lines before each program of several that goes on with half-cut work
    units : those of the lengths in what is reported
    """
    problems, ranges = ProblemList(units=units), tuple(ranges)
    moves = _moves_of(reading, problems)
    settings = settings_of(reading, cutters, ranges)
    cutters = cutters_as_set(cutters, reading.moves, settings)
    segments = segments_of(moves, cutters, ranges, top=blank.top, settings=settings)
    known = blank if first or target is None else _kept(blank, target)
    _check_as_read(reading, known, cutters, machine, problems, work_offset)
    standing = StandingMetal(segments, known)
    all_known = _check_cutting(moves, cutters, standing, machine, tolerance, problems, settings)
    owners = Owners(ranges if named is None else named)
    if target is not None:
        check_threads(
            moves, cutters, owners, target, standing,
            tolerance=tolerance, problems=problems, complete=complete, first=first,
        )  # fmt: skip
    check_blades(moves, cutters, standing, [b for h in holdings for b in h.bodies], problems)
    check_over(moves, blank, problems)
    check_part_starts(moves, part_starts, blank, problems)
    _check_held(moves, cutters, holdings, blank, problems, owners)
    stock = take_stock(
        moves, cutters, known,
        tolerance=tolerance, problems=problems, whole=known is blank,
        cutting=cutting, owners=owners,
    )  # fmt: skip
    judged = target is not None and complete
    complete = _is_whole(reading, problems, judged=judged, all_known=all_known) and complete
    found = _compared(
        segments, target, blank, moves, tolerance=tolerance, problems=problems, complete=complete
    )
    return _findings(reading, problems, found, stock)


def _check_held(
    moves: Sequence[Move],
    cutters: Mapping[int, Cutter],
    holdings: Sequence[Holding],
    blank: Blank,
    problems: ProblemList,
    owners: Owners,
) -> None:
    """Every move against what holds the work at its time."""
    on_top = blank.at(blank.top - JUST_BELOW)
    for stretch, bodies in stretches_held(moves, holdings):
        check_keep_out(stretch, cutters, bodies, problems, owners=owners, stock=on_top)


def _moves_of(reading: ReadProgram, problems: ProblemList) -> tuple[Move, ...]:
    """A program's moves; none where it is too long."""
    if chord_count(reading.moves) <= MOST_STRAIGHT_PIECES:
        return reading.moves
    text = f"program too long to check: more than {MOST_STRAIGHT_PIECES:,} straight pieces"
    problems.error(text, hint="split it into several")
    return ()


def _findings(
    reading: ReadProgram, problems: ProblemList, found: Comparison, stock: StockFinding | None
) -> Findings:
    every = gathered((*reading.problems, *problems.problems))
    return Findings(
        problems=tuple(sorted(every, key=lambda p: (p.line == 0, p.line, p.column))),
        features=found.features,
        gouge=found.gouge,
        uncut=found.uncut,
        reachable_uncut=found.reachable_uncut,
        blocks=reading.blocks,
        box=box_of(reading.moves),
        cutters=reading.cutters,
        stock=stock,
    )


def _compared(
    segments: Sequence[Segments],
    target: TargetSlices | None,
    blank: Blank,
    moves: tuple[Move, ...],
    *,
    tolerance: float,
    problems: ProblemList,
    complete: bool,
) -> Comparison:
    """The cut held against the drawing, where there is one."""
    if target is None:
        return Comparison({}, 0.0, 0.0, 0.0)
    return compare(
        ProgramCut(segments),
        target,
        blank,
        moves,
        tolerance=tolerance,
        problems=problems,
        complete=complete,
    )


def _check_as_read(
    reading: ReadProgram,
    blank: Blank,
    cutters: Mapping[int, Cutter],
    machine: Machine | None,
    problems: ProblemList,
    work_offset: int | None,
) -> None:
    """Check the words of a program for what is wrong or missing, whatever its moves meet."""
    check_units_said(reading, problems)
    check_length_offsets(reading, problems)
    check_endings(reading, blank, cutters, problems)
    check_zero(reading, work_offset, problems)
    check_machine(reading, machine, problems)
    check_duties(reading, cutters, problems)
    check_tapping(reading, cutters, problems)
    check_spindle(reading, blank, machine, problems)
    check_told(reading, machine, problems)
    check_change_room(reading, blank, cutters, machine, problems)
    check_hand_wheels(reading, machine, problems)


def _check_cutting(
    moves: Sequence[Move],
    cutters: Mapping[int, Cutter],
    standing: StandingMetal,
    machine: Machine | None,
    tolerance: float,
    problems: ProblemList,
    settings: Mapping[int, float],
) -> bool:
    """Cutters and rapids against the metal of the moment; whether every cutter that cuts is
    known."""
    all_known = check_cutters(
        moves,
        cutters,
        standing,
        machine=machine,
        tolerance=tolerance,
        problems=problems,
        settings=settings,
    )
    check_flutes(standing, moves, problems)
    check_rapids(moves, cutters, standing, problems)
    return all_known


def _kept(blank: Blank, target: TargetSlices) -> Blank:
    """The part of the blank that no program may have cut."""

    def at(z: float) -> BaseGeometry:
        asked = target.slice(z)
        return less(blank.at(z), less(union((asked.required, asked.allowed)), asked.kept))

    return replace(blank, at=at, levels=tuple(sorted({*blank.levels, *target.levels})))


def _is_whole(
    reading: ReadProgram, problems: ProblemList, *, judged: bool, all_known: bool
) -> bool:
    """Tell whether all that the program cuts is known: only then is uncut stock its fault. Warn
    where it is not; `judged`: uncut stock is to be checked."""
    # what is wrong with a line has its column; a file too large to be read has no lines
    unread = sorted({p.line for p in reading.errors if p.column})
    whole = all_known and not unread and bool(reading.lines)
    uncut = "uncut stock is not checked" if judged and not whole else ""
    if unread and (uncut or any(p.line > unread[0] for p in problems.problems)):
        more = f" and {len(unread) - 1} more" if unread[1:] else ""
        text = f"later errors may follow from line {unread[0]}{more}"
        problems.warn(f"{text}; {uncut}" if uncut else text)
    elif uncut:
        problems.warn(f"a cutter is not known: {uncut}")
    return whole
