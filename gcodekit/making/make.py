"""The main job: plan, write, read back, prove against the drawing, and only then leave files."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any, Literal

from gcodekit.errors import Fault, GcodekitError, Place
from gcodekit.job.load import load_job
from gcodekit.job.model import Feature, Job, Setup
from gcodekit.operations.draft import Chosen, wall_allowance
from gcodekit.part.asked import FinishingCut
from gcodekit.part.metal import metal
from gcodekit.part.target import build_target
from gcodekit.planning.plan import Plan, left_on_walls, plan_setup
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
    """Make every program of a job and prove it; a job that fails leaves only its report."""
    try:
        job = load_job(path)
        dialect = find_post(post or job.post, posts=posts, environment=posts_env)
        proved: list[_Proved] = []
        for setup in job.setups:
            progress(f"planning {setup.name}")
            proved += _programs(job, setup, dialect, unproven=unproven, progress=progress)
    except GcodekitError as error:
        return Outcome(verdict="fail", files=(), faults=error.faults, summary=())
    except OSError as error:
        fault = Fault(Place(str(path)), f"cannot be read: {error.strerror or error}")
        return Outcome(verdict="fail", files=(), faults=(fault,), summary=())
    problems = [f for p in proved for f in _faults(p)]
    failed = any(f.severity == "error" for f in problems)
    verdict: Verdict = "fail" if failed else "pass"
    texts = {"report.json": json.dumps(_report(job, proved, verdict), indent=2) + "\n"}
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
        faults=(*job.warnings, *problems),
        summary=tuple(_line(p) for p in proved) if not failed or unproven else (),
    )


def _programs(
    job: Job,
    setup: Setup,
    dialect: Post,
    *,
    unproven: bool,
    progress: Callable[[str], None],
) -> list[_Proved]:
    plan = plan_setup(job, setup, progress=progress)
    written = write_program(plan.program, dialect, unproven=unproven)
    progress(f"proving {setup.name}")
    stem = "".join(c if c.isalnum() else "-" for c in setup.name.lower()).strip("-") or "setup"
    number = job.setups.index(setup) + 1
    mark = "UNPROVEN-" if unproven else ""
    file = f"{mark}{number}-{stem}{written.file_ending}"
    return [_Proved(setup, file, written, _prove(job, setup, plan, written, file))]


def _prove(job: Job, setup: Setup, plan: Plan, written: Written, file: str) -> Findings:
    finishing = {f.name: _finishing(f, plan.chosen[f.name]) for f in setup.features}
    raw = setup.raw
    return prove(
        read_program(written.text, file),
        target=build_target(job, setup, finishing),
        blank=Blank(
            at=partial(metal, setup),
            bottom=raw.low[2],
            top=raw.high[2],
            lowest=raw.low[2] - setup.breakthrough,
        ),
        cutters={c.number: c for c in job.workshop.cutters},
        machine=job.workshop.machine,
        tolerance=job.tolerance,
        ranges=[LineRange(r.feature, r.first_line, r.last_line) for r in written.ranges],
    )


def _finishing(feature: Feature, chosen: Chosen) -> FinishingCut:
    last = chosen.reamer or chosen.finish
    every = (chosen.rough, chosen.finish, chosen.spot, chosen.drill)
    return FinishingCut(
        cutter=last,
        others=tuple(c for c in every if c is not None and c.number != last.number),
        allowance=wall_allowance(feature, chosen.rough),
        left=left_on_walls(feature, chosen),
    )


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
    problems = [
        {
            "severity": q.severity,
            "file": p.file,
            "line": q.line,
            "where": list(q.where) if q.where else None,
            "text": q.text,
        }
        for p in proved
        for q in p.findings.problems
    ]
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
