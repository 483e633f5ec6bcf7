"""The dry run: any program against a piece of stock or a job's drawing, with its faults, its time
and a picture."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gcodekit.errors import Fault, JobError, Place
from gcodekit.job.model import Job
from gcodekit.job.workshop.machine import Machine, Workshop
from gcodekit.making.files import check_folder, leave
from gcodekit.making.report import problem_row, problem_rows, stock_row, way_rows
from gcodekit.making.summary import problem_faults
from gcodekit.units import Units

if TYPE_CHECKING:
    from gcodekit.job.load import Given
    from gcodekit.making.run_context import Setting, Size3
    from gcodekit.plot.sheet_facts import SheetFacts
    from gcodekit.proof.findings import Findings
    from gcodekit.proof.time import ProgramTime
    from gcodekit.rs274 import ReadProgram
    from gcodekit.trade.materials import Material

# Of so many moves a run is told of before it begins.
MANY_MOVES = 50_000
# Endings of pictures, and whether they can be drawn yet.
PICTURES = {".svg": True, ".png": True, ".html": False}


@dataclass(frozen=True, slots=True)
class DryRun:
    """The result of a dry run; `file` is the program's name as the user gave it, `setting` the work
    it was run against, `units` those of all that a person reads: the job's, else the program's."""

    file: str
    findings: Findings
    moves: int
    notes: tuple[Fault, ...]
    setting: Setting
    way: ProgramTime
    units: Units = "mm"
    program_units: Units = "mm"

    @property
    def faults(self) -> tuple[Fault, ...]:
        """Notes and problems as lines for the user."""
        found = self.findings.problems
        return (*self.notes, *problem_faults(self.file, found, self.units, self.program_units))

    def document(self) -> dict[str, Any]:
        """The result for machines: lengths in mm, time in seconds."""
        f = self.findings
        notes = [problem_row(n.severity, self.file, 0, n.text) for n in self.notes]
        return {
            "blocks": f.blocks,
            "moves": self.moves,
            **way_rows(self.way),
            "box": [list(corner) for corner in f.box] if f.box else None,
            "cutters": list(f.cutters),
            "stock": stock_row(f),
            "problems": notes + problem_rows(self.file, f.problems),
        }


def _drawn(
    reading: ReadProgram, text: str, file: str, job: Job | None, setup: str | None
) -> Setting:
    """A program with the set-up of a job that it is of, or with nothing that is known."""
    from gcodekit.making.program_words import setup_of
    from gcodekit.making.run_context import drawn_setup, of_nothing, of_setup

    if job is None:
        return of_nothing(reading)
    return of_setup(drawn_setup(job, setup_of(text, file, job, setup)), text, reading)


def dry_run(
    program: Path,
    *,
    job: Path | None = None,
    setup: str | None = None,
    dimensions: Given | None = None,
    typed: bytes | None = None,
    workshop: Path | None = None,
    block: Size3 | None = None,
    round_bar: tuple[float, float] | None = None,
    zero: Size3 | None = None,
    cutter: int = 0,
    units: Units | None = None,
    plot: Path | None = None,
    date: str = "",
    progress: Callable[[str], None] = lambda _: None,
) -> DryRun:
    """Read a program, cut it from the stock and report what is wrong.

    Parameters
    ----------
    job : whose machine, rack, metal, holding and drawing to hold the program against
    setup : its set-up's name; left out, the only one or that in the program's header
    typed : the program itself, which `program` then only names
    dimensions : values in place of those of its [dimensions], as `load_job` has them
    block, round_bar : the metal, mm; a bar (diameter, length) stands upright. With a job its
        machine and rack alone are used, not its drawing.
    zero : program zero from the metal's left front bottom corner; left, front, top unless given
    cutter : in the spindle at the start
    units : of the program's numbers until it says G20 or G21; mm unless given
    plot : where a picture goes; whatever is wrong with the program, it is drawn
    date : of the picture, as it is to be written in it; none unless given

    Raises
    ------
    GcodekitError
        The program, the job or the workshop file is at fault, or the picture cannot be left.
    """
    from gcodekit.making.run_context import of_metal

    if plot is not None:
        check_picture(plot)
    text, file, of_job = _text(program, typed), str(program), _job(job, dimensions)
    shop = _shop(workshop, of_job)
    machine = shop.machine if workshop or of_job else None
    by_hand = machine.hand_letters if machine else ""
    reading = _read(text, file, shop, cutter=cutter, units=units, by_hand=by_hand)
    if len(reading.moves) > MANY_MOVES:
        progress(f"{program.name}: {len(reading.moves):,} moves, this takes a while")
    if block or round_bar:
        setting = of_metal(file, block, round_bar, zero=zero, drawing=of_job is not None)
    else:
        setting = _drawn(reading, text, file, of_job, setup)
    older = _older(text, file, of_job)
    run = _judged(reading, setting, shop, of_job, older, machine=machine, units=units)
    if plot is not None:
        facts = _facts(run, of_job, machine.name if machine else "", date)
        picture = _picture(reading, setting, shop, run, of_job, plot, facts)
        leave(plot.parent, {plot.name: picture})
    return run


def _judged(
    reading: ReadProgram,
    setting: Setting,
    shop: Workshop,
    job: Job | None,
    older: tuple[Fault, ...],
    *,
    machine: Machine | None,
    units: Units | None,
) -> DryRun:
    """The program against what the job says of material and units."""
    material, shown = (job.material, job.units) if job else (None, None)
    return judge(
        reading,
        setting,
        shop,
        older,
        machine=machine,
        material=material,
        units=units,
        shown=shown,
    )


def _shop(file: Path | None, job: Job | None) -> Workshop:
    """The workshop that was named, the job's, or the built-in one."""
    from gcodekit.job.workshop.workshop import bench_mill, load_workshop

    if file is not None:
        return load_workshop(file)
    return job.workshop if job is not None else bench_mill()


def _job(path: Path | str | None, dimensions: Given | None) -> Job | None:
    from gcodekit.job.load import load_job

    return load_job(path, dimensions=dimensions) if path else None


def _older(text: str, file: str, job: Job | None) -> tuple[Fault, ...]:
    """A note that the job has changed since its program was made."""
    from gcodekit.making.program_words import older_note

    return older_note(text, file, job) if job else ()


def _read(
    text: str, file: str, shop: Workshop, *, cutter: int, units: Units | None, by_hand: str
) -> ReadProgram:
    from gcodekit.rs274 import Tool, read_program

    tools = {c.number: Tool(c.diameter) for c in shop.cutters}
    return read_program(
        text, file, cutter=cutter, units=units or "mm", tools=tools, by_hand=by_hand
    )


def judge(
    reading: ReadProgram,
    setting: Setting,
    shop: Workshop,
    notes: tuple[Fault, ...] = (),
    *,
    machine: Machine | None,
    material: Material | None,
    units: Units | None = None,
    shown: Units | None = None,
) -> DryRun:
    """Check a program, as read, against the work it is for; `units` are those it was read in if
    somebody named them, `shown` those of the messages, default: the program's; `notes` go before
    its own."""
    from gcodekit.making.program_words import feature_lines
    from gcodekit.making.run_context import stretches
    from gcodekit.proof.cutting_data import CuttingData
    from gcodekit.proof.prove import prove
    from gcodekit.proof.time import travel

    named = feature_lines(setting.setup, reading)
    shown = shown or reading.units
    findings = prove(
        reading,
        target=setting.target,
        blank=setting.blank,
        cutters={c.number: c for c in shop.cutters},
        machine=machine,
        tolerance=setting.tolerance,
        holdings=setting.holdings,
        ranges=stretches(reading.moves, top=setting.blank.top, named=named)
        if setting.target
        else (),
        complete=setting.complete,
        first=setting.first,
        cutting=CuttingData(material, machine, plunged=setting.plunged),
        work_offset=setting.work_offset,
        named=named,
        units=shown,
    )
    notes = (
        *setting.notes,
        *notes,
        *_cutter_note(reading),
        *(() if units or reading.units_said else _units_note(reading)),
        *(() if machine else (_rack_note(shop),)),
    )
    return DryRun(
        file=reading.file,
        findings=findings,
        moves=len(reading.moves),
        notes=notes,
        setting=setting,
        way=travel(reading, machine),
        units=shown,
        program_units=reading.units,
    )


def _facts(run: DryRun, job: Job | None, machine: str, date: str) -> SheetFacts:
    """What a picture says besides what it shows; `machine` is "" where nobody said which."""
    from gcodekit.plot.sheet_facts import SheetFacts

    return SheetFacts(
        material=job.material.name if job else "",
        machine=machine,
        date=date,
        seconds={c.cutter: c.cut_s + c.rapid_s for c in run.way.cutters},
    )


def _picture(
    reading: ReadProgram,
    setting: Setting,
    shop: Workshop,
    run: DryRun,
    job: Job | None,
    plot: Path,
    facts: SheetFacts,
) -> str | bytes:
    """The picture as its file's ending asks."""
    from gcodekit.making.program_words import shown_messages
    from gcodekit.making.programs import warnings_of
    from gcodekit.plot.plan_view import plan_view

    picture = plan_view(
        reading.moves,
        setup=setting.setup,
        title=job.name if job else Path(reading.file).name,
        units=job.units if job else reading.units,
        cutters={c.number: c for c in shop.cutters},
        problems=[*run.findings.problems, *warnings_of(run.notes)],
        metal=setting.metal,
        file=Path(reading.file).name,
        target=setting.target,
        messages=shown_messages(reading),
        facts=facts,
    ).text()
    if plot.suffix.lower() != ".png":
        return picture
    from gcodekit.plot.paper import png

    return png(picture, name=str(plot))


def check_picture(plot: Path) -> None:
    """Refuse a picture that cannot be drawn, or left where it shall go. Raises `GcodekitError`."""
    if not PICTURES.get(plot.suffix.lower()):
        what = f"{plot.suffix.lower()} pictures are not supported yet"
        if plot.suffix.lower() not in PICTURES:
            what = f"{plot.name} is not a picture file"
        raise JobError([Fault(Place(str(plot)), what, "give a name that ends in .svg or .png")])
    check_folder(plot.parent)


def _text(program: Path, typed: bytes | None) -> str:
    try:
        # Programs are ASCII; what is not stands in comments, whatever its encoding.
        return (program.read_bytes() if typed is None else typed).decode("latin-1")
    except OSError as error:
        message = f"cannot be read: {error.strerror or error}"
        raise JobError([Fault(Place(str(program)), message)]) from error


def _cutter_note(reading: ReadProgram) -> tuple[Fault, ...]:
    """A note that no cutter is named: some controls are sent no tool words."""
    if all(m.cutter or m.kind == "rapid" for m in reading.moves):
        return ()
    text, hint = "cuts with no cutter loaded", "give --cutter N"
    return (Fault(Place(reading.file), text, hint, "warning"),)


def _units_note(reading: ReadProgram) -> tuple[Fault, ...]:
    """A note that the units are not given."""
    if not reading.moves:
        return ()
    text, hint = "neither G20 nor G21: mm is assumed", "give --units mm or --units inch"
    return (Fault(Place(reading.file), text, hint, "warning"),)


def _rack_note(shop: Workshop) -> Fault:
    text = f"no workshop file: cutters are those of the built-in rack ({shop.machine.name})"
    return Fault(Place("-"), text, "give --workshop or --job", "warning")
