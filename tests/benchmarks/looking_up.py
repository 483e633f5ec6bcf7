"""How long `fits`, `thread` and `speeds` take to answer, the interpreter's start counted in.

    python tests/benchmarks/looking_up.py [RUNS]

Prints the quickest of RUNS (default 5), by the clock and by the processor's time: 0.5 s is the most
that any of them may take on an idle machine.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
JOB, SHOP = ROOT / "jobs" / "worm-block.toml", ROOT / "jobs" / "workshop.toml"
ASKED = (
    "fits 10 H7/p6",
    "thread M4",
    "speeds brass --cutter 6",
    f"speeds brass --cutter 6 --workshop {SHOP}",
    f"speeds brass --cutter 6 --job {JOB}",
    "speeds brass --cutter 5 --kind drill --depth 30",
)


def took(command: list[str]) -> tuple[float, float]:
    """Seconds by the clock and by the processor."""
    before, start = os.times(), time.perf_counter()
    subprocess.run(command, check=True, capture_output=True, cwd=ROOT)
    clock, after = time.perf_counter() - start, os.times()
    used = after.children_user + after.children_system
    return clock, used - before.children_user - before.children_system


def main() -> None:
    """Each command's quickest run."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    for asked in ASKED:
        command = [sys.executable, "-m", "gcodekit", *asked.split()]
        took(command)  # what is compiled is kept from here on
        found = [took(command) for _ in range(runs)]
        clock, used = (min(column) for column in zip(*found, strict=True))
        print(f"{clock:6.3f} s  {used:6.3f} s of the processor  gcodekit {asked}")


if __name__ == "__main__":
    main()
