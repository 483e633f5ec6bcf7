"""Time and memory of `gcodekit make` for every shipped job, each in a process of its own.

    python tests/benchmarks/shipped_jobs.py [RUNS]

Prints the quickest of RUNS (default 3) and the most memory any of them took.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

JOBS = Path(__file__).parents[2] / "jobs"


def run(job: Path, out: Path) -> tuple[float, float]:
    """Seconds and megabytes of one run. Raises RuntimeError when the job does not pass."""
    began = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, "-m", "gcodekit", "make", str(job), "--out", str(out)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise RuntimeError(f"{job.name}: exit code {process.returncode}")
    # ru_maxrss is bytes on one family of systems and kilobytes on the rest
    unit = 1e-6 if sys.platform == "darwin" else 1e-3
    return time.perf_counter() - began, used.ru_maxrss * unit


def main() -> None:
    """Every job that has a set-up."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    with tempfile.TemporaryDirectory() as folder:
        for job in sorted(JOBS.glob("*.toml")):
            if "[[setup]]" not in job.read_text(encoding="utf-8"):
                continue
            found = [run(job, Path(folder) / job.stem) for _ in range(runs)]
            seconds, megabytes = min(s for s, _ in found), max(m for _, m in found)
            print(f"{job.name}: {seconds:.2f} s, {megabytes:.0f} MB")


if __name__ == "__main__":
    main()
