"""On the plan: the tabs that are to stay, and where the program says to touch cutters off."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.overlay import common
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.model import Setup
from gcodekit.part.setup_stock import plan
from gcodekit.plot.backdrop import on_paper, outlines
from gcodekit.plot.callouts import place_label
from gcodekit.plot.label_places import LabelPlaces
from gcodekit.plot.letters import wrapped
from gcodekit.plot.line_types import WIDE
from gcodekit.plot.marks import MOST_MARKS
from gcodekit.plot.paper import FINE, INK, METAL, PAPER, PaperBox, number, tag
from gcodekit.plot.scale import Scale, said
from gcodekit.target.target import Target
from gcodekit.units import Units, mm_per

# As the program's messages say it.
_FIGURE = r"-?\d{1,9}(?:\.\d+)?"
_TOUCHED = re.compile(
    r"cutter (?P<cutter>\d{1,9})\b.*\btouch .* at "
    rf"X(?P<x>{_FIGURE}) Y(?P<y>{_FIGURE}) and set Z to (?P<z>{_FIGURE})"
)
# How far up a tab it is looked at, as a share of its height: over a skin.
_UP = 0.95
_DIAMOND = 2.4
# Lines of cutters' numbers, mm on the paper.
_LONGEST = 30.0


def tab_shapes(setup: Setup, target: Target | None, scale: Scale) -> list[BaseGeometry]:
    """The metal of the tabs, bridging the kerf, on the paper."""
    if target is None:
        return []
    found, metal = [], plan(setup)
    for f in setup.features:
        if isinstance(f, Profile) and f.tabs is not None:
            seen = target.slice(setup.left.low[2] + _UP * f.tabs.height).features
            found += [on_paper(common(s.kept, metal), scale) for s in seen if s.name == f.name]
    return [shape for shape in found if not shape.is_empty]


def tabs(shapes: Sequence[BaseGeometry]) -> str:
    """Those of a set-up, drawn."""
    data = "".join(outlines(shape) for shape in shapes)
    return tab_sign(data) if data else ""


def tab_sign(data: str) -> str:
    """A tab of this outline."""
    return tag("path", d=data, fill=METAL, stroke=INK, stroke_width=WIDE)


@dataclass(frozen=True, slots=True)
class TouchOff:
    """Where a cutter is touched off, mm, and the z it is set to there, as the program says it."""

    place: Point
    z: float


def touched(messages: Iterable[str], units: Units) -> dict[TouchOff, list[int]]:
    r"""Where the program's messages say to touch off, and which cutters.

    Examples
    --------
    >>> touched(["cutter 3: 8 mm drill, touch the raw top at X1.5 Y-2.0 and set Z to 0"], "mm")
    {TouchOff(place=(1.5, -2.0), z=0.0): [3]}
    """
    found: dict[TouchOff, list[int]] = {}
    for text in messages:
        if said_ := _TOUCHED.search(text):
            x, y, z = (float(said_[k]) * mm_per(units) for k in "xyz")
            cutters = found.setdefault(TouchOff((x, y), z), [])
            if int(said_["cutter"]) not in cutters:
                cutters.append(int(said_["cutter"]))
    return found


Touched = list[tuple[Point, float, list[int]]]


def touches_seen(touches: Mapping[TouchOff, Sequence[int]], scale: Scale) -> Touched:
    """Places in the view, on the paper, with the z that is set there and the cutters."""
    gathered = list(_gathered(touches, scale).items())[:MOST_MARKS]
    return [(at, z, cutters) for (at, z), cutters in gathered if _within(at, scale.box)]


def touch_signs(seen: Touched, places: LabelPlaces) -> str:
    """A diamond at each place; its room is taken."""
    for (x, y), _, _ in seen:
        places.take(PaperBox(x, y, x, y).grown(_DIAMOND * 0.8))
    return "".join(diamond(x, y) for (x, y), _, _ in seen)


def label_touches(seen: Touched, places: LabelPlaces, units: Units) -> None:
    """Place beside each the cutters, and z as it is set there."""
    for (x, y), z, cutters in seen:
        lines = wrapped(", ".join(f"T{n}" for n in cutters), _LONGEST, FINE, lines=3)
        lines[-1] += f": Z {said(z, units)}"
        around = [(x + _DIAMOND, y), (x - _DIAMOND, y), (x, y - _DIAMOND), (x, y + _DIAMOND)]
        place_label(lines, around, places)


def _within(at: Point, box: PaperBox) -> bool:
    return box.left <= at[0] <= box.right and box.top <= at[1] <= box.bottom


def _gathered(
    touches: Mapping[TouchOff, Sequence[int]], scale: Scale
) -> dict[tuple[Point, float], list[int]]:
    """On the paper; places of one z whose marks would lie over one another have one."""
    found: dict[tuple[Point, float], list[int]] = {}
    for touch, cutters in touches.items():
        at = scale.point(*touch.place)
        near = next(
            (k for k in found if math.dist(k[0], at) < _DIAMOND and k[1] == touch.z), (at, touch.z)
        )
        found.setdefault(near, []).extend(cutters)
    return found


def diamond(x: float, y: float, size: float = _DIAMOND) -> str:
    """The sign of a place where cutters are touched off."""
    s = number(size)
    data = f"M{number(x)} {number(y - size)}l{s} {s}l-{s} {s}l-{s} -{s}Z"
    return tag("path", d=data, stroke=PAPER, stroke_width=1.1) + tag(
        "path", d=data, stroke=INK, stroke_width=0.4
    )
