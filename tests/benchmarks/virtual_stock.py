"""Seconds to cut the virtual stock: a 100 x 60 mm pocket of 2,000 lines and arcs in cells of
0.05 mm, and 100,000 short level moves. Run on an idle machine."""

from __future__ import annotations

import math
import time

import shapely

from gcodekit.proof.findings import Blank
from gcodekit.proof.stock_findings import take_stock
from gcodekit.rs274 import read_program
from gcodekit.rs274.program_read import ProblemList
from gcodekit.trade.cutter import Cutter

BLANK = Blank(at=lambda z: shapely.box(0, 0, 100, 60), bottom=-20.0, top=0.0, lowest=-20.0)
RACK = {
    1: Cutter(
        number=1,
        name="6 mm",
        kind="end mill",
        diameter=6,
        flute_length=20,
        stickout=30,
        shank=6,
        centre_cutting=True,
    )
}
START = ["G21 G90 G17 T1 M6 S1000 M3", "G0 Z5"]
END = ["G0 Z5", "M2"]


def pocket(moves: int) -> str:
    """Rings 2.8 mm apart with rounded corners, 0.5 mm deeper each time."""
    lines = [*START, "G0 X10 Y10"]
    z = 0.0
    while len(lines) < moves:
        z -= 0.5
        lines.append(f"G1 Z{z} F200")
        for ring in range(8):
            m = 5 + ring * 2.8
            r = min(3.0, 30 - m)
            x0, x1, y0, y1 = m, 100 - m, m, 60 - m
            lines += [
                f"G1 X{x0 + r} Y{y0}",
                f"X{x1 - r}",
                f"G3 X{x1} Y{y0 + r} I0 J{r}",
                f"G1 Y{y1 - r}",
                f"G3 X{x1 - r} Y{y1} I{-r} J0",
                f"G1 X{x0 + r}",
                f"G3 X{x0} Y{y1 - r} I0 J{-r}",
                f"G1 Y{y0 + r}",
                f"G3 X{x0 + r} Y{y0} I{r} J0",
            ]
    return "\n".join(lines + END)


def spirals(moves: int) -> str:
    """Five spirals of short straight moves, 1 mm deeper each time."""
    lines = [*START]
    each = moves // 5
    for depth in range(1, 6):
        lines += ["G0 X50 Y30", f"G1 Z-{depth} F200"]
        for i in range(each):
            t, share = i / each * 20 * math.pi, i / each
            x, y = 50 + 45 * share * math.cos(t), 30 + 25 * share * math.sin(t)
            lines.append(f"G1 X{x:.4f} Y{y:.4f}")
        lines.append("G0 Z5")
    return "\n".join(lines + END)


def main() -> None:
    """Best of three by the clock."""
    for name, text, cell in (
        ("pocket, 2,000 lines and arcs", pocket(2_000), 0.05),
        ("100,000 short level moves", spirals(100_000), 0.05),
    ):
        reading = read_program(text)
        times = []
        for _ in range(3):
            begin = time.perf_counter()
            found = take_stock(
                reading.moves, RACK, BLANK, tolerance=0.01, problems=ProblemList(), cell=cell
            )
            times.append(time.perf_counter() - begin)
        assert found is not None
        count = len(reading.moves)
        print(f"{name}: {count} moves, cells of {found.cell:.3f} mm, {min(times):.2f} s")


if __name__ == "__main__":
    main()
