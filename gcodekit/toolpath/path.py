"""A path under construction: it knows where the cutter is and keeps the moves so far."""

from __future__ import annotations

import math
from dataclasses import dataclass

from gcodekit.geometry.chain import Chain, Line, Point, Segment, distance, same
from gcodekit.toolpath.moves import ArcFeed, Feed, HoleCycle, Move, Rapid
from gcodekit.trade.pass_optimiser import equal_passes
from gcodekit.trade.rates import Rates

# Feeding starts this far above metal: enough for a surface touched off by hand, small enough
# not to waste time. Common practice, no source.
APPROACH = 1.0
# Seconds that a stop takes at which Z is moved by hand. Common practice, no source.
HAND_STOP = 15.0
# Heights nearer than this are one, mm.
SAME_HEIGHT = 1e-9
# The steepest ramp or helix in any material, radians: it suits two and four flute end mills without
# a flat centre; common practice, no source.
STEEPEST_PLANNED_RAMP = math.radians(3.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class TravelSpeeds:
    """The speeds of the machine where it does not cut: `rapid`, and `feed` where a way at depth has
    to be straight, mm/min; `acceleration` in mm/s2. `stop`: seconds that each way up or down takes
    where a hand makes it, 0 where Z is driven."""

    rapid: float
    feed: float
    acceleration: float
    stop: float = 0.0

    @property
    def by_hand(self) -> bool:
        """Tell whether Z is on its handwheel."""
        return self.stop > 0

    def seconds(self, length: float, speed: float) -> float:
        """The time from rest to rest, `speed` in mm/min."""
        v = speed / 60
        if length < v * v / self.acceleration:
            return 2 * math.sqrt(length / self.acceleration)
        return length / v + v / self.acceleration


# Of a machine that says nothing of itself.
UNNAMED = TravelSpeeds(rapid=1000.0, feed=500.0, acceleration=100.0)


class Path:
    """Moves of one operation. Starts and ends at `safe_z`; every rapid travels up there.

    `rates` are those its feeds were taken from, `finishing` says that they are a finishing pass's;
    `travel` decides whether ways between two cuts stay down or are lifted over. `ramp` is the
    steepest angle of ramps and helices, radians; with Z by hand there are none, and `plunged` says
    that the cutter has gone straight down in their place.
    """

    def __init__(
        self,
        safe_z: float,
        *,
        feed: float,
        plunge_feed: float,
        rates: Rates | None = None,
        finishing: bool = False,
        travel: TravelSpeeds = UNNAMED,
        ramp: float = STEEPEST_PLANNED_RAMP,
    ) -> None:
        self.ramp_slope = math.tan(min(ramp, STEEPEST_PLANNED_RAMP))
        self.safe_z = safe_z
        self.rates = rates
        self.finishing = finishing
        self.feed = feed
        self.plunge_feed = plunge_feed
        self.travel = travel
        self.moves: list[Move] = []
        self.at: Point | None = None
        self.z = safe_z
        self.plunged = False

    def over(self, point: Point) -> None:
        """Retract if need be, and go over a point by rapid."""
        self.lift()
        if self.at is None or not same(self.at, point):
            self.moves.append(Rapid(x=point[0], y=point[1]))
            self.at = point

    def lift(self) -> None:
        """Retract straight up to the safe height by rapid."""
        if self.z != self.safe_z:
            self.moves.append(Rapid(z=self.safe_z))
            self.z = self.safe_z

    def drop(self, z: float) -> None:
        """Go straight down by rapid: only where nothing stands above `z`."""
        if z < self.z:
            self.moves.append(Rapid(z=z))
            self.z = z

    def sink(self, z: float, *, feed: float | None = None) -> None:
        """Go straight down at the plunge feed, or another where nothing is left to cut."""
        if z < self.z:
            self._feed(self._here, z, self.plunge_feed if feed is None else feed)

    def plunge(self, z: float) -> None:
        """Go straight down into stock where a ramp or helix would go: Z is on its handwheel."""
        self.plunged = self.plunged or z < self.z
        self.sink(z)

    def rise(self, z: float) -> None:
        """Go straight up at the cutting feed, to pass over something left uncut."""
        if z > self.z:
            self._feed(self._here, z, self.feed)

    def line_to(self, point: Point) -> None:
        """Feed straight and level to a point."""
        if not same(self._here, point):
            self._feed(point, self.z, self.feed)

    def follow(
        self, chain: Chain, *, end_z: float | None = None, feed: float | None = None
    ) -> None:
        """Feed along a chain that starts here, falling evenly to `end_z`."""
        end_z = self.z if end_z is None else end_z
        start_z, length, done = self.z, chain.length, 0.0
        for segment in chain:
            done += segment.length
            last = segment is chain.segments[-1]
            z = end_z if last else start_z + (end_z - start_z) * done / length
            self._segment(segment, z, self.feed if feed is None else feed)

    def stays_down(self, way: Chain, *, above: float, z: float, feed: float | None = None) -> bool:
        """Go along a way that starts here and meets nothing, at this height and then straight down
        or up to `z`, if that is quicker than to lift and come down again through `above`.

        `feed` : along the way, default as fast as may be where nothing is cut
        """
        if self.at is None:
            return False
        travel = self.travel
        feed = travel.feed if feed is None else feed
        down = travel.seconds(way.length, feed) + travel.seconds(abs(self.z - z), self.feed)
        down += travel.stop * (abs(self.z - z) > SAME_HEIGHT)
        if down > self._lifted(way.end if way.segments else self.at, above=above, z=z):
            return False
        self.follow(way, feed=feed)
        self.sink(z, feed=self.feed)
        self.rise(z)
        return True

    def _lifted(self, end: Point, *, above: float, z: float) -> float:
        """The time to a place by way of the safe height, seconds."""
        travel = self.travel
        rapids = (
            self.safe_z - self.z,
            distance(self._here, end),
            self.safe_z - above - APPROACH,
        )
        sink = travel.seconds(max(above + APPROACH - z, 0.0), self.feed)
        waits = 2 * travel.stop
        return waits + sink + sum(travel.seconds(max(r, 0.0), travel.rapid) for r in rapids)

    def cycle(self, hole: HoleCycle) -> None:
        """Run a drilling cycle at the point the cutter is over; it comes back to its R level."""
        self.moves.append(hole)
        self.z = hole.retract

    @property
    def _here(self) -> Point:
        if self.at is None:
            raise RuntimeError("a path feeds before it has gone anywhere")
        return self.at

    def _feed(self, point: Point, z: float, feed: float) -> None:
        self.moves.append(Feed(point[0], point[1], z, feed))
        self.at, self.z = point, z

    def _segment(self, segment: Segment, z: float, feed: float) -> None:
        if distance(self._here, segment.start) > 1e-4:
            raise RuntimeError(f"a path jumps from {self._here} to {segment.start}")
        if isinstance(segment, Line):
            self._feed(segment.end, z, feed)
            return
        (x, y), (cx, cy) = segment.end, segment.centre
        self.moves.append(ArcFeed(x, y, z, cx, cy, segment.ccw, feed))
        self.at, self.z = segment.end, z


def depth_steps(top: float, floor: float, stepdown: float) -> list[float]:
    """Heights of equal passes below `top` down to `floor`, none deeper than `stepdown`."""
    depth = top - floor
    count = equal_passes(depth, stepdown)
    return [top - depth * (i + 1) / count for i in range(count - 1)] + [floor]
