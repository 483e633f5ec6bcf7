"""Whatever job is typed, it is refused with a reason and a place, or made and proved.

`GCODEKIT_RANDOM_JOBS=500` runs that many fresh ones besides, and keeps the jobs that break the law.
"""

from __future__ import annotations

import json
import os
import re
import signal
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType

import pytest
from hypothesis import event, given, seed
from hypothesis.strategies import SearchStrategy
from random_jobs import as_drawn, jobs
from random_setups import jobs_of_several

from gcodekit.making.make import make

LONG = int(os.environ.get("GCODEKIT_RANDOM_JOBS", "0"))
# A small job is made in a second or two; one that takes this long has lost its way.
MOST_SECONDS = 60
TOLERANCE = 0.01
# What share of the jobs must be made, not refused: of one set-up, and of several, where any of them
# may be refused, and what one leaves is often air under the next.
LEAST_PROVED = 0.6
LEAST_OF_SEVERAL = 0.25
HOLDING = r"collision.* into (the|clamp)"


class BrokenLawError(Exception):
    """A job that is neither refused with its place nor proved."""


@contextmanager
def no_longer_than(seconds: int) -> Iterator[None]:
    """Break off what takes longer, on a busy machine too: processor time counts."""

    def over(signum: int, frame: FrameType | None) -> None:
        raise BrokenLawError(f"not made in {seconds} s")

    before = signal.signal(signal.SIGPROF, over)
    # again and again: raised while an object is taken down it would be lost
    signal.setitimer(signal.ITIMER_PROF, seconds, 5)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


def trial(job: str, workshop: str, folder: Path) -> str:
    """Make it: "proved", or the refusal without its figures. Raises where the law is broken."""
    (folder / "workshop.toml").write_text(workshop)
    path = folder / "job.toml"
    path.write_text(job)
    with no_longer_than(MOST_SECONDS):
        outcome = make(path, folder / "out")
    said = "\n".join(map(str, outcome.faults))
    if "could not be drawn" in said:
        raise BrokenLawError(f"a picture is lost:\n{said}")
    if outcome.verdict == "pass":
        _figures_are_within(folder / "out" / "report.json")
        return "proved"
    errors = [f for f in outcome.faults if f.severity == "error"]
    if any("a defect of gcodekit" in f.hint for f in errors):
        raise BrokenLawError(f"two opinions on its stock:\n{said}")
    if errors and all(re.search(HOLDING, f.message) for f in errors):
        # the job puts a clamp or a jaw in the way: only the proof knows, and says so
        return "the proof sees a cutter run into what holds the work"
    if any(f.name != "report.json" for f in outcome.files):
        raise BrokenLawError(f"the proof refuses its program:\n{said}")
    if not errors or not all(f.place.file.endswith(".toml") and f.place.line for f in errors):
        raise BrokenLawError(f"refused without a place:\n{said}")
    return re.sub(r'"[^"]*"|[-+(]?\d[\d.]*', "#", errors[0].message)


def _figures_are_within(report: Path) -> None:
    found = json.loads(report.read_text())
    assert found["features"], "a program is proved and nothing was asked of it"
    for f in found["features"]:
        assert f["gouge"] <= TOLERANCE, f
        assert f["reachable_uncut"] <= TOLERANCE, f


def _most_are_made(counts: Counter[str], least: float) -> None:
    proved, all_of_them = counts["proved"], counts.total()
    table = "\n".join(f"{n:5} {reason}" for reason, n in counts.most_common())
    print(f"{proved} of {all_of_them} proved\n{table}")
    # a strategy that is mostly refused tries nothing; two thirds and more are made, but hypothesis
    # likes to vary one job many times, and where that one is refused so are its likes
    assert proved >= least * all_of_them, table


def _every_one_keeps_the_law(
    how_many: int,
    folder: Path,
    drawn: SearchStrategy[tuple[str, str]],
    *,
    seeds: int = 0,
    least: float = LEAST_PROVED,
) -> None:
    """Make them all, those that fail too: a failing one is kept, not shrunk, for that would make
    hundreds more. `seeds`: so many runs, each of jobs of its own; 0: one, of whatever seed."""
    counts: Counter[str] = Counter()
    broken: list[str] = []

    @as_drawn(how_many // max(seeds, 1))
    @given(drawn)
    def law(job: tuple[str, str]) -> None:
        place = folder / f"{counts.total():05}"
        place.mkdir()
        try:
            reason = trial(*job, place)
        except Exception as error:
            broken.append(f"{place}/job.toml: {type(error).__name__}: {error}")
            reason = "law broken"
        event(reason)
        counts[reason] += 1

    for number in range(seeds):
        seed(number)(law)()
    if not seeds:
        law()
    assert not broken, "\n".join(broken)
    _most_are_made(counts, least)


def test_a_random_job_is_proved_or_refused_with_its_place(tmp_path: Path) -> None:
    _every_one_keeps_the_law(50, tmp_path, jobs(), seeds=5)


def test_a_random_job_of_several_set_ups_is_proved_or_refused(tmp_path: Path) -> None:
    _every_one_keeps_the_law(25, tmp_path, jobs_of_several(), seeds=5, least=LEAST_OF_SEVERAL)


@pytest.mark.skipif(not LONG, reason="GCODEKIT_RANDOM_JOBS = how many")
def test_many_random_jobs(tmp_path: Path) -> None:
    _every_one_keeps_the_law(LONG, tmp_path, jobs())


@pytest.mark.skipif(not LONG, reason="GCODEKIT_RANDOM_JOBS = how many")
def test_many_random_jobs_of_several_set_ups(tmp_path: Path) -> None:
    _every_one_keeps_the_law(LONG, tmp_path, jobs_of_several(), least=LEAST_OF_SEVERAL)
