"""The cutters of a feature, and why each was taken."""

from __future__ import annotations

from dataclasses import dataclass, replace

from gcodekit.errors import Fault
from gcodekit.job.feature import Cutting
from gcodekit.trade.cutter import Cutter


@dataclass(frozen=True, slots=True)
class CutterReason:
    """A cutter, its part in a feature ("rough", "drill") and why it was taken for that."""

    cutter: Cutter
    part: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """The cutters of one feature. `finish` gives the finished surface; `warnings` are warnings that
    belong to the choice; `picks` say why each was taken. `opened`: diameter of the hole, mm, that
    a reamer or boring head finds there already; 0: it is milled first."""

    finish: Cutter
    rough: Cutter
    spot: Cutter | None = None
    drill: Cutter | None = None
    reamer: Cutter | None = None
    pilot: Cutter | None = None
    counterbore: Cutter | None = None
    countersink: Cutter | None = None
    tap: Cutter | None = None
    boring: Cutter | None = None
    opened: float = 0.0
    warnings: tuple[Fault, ...] = ()
    picks: tuple[CutterReason, ...] = ()

    @property
    def every(self) -> tuple[Cutter, ...]:
        """All of them, each once."""
        those = (
            self.rough,
            self.finish,
            self.spot,
            self.drill,
            self.reamer,
            self.pilot,
            self.counterbore,
            self.countersink,
            self.tap,
            self.boring,
        )
        return tuple({c.number: c for c in those if c is not None}.values())

    def finishing(self, cutting: Cutting) -> Cutter:
        """The cutter that leaves the feature's surface; a tap only adds a thread to it."""
        return self.reamer or self.boring or (self.finish if cutting.finish else self.rough)

    def figures(self, cutter: Cutter, cutting: Cutting) -> Cutting:
        """The job's figures as they hold for one of the cutters.

        Speed and feeds are given for the finishing cutter, of a tapped hole the tap; one of
        another size would burn or break at them, so it gets its own from the tables.
        """
        if cutter.number == (self.tap or self.finishing(cutting)).number:
            return cutting
        return replace(cutting, speed=None, feed=None, plunge_feed=None)
