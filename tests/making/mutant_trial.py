"""Mutants of programs that were made, held against their jobs: by the dry run, and where it says
nothing by geometry alone."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import coarse_field
import harmless
import mutants

from gcodekit.job.load import load_job
from gcodekit.job.model import Job, Setup
from gcodekit.making.dryrun import DryRun, judge
from gcodekit.making.make import make
from gcodekit.making.program_words import setup_of
from gcodekit.making.run_context import DrawnSetup, drawn_setup, of_setup
from gcodekit.part.keep_out import keep_out
from gcodekit.proof.findings import Problem
from gcodekit.rs274 import ReadProgram, Tool, read_program

HERE = Path(__file__).parent
SHIPPED = sorted(p for p in (HERE.parents[1] / "jobs").glob("*.toml") if p.stem != "workshop")
SMALL = sorted((HERE / "small_jobs").glob("*.toml"))
# A problem's place is so near the change, mm, that it is of the change.
NEAR = 12.0
# What holds from its line to the program's end, or is said of the program as a whole.
WHOLE = {"mode", "cutter", "length offset", "end dropped", "stop dropped", "spindle"}
MODAL = re.compile(r"\b(?:G(?:2[01]|17|4[039]|5[4-9]|6[14]|8\d|9[01489])|[MTSH]\d)")
RATES = {"feed", "spindle", "cycle", "dwell dropped", "line deleted", "lines swapped"}


@dataclass(frozen=True)
class Program:
    """A program that was made, and what it is held against; `said` is what a dry run says of it as
    it stands."""

    name: str
    text: str
    drawn: DrawnSetup
    job: Job
    cutter: int
    named_units: bool

    def run(self, lines: Sequence[str]) -> tuple[ReadProgram, DryRun]:
        """As `dryrun --job` reads and judges it."""
        text, shop = "\n".join(lines) + "\n", self.job.workshop
        tools = {c.number: Tool(c.diameter) for c in shop.cutters}
        units = self.job.units if self.named_units else None
        reading = read_program(
            text, self.name, cutter=self.cutter, units=units or "mm", tools=tools
        )
        setting = of_setup(self.drawn, text, reading)
        return reading, judge(
            reading,
            setting,
            shop,
            machine=shop.machine,
            material=self.job.material,
            units=units,
        )

    @property
    def bench(self) -> object:
        """For the judgement by geometry."""
        setup, target = self.drawn.setup, self.drawn.target
        return coarse_field.Bench(
            low=setup.left.low,
            high=setup.left.high,
            round_=setup.left.shape == "round" and setup.left.axis == "z",
            cutters={c.number: c for c in self.job.workshop.cutters},
            bodies=[(b.outline, b.top) for b in keep_out(setup)],
            asks=lambda z: (target.slice(z).required, target.slice(z).allowed),
            tolerance=self.job.tolerance,
        )


def _job_file(name: str) -> Path:
    known = {p.stem: p for p in (*SHIPPED, *SMALL, *(HERE / "mutant_jobs").glob("*-*.toml"))}
    return known[name]


def programs(made: Sequence[tuple[str, str]], folder: Path) -> list[Program]:
    """Each job made with its post. One file of several is left out: what it leaves standing, and
    what stood before it, only the files together can show."""
    found, drawn = [], dict[tuple[str, str], DrawnSetup]()
    for name, post in made:
        path, out = _job_file(name), folder / post / name
        assert make(path, out, post=post).verdict == "pass"
        job = load_job(path)
        for file in sorted(out.glob("*.nc")):
            text = file.read_text(encoding="utf-8")
            if re.search(r"\(file \d+ of \d+ for this set-up", text):
                continue
            setup: Setup = setup_of(text, file.name, job, None)
            if (name, setup.name) not in drawn:
                drawn[name, setup.name] = drawn_setup(job, setup)
            bare = post == "motion_only"
            first = re.search(r"\(cutter T(\d+):", text)
            cutter = int(first[1]) if bare and first else 0
            label = f"{name}/{post}/{file.name}"
            found.append(Program(label, text, drawn[name, setup.name], job, cutter, bare))
    return found


class Trial:
    """Mutants of some programs, held against their jobs, and what came of them."""

    def __init__(self, made: Sequence[Program]) -> None:
        self.programs = made
        self.whole = [p.run(p.text.splitlines()) for p in made]
        for program, (_, run) in zip(made, self.whole, strict=True):
            assert run.findings.passed, program.name
        self.counts: Counter[tuple[str, str]] = Counter()
        self.missed: list[str] = []

    def try_all(self, count: int, seed: str) -> None:
        """Draw and judge them."""
        for which, mutant in mutants.drawn([p.text for p in self.programs], count, seed):
            result = self._result(which, mutant)
            self.counts[mutant.kind, result] += 1
            if result in ("missed", "found elsewhere"):
                name = self.programs[which].name
                self.missed.append(f"{result}: {name}:{mutant.line}: {mutant.kind}: {mutant.what}")

    def _result(self, which: int, mutant: mutants.Mutant) -> str:
        program, (before, clean) = self.programs[which], self.whole[which]
        after, run = program.run(mutant.lines)
        known = {_bare(p.text) for p in clean.findings.problems} | {
            _bare(n.message) for n in clean.notes
        }
        notes = [n for n in run.notes if _bare(n.message) not in known]
        problems = [p for p in run.findings.problems if _bare(p.text) not in known]
        if notes or problems:
            texts = program.text.splitlines()
            if notes or any(_is_of(p, mutant, texts, before, after) for p in problems):
                return "found"
            return "found elsewhere"
        if said := harmless.judgement(before, after, program.bench):
            return str(said)
        if mutant.kind in RATES and harmless.fed_alike(before, after, program.bench):
            return "undecided: another lawful rate"
        return "missed"

    @property
    def total(self) -> Counter[str]:
        """By what came of them."""
        found: Counter[str] = Counter()
        for (_, result), number in self.counts.items():
            found[result] += number
        return found

    def table(self) -> str:
        """For whoever ran it."""
        rows = [f"{n:6} {kind}: {result}" for (kind, result), n in sorted(self.counts.items())]
        return "\n".join(
            [*rows, *(f"{n:6} {r}" for r, n in self.total.most_common()), *self.missed]
        )


def _bare(text: str) -> str:
    return re.sub(r"[-\d.]+", "#", text)


def _is_of(
    problem: Problem,
    mutant: mutants.Mutant,
    lines: Sequence[str],
    before: ReadProgram,
    after: ReadProgram,
) -> bool:
    """Whether a problem is of the change: said of it or of what it leads to."""
    line, last = mutant.line, _end_of_operation(lines, mutant.line)
    if line - 1 <= problem.line <= last + 1:
        return True
    changed = " ".join((*lines[line - 1 : line + 1], *mutant.lines[line - 1 : line + 1]))
    if mutant.kind in WHOLE or MODAL.search(mutants.code(changed)):
        return problem.line >= line - 1 or problem.line == 0
    if any(line - 1 <= int(n) <= last + 1 for n in re.findall(r"\blines? (\d+)", problem.text)):
        return True
    feature = _operation(lines, line)
    if feature and f" {feature}:" in f" {problem.text}":
        return True
    return problem.where is not None and any(
        math.dist(problem.where[:2], at[:2]) <= NEAR for at in _changed_places(before, after)
    )


def _operation(lines: Sequence[str], line: int) -> str:
    """The feature that the line cuts, by the comment before it."""
    for text in reversed(lines[: line - 1]):
        if found := re.fullmatch(r"\((.+): [a-z ]+\)", text):
            return found[1]
    return ""


def _end_of_operation(lines: Sequence[str], line: int) -> int:
    for number in range(line, len(lines)):
        if lines[number].startswith("("):
            return number
    return len(lines)


def _changed_places(
    before: ReadProgram, after: ReadProgram
) -> Iterator[tuple[float, float, float]]:
    one = {(m.start, m.end, m.curve) for m in before.moves}
    two = {(m.start, m.end, m.curve) for m in after.moves}
    for start, end, _ in one ^ two:
        yield start
        yield end
