"""Hostile programs: how each is made, and how it is run dry.

Used by tests/benchmarks/bounds.py, which measures time and memory.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

HEAD, END = "G21 G90 G17\nT2 M6\nS2000 M3\nG0 X0 Y0 Z5", "G0 Z5\nM5\nM2\n"
BLOCK = ("--block", "100", "100", "20", "--zero", "0", "0", "20")
JOB = """units = "mm"
material = "brass"
[stock]
block = [100, 100, 20]
[[setup]]
[setup.hold]
board = 12
[[setup.feature]]
kind = "pocket"
outline = { rectangle = [60, 60], centre = [50, 50], round = 4 }
depth = 6
"""


class Hostile(NamedTuple):
    """A program's text, the words of its dry run, and the job beside it."""

    make: Callable[[], str]
    words: tuple[str, ...] = BLOCK
    job: str = JOB


def whole(*body: str) -> str:
    """A program with these lines between its head and its end."""
    return "\n".join((HEAD, *body, END))


def lines(*each: str, times: int) -> Callable[[], str]:
    """The same lines over and over."""
    return lambda: whole(*each * times)


def numbered(line: Callable[[int], str], *first: str, times: int) -> Callable[[], str]:
    """Lines of which none is like another, after the `first` ones."""
    return lambda: whole(*first, *map(line, range(times)))


AGAINST_JOB = ("--job", "job.toml")
DRAWN = (*BLOCK, "--plot", "it.svg")
ALL = (*AGAINST_JOB, "--plot", "it.svg")
WAYS = {"": BLOCK, " with a job": AGAINST_JOB, " drawn": DRAWN, " with a job, drawn": ALL}

_PROGRAMS: dict[str, Callable[[], str]] = {
    "200,000 faulty lines": lines("G1 X10 Q5 P7 F100", times=200_000),
    "200,000 unreadable lines": lines("@#!", times=200_000),
    "200,000 lines of a cutter that is not there": lines("T77 M6", "G1 X1 Y1 Z-1", times=100_000),
    "200,000 rapids into the block": lines("G0 X10 Y10 Z-3", "G0 X60 Y60 Z-4", times=100_000),
    "a million equal lines": lines("G1 X10 Y10 Z-1 F100", times=1_000_000),
    "a million equal words": lines("G1", times=1_000_000),
    "a million lines to and fro": lines("G1 X10 Y10 Z-1 F100", "X60", times=500_000),
    # to and fro over the whole block, never the same place twice
    "200,000 rows": numbered(
        lambda i: f"G1 X{99 if i % 2 else 1} Y{i * 98 / 200_000:.4f} Z-{i % 3 + 1}",
        "F300",
        times=200_000,
    ),
    "200,000 arcs": numbered(
        lambda i: f"G2 X{50 + i % 7} Y50 I{10 + i % 7 / 2} J0", "G1 Z-1 F300", times=200_000
    ),
    "200,000 changes of cutter": lines("T1 M6", "T2 M6", times=100_000),
    "200,000 spindle words": lines("S1000 M3", "M5", times=100_000),
    "200,000 comments": lines("(MSG, here)", times=200_000),
    "100,000 drillings": lines("G81 X10 Y10 Z-5 R2 F100", "X20", times=50_000),
    "100,000 peck drillings": lines("G83 X10 Y10 Z-5 R2 Q0.1 F100", "X20", times=50_000),
    "a cycle of 1e9 pecks": lines("G83 X10 Y10 Z-5 R2 Q0.000001 F100", times=1),
    "a cycle repeated 1e9 times": lines("G91 G81 X1 Y1 Z-5 R2 F100 L1000000000", times=1),
    "200,000 expressions": lines("G1 X[1+[2*[3+4]]] Y[SIN[30]] F100", times=200_000),
    "200,000 parameters": lines("#1=[#1+1]", times=200_000),
    "100,000 turned offsets": lines("G10 L2 P1 X1", "G55", "G54", times=30_000),
    "a line of a million words": lambda: whole("G1 " + "X1 " * 1_000_000),
    "a line of a million brackets": lambda: whole("G1 X" + "[" * 1_000_000),
    "numbers of 100,000 digits": lines("G1 X" + "1" * 100_000, times=10),
    "5 million empty lines": lambda: "\n" * 5_000_000,
    "a helix of 1e9 turns": lines("G2 X50 Y50 I10 J0 Z-1 P1000000000 F100", times=1),
    "far away": lines("G1 X100000000 Y100000000 F100", "X0 Y0", times=1000),
    "feed of 1e-9": lines("G1 X50 Y50 Z-1 F0.000000001", times=1),
    "compensated 100,000": lines("G41 D2", "G1 X10 Y10 F100", "X20", "Y20", "G40", times=20_000),
    "200,000 dwells": lines("G4 P1", times=200_000),
    "deep": lines("G1 X50 Y50 Z-1000000 F100", times=1),
}

HOSTILE: dict[str, Hostile] = {
    f"{name}{way}": Hostile(make, words)
    for name, make in _PROGRAMS.items()
    for way, words in WAYS.items()
}
