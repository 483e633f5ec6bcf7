"""Lines a second that a program is read at, with every check: plain motion lines, the same with
blanks and in the other order, and lines of parameters and expressions.

    python tests/benchmarks/reading.py [RUNS]

Prints the quickest of RUNS (default 5), by the processor's time. A busy machine shows in the count
of a bare loop beside it.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator

from gcodekit.rs274 import read_program

LINES = 80_000
LOOP = 2_000_000


def contour(lap: int) -> Iterator[tuple[str, ...]]:
    """A rounded rectangle, a little wider each lap: four lines and four arcs."""
    wide, deep = 40 + lap % 500 * 0.0137, -0.5 - lap % 7 * 0.25
    yield "G1", "X0.0000", "Y0.0000", f"Z{deep:.4f}", "F300"
    yield f"X{wide:.4f}", "Y0.0000"
    yield "G3", f"X{wide + 5:.4f}", "Y5.0000", "I0.0000", "J5.0000"
    yield "G1", "Y30.0000"
    yield "G3", f"X{wide:.4f}", "Y35.0000", "I-5.0000", "J0.0000"
    yield "G1", "X0.0000"
    yield "G3", "X-5.0000", "Y30.0000", "J-5.0000"
    yield "G1", "Y5.0000"
    yield "G3", "X0.0000", "Y0.0000", "I5.0000", "J0.0000"


def plain(lap: int) -> Iterator[str]:
    """As most programs are written."""
    return (" ".join(words) for words in contour(lap))


def unusual(lap: int) -> Iterator[str]:
    """The same the other way round, in small letters, with a comment."""
    return (" ".join(reversed(words)).lower() + " (on)" for words in contour(lap))


def reckoned(lap: int) -> Iterator[str]:
    """Parameters set and read, and expressions."""
    yield f"#101=[{lap % 9}.25 * 2 - #102]"
    yield "#102 = [#102 + 0.125] #103=sqrt[#101**2 + 4]"
    yield "G1 X[#101 + #103 / 2] Y#103 F[200+10*3]"
    yield "G1 Z[0 - 1] X[sin[30] * #101]"
    yield "#102=0"


KINDS: dict[str, Callable[[int], Iterator[str]]] = {
    "plain": plain,
    "unusual": unusual,
    "reckoned": reckoned,
}


def program(kind: Callable[[int], Iterator[str]], count: int = LINES) -> str:
    """About `count` lines of a kind, with a beginning and an end."""
    lines = ["G21 G90 G17 G94", "#101=0 #102=0 #103=0", "G0 X0 Y0 Z5", "F300 S1000 M3"]
    lap = 0
    while len(lines) < count:
        lines += kind(lap)
        lap += 1
    return "\n".join([*lines, "M2"])


def reading_speed(text: str) -> float:
    """Lines a second. Raises RuntimeError when something is wrong with the program."""
    began = time.process_time()
    reading = read_program(text)
    seconds = time.process_time() - began
    if reading.problems:
        raise RuntimeError(f"the program has problems: {reading.problems[0]}")
    return len(reading.lines) / seconds


def loop_speed() -> float:
    """Rounds a second of a bare loop."""
    began = time.process_time()
    total = 0
    for k in range(LOOP):
        total += k * k
    return LOOP / (time.process_time() - began)


def main() -> None:
    """Every kind."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    for name, kind in KINDS.items():
        text = program(kind)
        found = [(reading_speed(text), loop_speed()) for _ in range(runs)]
        lines, loops = max(f[0] for f in found), max(f[1] for f in found)
        print(f"{name}: {lines:,.0f} lines/s (a bare loop {loops / 1e6:.1f} million/s)")


if __name__ == "__main__":
    main()
