"""The main job: plan, write, read back, prove against the drawing, and only then leave files."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any, Literal

from gcodekit.errors import Fault, GcodekitError, Place, PlanError
from gcodekit.job.load import load_job
from gcodekit.job.model import Job, Setup
from gcodekit.making.problems import problem_rows
from gcodekit.part.asked import FinishingCut
from gcodekit.part.keep_out import keep_out
from gcodekit.part.metal import metal, metal_levels
from gcodekit.part.target import build_target
from gcodekit.planning.plan import Plan, finishing_cut, plan_setup
from gcodekit.plot.plan import plan_view
from gcodekit.post.contract import Post
from gcodekit.post.find import find_post
from gcodekit.post.writer import Written, write_program
from gcodekit.proof.blank import Blank
from gcodekit.proof.chords import LineRange
from gcodekit.proof.findings import Findings
from gcodekit.proof.prove import prove
from gcodekit.rs274 import read_program

Verdict = Literal["pass", "fail"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What making a job came to."""

    verdict: Verdict
    files: tuple[Path, ...]
    faults: tuple[Fault, ...]
    summary: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Proved:
    """One program with what its proof found."""

    setup: Setup
    file: str
    written: Written
    findings: Findings
    picture_file: str
    picture: str


def make_job(
    path: Path,
    out: Path,
    *,
    post: str | None = None,
    posts: Path | None = None,
    posts_env: str | None = None,
    unproven: bool = False,
    progress: Callable[[str], None] = lambda _: None,
) -> Outcome:
    """Make every program of a job and prove it; a job that fails leaves no
    program, only its report and the pictures."""
    try:
        job = load_job(path)
        dialect = find_post(post or job.post, posts=posts, environment=posts_env)
        plans = _plans(job, progress)
        cuts = {
            f.name: finishing_cut(f, plan.chosen[f.name])
            for setup, plan in plans
            for f in setup.features
        }
        proved: list[_Proved] = []
        for setup, plan in plans:
            progress(f"proving {setup.name}")
            proved.append(_program(job, setup, plan, dialect, cuts, unproven=unproven))
    except GcodekitError as error:
        return Outcome(verdict="fail", files=(), faults=error.faults, summary=())
    except OSError as error:
        fault = Fault(Place(str(path)), f"cannot be read: {error.strerror or error}")
        return Outcome(verdict="fail", files=(), faults=(fault,), summary=())
    problems = [f for p in proved for f in _faults(p)]
    failed = any(f.severity == "error" for f in problems)
    verdict: Verdict = "fail" if failed else "pass"
    texts = {"report.json": json.dumps(_report(job, proved, verdict), indent=2) + "\n"}
    texts |= {p.picture_file: p.picture for p in proved}
    if not failed or unproven:
        texts |= {p.file: p.written.text for p in proved}
    try:
        files = _leave(out, texts)
    except OSError as error:
        fault = Fault(Place(str(out)), f"cannot be written: {error.strerror or error}")
        return Outcome(verdict="fail", files=(), faults=(fault,), summary=())
    return Outcome(
        verdict=verdict,
        files=files,
        faults=(*job.warnings, *(d for _, plan in plans for d in plan.doubts), *problems),
        summary=tuple(_line(p) for p in proved) if not failed or unproven else (),
    )


def _plans(job: Job, progress: Callable[[str], None]) -> list[tuple[Setup, Plan]]:
    """Every set-up planned; the faults of all of them at once."""
    plans: list[tuple[Setup, Plan]] = []
    faults: list[Fault] = []
    for setup in job.setups:
        progress(f"planning {setup.name}")
        try:
            plans.append((setup, plan_setup(job, setup, progress=progress)))
        except PlanError as error:
            faults += error.faults
    if faults:
        raise PlanError((*job.warnings, *faults))
    return plans


def _program(
    job: Job,
    setup: Setup,
    plan: Plan,
    dialect: Post,
    cuts: Mapping[str, FinishingCut],
    *,
    unproven: bool,
) -> _Proved:
    """One set-up's program written, read back from its own text, and held against the drawing."""
    written = write_program(plan.program, dialect, unproven=unproven)
    words = "".join(c if c.isascii() and c.isalnum() else "-" for c in setup.name.lower())
    stem = f"{job.setups.index(setup) + 1}-{words.strip('-')[:60] or 'set-up'}"
    stem = f"UNPROVEN-{stem}" if unproven else stem
    file = stem + written.file_ending
    reading = read_program(written.text, file)
    cutters = {c.number: c for c in job.workshop.cutters}
    raw = setup.raw
    findings = prove(
        reading,
        target=build_target(job, setup, cuts),
        blank=Blank(
            at=partial(metal, setup),
            bottom=raw.low[2],
            top=raw.high[2],
            lowest=raw.low[2] - setup.breakthrough,
            levels=metal_levels(setup),
        ),
        cutters=cutters,
        machine=job.workshop.machine,
        tolerance=job.tolerance,
        keep_out=keep_out(setup),
        ranges=[LineRange(r.feature, r.first_line, r.last_line) for r in written.ranges],
    )
    picture = plan_view(
        reading.moves,
        setup=setup,
        title=job.name,
        units=job.units,
        cutters=cutters,
        problems=findings.problems,
    )
    return _Proved(setup, file, written, findings, f"{stem}.svg", picture)


def _faults(proved: _Proved) -> list[Fault]:
    return [
        Fault(
            Place(proved.file, p.line, p.column),
            p.text
            + (f" at x {p.where[0]:.3f} y {p.where[1]:.3f} z {p.where[2]:.3f}" if p.where else ""),
            severity=p.severity,
        )
        for p in proved.findings.problems
    ]


def _report(job: Job, proved: list[_Proved], verdict: Verdict) -> dict[str, Any]:
    features = [
        {
            "name": f.name,
            "kind": f.kind,
            "setup": p.setup.name,
            "gouge": p.findings.features[f.name].gouge,
            "standing": p.findings.features[f.name].standing,
            "reachable_standing": p.findings.features[f.name].reachable_standing,
        }
        for p in proved
        for f in p.setup.features
        if f.name in p.findings.features
    ]
    programs = [
        {
            "file": p.file,
            "setup": p.setup.name,
            "cutters": list(p.findings.cutters),
            "time_s": p.findings.time_s,
            "cut_length": p.findings.cut_length,
            "rapid_length": p.findings.rapid_length,
            "blocks": p.findings.blocks,
        }
        for p in proved
    ]
    problems = [row for p in proved for row in problem_rows(p.file, p.findings.problems)]
    return {
        "job": job.name,
        "verdict": verdict,
        "programs": programs,
        "features": features,
        "problems": problems,
    }


def _line(proved: _Proved) -> str:
    f = proved.findings
    return (
        f"{proved.file}: {f.blocks} blocks, {f.time_s / 60:.1f} min, gouge {f.gouge:.4f} mm, "
        f"left standing in reach {f.reachable_standing:.4f} mm"
    )


def _leave(out: Path, texts: dict[str, str]) -> tuple[Path, ...]:
    """Every file whole or not at all: written beside its place, then moved into it."""
    out.mkdir(parents=True, exist_ok=True)
    waiting = []
    for name, text in texts.items():
        part = out / f".{name}.part"
        part.write_text(text, encoding="utf-8")
        waiting.append((part, out / name))
    for part, place in waiting:
        os.replace(part, place)
    return tuple(place for _, place in waiting)
