"""A part of a job's programs: from a feature or a cutter on, finishing passes alone, or one feature
alone. Everything that is left out counts as cut already."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from gcodekit.errors import Fault, JobError, Place
from gcodekit.expr import nearest
from gcodekit.job.document.wording import listed, quoted
from gcodekit.job.features.size_words import correction_lines
from gcodekit.job.model import Job, Setup
from gcodekit.planning.plan import Plan
from gcodekit.planning.program import PART_NOTICE, Operation, Program, first_touch_off


class NoSuchPartError(JobError):
    """The part that is wanted is none of the job's: the job itself is not at fault."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JobPart:
    """The part that is wanted. `start`: the feature whose first operation comes first; `cutter`:
    the number of the cutter whose first change (from `start` on) does; `only`: the one feature
    that is cut, together with `finish_only` its finishing passes alone."""

    start: str = ""
    cutter: int | None = None
    finish_only: bool = False
    only: str = ""

    def __post_init__(self) -> None:
        if self.only and (self.start or self.cutter is not None):
            raise ValueError("only names all that is cut: it goes with neither start nor cutter")

    @property
    def whole(self) -> bool:
        """Whether it is all of the job."""
        return self == WHOLE_JOB

    @property
    def practice(self) -> bool:
        """Whether one feature is cut by itself, in air or foam."""
        return bool(self.only) and not self.finish_only

    @property
    def suffix(self) -> str:
        """What the names of its files end in, "" for the whole job."""
        words = [
            f"from {self.start}" if self.start else "",
            f"only {self.only}" if self.only else "",
        ]
        words.append(f"from t{self.cutter}" if self.cutter is not None else "")
        words.append("finish" if self.finish_only else "")
        text = "".join(c if c.isascii() and c.isalnum() else "-" for c in " ".join(words).lower())
        return "-".join(filter(None, text.split("-")))[:60]


WHOLE_JOB = JobPart()


def check_names(job: Job, part: JobPart) -> None:
    """Refuse a feature or cutter that the job does not have. Raises `NoSuchPartError`."""
    known = [f.name for setup in job.setups for f in setup.features]
    for option, name in (("--from", part.start), ("--only", part.only)):
        if name and name not in known:
            close = nearest(name, known)
            hint = f"choose from {', '.join(map(quoted, known))}"
            raise _refused(job, f"{option}: no feature is called {quoted(name)}",
                           f"did you mean {quoted(close)}? {hint}" if close else hint)  # fmt: skip


def setup_of(job: Job, plans: Sequence[Plan], part: JobPart) -> int:
    """The set-up that is begun with, counted from 0. Raises `NoSuchPartError` where none can be
    told."""
    named = part.start or part.only
    if named:
        return next(i for i, s in enumerate(job.setups) if named in {f.name for f in s.features})
    if part.cutter is not None:
        return _with_cutter(job, plans, part.cutter)[0]
    measured = [i for i, s in enumerate(job.setups) if any(f.measured for f in s.features)]
    ends = [i for i, p in enumerate(plans) if any(o.finishing for o in p.program.operations)]
    found = measured or ends or [0]
    if len(found) > 1:
        names = listed([quoted(job.setups[i].name) for i in found])
        raise _refused(
            job,
            f"--finish-only: the set-up may be {names}",
            "name a feature of one with --from or --only",
        )
    return found[0]


def cutter_warnings(job: Job, plans: Sequence[Plan], part: JobPart) -> tuple[Fault, ...]:
    """A warning where the cutter comes in other set-ups too, and none was named."""
    if part.cutter is None or part.start:
        return ()
    first, *others = _with_cutter(job, plans, part.cutter)
    if not others:
        return ()
    names = listed([quoted(job.setups[i].name) for i in others], "and")
    text = (
        f"cutter {part.cutter} is used in {quoted(job.setups[first].name)} first, later in {names}"
    )
    hint = "to start there, give --from FEATURE of that set-up as well"
    return (Fault(Place(job.file), text, hint, "warning"),)


def uncorrected(job: Job, written: Iterable[Plan]) -> tuple[Fault, ...]:
    """A warning of each feature that was measured and has no finishing pass in what is written."""
    finished = {o.feature for p in written for o in p.program.operations if o.finishing}
    text = "its finishing pass is left out, so nothing is corrected"
    found = (f for s in job.setups for f in s.features if f.measured and f.name not in finished)
    return tuple(
        Fault(
            f.measured.place, text, f"give --from {quoted(f.name)}, or delete this entry", "warning"
        )
        for f in found
        if f.measured is not None
    )


def _with_cutter(job: Job, plans: Sequence[Plan], cutter: int) -> list[int]:
    found = [i for i, p in enumerate(plans) if cutter in {c.number for c in p.program.cutters}]
    if not found:
        every = {c.number: c.name for p in plans for c in p.program.cutters}
        known = ", ".join(f"{n} ({name})" for n, name in sorted(every.items()))
        raise _refused(job, f"--from-cutter: cutter {cutter} is not used", f"choose from {known}")
    return found


def part_of(plan: Plan, part: JobPart) -> Plan:
    """A set-up's plan with no more than the part that is wanted; what is left out is its `done`.
    Raises `NoSuchPartError` where that is nothing."""
    program = plan.program
    left = frozenset(_left_out(program, part))
    kept = [o for i, o in enumerate(program.operations) if i not in left]
    done = [o for i, o in enumerate(program.operations) if i in left]
    if not kept:
        raise _refused(program.job, *_nothing(program, part))
    # of what was cut under a later work-holding nothing is to be held again
    held = min(max((o.stage for o in done), default=0), kept[0].stage)
    words = plan.touched_off(left)
    kept = [replace(o, touch_off=w) for o, w in zip(kept, words, strict=True)]
    operations = tuple(_with_stops(program.setup, kept, held))
    written = replace(
        program,
        operations=operations,
        touch_off=first_touch_off(operations),
        corrections=tuple(_corrections(program, operations)),
        suffix=part.suffix,
        notices=tuple(_notices(program.setup, operations, done, part, held)),
        begun=held,
    )
    before = replace(program, operations=tuple(_with_stops(program.setup, done, 0)))
    in_order = left == frozenset(range(len(left)))
    return replace(plan, program=written, done=before if done else None, in_order=in_order)


def _corrections(program: Program, operations: Sequence[Operation]) -> Iterator[str]:
    """What is made up for by the finishing passes that are written."""
    finished = {o.feature for o in operations if o.finishing}
    setup = program.setup
    own = replace(setup, features=tuple(f for f in setup.features if f.name in finished))
    return correction_lines(own, program.job.units)


def _left_out(program: Program, part: JobPart) -> Iterator[int]:
    """The operations that are left out, by their places in the sequence."""
    operations = program.operations
    begin = _first(program, 0, lambda o: o.feature == part.start) if part.start else 0
    if part.cutter is not None:
        begin = _first(program, begin, lambda o: o.cutter.number == part.cutter)
    for i, operation in enumerate(operations):
        other = bool(part.only) and operation.feature != part.only
        if i < begin or other or (part.finish_only and not operation.finishing):
            yield i


def _nothing(program: Program, part: JobPart) -> tuple[str, str]:
    """What is wrong where nothing is left to write, and what would be right."""
    named = part.only or part.start
    if part.finish_only:
        finished = dict.fromkeys(o.feature for o in program.operations if o.finishing)
        known = ", ".join(map(quoted, finished)) or "none of them"
        return (
            f"--finish-only: no finishing pass is left{f' of {quoted(named)}' if named else ''}",
            f"features of {program.setup.name} with one: {known}",
        )
    cutters = ", ".join(str(c.number) for c in program.cutters)
    what = f"cutter {part.cutter}" if part.cutter is not None else quoted(named)
    where = f" from {quoted(part.start)} on" if part.cutter is not None and part.start else ""
    return (
        f"nothing is cut with {what}{where} in {program.setup.name}",
        f"its cutters in running order: {cutters}",
    )


def _first(program: Program, begin: int, wanted: Callable[[Operation], bool]) -> int:
    """The place of the first operation that is wanted; past the end where there is none."""
    operations = program.operations
    return next(
        (i for i in range(begin, len(operations)) if wanted(operations[i])), len(operations)
    )


def _with_stops(setup: Setup, operations: Iterable[Operation], stage: int) -> Iterator[Operation]:
    """The operations with the stops between them, the work being held as in a `stage` at first."""
    for operation in operations:
        stops = tuple(stop.text for stop in setup.stops[stage : operation.stage])
        yield replace(operation, stops=stops)
        stage = operation.stage


def _notices(
    setup: Setup,
    operations: Sequence[Operation],
    done: Sequence[Operation],
    part: JobPart,
    held: int,
) -> Iterator[str]:
    """What the head of the program says about the part that it is."""
    first = operations[0]
    passes = "finishing passes alone, " if part.finish_only else ""
    whose = f"of {part.only}" if part.only else f"from {first.feature}: {first.label} on"
    yield f"{PART_NOTICE}{passes}{whose}"
    if done:
        yield f"counts as cut already: {operation_words(done)}"
    if held:
        yield f"work-holding: as after the stop: {setup.stops[held - 1].text}"
    elif any(o.stage for o in done):
        yield "work-holding: as at the start of the set-up"


def operation_words(operations: Collection[Operation]) -> str:
    """Operations in words, those of a feature that follow one another together.

    Examples
    --------
    >>> operation_words(())
    'nothing'
    """
    runs = groupby(operations, key=lambda o: o.feature)
    said = (
        f"{listed([*dict.fromkeys(o.label for o in run)], 'and')} of {name}" for name, run in runs
    )
    return ", then ".join(said) or "nothing"


def _refused(job: Job, text: str, hint: str) -> NoSuchPartError:
    return NoSuchPartError([Fault(Place(job.file), text, hint)])
