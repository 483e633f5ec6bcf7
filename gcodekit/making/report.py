"""What `report.json` says of a job, and the lines said when it is made."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from gcodekit.errors import Fault
from gcodekit.job.model import Job
from gcodekit.making.problems import problem_faults, problem_rows
from gcodekit.making.programs import ProvedSetup


def report(job: Job, proved: Sequence[ProvedSetup], verdict: str) -> dict[str, Any]:
    """The contract's document: mm and seconds, programs in running order."""
    files = [(p.setup, f) for p in proved for f in p.files]
    return {
        "job": job.name,
        "verdict": verdict,
        "programs": [
            {
                "file": f.file,
                "setup": setup.name,
                "cutters": list(f.cutters),
                "time_s": f.way.time_s,
                "cut_length": f.way.cut_length,
                "rapid_length": f.way.rapid_length,
                "blocks": f.blocks,
            }
            for setup, f in files
        ],
        "features": [row for p in proved for row in _features(p)],
        "problems": [row for _, f in files for row in problem_rows(f.file, f.problems)],
    }


def _features(proved: ProvedSetup) -> Iterator[dict[str, Any]]:
    for feature in proved.setup.features:
        found = proved.findings.features.get(feature.name)
        if found is not None:
            yield {
                "name": feature.name,
                "kind": feature.kind,
                "setup": proved.setup.name,
                "gouge": found.gouge,
                "standing": found.standing,
                "reachable_standing": found.reachable_standing,
            }


def faults(proved: Iterable[ProvedSetup]) -> list[Fault]:
    """Every problem of every file as a line."""
    return [x for p in proved for f in p.files for x in problem_faults(f.file, f.problems)]


def summary(proved: ProvedSetup) -> Iterator[str]:
    """A line a file, and what the comparison with the drawing came to."""
    for f in proved.files:
        cutters = ", ".join(f"T{n}" for n in f.cutters) or "no cutter moves"
        yield f"{f.file}: {f.blocks} blocks, {f.way.time_s / 60:.1f} min, {cutters}"
    found = proved.findings
    yield (
        f"{proved.setup.name}: gouge {found.gouge:.4f} mm, "
        f"left standing in reach {found.reachable_standing:.4f} mm"
    )
