"""Regions of the plane bounded by closed chains: any number of parts, each with holes; where
copies of them lie, and how a drawn shape is refused."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from gcodekit.geometry.chain import Arc, Chain, Point, distance

# Centres nearer than this are one, mm.
SAME_CENTRE = 1e-6


@dataclass(frozen=True, slots=True)
class Part:
    """One connected piece: an outer ring (counter-clockwise) and its holes (clockwise)."""

    outer: Chain
    holes: tuple[Chain, ...] = ()


@dataclass(frozen=True, slots=True)
class Region:
    """Parts that do not touch one another; no parts is the empty region.

    Examples
    --------
    >>> disc = Region.of(Chain.circle((0, 0), 1.0))
    >>> round(disc.area, 6)
    3.141593
    """

    parts: tuple[Part, ...] = ()

    @staticmethod
    def of(outer: Chain, *holes: Chain) -> Region:
        """One part; rings are turned to the directions a region needs."""
        outer = outer if outer.area > 0 else outer.reversed()
        return Region((Part(outer, tuple(h if h.area < 0 else h.reversed() for h in holes)),))

    @property
    def rings(self) -> tuple[Chain, ...]:
        """Every ring, each part's outer before its holes."""
        return tuple(r for p in self.parts for r in (p.outer, *p.holes))

    @property
    def empty(self) -> bool:
        """Tell whether nothing is in it."""
        return not self.parts

    @property
    def area(self) -> float:
        """mm2, exact for arcs."""
        return math.fsum(r.area for r in self.rings)

    @property
    def length(self) -> float:
        """The length of all rings, mm."""
        return math.fsum(r.length for r in self.rings)

    @property
    def centre(self) -> Point | None:
        """The middle of a disc or a ring; None of anything else."""
        segments = [s for ring in self.rings for s in ring]
        arcs = [s for s in segments if isinstance(s, Arc)]
        if not arcs or len(arcs) < len(segments):
            return None
        centre = arcs[0].centre
        same = all(math.dist(a.centre, centre) < SAME_CENTRE for a in arcs)
        return centre if same else None

    @property
    def reach(self) -> tuple[float, float, float, float]:
        """Least x and y, greatest x and y, that nothing of it is beyond; arcs count as circles."""
        points: list[Point] = []
        for segment in (s for part in self.parts for s in part.outer):
            points += (segment.start, segment.end)
            if isinstance(segment, Arc):
                (x, y), r = segment.centre, segment.radius
                points += ((x - r, y - r), (x + r, y + r))
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        return min(xs), min(ys), max(xs), max(ys)

    def may_meet(self, other: Region) -> bool:
        """Tell whether another region may touch it: a quick no, and no sure yes."""
        if self.empty or other.empty:
            return False
        (ax0, ay0, ax1, ay1), (bx0, by0, bx1, by1) = self.reach, other.reach
        return ax0 <= bx1 and bx0 <= ax1 and ay0 <= by1 and by0 <= ay1

    def moved(self, dx: float, dy: float) -> Region:
        """Shifted."""
        return Region(
            tuple(
                Part(p.outer.moved(dx, dy), tuple(h.moved(dx, dy) for h in p.holes))
                for p in self.parts
            )
        )

    def turned(self, angle: float, about: Point = (0.0, 0.0)) -> Region:
        """Turned counter-clockwise, radians."""
        return Region(
            tuple(
                Part(p.outer.turned(angle, about), tuple(h.turned(angle, about) for h in p.holes))
                for p in self.parts
            )
        )

    def mirrored(self, axis: str, about: Point = (0.0, 0.0)) -> Region:
        """Reflected in the x or the y axis through `about`; rings keep a region's directions."""

        def flip(ring: Chain) -> Chain:
            return ring.mirrored(axis, about).reversed()

        return Region(tuple(Part(flip(p.outer), tuple(map(flip, p.holes))) for p in self.parts))


class GeometryError(Exception):
    """A drawn shape that cannot be: what is wrong, what would be right, and which entry's it is;
    `lengths`, mm, stand in for {0}, {1} ... of both.

    Examples
    --------
    >>> print(GeometryError("a round of {0} does not fit", "at most {1}", lengths=(9.0, 4.0)))
    a round of 9 mm does not fit, at most 4 mm
    """

    def __init__(
        self,
        message: str,
        hint: str = "",
        *,
        index: int | None = None,
        lengths: tuple[float, ...] = (),
    ) -> None:
        self._texts, self._lengths, self.index = (message, hint), lengths, index
        self.message, self.hint = self.said(lambda mm: f"{round(mm, 4):.10g} mm")
        super().__init__(f"{self.message}, {self.hint}" if hint else self.message)

    def said(self, say: Callable[[float], str]) -> tuple[str, str]:
        """Message and hint, each length in the words of `say`."""
        if not self._lengths:
            return self._texts
        sizes = [say(mm) for mm in self._lengths]
        return self._texts[0].format(*sizes), self._texts[1].format(*sizes)


@dataclass(frozen=True, slots=True)
class Shift:
    """The place of a copy: mirrored, then turned, both about `about`, then moved."""

    mirror: str | None = None
    angle: float = 0.0
    about: Point = (0.0, 0.0)
    move: Point = (0.0, 0.0)

    @property
    def still(self) -> bool:
        """Tell whether the copy would lie on the original."""
        return not self.mirror and not self.angle and distance(self.move, (0.0, 0.0)) == 0

    def chain(self, chain: Chain) -> Chain:
        """A chain, walked in the same order."""
        if self.mirror:
            chain = chain.mirrored(self.mirror, self.about)
        if self.angle:
            chain = chain.turned(self.angle, self.about)
        return chain.moved(*self.move)

    def region(self, region: Region) -> Region:
        """A region."""
        if self.mirror:
            region = region.mirrored(self.mirror, self.about)
        if self.angle:
            region = region.turned(self.angle, self.about)
        return region.moved(*self.move)

    def point(self, point: Point) -> Point:
        """A point."""
        return self.chain(Chain.of_points([point, point], closed=False)).start

    def direction(self, direction: Point) -> Point:
        """A unit vector."""
        dx, dy = direction
        if self.mirror:
            dx, dy = (dx, -dy) if self.mirror == "x" else (-dx, dy)
        c, s = math.cos(self.angle), math.sin(self.angle)
        return (c * dx - s * dy, s * dx + c * dy)

    def span(self, start: float, end: float) -> tuple[float, float]:
        """The angles between which a counter-clockwise arc goes."""
        if self.mirror:
            half_turn = 0.0 if self.mirror == "x" else math.pi
            start, end = half_turn - end, half_turn - start
        return start + self.angle, end + self.angle
