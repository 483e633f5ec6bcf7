"""The header of a program, for the person who is about to run it."""

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
    ("G17", "XY plane, I and J from the start of the arc"),
    ("G94", "feed per minute"),
    ("G40", "no cutter compensation"),
    ("G49", "no tool length offset"),
    ("G61", "exact path, corners not rounded"),
)


# What is done before every first run.
FIRST_RUN = "dry run above the part, hand on the stop"
# The line of a file that is one of several.
PART = re.compile(r"file (\d{1,4}) of (\d{1,4}) for this set-up: run in order")


def heading(job: Job, setup: Setup) -> str:
    """The line that names job and set-up."""
    return f"{job.name}: {setup.name}"


# The line that tells from which version of its job a file was made: the dry run warns if the job
# has changed since.
VERSION = re.compile(r"job version ([0-9a-f]{12})")


def made_from(job: Job) -> str:
    """The line that tells from which version of its job a program was made."""
    return f"job version {job.fingerprint}"


def _version(job: Job) -> Iterator[str]:
    """The version of the job, and the dimensions given in place of the file's."""
    if job.fingerprint:
        yield made_from(job)
    if job.given:
        yield "made with " + ", ".join(f"{name} = {value}" for name, value in job.given)


def header(
    program: Program, cutters: Iterable[Cutter], *, inch: bool, unproven: bool, post: Post
) -> Iterator[str]:
    """The lines: job, set-up, units, stock, zero, cutters, sizes to be measured, and the warning
    before a run."""
    job, setup = program.job, program.setup
    if unproven:
        yield "UNPROVEN: this program failed its check. Do not run it."
    yield heading(job, setup)
    yield from program.notices
    part, parts = program.part
    if parts > 1:
        yield f"file {part} of {parts} for this set-up: run in order"
    yield f"job file {job.file}"
    yield from _version(job)
    yield f"machine {job.workshop.machine.name}, post {post.name}"
    yield f"units: {'inch' if inch else 'mm'}"
    yield f"material: {job.material.name}"
    yield f"stock: {_stock(job.stock, inch=inch)}"
    turned = f", turned {round(math.degrees(setup.turn))} deg" if setup.turn else ""
    yield f"side up: {setup.up}{turned}"
    if setup.piece is not None:
        words = zip("XYZ", setup.piece.at, strict=False)
        place = " ".join(f"{axis}{_length(v, inch=inch)}" for axis, v in words)
        yield f"piece: the one at {place} of set-up {setup.piece.setup}"
    yield f"program zero: {setup.zero_text}"
    faces = (("against the fixed jaw", setup.against), ("down", setup.down))
    for where, face in faces:
        if face:
            yield f"{where}: {face}"
    offset = OFFSET_WORDS[setup.work_offset - 1]
    held = post.says("{work_offset}")
    yield f"work offset: {offset}" if held else "no work offset: set zero on the control"
    yield f"safe height: Z{_length(program.safe_z, inch=inch)}, clear of work and work-holding"
    if post.says("G61"):
        yield "G61: exact path, corners are not rounded"
    unsaid = _unsaid(post, inch=inch)
    for setting in unsaid:
        yield f"set the control to: {setting}"
    yield from _before_moving(job, post)
    if post.dwells and _waits(program):
        yield "dwell P is in seconds"
    unit = "in" if inch else "mm"
    for cutter in cutters:
        size = _length(cutter.diameter, inch=inch)
        yield f"cutter T{cutter.number}: {cutter.name}, {cutter.kind}, diameter {size} {unit}"
    yield from (f"caution: {caution}" for caution in program.cautions)
    yield from (f"size of {size}" for size in program.sizes)
    yield from (f"corrected: {line}" for line in program.corrections)
    yield from (f"afterwards: {note}" for note in program.notes)
    yield f"before cutting: {FIRST_RUN}"
    if unproven:
        yield "UNPROVEN"


def _before_moving(job: Job, post: Post) -> Iterator[str]:
    """How the stops for a hand are meant, or what the first move shows."""
    axes = " and ".join(job.workshop.machine.hand_letters)
    if axes:
        yield f"{axes} by hand: at each stop marked by hand go where it says, then start again"
        yield "the spindle keeps turning at these stops: M0 must not stop it"
    elif not _says_units(post):
        yield "first move: if Z misses the safe height, the units are wrong"


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
    plates = f", {stock.plates} plates stacked" if stock.plates > 1 else ""
    return f"{shape}{size} {'in' if inch else 'mm'}{plates}"


def _length(mm: float, *, inch: bool) -> str:
    """A length for people: three decimals in mm, four in inch, no idle zeros."""
    value, decimals = (mm / MM_PER_INCH, 4) if inch else (mm, 3)
    text = f"{value:.{decimals}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
