"""What the operation builders share: the work as it sits, the cutters chosen, the drafts made."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import IntEnum

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.errors import Fault, PlanError
from gcodekit.geometry.chain import Chain
from gcodekit.geometry.fit import fitted, fitted_chain
from gcodekit.geometry.flat import to_shapely
from gcodekit.geometry.region import Region
from gcodekit.job.metal_checks import seen_from_above
from gcodekit.job.model import Cutting, Feature, Job, Setup
from gcodekit.toolpath.moves import Move
from gcodekit.toolpath.path import Path, Travel
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.cutting import Rates, SpindleLimits
from gcodekit.trade.milling import finishing_feed, milling
from gcodekit.trade.milling_force import left_on_walls
from gcodekit.units import MM_PER_INCH, format_length, format_point

FLOOR_ALLOWANCE = 0.1  # when another cutter finishes, with passes this wide, in diameters:
FLOOR_WIDTH = 0.6
# A finishing pass is no deeper than this many diameters. Common practice, no source.
FINISHING_DEPTH = 3.0
PLAN_SAG = 0.002
# What arcs fitted to a free-form outline may take of the job's tolerance.
ARCS_SHARE = 0.4


class Phase(IntEnum):
    """When an operation is due: what comes first has the smaller number."""

    FACE = 0
    START = 1
    ROUGH = 2
    FINISH = 3
    SIZE = 4
    FREE = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """The cutters of one feature. `finish` gives the finished surface; `doubts` are warnings that
    belong to the choice."""

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
    doubts: tuple[Fault, ...] = ()

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """An operation before it has its place in the sequence. `how`: in words, how its passes share
    out depth and width where that was chosen."""

    feature: Feature
    label: str
    cutter: Cutter
    speed: float
    moves: tuple[Move, ...]
    phase: Phase
    how: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """The set-up as the planner sees it. `outline` is the metal's outline in plan, `air` what lies
    beside it."""

    job: Job
    setup: Setup
    safe_z: float
    outline: Region
    metal: BaseGeometry
    air: BaseGeometry

    @property
    def spindle(self) -> SpindleLimits:
        """What the machine's spindle can do."""
        s = self.job.workshop.machine.spindle
        return SpindleLimits(slowest=s.slowest, fastest=s.fastest, steps=s.steps, power=s.power)

    def say(self, mm: float) -> str:
        """A length in words, in the job's units."""
        return format_length(mm, self.job.units)

    def say_about(self, mm: float) -> str:
        """The same to a tenth of a millimetre or a hundredth of an inch."""
        step = 0.01 * MM_PER_INCH if self.job.units == "inch" else 0.1
        return self.say(round(mm / step) * step)

    def say_at(self, place: BaseGeometry) -> str:
        """A point within a piece of metal in words, in the job's units."""
        at = shapely.get_parts(place)[0].representative_point()
        return format_point(round(at.x, 3), round(at.y, 3), self.job.units)

    def called(self, cutter: Cutter) -> str:
        """A cutter in words."""
        return f"cutter {cutter.number} ({cutter.name}, {self.say(cutter.diameter)})"

    def milling(self, cutter: Cutter, cutting: Cutting) -> Rates:
        """Roughing rates of a cutter, with what the job says put in their place."""
        machine = self.job.workshop.machine
        rates = milling(
            self.job.material,
            cutter,
            spindle=self.spindle,
            feed_max=machine.feed_max,
            rigidity=machine.rigidity,
        )
        return overridden(rates, cutting)

    def finishing_feed(self, cutter: Cutter, cutting: Cutting, speed: float) -> float:
        """Feed of a finishing pass, mm/min."""
        if cutting.feed is not None:
            return cutting.feed
        feed_max = self.job.workshop.machine.feed_max
        return finishing_feed(self.job.material, cutter, speed=speed, feed_max=feed_max)

    def in_arcs(self, region: Region, *, inward: bool) -> Region:
        """A free-form outline as arcs, on the side of it where cutting can do no harm."""
        return fitted(region, ARCS_SHARE * self.job.tolerance, inward=inward)

    def line_in_arcs(self, line: Chain) -> Chain:
        """A free-form centre line as arcs."""
        return fitted_chain(line, ARCS_SHARE / 2 * self.job.tolerance)

    def path(self, rates: Rates, *, feed: float | None = None) -> Path:
        """An empty path at the safe height."""
        machine = self.job.workshop.machine
        return Path(
            self.safe_z,
            feed=feed or rates.feed,
            plunge_feed=min(rates.plunge_feed, rates.feed),
            travel=Travel(
                rapid=machine.rapid, feed=machine.feed_max, acceleration=machine.acceleration
            ),
        )

    def draft(
        self, feature: Feature, label: str, cutter: Cutter, speed: float, path: Path, phase: Phase
    ) -> Draft:
        """The path as an operation, ended at the safe height."""
        path.lift()
        moves = tuple(path.moves)
        return Draft(
            feature=feature, label=label, cutter=cutter, speed=speed, moves=moves, phase=phase
        )


def overridden(rates: Rates, cutting: Cutting) -> Rates:
    """Rates with the job's own figures; a speed alone takes the feed with it."""
    speed = cutting.speed or rates.speed
    share = speed / rates.speed
    feed = cutting.feed or rates.feed * min(share, 1.0)
    plunge = cutting.plunge_feed or min(rates.plunge_feed * min(share, 1.0), feed)
    return replace(
        rates,
        speed=speed,
        feed=feed,
        plunge_feed=plunge,
        stepdown=cutting.stepdown or rates.stepdown,
        stepover=cutting.stepover or rates.stepover,
    )


def refuse(feature: Feature, message: str, hint: str, *, key: str = "cutter") -> PlanError:
    """The error that a feature cannot be cut as asked."""
    place = feature.place.at(f"{feature.place.key}.{key}" if feature.place.key else key)
    return PlanError([Fault(place, message, hint)])


def wall_allowance(feature: Feature, cutter: Cutter) -> float:
    """What roughing leaves on walls, mm."""
    given = feature.cutting.wall_allowance
    if given is not None:
        return given
    return left_on_walls(cutter.diameter)


def finishing_step(cutter: Cutter) -> float:
    """The deepest finishing pass, mm."""
    return min(cutter.flute_length, FINISHING_DEPTH * cutter.diameter)


def work_of(job: Job, setup: Setup, *, safe_z: float) -> Work:
    """The set-up as the planner sees it."""
    outline = seen_from_above(setup.left)
    metal = to_shapely(outline, PLAN_SAG)
    far = math.hypot(*setup.left.high) + math.hypot(*setup.left.low) + 1000.0
    air = shapely.box(-far, -far, far, far).difference(metal)
    return Work(job=job, setup=setup, safe_z=safe_z, outline=outline, metal=metal, air=air)
