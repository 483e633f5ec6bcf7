"""Plunges: how fast a milling cutter is fed straight down into stock.

Straight down an end mill cuts with its end alone, which takes a fraction of what its sides do.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from gcodekit.proof.cutting_data import SLACK, CuttingData
from gcodekit.proof.once import Once
from gcodekit.rs274.program_read import Move, Point3, ProblemList
from gcodekit.trade.cutter import Cutter

# So much stock under the cutter's middle, mm, is worth a word: less is what a rounded corner or the
# text's last decimals leave.
OVER = 0.2


@dataclass(slots=True)
class Plunges:
    """Gathers them: one problem a cutter."""

    data: CuttingData
    once: Once = field(default_factory=Once)

    def take(self, cutter: Cutter, move: Move, over: float, where: Point3) -> None:
        """A way straight down that meets stock `over` mm high under its cutter's middle."""
        if over < OVER or move.speed <= 0.0 or self.data.faster_than_machine(move.feed):
            return
        most = self.data.plunge_feed(cutter, move.speed)
        if move.feed <= most * SLACK:
            return
        said = f"{move.feed:.0f} mm/min"
        text = (
            f"cutter {cutter.number} goes straight down into stock at {said}: at "
            f"{move.speed:.0f} rev/min its end takes at most {most:.0f} mm/min {self.data.named}; "
            "feed slower"
        )
        self.once.note(
            text, move.line, where, kind=f"down {cutter.number}", size=move.feed, said=said,
            severity="warning",
        )  # fmt: skip

    def report(self, problems: ProblemList) -> None:
        """Say all of it."""
        self.once.report(problems)
