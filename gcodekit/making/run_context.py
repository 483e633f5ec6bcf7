"""The work a program is run against: a job's set-up with its drawing, stock given by hand, or
nothing known; and the stretches in which a program of unknown origin is judged."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial

import shapely

from gcodekit.errors import Fault, JobError, Place, PlanError, errors_of
from gcodekit.job.holdings import Hold
from gcodekit.job.model import Job, Setup
from gcodekit.job.raw_stock import RawStock
from gcodekit.job.stock.raw_metal import stock_levels, stock_section
from gcodekit.making.check import stock_faults
from gcodekit.making.program_words import (
    always_standing,
    holdings,
    is_headed,
    is_part,
    is_practice,
    part_of,
)
from gcodekit.making.programs import setup_blank
from gcodekit.planning.cutter_assignment import finished_with
from gcodekit.proof.chords import FeatureLines, Owners
from gcodekit.proof.findings import Blank
from gcodekit.proof.keepout import Holding
from gcodekit.rs274 import ReadProgram
from gcodekit.rs274.program_read import Move
from gcodekit.target.target import Target, build_target

Size3 = tuple[float, float, float]

# More stretches than this are taken some together: each is compared with the drawing by itself.
MOST_STRETCHES = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """`setup` is what the picture shows, its metal only if `metal`. `complete` and `first` as the
    proof has them: whether other programs cut the rest, and whether any ran before. `plunged` is
    the greatest feed straight down that the job asks for, mm/min. `notes` are for the user."""

    setup: Setup
    blank: Blank
    target: Target | None = None
    holdings: tuple[Holding, ...] = ()
    metal: bool = True
    tolerance: float = 0.01
    complete: bool = True
    first: bool = True
    work_offset: int | None = None
    plunged: float = 0.0
    notes: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True)
class DrawnSetup:
    """A set-up as the job draws it, for any number of programs of it. `job` and `setup` know what
    the set-ups before have left."""

    job: Job
    setup: Setup
    target: Target


def drawn_setup(job: Job, setup: Setup) -> DrawnSetup:
    """A set-up's drawing. Raises `PlanError` where a feature has no cutter (what the drawing
    allows depends on what it is finished with), or where the work cannot be held as given."""
    job, cuts, faults = finished_with(job)
    errors = errors_of(faults) or errors_of(stock_faults(job, cuts))
    if errors:
        raise PlanError(errors)
    setup = next(s for s in job.setups if s.name == setup.name)
    return DrawnSetup(job, setup, build_target(job, setup, {n: c.cutters for n, c in cuts.items()}))


def of_setup(drawn: DrawnSetup, text: str, reading: ReadProgram) -> Setting:
    """A set-up as the job gives it, for a program of it."""
    job, setup = drawn.job, drawn.setup
    part, file = part_of(text, job, setup), reading.file
    held = holdings(setup, reading)
    return Setting(
        setup=setup,
        blank=setup_blank(setup),
        target=drawn.target,
        holdings=held or always_standing(setup),
        tolerance=job.tolerance,
        work_offset=setup.work_offset,
        complete=part == (1, 1) and not (is_part(text) or is_practice(text)),
        first=part is not None and part[0] == 1 and not is_part(text),
        plunged=max((f.cutting.plunge_feed or 0.0 for f in setup.features), default=0.0),
        notes=(
            *_other_note(text, job, setup, file),
            *_part_note(part, setup, file),
            *_excerpt_note(text, setup, file),
            *(() if held else (_stop_note(setup, file),)),
        ),
    )


def _other_note(text: str, job: Job, setup: Setup, file: str) -> tuple[Fault, ...]:
    """A note that the header names another set-up than the user."""
    said = next((s.name for s in job.setups if is_headed(text, job, s)), setup.name)
    if said == setup.name or is_headed(text, job, setup):
        return ()
    return (Fault(Place(file), f"header names another set-up: {said}", "", "warning"),)


def _part_note(part: tuple[int, int] | None, setup: Setup, file: str) -> tuple[Fault, ...]:
    """A note on what is not checked in one file of several."""
    if part == (1, 1):
        return ()
    which = f"file {part[0]} of {part[1]}" if part else "one cutter's file"
    text = f"{which} of {setup.name}, checked alone: uncut stock is not checked"
    if part is None or part[0] > 1:
        text += ", rapids only against the finished part"
    return (Fault(Place(file), text, "run make to check the files together", "warning"),)


def _excerpt_note(text: str, setup: Setup, file: str) -> tuple[Fault, ...]:
    """A note on what is not checked in a program that is not a set-up's whole one."""
    if not (is_part(text) or is_practice(text)):
        return ()
    what = "a practice cut" if is_practice(text) else "a part of the program"
    said = f"{what} of {setup.name}, checked alone: uncut stock is not checked"
    if is_part(text):
        said += ", rapids only against the finished part"
    return (Fault(Place(file), said, "run make to check it against the stock it meets", "warning"),)


def _stop_note(setup: Setup, file: str) -> Fault:
    """A note that the work-holding at each line is not known."""
    names = ", ".join(stop.name for stop in setup.stops)
    text = f"not every stop of {setup.name} found ({names})"
    hint = "only work-holding that never changes is checked for collisions"
    return Fault(Place(file), text, hint, "warning")


def of_metal(
    file: str,
    block: Size3 | None,
    bar: tuple[float, float] | None,
    *,
    zero: Size3 | None,
    drawing: bool,
) -> Setting:
    """A block or an upright bar (diameter, length), program zero measured from its left front
    bottom corner. `drawing`: there is one, and it is to be said that it is not looked at."""
    size = block or (bar and (bar[0], bar[0], bar[1])) or (0.0, 0.0, 0.0)
    if not all(math.isfinite(s) and s > 0 for s in (*size, *(abs(z) + 1 for z in zero or ()))):
        fault = Fault(Place(file), f"no such stock: {size}", "give sizes greater than 0, mm")
        raise JobError([fault])
    x, y, z = zero or (0.0, 0.0, size[2])
    raw = RawStock(
        shape="block" if block else "round",
        low=(-x, -y, -z),
        high=(size[0] - x, size[1] - y, size[2] - z),
    )
    words = "x left, y front, z top"
    if zero:
        words = f"x left + {x:g}, y front + {y:g}, z bottom + {z:g} mm"
    # nothing says how deep it may go below
    blank = Blank(
        at=partial(stock_section, raw),
        bottom=raw.low[2],
        top=raw.high[2],
        lowest=-math.inf,
        levels=stock_levels(raw),
    )
    notes: tuple[Fault, ...] = ()
    if drawing:
        note = "stock given by hand: not compared with the job's drawing"
        hint = "drop --block or --round to compare"
        notes = (Fault(Place(file), note, hint, "warning"),)
    return Setting(setup=_bare(raw, words), blank=blank, notes=notes)


def of_nothing(reading: ReadProgram) -> Setting:
    """A setting with no stock; the picture is as large as the cuts, and a cut is what goes below
    zero, or where nothing does (zero is under the work then) all that feeds down or level."""
    cuts = [p for m in reading.moves if m.kind != "rapid" for p in (m.start, m.end)]
    places = cuts or [(0.0, 0.0, 0.0)]
    xs, ys, zs = zip(*places, strict=True)
    low, high = (min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs))
    raw = RawStock(shape="block", low=low, high=high)
    down = [
        m.end[2]
        for m in reading.moves
        if m.kind != "rapid" and m.known == "XYZ" and m.end[2] <= m.start[2]
    ]
    top = max(down, default=0.0) + 1.0 if min(down, default=0.0) >= 0.0 else 0.0
    blank = Blank(at=lambda _: shapely.Polygon(), bottom=top, top=top, lowest=-math.inf)
    note = "no stock given: not checked for collisions"
    hint = "give --block X Y Z, --round D L or --job JOB"
    return Setting(
        setup=_bare(raw, "as in the program"),
        blank=blank,
        metal=False,
        notes=(Fault(Place(reading.file), note, hint, "warning"),),
    )


def _bare(raw: RawStock, zero_text: str) -> Setup:
    """A set-up of which only the metal is known."""
    return Setup(
        name="",
        place=Place(),
        raw=raw,
        zero_text=zero_text,
        clearance=0.0,
        breakthrough=0.0,
        work_offset=1,
        hold=Hold(),
        features=(),
    )


def stretches(
    moves: Sequence[Move], *, top: float, named: Sequence[FeatureLines] = ()
) -> list[FeatureLines]:
    r"""Split a program of unknown origin into ranges of lines named by their numbers, each from one
    retract out of the stock to the next; `top` is the stock's. The worst cut of every stretch is
    worth knowing, not only the worst of all. `named`: lines whose feature is known from comments.

    Examples
    --------
    >>> from gcodekit.rs274 import read_program
    >>> text = "G21\nT1 M6\nG0 Z5\nX1 Y1\nG1 Z-1 F9\nX2\nG0 Z5\nG81 X9 Y9 Z-3 R1\nM2\n"
    >>> [r.feature for r in stretches(read_program(text).moves, top=0.0)]
    ['lines 5 to 6', 'line 8']
    """
    found = list(_runs_cut(moves, top))
    size = max(1, math.ceil(len(found) / MOST_STRETCHES))
    groups = [found[i : i + size] for i in range(0, len(found), size)]
    return [_named(group[0][0], *group[-1][1:], Owners(named)) for group in groups]


def _runs_cut(moves: Sequence[Move], top: float) -> Iterator[tuple[int, int, int]]:
    """First and last line of each run of feed moves, and the line of the rapid out of the metal
    that ends it: it begins as deep as the cut was. A line that ends one run is not the first of
    the next."""
    first = last = 0
    for move in moves:
        if move.kind != "rapid":
            first, last = first or move.line, move.line
        elif first and move.end[2] >= top and move.line != last:
            yield first, last, move.line
            first = 0
    if first:
        yield first, last, last


def _named(first: int, last: int, out: int, owners: Owners) -> FeatureLines:
    name = f"line {first}" if first == last else f"lines {first} to {last}"
    owner = owners.of(first)
    if owner and owner == owners.of(last):
        name = f"{owner} ({name})"
    return FeatureLines(name, first, out)
