"""The handwheel sheet of a job: a page for each set-up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from gcodekit.handwheel.axis_scales import TableScales
from gcodekit.handwheel.hand_pictures import hole_picture, stroke_picture
from gcodekit.handwheel.hand_plan import HandSetup
from gcodekit.handwheel.hand_tables import (
    depths_read,
    hole_table,
    stop_table,
    turn_table,
)
from gcodekit.handwheel.hand_words import reading_blocks, up_to
from gcodekit.handwheel.strokes import HandOperation, HoleTable, TurnTable
from gcodekit.job.feature import Round
from gcodekit.job.model import Job
from gcodekit.job.workshop.machine import Spindle
from gcodekit.plot.work_holding_view import SIZE, WorkHoldingView
from gcodekit.sheet.blocks import (
    BenchSheet,
    Block,
    Cautions,
    Facts,
    Heading,
    Paragraph,
    Picture,
    SheetPage,
    SideBySide,
    Steps,
)
from gcodekit.sheet.caution_texts import cautions_of
from gcodekit.sheet.edge_finding import zero_steps
from gcodekit.sheet.figures import length, unit_of
from gcodekit.sheet.hold_words import hold_steps
from gcodekit.sheet.setup_page import stock_words
from gcodekit.units import MM_PER_INCH, format_feed

SORT = "handwheel sheet"
# A feed is given to this, mm/min: no hand is steadier.
FEED_STEP = {"mm": 5.0, "inch": 0.2 * MM_PER_INCH}
# A hole table longer than this does not go beside its picture.
BESIDE_PICTURE = 14
# What is said of an operation beside its plan takes this share of the width.
SAID = 0.52


@dataclass(frozen=True, slots=True)
class HandPage:
    """A set-up's hand work, and the picture of its work-holding, where that could be drawn."""

    hand: HandSetup
    view: WorkHoldingView | None


def handwheel_sheet(job: Job, pages: Sequence[HandPage], date: str = "") -> BenchSheet:
    """The sheet; `date` as it is to be written."""
    given = "".join(f", {name} = {value}" for name, value in job.given)
    version = f", version {job.fingerprint}" if job.fingerprint else ""
    origin = f"{job.path.name}{version}{given}{f', {date}' if date else ''}"
    how = (Heading("How this sheet reads"), *reading_blocks([p.hand for p in pages]))
    made = (_page(job, p, n, how if n == 1 else ()) for n, p in enumerate(pages, 1))
    return BenchSheet(job.name, SORT, tuple(made), origin)


def _page(job: Job, page: HandPage, number: int, how: Sequence[Block]) -> SheetPage:
    hand, setup = page.hand, page.hand.setup
    blocks: list[Block] = [Facts(tuple(_facts(job, hand)))]
    if page.view is not None:
        text = f"{setup.name}: the stock as it is held, zero and axes"
        blocks.append(Picture(page.view.svg, *SIZE, text))
    held = (Heading("Work-holding"), Steps(tuple(hold_steps(job, setup, _lowest(hand))), True))
    zero = (Heading("Program zero"), Steps(tuple(zero_steps(job, setup)), True))
    blocks.append(SideBySide(held, zero))
    blocks += how
    before: HandOperation | None = None
    for n, operation in enumerate(hand.operations, 1):
        blocks += _operation(hand, operation, n, before)
        before = operation
    blocks.append(Cautions(cautions_of(hand.program)))
    several = f"set-up {number} of {len(job.setups)}" if len(job.setups) > 1 else ""
    return SheetPage(setup.name, tuple(blocks), several)


def _facts(job: Job, hand: HandSetup) -> Iterator[tuple[str, str]]:
    yield "material", job.material.name
    yield "stock", stock_words(hand.setup.left, job.units)
    yield "machine", job.workshop.machine.name
    yield "positions", _positions(hand.scales)
    yield "program zero", hand.setup.zero_text
    z = hand.scales.z
    yield "safe height", f"Z {z.reads(z.shallow(hand.program.safe_z))}"
    centre = next((h.rotary for h in hand.setup.holds if h.rotary is not None), None)
    if centre is not None:
        x, y = hand.scales.place(centre)
        yield "centre of rotary table", f"X {x} Y {y}"


def _positions(scales: TableScales) -> str:
    if not scales.dials:
        return f"digital readout, {unit_of(scales.units)}"
    z = "" if scales.z.dial else f", Z in {unit_of(scales.units)}"
    return f"dials{z}"


def _lowest(hand: HandSetup) -> float:
    found = [0.0]
    for operation in hand.operations:
        for table in operation.tables:
            depths = (
                [h.bottom for h in table.holes] if isinstance(table, HoleTable) else table.depths
            )
            found += depths
    return min(found)


def _operation(
    hand: HandSetup, operation: HandOperation, number: int, before: HandOperation | None
) -> Iterator[Block]:
    """One operation: what to put in and how fast, beside its plan; then its tables."""
    said = tuple(_said(hand, operation, number, before))
    if not operation.tables:
        yield from said
        return
    feature = next(f for f in hand.setup.features if f.name == operation.feature)
    first = operation.tables[0]
    if isinstance(first, HoleTable):
        wide = feature.diameter if isinstance(feature, Round) else operation.cutter.diameter
        picture = hole_picture(hand.setup, first, wide, operation.feature)
        beside = len(first.holes) <= BESIDE_PICTURE
        holes = (hole_table(hand.scales, first),)
        yield SideBySide((*said, *holes) if beside else said, (picture,), SAID)
        yield from () if beside else holes
        return
    picture = stroke_picture(hand.setup, feature, (first,), operation.cutter.radius)
    yield SideBySide(said, (picture,), SAID)
    yield from _tables(hand, operation)


def _said(
    hand: HandSetup, operation: HandOperation, number: int, before: HandOperation | None
) -> Iterator[Block]:
    job, cutter, z = hand.job, operation.cutter, hand.scales.z
    yield Heading(f"{number}. {operation.feature}: {operation.label}")
    asked = list(operation.stops)
    if before is None or before.cutter.number != cutter.number:
        asked.append(f"Put in cutter {cutter.number}, {cutter.name}: {operation.touch_off}.")
    if asked:
        yield Steps(tuple(asked))
    facts = [("cutter", f"{cutter.number}: {cutter.name}")]
    facts.append(
        ("speed", f"{speed_of(job.workshop.machine.spindle, operation.speed):.0f} rev/min")
    )
    if operation.feed:
        facts.append(("feed, about", _feed(hand.scales, operation.feed)))
    if operation.file_to:
        filed = length(up_to(operation.file_to), job.units)
        facts.append(("file off after steps, at most", filed))
    yield Facts(tuple(facts))
    if operation.instead:
        yield Paragraph(f"Not by hand: {operation.instead}", strong=True)
    yield from (Paragraph(note) for note in operation.notes)
    if operation.tables and isinstance(operation.tables[0], HoleTable):
        yield Paragraph(f"Start feeding at Z {z.reads(z.shallow(operation.tables[0].start))}.")


def speed_of(spindle: Spindle, speed: float) -> float:
    """The nearest speed that the machine has, rev/min; where it has any, to three figures, not
    faster."""
    if spindle.steps:
        return min(spindle.steps, key=lambda s: abs(s - speed))
    step = 10.0 if speed >= 1000 else 5.0
    return max(spindle.slowest, speed // step * step)


def _feed(scales: TableScales, feed: float) -> str:
    """A feed a minute and a second: a hand counts seconds."""
    step = FEED_STEP[scales.units]
    about = max(step, round(feed / step) * step)
    second = f"{about / 60:.1f}" if scales.units == "mm" else f"{about / 60 / MM_PER_INCH:.3f}"
    return f"{format_feed(about, scales.units)} ({second} {unit_of(scales.units)} a second)"


def _tables(hand: HandSetup, operation: HandOperation) -> Iterator[Block]:
    """Stops and turns, numbered through."""
    first = 1
    for table in operation.tables:
        if isinstance(table, HoleTable):
            continue
        depths = depths_read(hand.scales, table.depths)
        if isinstance(table, TurnTable):
            last = first + len(table.turns) - 1
            cuts = f"cut {first}" if first == last else f"cuts {first} to {last}"
            yield Paragraph(f"On the rotary table: {cuts} {depths}", strong=True)
            yield turn_table(hand.scales, table, first)
        else:
            last = first + len(table.stops) - 1
            yield Paragraph(f"Stops {first} to {last} {depths}", strong=True)
            yield stop_table(hand.scales, table, first)
        first = last + 1
