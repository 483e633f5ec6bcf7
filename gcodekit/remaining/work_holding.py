"""The contact of vise, chuck, clamps, bolts and board with the stock, set-up coordinates, mm."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from manifold3d import CrossSection, Manifold

from gcodekit.job.holdings import Bolts, Chuck, Clamp, Hold, Vise
from gcodekit.target import planar

# How deep into the stock a holding is felt for, mm.
FEEL = 0.05
# Less than this touched holds nothing, mm2: jaws may close on a bar, or on a corner, along a line.
LEAST_TOUCHED = 0.1
# Of a chuck's diameter, how wide a jaw is. Common practice, no source.
JAW_WIDTH = 0.2


@dataclass(frozen=True, slots=True)
class Grips:
    """One holding as it closes on the stock: whatever it touches of a body, it holds.

    `pads` are bodies just inside the stock where the holding touches it, by name; a body is held
    that at least `needed` of them touch, or, of `presses` and bolts, one.
    """

    pads: tuple[tuple[str, Manifold], ...]
    needed: int
    presses: tuple[tuple[str, Manifold], ...]
    bolts: tuple[tuple[str, Manifold], ...] = ()

    def holds(self, body: Manifold) -> bool:
        """Tell whether a body is held by jaws, clamps or bolts."""
        touched = sum(_touches(pad, body) for _, pad in self.pads)
        if self.pads and touched >= self.needed:
            return True
        return any(_touches(pad, body) for _, pad in (*self.presses, *self.bolts))

    def on_air(self, stock: Manifold) -> Iterator[str]:
        """The names of what holds none of the stock."""
        if sum(_touches(pad, stock) for _, pad in self.pads) < self.needed:
            yield from (name for name, pad in self.pads if not _touches(pad, stock))
        yield from (name for name, pad in self.presses if not _touches(pad, stock))

    @property
    def any(self) -> bool:
        """Tell whether anything but the board or table under the work holds it."""
        return bool(self.pads or self.presses or self.bolts)


def _touches(pad: Manifold, body: Manifold) -> bool:
    return float((pad ^ body).volume()) > LEAST_TOUCHED * FEEL


def grips(hold: Hold, stock: Manifold, *, top: float, faced: float = 0.0) -> Grips:
    """The grips of a holding on the stock.

    Parameters
    ----------
    top : height that clamps are set up for, mm
    faced : how much lower than that the stock may have been cut since, mm
    """
    pads: list[tuple[str, Manifold]] = []
    needed = 0
    if hold.vise is not None:
        pads, needed = list(_jaws(hold.vise, stock)), 2
    elif hold.chuck is not None:
        pads, needed = list(_chuck_jaws(hold.chuck, stock)), 2
    presses = [(f"clamp {n}", _press(clamp, top, faced)) for n, clamp in enumerate(hold.clamps, 1)]
    bolts = list(_bolted(hold.bolts, stock)) if hold.bolts else []
    return Grips(tuple(pads), needed, tuple(presses), tuple(bolts))


def _jaws(vise: Vise, stock: Manifold) -> Iterator[tuple[str, Manifold]]:
    """The skin of the stock that each jaw would press on, closing as far as it can."""
    bottom = stock.bounding_box()[2]
    across = 1 if vise.along == "x" else 0
    middle, half = vise.centre[1 - across], vise.jaw_width / 2
    low, high = [-math.inf] * 2, [math.inf] * 2
    low[1 - across], high[1 - across] = middle - half, middle + half
    zone = _within(stock, low, high, bottom, bottom + vise.grip)
    names = ("front", "back") if vise.along == "x" else ("left", "right")
    if zone.is_empty():
        yield from ((f"the {n} jaw", Manifold()) for n in names)
        return
    box = zone.bounding_box()
    for name, at in zip(names, (box[across], box[across + 3] - FEEL), strict=True):
        near, far = [*low], [*high]
        near[across], far[across] = at, at + FEEL
        yield f"the {name} jaw", _within(zone, near, far, bottom, bottom + vise.grip)


def _within(
    body: Manifold, low: Sequence[float], high: Sequence[float], bottom: float, top: float
) -> Manifold:
    """The part of a body in a box."""
    box = body.bounding_box()
    if body.is_empty():
        return body
    least = [max(v, w - 1.0) for v, w in zip((*low, bottom), box[:3], strict=True)]
    most = [min(v, w + 1.0) for v, w in zip((*high, top), box[3:], strict=True)]
    size = tuple(b - a for a, b in zip(least, most, strict=True))
    return body ^ Manifold.cube(size).translate(tuple(least)) if min(size) > 0 else Manifold()


def _chuck_jaws(chuck: Chuck, stock: Manifold) -> Iterator[tuple[str, Manifold]]:
    """The skin of the stock that each jaw of a chuck would press on, closing as far as it can."""
    x0, y0, bottom, x1, y1, _ = stock.bounding_box()
    x, y, far = (x0 + x1) / 2, (y0 + y1) / 2, x1 - x0 + y1 - y0
    wide = JAW_WIDTH * chuck.diameter
    zone = stock.slice(bottom + chuck.grip / 2)
    for k in range(chuck.jaws):
        angle = chuck.angle + math.tau * k / chuck.jaws
        dx, dy = math.cos(angle), math.sin(angle)
        bar = planar.turned_box((x + dx * far / 2, y + dy * far / 2), (dx, dy), far, wide)
        rim = [(px - x) * dx + (py - y) * dy for r in (zone ^ bar).to_polygons() for px, py in r]
        at = max(rim, default=0.0) - FEEL / 2
        skin = planar.turned_box((x + dx * at, y + dy * at), (dx, dy), FEEL, wide)
        yield f"chuck jaw {k + 1}", _raised(zone ^ skin, bottom, bottom + chuck.grip)


def _press(clamp: Clamp, top: float, faced: float) -> Manifold:
    """The space just under a clamp."""
    way = (math.cos(clamp.angle), math.sin(clamp.angle))
    area = planar.turned_box(clamp.at, way, *clamp.size)
    return _raised(area, top - faced - FEEL, top + FEEL)


def _bolted(bolts: Bolts, stock: Manifold) -> Iterator[tuple[str, Manifold]]:
    """The space round each bolt."""
    _, _, bottom, _, _, top = stock.bounding_box()
    for n, place in enumerate(bolts.places, 1):
        area = planar.discs([place], bolts.diameter / 2 + 1.0)
        yield f"bolt {n}", _raised(area, bottom, top)


def _raised(area: CrossSection, low: float, high: float) -> Manifold:
    if area.is_empty() or high <= low:
        return Manifold()
    return Manifold.extrude(area, high - low).translate((0, 0, low))
