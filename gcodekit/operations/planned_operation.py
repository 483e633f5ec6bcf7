"""The parts that operation builders share: the set-up as planned, cutters, planned operations."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import IntEnum

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.errors import Fault, PlanError
from gcodekit.geometry.chain import Chain
from gcodekit.geometry.fit import fitted, fitted_chain
from gcodekit.geometry.flattening import to_shapely
from gcodekit.geometry.region import Region
from gcodekit.job.feature import Cutting, Feature
from gcodekit.job.features.metal_checks import seen_from_above
from gcodekit.job.model import Job, Setup
from gcodekit.operations.hand_limits import not_with_z_by_hand
from gcodekit.toolpath.moves import Move
from gcodekit.toolpath.path import HAND_STOP, Path, TravelSpeeds
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.engagement_rates import EngagementPass, even_pass
from gcodekit.trade.finishing import finishing
from gcodekit.trade.milling import milling
from gcodekit.trade.milling_force import left_on_walls
from gcodekit.trade.rates import CuttingLimits, Rates
from gcodekit.trade.size_limits import planned_tolerance
from gcodekit.trade.slotting_rates import (
    IN_SLOTS,
    WIDTHS,
    SlottingRates,
    following,
    slowed_in_corners,
)
from gcodekit.units import MM_PER_INCH, format_length, format_point

FLOOR_ALLOWANCE = 0.1  # when another cutter finishes, with passes this wide, in diameters:
FLOOR_WIDTH = 0.6
# A finishing pass is no deeper than this many diameters. Common practice, no source.
FINISHING_DEPTH = 3.0
PLAN_SAG = 0.002
# A cut counts as no wider than was meant up to so many times that. Common practice, no source.
ENGAGEMENT_SLACK = 1.2
# What arcs fitted to a free-form outline may take of the job's tolerance.
ARCS_SHARE = 0.4


class Phase(IntEnum):
    """The phase of an operation in the sequence: what comes first has the smaller number."""

    FACE = 0
    START = 1
    ROUGH = 2
    FINISH = 3
    SIZE = 4
    FREE = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedOperation:
    """An operation before it has its place in the sequence. `rates` are those it is cut at,
    `following` the feeds of its level cuts by what they meet (None: those of its moves hold);
    `finishing` says that it takes what roughing has left along a wall, `how` is the strategy in
    words where it was chosen."""

    feature: Feature
    label: str
    cutter: Cutter
    speed: float
    moves: tuple[Move, ...]
    phase: Phase
    following: SlottingRates | None = None
    rates: Rates | None = None
    finishing: bool = False
    how: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanContext:
    """The set-up as the planner sees it. `outline` is the metal's outline in plan, `air` what lies
    beside it."""

    job: Job
    setup: Setup
    safe_z: float
    outline: Region
    metal: BaseGeometry
    air: BaseGeometry

    @property
    def limits(self) -> CuttingLimits:
        """The limits that the machine's cuts are held within."""
        return self.job.workshop.machine.cutting_limits

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
        """A cutter in words, with its diameter where its name does not begin with it."""
        size = self.say(cutter.diameter)
        named = cutter.name if cutter.name.startswith(f"{size} ") else f"{cutter.name}, {size}"
        return f"cutter {cutter.number} ({named})"

    def milling(self, cutter: Cutter, cutting: Cutting, *, width: float | None = None) -> Rates:
        """Roughing rates of a cutter, with what the job says put in their place; `width`: that no
        cut is wider than, mm."""
        rates = milling(self.job.material, cutter, self.limits, width=width)
        return overridden(rates, cutting)

    def following(
        self, cutter: Cutter, cutting: Cutting, height: float, *, in_slots: float = IN_SLOTS
    ) -> SlottingRates:
        """The depth and feeds of passes along the outline that clear `height` mm; `in_slots` is the
        share of the way in full-width cuts."""
        found = following(
            self.job.material,
            cutter,
            self.limits,
            height=height,
            stepdown=cutting.stepdown,
            stepover=cutting.stepover,
            in_slots=in_slots,
        )
        rates = overridden(found.rates, cutting)
        share = min(rates.speed / found.rates.speed, 1.0)
        feeds = tuple(cutting.feed or feed * share for feed in found.feeds)
        return replace(found, rates=rates, feeds=feeds)

    def even_pass(self, cutter: Cutter, cutting: Cutting, height: float) -> EngagementPass | None:
        """Depth and width at constant engagement that clear `height` mm; None where none hold."""
        found = even_pass(
            self.job.material,
            cutter,
            self.limits,
            height=height,
            stepdown=cutting.stepdown,
            stepover=cutting.stepover,
        )
        return found and replace(found, rates=overridden(found.rates, cutting))

    def evenly(self, cutter: Cutter, cutting: Cutting, rates: Rates) -> SlottingRates:
        """The feeds of passes at constant engagement, slowed where a cut is wider than they are
        meant to be."""
        figures = replace(cutting, stepdown=rates.stepdown, stepover=rates.stepover)
        found = self.following(cutter, figures, rates.stepdown)
        feeds = (found.feed(share * cutter.diameter / ENGAGEMENT_SLACK) for share in WIDTHS)
        return replace(found, rates=rates, feeds=tuple(min(rates.feed, feed) for feed in feeds))

    def finishing(self, cutter: Cutter, cutting: Cutting, speed: float) -> Rates:
        """Rates of a finishing pass, with what the job says put in their place."""
        left = cutting.wall_allowance
        rates = finishing(
            self.job.material,
            cutter,
            self.limits,
            speed=speed,
            width=left_on_walls(cutter.diameter) if left is None else left,
            depth=finishing_step(cutter),
        )
        return rates if cutting.feed is None else replace(rates, feed=cutting.feed)

    def finishing_feeds(
        self, cutter: Cutter, cutting: Cutting, wall: float, *, skim: float = 0.0
    ) -> SlottingRates:
        """The feeds of a finishing pass that takes `wall` mm, and `skim` off the floor."""
        rates = self.milling(cutter, cutting)
        feed = self.finishing(cutter, cutting, rates.speed).feed
        if cutting.feed is not None:
            feeds = (feed,) * len(WIDTHS)
            return SlottingRates(diameter=cutter.diameter, rates=rates, feeds=feeds)
        return slowed_in_corners(
            self.job.material, cutter, rates=rates, feed=feed, wall=wall, skim=skim
        )

    def true_to(self, feature: Feature) -> float:
        """The tolerance to which a feature has to be cut, mm."""
        band = feature.band
        return planned_tolerance(self.job.tolerance, band.width if band else None)

    def in_arcs(self, feature: Feature, region: Region, *, inward: bool) -> Region:
        """A free-form outline of a feature as arcs, on the side where cutting can do no harm."""
        return fitted(region, ARCS_SHARE * self.true_to(feature), inward=inward)

    def line_in_arcs(self, feature: Feature, line: Chain) -> Chain:
        """A free-form centre line as arcs."""
        return fitted_chain(line, ARCS_SHARE / 2 * self.true_to(feature))

    def path(self, rates: Rates, *, feed: float | None = None) -> Path:
        """An empty path at the safe height; with a `feed` of its own it is a finishing pass."""
        cut, machine = feed or rates.feed, self.job.workshop.machine
        return Path(
            self.safe_z,
            feed=cut,
            plunge_feed=min(rates.plunge_feed, rates.feed),
            rates=replace(rates, feed=cut),
            finishing=feed is not None,
            travel=TravelSpeeds(
                rapid=machine.rapid,
                feed=machine.feed_max,
                acceleration=machine.acceleration,
                stop=HAND_STOP if 2 in machine.by_hand else 0.0,
            ),
            ramp=math.radians(self.job.material.ramp),
        )

    def draft(
        self,
        feature: Feature,
        label: str,
        cutter: Cutter,
        speed: float,
        path: Path,
        phase: Phase,
        *,
        following: SlottingRates | None = None,
    ) -> PlannedOperation:
        """The path as an operation, ended at the safe height. Raises `PlanError` where Z is by hand
        and it cannot be gone so."""
        path.lift()
        if wrong := not_with_z_by_hand(path, cutter, self.called(cutter)):
            raise refuse(feature, f"{label}: {wrong.text}", wrong.hint, key=wrong.key)
        return PlannedOperation(
            feature=feature,
            label=label,
            cutter=cutter,
            speed=speed,
            moves=tuple(path.moves),
            phase=phase,
            following=following,
            rates=path.rates,
            finishing=path.finishing,
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
    """The allowance that roughing leaves on walls, mm."""
    given = feature.cutting.wall_allowance
    if given is not None:
        return given
    return left_on_walls(cutter.diameter)


def floor_left(feature: Feature, rough: Cutter, finish: Cutter, top: float) -> float:
    """The allowance that roughing leaves on the floor, mm: half of a layer thinner than the usual
    one. Raises `PlanError` where the job's own allowance is all the stock there is."""
    if feature.depth.through:
        return 0.0
    given = feature.cutting.floor_allowance
    usual = FLOOR_ALLOWANCE if rough.number != finish.number else 0.0
    left, height = usual if given is None else given, top - feature.depth.cut_to
    if left < height:
        return left
    if not feature.cutting.finish:
        text = "the floor allowance leaves all the stock above the floor uncut"
        raise refuse(
            feature, text, "set a smaller floor allowance, or remove the feature", key="allowance"
        )
    return height / 2


def finishing_step(cutter: Cutter) -> float:
    """The deepest finishing pass, mm."""
    return min(cutter.flute_length, FINISHING_DEPTH * cutter.diameter)


def work_of(job: Job, setup: Setup, *, safe_z: float) -> PlanContext:
    """Return the set-up as the planner sees it."""
    outline = seen_from_above(setup.left)
    metal = to_shapely(outline, PLAN_SAG)
    far = math.hypot(*setup.left.high) + math.hypot(*setup.left.low) + 1000.0
    air = shapely.box(-far, -far, far, far).difference(metal)
    return PlanContext(job=job, setup=setup, safe_z=safe_z, outline=outline, metal=metal, air=air)
