"""From program coordinates to the paper, and the figures that say how large things are."""

from __future__ import annotations

import math
from dataclasses import dataclass

from gcodekit.geometry.chain import Arc, Chain, Point
from gcodekit.plot.paper import PaperBox, number
from gcodekit.units import Units, mm_per

Extent = tuple[float, float, float, float]
Span = tuple[float, float]

# ISO 5455: 1, 2 and 5 times a power of ten, the largest first; as far as machines and work go.
STANDARD_SCALES = tuple(m * 10.0**p for p in (1, 0, -1, -2, -3, -4) for m in (5.0, 2.0, 1.0))


@dataclass(frozen=True, slots=True)
class Breaks:
    """Stretches of a coordinate that a view leaves out, ascending and apart, each longer than
    `kept`, what its place on the paper is long; all in mm of the work."""

    spans: tuple[Span, ...] = ()
    kept: float = 0.0

    def drawn(self, value: float) -> float:
        """A coordinate as it is drawn: what is left out before it does not count."""
        less = 0.0
        for low, high in self.spans:
            if value <= low:
                break
            less += (min(value, high) - low) * (1 - self.kept / (high - low))
        return value - less

    @property
    def left_out(self) -> float:
        """All of it together, mm."""
        return sum(high - low for low, high in self.spans)


WHOLE = Breaks()


@dataclass(frozen=True, slots=True)
class Scale:
    """`factor` mm of paper for a mm of work, upwards `stretch` times that; program point (x, y),
    in a front view (x, z), lies at `point(x, y)`; `box` is the view's room on the paper.

    A side view is `turned`: its point (y, z) has y up the paper, z to the left. `breaks`: what is
    left out of each coordinate. Arcs and chains are for views that are neither stretched nor
    turned, and lie off what is left out.
    """

    factor: float
    left: float
    bottom: float
    box: PaperBox
    stretch: float = 1.0
    turned: bool = False
    breaks: tuple[Breaks, Breaks] = (WHOLE, WHOLE)

    @staticmethod
    def centred(
        extent: Extent,
        box: PaperBox,
        factor: float,
        stretch: float = 1.0,
        *,
        turned: bool = False,
        breaks: tuple[Breaks, Breaks] = (WHOLE, WHOLE),
    ) -> Scale:
        """At this scale in the middle of the box."""
        u0, u1 = (breaks[0].drawn(u) for u in extent[::2])
        v0, v1 = (breaks[1].drawn(v) for v in extent[1::2])
        across, up = (u0 + u1) * factor, (v0 + v1) * factor * stretch
        if turned:
            left, bottom = (box.left + box.right + up) / 2, (box.top + box.bottom + across) / 2
        else:
            left, bottom = (box.left + box.right - across) / 2, (box.top + box.bottom + up) / 2
        return Scale(factor, left, bottom, box, stretch, turned, breaks)

    def point(self, x: float, y: float) -> Point:
        """On the paper."""
        if self.broken:
            x, y = self.breaks[0].drawn(x), self.breaks[1].drawn(y)
        along, up = x * self.factor, y * self.factor * self.stretch
        if self.turned:
            return (self.left - up, self.bottom - along)
        return (self.left + along, self.bottom - up)

    @property
    def broken(self) -> bool:
        """Tell whether something is left out."""
        return bool(self.breaks[0].spans or self.breaks[1].spans)

    def pieces(self, start: Point, end: Point) -> list[Point]:
        """A straight way, with its places where something left out begins and ends: between them
        it is straight on the paper too."""
        if not self.broken:
            return [start, end]
        shares = [0.0, 1.0]
        for axis, breaks in enumerate(self.breaks):
            far = end[axis] - start[axis]
            edges = (edge for span in breaks.spans for edge in span)
            shares += [s for e in edges if far and 0 < (s := (e - start[axis]) / far) < 1]
        middle = [
            (start[0] + s * (end[0] - start[0]), start[1] + s * (end[1] - start[1]))
            for s in sorted(set(shares))[1:-1]
        ]
        return [start, *middle, end]

    def to(self, x: float, y: float) -> str:
        """On the paper, as text."""
        px, py = self.point(x, y)
        return f"{number(px)} {number(py)}"

    def span(self, u0: float, v0: float, u1: float, v1: float) -> PaperBox:
        """Two opposite corners, as a box on the paper."""
        (a, b), (c, d) = self.point(u0, v0), self.point(u1, v1)
        return PaperBox(min(a, c), min(b, d), max(a, c), max(b, d))

    @property
    def highest(self) -> float:
        """The second coordinate where the view ends."""
        room = self.left - self.box.left if self.turned else self.bottom - self.box.top
        return room / (self.factor * self.stretch)

    def arc(self, end: Point, radius: float, sweep: float) -> str:
        """Path data of an arc from where the pen is; positive sweeps go counter-clockwise."""
        r = number(radius * self.factor)
        return f"A{r} {r} 0 {int(abs(sweep) > math.pi)} {int(sweep < 0)} {self.to(*end)}"

    def chain(self, chain: Chain) -> str:
        """Path data of a chain, its arcs as arcs."""
        data = [f"M{self.to(*chain.start)}"]
        for segment in chain:
            if not isinstance(segment, Arc):
                data.append(f"L{self.to(*segment.end)}")
                continue
            if abs(segment.sweep) > 1.9 * math.pi:
                # both ends nearly meet: an arc in two says which way round
                middle = segment.point_at(segment.length / 2)
                data.append(self.arc(middle, segment.radius, segment.sweep / 2))
                data.append(self.arc(segment.end, segment.radius, segment.sweep / 2))
            else:
                data.append(self.arc(segment.end, segment.radius, segment.sweep))
        return "".join(data) + ("Z" if chain.closed else "")


def ratio(factor: float) -> str:
    """A scale as ISO 5455 writes it.

    Examples
    --------
    >>> ratio(2.0), ratio(0.1)
    ('2:1', '1:10')
    """
    return f"{factor:.10g}:1" if factor >= 1 else f"1:{1 / factor:.10g}"


def round_length(about: float, units: Units) -> float:
    """The largest of 1, 2, 5 times a power of ten, in the units, that is at most `about` mm; in
    mm."""
    value = about / mm_per(units)
    power = 10.0 ** math.floor(math.log10(value))
    step = max(s for s in (1.0, 2.0, 5.0) if s * power <= value * (1 + 1e-9))
    return step * power * mm_per(units)


def said(value: float, units: Units, digits: int | None = None) -> str:
    """A length in the units, with a proper minus sign and no idle noughts."""
    value = value / mm_per(units)
    text = f"{value:.{(3 if units == 'mm' else 4) if digits is None else digits}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text.replace("-", "−")


def unit_name(units: Units) -> str:
    """As it is written beside a figure."""
    return "mm" if units == "mm" else "in"
