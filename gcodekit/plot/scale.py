"""From program coordinates to the paper, and the figures that say how large things are."""

from __future__ import annotations

import math
from dataclasses import dataclass

from gcodekit.geometry.chain import Arc, Chain, Point
from gcodekit.plot.paper import PaperBox, number
from gcodekit.units import Units, mm_per

Extent = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Scale:
    """`factor` mm of paper for a mm of work, upwards `stretch` times that; program point (x, y),
    in a front view (x, z), lies at `point(x, y)`; `box` is the view's room on the paper.

    Arcs and chains are for views that are not stretched.
    """

    factor: float
    left: float
    bottom: float
    box: PaperBox
    stretch: float = 1.0

    @staticmethod
    def centred(extent: Extent, box: PaperBox, factor: float, stretch: float = 1.0) -> Scale:
        """At this scale in the middle of the box."""
        x0, y0, x1, y1 = extent
        left = (box.left + box.right - (x0 + x1) * factor) / 2
        bottom = (box.top + box.bottom + (y0 + y1) * factor * stretch) / 2
        return Scale(factor, left, bottom, box, stretch)

    def point(self, x: float, y: float) -> Point:
        """On the paper."""
        return (self.left + x * self.factor, self.bottom - y * self.factor * self.stretch)

    def to(self, x: float, y: float) -> str:
        """On the paper, as text."""
        px, py = self.point(x, y)
        return f"{number(px)} {number(py)}"

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
