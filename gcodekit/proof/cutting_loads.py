"""The loads of a program's cuts on cutter and spindle, as the virtual stock measures them: depth
and width of each cut, chip load, power and plunge feed, against published cutting data."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from gcodekit.proof.cutting_data import MEASURED_SLACK, CuttingData
from gcodekit.proof.fault_groups import FaultGroups
from gcodekit.proof.stock_grid import Heights
from gcodekit.proof.stock_ways import StockWay
from gcodekit.rs274.program_read import Move, Point3, ProblemList
from gcodekit.trade.cutter import SIDE_MILLS, Cutter
from gcodekit.units import MM_PER_INCH, format_feed, format_size

# A cut is judged over so much of its way, in diameters: over less, entering and leaving it and the
# cells' width count for more than the cut itself.
JUDGED_OVER = 0.5
# At least so much of its diameter is a cutter's full width.
FULL_WIDTH = 0.9
# Shallower than this, in diameters, a tooth cuts with its corner alone and takes a thicker chip, up
# to so many times: common practice, no source.
SHALLOW, MOST_SHALLOW = 0.1, 2.0
# Of a drill's way down a step shorter than this, in diameters, is a peck's start or a chip break.
DRILLED = 0.25
# Rubbing for less than this many diameters is a corner or a lead.
RUBBED = 4.0
# So much stock under the middle of a cutter on its way straight down, mm, is worth a word: less is
# what a rounded corner or the text's last decimals leave.
LEAST_UNDER = 0.2


@dataclass(slots=True)
class _Stretch:
    """Consecutive cuts of a cutter: mm of way, mm3 of stock taken. `feed` is the slowest of what is
    cut at once, `fastest` the fastest, mm/min: which of them meets how much is not known."""

    cutter: Cutter
    line: int
    feed: float
    fastest: float
    speed: float
    start: Point3
    length: float = 0.0
    volume: float = 0.0
    # volume times depth: the depth that most of the stock is cut at
    moment: float = 0.0

    @property
    def depth(self) -> float:
        """mm; what lies deeper or shallower counts by its volume."""
        return self.moment / self.volume

    @property
    def width(self) -> float:
        """mm: a cut as deep and long that takes as much."""
        return min(self.volume / (self.depth * self.length), self.cutter.diameter)

    @property
    def chip_load(self) -> float:
        """Feed per tooth, mm."""
        return self.feed / (self.speed * self.cutter.flutes)


@dataclass(slots=True)
class CuttingLoads:
    """Gathers the cuts of a program, and reports what is wrong with them: one problem a cutter and
    cause."""

    data: CuttingData
    moves: Sequence[Move]
    cell_area: float
    once: FaultGroups = field(default_factory=FaultGroups)
    rubbing: dict[int, list[_Stretch]] = field(default_factory=dict)
    stretch: _Stretch | None = None

    def take(self, cutter: Cutter, ways: Sequence[StockWay], depths: Heights) -> None:
        """A piece cut at its feed; `depths`: of stock taken from each cell it met, mm."""
        move = self.moves[ways[0].move]
        if move.speed <= 0.0 or move.feed <= 0.0:
            return
        if cutter.kind == "drill" and not self.data.faster_than_machine(move.feed):
            self._drilled(cutter, ways[0], move)
        elif cutter.kind in SIDE_MILLS:
            self._milled(cutter, ways, move, depths)

    def air(self) -> None:
        """Nothing was met: the cut is at its end."""
        self.stretch = None

    def _milled(
        self, cutter: Cutter, ways: Sequence[StockWay], move: Move, depths: Heights
    ) -> None:
        if ways[0].start[:2] == ways[0].end[:2] and ways[0].centre is None:
            # straight down: no width to be judged by
            self.stretch = None
            return
        feeds = [self.moves[w.move].feed for w in ways]
        run = (cutter, min(feeds), max(feeds), move.speed)
        s = self.stretch
        if s is None or (s.cutter, s.feed, s.fastest, s.speed) != run:
            s = self.stretch = _Stretch(cutter, move.line, *run[1:], ways[0].start)
        s.length += sum(w.seconds * feed for w, feed in zip(ways, feeds, strict=True)) / 60.0
        s.volume += float(depths.sum(dtype=float)) * self.cell_area
        s.moment += float(depths @ depths) * self.cell_area
        if s.length >= JUDGED_OVER * cutter.diameter:
            self.stretch = None
            self._judge(s)
            if ways[0].level and ways[0].centre is None and self._rubs(s):
                self.rubbing.setdefault(cutter.number, []).append(s)

    def _judge(self, s: _Stretch) -> None:
        deep = self._too_deep(s)
        if self.data.faster_than_machine(s.feed):
            return
        thick = self._too_thick(s)
        # what is too deep or too thick takes too much power as a matter of course
        if not deep and not thick:
            self._too_strong(s)

    def _too_deep(self, s: _Stretch) -> bool:
        """Tell whether a cut is too deep, by depth times width as a full-width slot. Deeper than
        its flutes is an error of its own (`limits.py`)."""
        if s.depth > s.cutter.flute_length:
            return True
        most = self.data.deepest_slot(s.cutter)
        full = s.width >= FULL_WIDTH * s.cutter.diameter
        section = s.depth * (1.0 if full else s.width / s.cutter.diameter)
        if section <= most * MEASURED_SLACK:
            return False
        wide = "at full width" if full else f"and {self._figure(s.width)} wide"
        allowed = most * s.depth / section
        said = f"{self._figure(s.depth)} deep {wide}"
        text = (
            f"cutter {s.cutter.number} cuts {said}: at most {self._figure(allowed)} deep "
            f"{self.data.named}"
        )
        self._note(s, "deep", text, section, said, "take more passes")
        return True

    def _too_thick(self, s: _Stretch) -> bool:
        share = s.width / s.cutter.diameter
        thinned = 2 * math.sqrt(share * (1 - share)) if share < 0.5 else 1.0
        shallow = min(max(SHALLOW * s.cutter.diameter / s.depth, 1.0), MOST_SHALLOW)
        chip, most = s.chip_load * thinned, self.data.thickest_chip(s.cutter) * shallow
        if chip <= most * MEASURED_SLACK:
            return False
        slower = s.feed * most / chip
        said, feed, less = self._size(chip), self._feed(s.feed), self._feed(slower)
        text = (
            f"cutter {s.cutter.number} has a chip load of {said} at {feed} and "
            f"{s.speed:.0f} rev/min: at most {self._size(most)} {self.data.named}"
        )
        self._note(s, "thick", text, chip, said, f"lower the feed to {less}")
        return True

    def _too_strong(self, s: _Stretch) -> None:
        available, cutter = self.data.power, s.cutter
        if available is None:
            return
        watts = self.data.watts(
            depth=s.depth,
            width=s.width,
            feed=s.feed,
            chip_load=s.chip_load,
            diameter=cutter.diameter,
        )
        if watts <= available * MEASURED_SLACK:
            return
        said = f"{watts:.0f} W"
        text = (
            f"cutter {cutter.number} needs {said}, {self._figure(s.depth)} deep and "
            f"{self._figure(s.width)} wide at {self._feed(s.feed)}: limited by spindle power, "
            f"{available:.0f} W at the cutter"
            f"{'' if self.data.material else ', ' + self.data.named}"
        )
        self._note(s, "power", text, watts, said, "cut less deep or lower the feed")

    def _rubs(self, s: _Stretch) -> bool:
        chip = s.fastest / (s.speed * s.cutter.flutes)
        return chip < self.data.thinnest_chip(s.cutter) / MEASURED_SLACK

    def _rubbed(self, number: int, stretches: Sequence[_Stretch]) -> None:
        """Chips thinner than teeth cut, over some way: a corner or a lead is none."""
        first = stretches[0]
        if sum(s.length for s in stretches) < RUBBED * first.cutter.diameter:
            return
        least = self.data.thinnest_chip(first.cutter)
        quicker = least * first.speed * first.cutter.flutes
        text = (
            f"cutter {number} rubs: chip load {self._size(first.chip_load, 4)} at "
            f"{self._feed(first.feed)} and {first.speed:.0f} rev/min, it takes at least "
            f"{self._size(least, 4)} to cut"
        )
        hint = f"raise the feed to {self._feed(quicker)} or lower the speed"
        for s in stretches:
            self.once.note(
                text, s.line, s.start, kind=f"rubs {number}", severity="warning", hint=hint
            )  # fmt: skip

    def _drilled(self, drill: Cutter, way: StockWay, move: Move) -> None:
        down = way.start[2] - way.end[2]
        if down < DRILLED * drill.diameter or way.start[:2] != way.end[:2]:
            return
        least, most = self.data.drill_feeds(drill)
        turn, name = move.feed / move.speed, f"drill (cutter {drill.number})"
        if turn > most * MEASURED_SLACK:
            text = (
                f"{name} is fed {self._size(turn)} per turn: at most {self._size(most)} "
                f"{self.data.named}"
            )
            hint = f"lower the feed to {self._feed(most * move.speed)}"
        elif turn < least / MEASURED_SLACK:
            text = (
                f"{name} rubs at {self._size(turn, 4)} per turn: it takes at least "
                f"{self._size(least, 4)} to cut"
            )
            hint = f"raise the feed to {self._feed(least * move.speed)} or lower the speed"
        else:
            return
        kind = f"drill {drill.number} {turn > most}"
        self.once.note(text, move.line, way.end, kind=kind, severity="warning", hint=hint)

    def _note(self, s: _Stretch, cause: str, text: str, size: float, said: str, hint: str) -> None:
        kind = f"{cause} {s.cutter.number}"
        self.once.note(
            text, s.line, s.start, kind=kind, size=size, said=said, severity="warning", hint=hint
        )  # fmt: skip

    def _figure(self, mm: float) -> str:
        """A depth or width in words, as finely as cells can tell."""
        return format_size(float(f"{mm:.3g}"), self.once.units)

    def _size(self, mm: float, digits: int = 3) -> str:
        """A chip load in words, to some decimals of a millimetre, two more of an inch."""
        if self.once.units == "mm":
            return f"{mm:.{digits}f} mm"
        return f"{mm / MM_PER_INCH:.{digits + 2}f} in"

    def _feed(self, mm_per_min: float) -> str:
        return format_feed(mm_per_min, self.once.units)

    def report(self, problems: ProblemList) -> None:
        """Add it all to the problems."""
        for number, stretches in self.rubbing.items():
            self._rubbed(number, stretches)
        self.once.report(problems)


@dataclass(slots=True)
class Plunges:
    """Gathers the ways of milling cutters straight down into stock: one problem a cutter. There an
    end mill cuts with its end alone, which takes a fraction of what its sides do."""

    data: CuttingData
    once: FaultGroups = field(default_factory=FaultGroups)

    def take(self, cutter: Cutter, move: Move, over: float, where: Point3) -> None:
        """A way straight down that meets stock `over` mm high under its cutter's middle."""
        if over < LEAST_UNDER or move.speed <= 0.0 or self.data.faster_than_machine(move.feed):
            return
        most = self.data.plunge_feed(cutter, move.speed)
        if move.feed <= most * MEASURED_SLACK:
            return
        said, allowed = (format_feed(f, self.once.units) for f in (move.feed, most))
        text = (
            f"cutter {cutter.number} plunges into stock at {said}: at most {allowed} at "
            f"{move.speed:.0f} rev/min {self.data.named}"
        )
        self.once.note(
            text, move.line, where, kind=f"down {cutter.number}", size=move.feed, said=said,
            severity="warning", hint="lower the plunge feed",
        )  # fmt: skip

    def report(self, problems: ProblemList) -> None:
        """Add it all to the problems."""
        self.once.report(problems)
