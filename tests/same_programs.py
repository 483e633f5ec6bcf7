"""Whether a change of the code changes any program: the shipped jobs, the suite's and random ones.

    python -m tests.same_programs --keep before.json       # hashes of all programs, now
    python -m tests.same_programs --against before.json    # which of them are others now

The random jobs are the same ones every time (`--random 300`). Hashed is a program's text but for
the line with the state of its job; of a job that is refused what is said. The exit code is 1 where
anything differs. Takes some minutes.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from hypothesis import given
from hypothesis.strategies import SearchStrategy

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests" / "making"))
from random_jobs import as_drawn, jobs  # noqa: E402  # test folders are no packages
from random_setups import jobs_of_several  # noqa: E402

from gcodekit.making.make import make  # noqa: E402

# The header's line that changes with every way a job file is written.
VERSION = "job version"


def files() -> Iterator[Path]:
    """Every job file that is shipped or lies among the tests."""
    for path in sorted([*ROOT.glob("jobs/*.toml"), *ROOT.glob("tests/**/*.toml")]):
        if "[[setup]]" in path.read_text(encoding="utf-8"):
            yield path


def drawn(how_many: int, strategy: SearchStrategy[tuple[str, str]]) -> list[tuple[str, str]]:
    """The same random jobs every time: the texts of job and workshop."""
    found: list[tuple[str, str]] = []
    if not how_many:
        return found

    @as_drawn(how_many, derandomize=True)
    @given(strategy)
    def keep(job: tuple[str, str]) -> None:
        found.append(job)

    keep()
    return found


def hashes(job: str, folder: Path) -> dict[str, str]:
    """Of every program of a job in a folder, by its file's name; or what refuses it."""
    before = Path.cwd()
    os.chdir(folder)
    try:
        outcome = make(Path(job), Path("out"))
    finally:
        os.chdir(before)
    if outcome.verdict != "pass":
        said = "\n".join(str(f) for f in outcome.faults if f.severity == "error")
        return {"refused": _hash(said)}
    return {
        path.name: _hash(
            "\n".join(line for line in path.read_text().splitlines() if VERSION not in line)
        )
        for path in sorted((folder / "out").glob("*.nc"))
    }


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def all_of_them(how_many: int) -> Iterator[tuple[str, dict[str, str]]]:
    """Every job with its hashes."""
    for path in files():
        with tempfile.TemporaryDirectory() as room:
            folder = Path(room) / "jobs"
            shutil.copytree(path.parent, folder)
            yield str(path.relative_to(ROOT)), hashes(path.name, folder)
    texts = {"random": drawn(how_many // 2, jobs())}
    texts["random of several set-ups"] = drawn(how_many - how_many // 2, jobs_of_several())
    for what, those in texts.items():
        for number, (job, workshop) in enumerate(those):
            with tempfile.TemporaryDirectory() as room:
                folder = Path(room)
                (folder / "job.toml").write_text(job, encoding="utf-8")
                (folder / "workshop.toml").write_text(workshop, encoding="utf-8")
                yield f"{what} {number}", hashes("job.toml", folder)


def main() -> int:
    """Keep the hashes, or hold them against kept ones."""
    words = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    words.add_argument("--keep", type=Path, help="write the hashes to this file")
    words.add_argument("--against", type=Path, help="compare with the hashes of this file")
    words.add_argument("--random", type=int, default=300, help="how many random jobs")
    asked = words.parse_args()
    found = dict(all_of_them(asked.random))
    print(f"{len(found)} jobs, {sum('refused' not in h for h in found.values())} of them made")
    if asked.keep:
        asked.keep.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")
    if asked.against is None:
        return 0
    before = json.loads(asked.against.read_text(encoding="utf-8"))
    other = sorted(n for n in {*found, *before} if found.get(n) != before.get(n))
    for name in other:
        print(f"differs: {name}")
    return 1 if other else 0


if __name__ == "__main__":
    sys.exit(main())
