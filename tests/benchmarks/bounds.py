"""What hostile jobs, workshops and programs cost: each given to its commands as a user would.

    python tests/benchmarks/bounds.py [WORDS ...]

Prints seconds by the clock, megabytes and the exit code of every command, and the worst of all;
WORDS: those alone whose name has one of them in it. Nothing shall take more than 10 s or 1 GB
before its answer, nor give a traceback.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "job"))
sys.path.insert(0, str(Path(__file__).parents[1] / "making"))
from hostile_jobs import HOSTILE as JOBS
from hostile_programs import HOSTILE as PROGRAMS

MOST_SECONDS, MOST_MEGABYTES = 10.0, 1000.0
GIVEN_UP = 100.0  # seconds
ADDRESSES = 4 * 2**30  # bytes that one command may have
MOST_SAID = 400  # characters shown of what is said


def cost(folder: Path, *words: str) -> tuple[float, float, int, str]:
    """Seconds by the clock, megabytes, exit code (-9 where given up) and what was said last."""
    began = time.perf_counter()
    said = folder / "said"
    with said.open("wb") as out:
        process = subprocess.Popen(
            [sys.executable, "-m", "gcodekit", *words],
            cwd=folder,
            stdout=subprocess.DEVNULL,
            stderr=out,
        )
    while (ended := os.wait4(process.pid, os.WNOHANG))[0] == 0:
        if time.perf_counter() - began > GIVEN_UP:
            process.kill()
            ended = os.wait4(process.pid, 0)
            break
        time.sleep(0.02)
    _, status, used = ended
    process.returncode = os.waitstatus_to_exitcode(status)
    # ru_maxrss is bytes on one family of systems and kilobytes on the rest
    unit = 1e-6 if sys.platform == "darwin" else 1e-3
    text = said.read_bytes()[-MOST_SAID:].decode("utf-8", "replace")
    return time.perf_counter() - began, used.ru_maxrss * unit, process.returncode, text


def commands(folder: Path) -> Iterator[tuple[str, tuple[str, ...], bool]]:
    """Every hostile file put into the folder: its name, its command, whether it may take longer
    (what is lawful and large is made with lines of progress)."""
    for name, hostile in JOBS.items():
        (folder / "job.toml").write_text(hostile.make(), encoding="utf-8")
        (folder / "shop.toml").write_text(hostile.workshop, encoding="utf-8")
        yield name, ("check", "job.toml"), False
        yield name, ("make", "job.toml", "--out", "out"), not hostile.said
    for name, program in PROGRAMS.items():
        (folder / "it.nc").write_text(program.make(), encoding="latin-1")
        (folder / "job.toml").write_text(program.job, encoding="utf-8")
        yield name, ("dryrun", "it.nc", *program.words), False


def main(words: list[str]) -> None:
    """Each command with its cost, then the worst."""
    resource.setrlimit(resource.RLIMIT_AS, (ADDRESSES, ADDRESSES))
    worst = [0.0, 0.0]
    with tempfile.TemporaryDirectory() as where:
        folder = Path(where)
        for name, command, _ in commands(folder):
            if words and not any(w in name for w in words):
                continue
            seconds, megabytes, code, said = cost(folder, *command)
            worst = [max(worst[0], seconds), max(worst[1], megabytes)]
            row = f"{seconds:6.1f} s {megabytes:6.0f} MB {code:4d}  {command[0]:6}  {name}"
            print(row, flush=True)
            if seconds > MOST_SECONDS or megabytes > MOST_MEGABYTES or code not in (0, 1):
                print(f"    OVER: {' '.join(said.split())}", flush=True)
            elif os.environ.get("SAY"):
                print(f"    {' '.join(said.split())[-300:]}", flush=True)
    print(f"{worst[0]:6.1f} s {worst[1]:6.0f} MB worst")


if __name__ == "__main__":
    main(sys.argv[1:])
