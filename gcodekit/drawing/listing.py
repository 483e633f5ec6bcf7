"""What is in a drawing, name by name, in the drawing's own units."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from gcodekit.drawing.assemble import Assembled, assembled, loose_ends
from gcodekit.drawing.drawing_model import MOST_OUTLINE_SEGMENTS, Drawing, printable
from gcodekit.errors import Fault, Place
from gcodekit.geometry.chain import Arc, Chain, Point, Segment
from gcodekit.units import Units, mm_per

# Lines and arcs of all names together: ids may stand in ids, each listed with all it holds.
MOST_LISTED = 4 * MOST_OUTLINE_SEGMENTS
MOST_LISTED_NAMES = 2_000
# Arcs of one circle have their centres and radii this near, mm.
SAME_CIRCLE = 1e-6

Box = tuple[Point, Point]


@dataclass(frozen=True, slots=True)
class Listed:
    """One layer or id; "" is the whole of a drawing in which something has none.

    Parameters
    ----------
    box : lower left and upper right corner over all, None where nothing could be made of it
    """

    name: str
    found: Assembled
    box: Box | None

    @property
    def size(self) -> Point | None:
        """Width and height over all, mm."""
        return None if self.box is None else _span(self.box)


@dataclass(frozen=True, slots=True, kw_only=True)
class Listing:
    """Everything in a drawing.

    Parameters
    ----------
    units : None where the file does not say
    mm : one of the units of the figures, mm; the geometry itself is in mm
    """

    file: str
    units: Units | None
    mm: float
    entries: tuple[Listed, ...]
    faults: tuple[Fault, ...]


def listed(drawing: Drawing) -> Listing:
    """List a drawing."""
    units = None if drawing.unit is None else drawing.units
    entries: list[Listed] = []
    faults: list[Fault] = []
    unit = drawing.unit or 1.0
    if drawing.unit is None:
        why = "has no units", "a job reads it in its own units"
        faults.append(Fault(Place(drawing.file), *why, "warning"))
    names: tuple[str, ...] = drawing.drawn_names
    if drawing.nameless:
        names = ("", *names)  # what has no id is listed with all there is
    total = 0
    for name in names:
        found = assembled(drawing, name or None, mm=unit)
        chains = [*found.rings, *(x.chain for x in found.loose)]
        entries.append(Listed(name, found, box_of(chains)))
        faults += _faults(drawing, name, found, unit)
        total += sum(len(c) for c in chains)
        if total > MOST_LISTED or len(entries) >= MOST_LISTED_NAMES:
            much = f"there are {len(names)} {drawing.sort}s, or more lines than can be listed"
            faults.append(Fault(Place(drawing.file), "the rest are not listed", much, "warning"))
            break
    return Listing(
        file=drawing.file,
        units=units,
        mm=1.0 if units is None else mm_per(units),
        entries=tuple(entries),
        faults=tuple(dict.fromkeys(faults)),
    )


def _faults(drawing: Drawing, name: str, found: Assembled, unit: float) -> Iterator[Fault]:
    place = Place(drawing.file, key=printable(f"{drawing.sort} {name}") if name else "")
    for message, hint in found.errors:
        yield Fault(place, printable(message), hint)
    for message, _ in loose_ends(drawing, found, mm=unit):
        yield Fault(
            place, printable(message), "use it as a path, or join them for an outline", "warning"
        )
    for message, hint in found.notes:
        yield Fault(place, printable(message), hint, "warning")


def box_of(chains: Iterable[Chain]) -> Box | None:
    """Lower left and upper right corner of chains, mm; None of none."""
    points = [p for chain in chains for s in chain for p in (s.start, s.end, *_outermost(s))]
    if not points:
        return None
    xs, ys = zip(*points, strict=True)
    return (min(xs), min(ys)), (max(xs), max(ys))


def _span(box: Box) -> Point:
    (x0, y0), (x1, y1) = box
    return (x1 - x0, y1 - y0)


def as_circle(chain: Chain) -> tuple[Point, float] | None:
    """Centre and diameter of a closed chain that is one whole circle, mm."""
    arcs = [s for s in chain if isinstance(s, Arc)]
    if not chain.closed or len(arcs) != len(chain):
        return None
    first = arcs[0]
    same = all(
        math.dist(a.centre, first.centre) < SAME_CIRCLE
        and abs(a.radius - first.radius) < SAME_CIRCLE
        for a in arcs
    )
    return (first.centre, 2 * first.radius) if same else None


def _outermost(segment: Segment) -> Iterator[Point]:
    """The points of an arc furthest right, up, left and down."""
    if not isinstance(segment, Arc):
        return
    arc = segment if segment.ccw else segment.reversed()
    (x, y), r = arc.centre, arc.radius
    for quarter in range(4):
        angle = quarter * math.pi / 2
        if (angle - arc.start_angle) % math.tau <= arc.sweep:
            yield (x + r * round(math.cos(angle)), y + r * round(math.sin(angle)))
