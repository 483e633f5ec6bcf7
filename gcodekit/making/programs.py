"""A set-up's program files: written, read back from their own text, held against the drawing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from gcodekit.errors import Fault
from gcodekit.job.model import Job, Setup
from gcodekit.making.lost_pictures import Pictures
from gcodekit.making.program_texts import ProgramText, program_texts
from gcodekit.making.program_words import always_standing, holdings, shown_messages
from gcodekit.planning.plan import Plan
from gcodekit.plot.part_view.surface_mesh import SurfaceMesh
from gcodekit.plot.plan_view import plan_view
from gcodekit.plot.sheet_facts import SheetFacts, Stamp
from gcodekit.plot.verdict_stamp import DrawnSheet
from gcodekit.plot.work_holding_view import WorkHoldingView, work_holding_view
from gcodekit.post.contract import Post
from gcodekit.post.writer import Written
from gcodekit.proof.chords import FeatureLines
from gcodekit.proof.findings import Blank, Findings
from gcodekit.proof.keepout import Holding
from gcodekit.proof.prove import prove
from gcodekit.proof.time import ProgramTime, travel
from gcodekit.rs274 import Problem, ReadProgram
from gcodekit.rs274.joined_programs import JoinedPrograms, join
from gcodekit.sheet.operation_runs import OperationRun, operation_runs
from gcodekit.target.setup_metal import metal, metal_levels, whole
from gcodekit.target.target import Target, build_target
from gcodekit.trade.cutter import Cutter
from gcodekit.units import Units


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgramFile:
    """One file, with the problems that are in it and its picture, None where that could not be
    drawn; `units`: those of its numbers."""

    file: str
    text: str
    cutters: tuple[int, ...]
    blocks: int
    way: ProgramTime
    problems: tuple[Problem, ...]
    picture_file: str
    picture: DrawnSheet | None
    units: Units
    stops: int
    runs: tuple[OperationRun, ...]

    @property
    def wrong(self) -> bool:
        """Tell whether an error was found in it."""
        return any(p.severity == "error" for p in self.problems)


@dataclass(frozen=True, slots=True)
class ProvedSetup:
    """A set-up's plan, its files in running order, what the proof of them together found, and how
    the work is held."""

    setup: Setup
    plan: Plan
    files: tuple[ProgramFile, ...]
    findings: Findings
    view: WorkHoldingView | None


def pictures_of(proved: Sequence[ProvedSetup]) -> dict[str, str]:
    """Every sheet of a job that could be drawn, by its file's name, each with the verdict on the
    whole job."""
    failing = [p.setup.name for p in proved if not p.findings.passed]
    pictures: dict[str, str] = {}
    for p in proved:
        # nearest first: another file of the same set-up
        wrong = [f.file for f in p.files if f.wrong] + failing
        pictures |= {
            f.picture_file: f.picture.text(wrong[0] if wrong else "") for f in p.files if f.picture
        }
    return pictures


def proved_setup(
    job: Job,
    setup: Setup,
    plan: Plan,
    post: Post,
    cutters: Mapping[str, Sequence[Cutter]],
    *,
    unproven: bool,
    warnings: Sequence[Fault] = (),
    date: str = "",
    part: SurfaceMesh | None = None,
    pictures: Pictures,
) -> ProvedSetup:
    """Write a set-up's programs, read each from its text, and prove all of them as one cut: each
    begins with the metal that those before it have left. Of the plan the proof is told no more than
    the `cutters` each feature got, the one that gives its surface first. `warnings` of job and plan
    are shown on the `pictures`, with their `date` and the finished `part`."""
    texts = program_texts(job, plan.program, post, unproven=unproven)
    # what is left out counts as cut: by its own text too, run before the rest
    done = program_texts(job, plan.done, post, unproven=unproven) if plan.done else []
    readings = [text.reading for text in texts]
    joined = join([text.reading for text in (*done, *texts)])
    target = build_target(job, setup, cutters)
    findings = prove(
        joined.reading,
        target=target,
        blank=setup_blank(setup),
        cutters={c.number: c for c in job.workshop.cutters},
        machine=job.workshop.machine,
        tolerance=job.tolerance,
        holdings=_holdings(setup, plan, done, texts),
        ranges=_ranges([text.written for text in (*done, *texts)], joined),
        work_offset=setup.work_offset,
        part_starts=joined.starts[len(done) :] if done else (),
        units=job.units,
    )
    found = _by_file(findings.problems, joined, len(done) + len(texts))
    problems = found[len(done) :]
    if plan.in_order and (before := _errors(found[: len(done)])):
        problems[0].insert(0, before)
    findings = replace(findings, problems=tuple(p for own in problems for p in own))
    stamp: Stamp = "UNPROVEN" if unproven else "PASS" if findings.passed else "FAIL"
    facts = SheetFacts(
        stamp=stamp,
        material=job.material.name,
        machine=job.workshop.machine.name,
        date=date,
        part=part,
    )
    sheets = _sheets(job, setup, len(texts), facts)
    files = (
        _file(job, setup, target, text, found, facts, warnings_of(warnings), pictures)
        for text, found, facts in zip(texts, problems, sheets, strict=True)
    )
    view = _work_holding(job, setup, target, readings, part, pictures)
    return ProvedSetup(setup, plan, tuple(files), findings, view)


def _errors(done: Sequence[Sequence[Problem]]) -> Problem | None:
    """An error that what is left out, run as planned, has errors; None where it has none."""
    wrong = [p for own in done for p in own if p.severity == "error"]
    if not wrong:
        return None
    text = f"what is left out has {len(wrong)} error{'s' if wrong[1:] else ''}: {wrong[0].text}"
    return Problem("error", 0, 0, None, text, "make the whole program and correct that first")


def _holdings(
    setup: Setup, plan: Plan, done: Sequence[ProgramText], texts: Sequence[ProgramText]
) -> list[Holding]:
    """How the work is held, by the stops that each program names: what is left out was held as in
    its own time."""
    found: list[Holding] = []
    start = 0
    for program, files in ((plan.done, done), (plan.program, texts)):
        if program is None or not program.operations:
            continue
        reading = join([text.reading for text in files]).reading
        stops = setup.stops[program.begun : program.operations[-1].stage]
        held = replace(setup, hold=setup.holds[program.begun], stops=stops)
        own = holdings(held, reading) or always_standing(held)
        found += [replace(h, first=max(h.first, 1) + start) for h in own]
        start += sum(text.reading.last_line for text in files)
    return found


def _by_file(
    problems: Iterable[Problem], joined: JoinedPrograms, count: int
) -> list[list[Problem]]:
    """The problems of a set-up's files taken as one, each with the file that it is in."""
    found: list[list[Problem]] = [[] for _ in range(count)]
    for problem in problems:
        which, own = joined.own(problem)
        found[which].append(own)
    return found


def _work_holding(
    job: Job,
    setup: Setup,
    target: Target,
    readings: Iterable[ReadProgram],
    part: SurfaceMesh | None,
    pictures: Pictures,
) -> WorkHoldingView | None:
    """The set-up before it is cut; None where that cannot be drawn."""
    messages = [text for reading in readings for text in shown_messages(reading)]
    return pictures.drawn(
        f"the work-holding of {setup.name}",
        setup.place.at(""),
        lambda: work_holding_view(
            setup,
            title=f"{job.name}: {setup.name}",
            units=job.units,
            target=target,
            messages=messages,
            part=part,
        ),
    )


def setup_blank(setup: Setup) -> Blank:
    """The metal a set-up's programs start with."""
    return Blank(
        at=partial(metal, setup),
        bottom=setup.left.low[2],
        top=setup.left.high[2],
        lowest=setup.left.low[2] - setup.breakthrough,
        levels=metal_levels(setup),
        whole=partial(whole, setup) if setup.gone else None,
    )


def _ranges(written: Sequence[Written], joined: JoinedPrograms) -> list[FeatureLines]:
    return [
        FeatureLines(r.feature, r.first_line + start, r.last_line + start, r.set_to)
        for start, w in zip(joined.starts, written, strict=True)
        for r in w.ranges
    ]


def _sheets(job: Job, setup: Setup, files: int, facts: SheetFacts) -> list[SheetFacts]:
    """What each file's picture says of the job; a set-up's files are sheets of it, or, where each
    set-up is one file, set-ups of the job."""
    first, count = (1, files) if files > 1 else (job.setups.index(setup) + 1, len(job.setups))
    return [replace(facts, number=first + n, count=count) for n in range(files)]


def warnings_of(faults: Sequence[Fault]) -> list[Problem]:
    """What is warned of besides the proof, as a picture lists it."""
    return [
        Problem("warning", 0, 0, None, f.message, f.hint) for f in faults if f.severity == "warning"
    ]


def _file(
    job: Job,
    setup: Setup,
    target: Target,
    made: ProgramText,
    problems: Sequence[Problem],
    facts: SheetFacts,
    warnings: Sequence[Problem],
    pictures: Pictures,
) -> ProgramFile:
    written, reading = made.written, made.reading
    way = travel(reading, job.workshop.machine)

    def draw() -> DrawnSheet:
        return plan_view(
            reading.moves,
            setup=setup,
            title=job.name,
            units=job.units,
            cutters={c.number: c for c in job.workshop.cutters},
            problems=[*problems, *warnings],
            file=reading.file,
            target=target,
            messages=shown_messages(reading),
            facts=replace(facts, seconds={c.cutter: c.cut_s + c.rapid_s for c in way.cutters}),
        )

    return ProgramFile(
        file=reading.file,
        text=written.text,
        cutters=reading.cutters,
        blocks=reading.blocks,
        way=way,
        problems=tuple(problems),
        picture_file=f"{made.stem}.svg",
        picture=pictures.drawn(setup.name, setup.place.at(""), draw),
        units=written.units,
        stops=sum(e.kind == "stop" for e in reading.events),
        runs=operation_runs(reading, written.ranges, job.workshop.machine),
    )
