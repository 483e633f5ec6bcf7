"""What broken and hostile drawings cost: each read by a job in a process of its own.

    python tests/benchmarks/hostile_drawings.py [NAME ...]

Prints seconds at work, seconds by the clock and megabytes for each, and the worst of all. None
shall take more than 5 s or 500 MB. Seen on two cores that other work kept busy, at a load of 8: the
worst 3.9 s and 145 MB.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "drawing"))
from hostile_drawings import HOSTILE

JOB = """
units = "mm"
material = "brass"
[stock]
block = [60, 50, 6]
[outlines]
it = {{ {sort} = "it{ending}" }}
[[setup]]
[setup.hold]
board = 12
[[setup.feature]]
kind = "boss"
outline = "it"
depth = 2
"""
CHECK = "from gcodekit.cli.app import main; main(['check', 'job.toml'])"


def cost(name: str) -> tuple[float, float, float, int]:
    """Seconds at work, seconds by the clock, megabytes, exit code."""
    hostile = HOSTILE[name]
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, f"it{hostile.ending}").write_bytes(hostile.make())
        job = JOB.format(sort=hostile.ending[1:], ending=hostile.ending)
        Path(folder, "job.toml").write_text(job, encoding="utf-8")
        measured = (
            "import resource, atexit\n"
            "def say():\n"
            "    u = resource.getrusage(resource.RUSAGE_SELF)\n"
            "    open('cost', 'w').write(f'{u.ru_utime + u.ru_stime} {u.ru_maxrss / 1024}')\n"
            "atexit.register(say)\n"
        )
        started = time.perf_counter()
        done = subprocess.run(
            [sys.executable, "-c", measured + CHECK],
            cwd=folder,
            capture_output=True,
            check=False,
            timeout=60,
            text=True,
        )
        clock = time.perf_counter() - started
        work, size = Path(folder, "cost").read_text(encoding="utf-8").split()
        if hostile.said not in done.stderr:
            print(f"{name}: not said: {hostile.said}\n{done.stderr[-400:]}")
        return float(work), clock, float(size), done.returncode


if __name__ == "__main__":
    resource.setrlimit(resource.RLIMIT_AS, (4 * 2**30, 4 * 2**30))
    worst = [0.0, 0.0, 0.0]
    for name in sys.argv[1:] or HOSTILE:
        *figures, code = cost(name)
        worst = [max(a, b) for a, b in zip(worst, figures, strict=True)]
        print(f"{figures[0]:6.1f} s {figures[1]:6.1f} s {figures[2]:6.0f} MB  {code}  {name}")
    print(f"{worst[0]:6.1f} s {worst[1]:6.1f} s {worst[2]:6.0f} MB  worst")
