"""Handwheel sheets of jobs as text, and what judges them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path

from sheet_judging import Judged, judged
from sheet_reading import ByHand, Dials, pages_of, read_page

from gcodekit.handwheel.hand_plan import HandSetup, hand_setup
from gcodekit.handwheel.hand_sheet import HandPage, handwheel_sheet
from gcodekit.job.load import load_job
from gcodekit.job.model import Job, Setup
from gcodekit.job.workshop.machine import Machine
from gcodekit.making.run_context import drawn_setup
from gcodekit.planning.plan import plan_setups
from gcodekit.plot.work_holding_view import WorkHoldingView
from gcodekit.sheet.sheet_text import to_text
from gcodekit.target.target import Target

# So wide that no line of the text is broken.
WIDE = 400
NO_VIEW = WorkHoldingView('<svg width="1mm" height="1mm" viewBox="0 0 1 1"></svg>', ())


@dataclass(frozen=True)
class HandText:
    """A job's sheet as text, with what is needed to judge it; `division`: the coarser of the
    scales', mm."""

    job: Job
    hands: tuple[HandSetup, ...]
    text: str
    dials: Dials
    division: float
    _targets: dict[str, Target] = field(default_factory=dict)

    def judged(self, change: Callable[[str], str] = lambda text: text) -> dict[str, Judged]:
        """Each set-up's verdict, on the text or a changed one."""
        cutters = {c.number: c for c in self.job.workshop.cutters}
        pages = dict(pages_of(change(self.text)))
        return {
            s.name: judged(
                read_page(pages[s.name], self.dials),
                self.target(s),
                cutters,
                self.division,
            )
            for s in self.job.setups
        }

    def target(self, setup: Setup) -> Target:
        """What the drawing asks of a set-up, found once."""
        if setup.name not in self._targets:
            self._targets[setup.name] = drawn_setup(self.job, setup).target
        return self._targets[setup.name]

    def operations(self, setup: int = 0) -> list[ByHand]:
        """The operations of a page as read."""
        return read_page(pages_of(self.text)[setup][1], self.dials)


def on_machine(job: Job, **changes: object) -> Job:
    """The job on a machine that differs in so much."""
    machine: Machine = replace(job.workshop.machine, **changes)  # type: ignore[arg-type]
    return replace(job, workshop=replace(job.workshop, machine=machine))


# Sheets that were written: no test changes one.
_WRITTEN: list[HandText] = []


def hand_text(job: Job, dials: Dials | None = None, division: float | None = None) -> HandText:
    """The sheet of a job that is planned, not proved; written once for all who ask."""
    inch = job.units == "inch"
    dials = dials or Dials(unit=(25.4, 25.4, 25.4) if inch else (1.0, 1.0, 1.0))
    division = division or (0.0127 if inch else 0.01)
    for known in _WRITTEN:
        if known.job == job and (known.dials, known.division) == (dials, division):
            return known
    sheet = HandText(job, *_written(job), dials, division)
    _WRITTEN.append(sheet)
    return sheet


def _written(job: Job) -> tuple[tuple[HandSetup, ...], str]:
    plans = plan_setups(job)
    planned = replace(job, setups=tuple(done.setup for done, _ in plans))
    hands = tuple(hand_setup(planned, done.setup, plan) for done, plan in plans)
    sheet = handwheel_sheet(planned, [HandPage(hand, NO_VIEW) for hand in hands])
    return hands, to_text(sheet, WIDE)


def shipped(name: str) -> Job:
    """A shipped job."""
    return load_job(Path(__file__).parents[2] / "jobs" / f"{name}.toml")
