"""What stands at the top of a program, for the person who is about to run it."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator

from gcodekit.job.model import Job, Setup
from gcodekit.job.raw_stock import Stock
from gcodekit.planning.program import Program
from gcodekit.post.contract import Post
from gcodekit.toolpath.moves import HoleCycle
from gcodekit.trade.cutter import Cutter
from gcodekit.units import MM_PER_INCH

OFFSET_WORDS = ("G54", "G55", "G56", "G57", "G58", "G59")
_UNIT_WORDS = ("{units}", "G20", "G21")
# What a control must be set to by hand where the start blocks do not say it.
_SETTINGS = (
    ("G90", "absolute distances"),
    ("G17", "plane XY, arc centres from the arc's start"),
    ("G94", "feed a minute"),
    ("G40", "no radius compensation"),
    ("G49", "no length offset"),
    ("G61", "exact path, no corner rounded"),
)


# How a file that is one of several says so.
PART = re.compile(r"file (\d{1,4}) of (\d{1,4}) of this set-up: run them in order")


def heading(job: Job, setup: Setup) -> str:
    """The line that says what the program is for."""
    return f"{job.name}: {setup.name}"


# How a file says from which state of its job it was made.
STATE = re.compile(r"made from state ([0-9a-f]{12}) of the job")


def made_from(job: Job) -> str:
    """The line that says from which state of its job a program was made."""
    return f"made from state {job.fingerprint} of the job"


def _state(job: Job) -> Iterator[str]:
    """Of which state of the job it is, and with which dimensions in place of the file's."""
    if job.fingerprint:
        yield made_from(job)
    if job.given:
        yield "with " + ", ".join(f"{name} = {value}" for name, value in job.given)


def header(
    program: Program, cutters: Iterable[Cutter], *, inch: bool, unproven: bool, post: Post
) -> Iterator[str]:
    """Lines of words: job, set-up, units, stock, zero, cutters, sizes to be measured, and
    the warning before a run."""
    job, setup = program.job, program.setup
    if unproven:
        yield "UNPROVEN: this program was not found to be right. Do not run it as it is."
    yield heading(job, setup)
    part, parts = program.part
    if parts > 1:
        yield f"file {part} of {parts} of this set-up: run them in order"
    yield f"job file {job.file}, machine {job.workshop.machine.name}, post {post.name}"
    yield from _state(job)
    yield f"units {'inch' if inch else 'mm'}"
    yield f"material {job.material.name}, stock {_stock(job.stock, inch=inch)}"
    turned = f", turned {round(math.degrees(setup.turn))}" if setup.turn else ""
    yield f"side up: {setup.up}{turned}; zero: {setup.zero_text}"
    faces = (("against the fixed jaw", setup.against), ("down", setup.down))
    for where, face in faces:
        if face:
            yield f"{where}: {face}"
    offset = OFFSET_WORDS[setup.work_offset - 1]
    held = (
        f"zero held in {offset}"
        if post.says("{work_offset}")
        else "zero is set on the control itself"
    )
    yield f"{held}; clear of everything at z {_length(program.safe_z, inch=inch)}"
    if post.says("G61"):
        yield "G61: the cutter follows the path exactly, no corner is rounded"
    unsaid = _unsaid(post, inch=inch)
    for setting in unsaid:
        yield f"set on the control: {setting}"
    if not _says_units(post):
        yield "watch the first motion: if z does not go to that height, the units are set wrong"
    if post.dwells and _waits(program):
        yield "dwells P are in seconds"
    for cutter in cutters:
        size = _length(cutter.diameter, inch=inch)
        yield f"cutter T{cutter.number}: {cutter.name}, {cutter.kind}, diameter {size}"
    yield from (f"size of {size}" for size in program.sizes)
    yield from (f"afterwards: {note}" for note in program.notes)
    yield "dry run first above the part, hand on the stop"
    if unproven:
        yield "UNPROVEN"


def _says_units(post: Post) -> bool:
    return any(map(post.says, _UNIT_WORDS))


def _unsaid(post: Post, *, inch: bool) -> list[str]:
    unit = [] if _says_units(post) else ["inch" if inch else "mm"]
    return unit + [setting for word, setting in _SETTINGS if not post.says(word)]


def _waits(program: Program) -> bool:
    holes = (m for o in program.operations for m in o.moves if isinstance(m, HoleCycle))
    return program.job.workshop.machine.spindle.start_time > 0 or any(h.dwell > 0 for h in holes)


def _stock(stock: Stock, *, inch: bool) -> str:
    size = " x ".join(_length(s, inch=inch) for s in stock.size)
    shape = f"round along {stock.axis}, " if stock.shape == "round" else ""
    plates = f", {stock.plates} plates as one" if stock.plates > 1 else ""
    return f"{shape}{size}{plates}"


def _length(mm: float, *, inch: bool) -> str:
    """A length for people: three decimals in mm, four in inch, no idle zeros."""
    value, decimals = (mm / MM_PER_INCH, 4) if inch else (mm, 3)
    text = f"{value:.{decimals}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
