"""On the plan: the tabs that are to stay, and where the program says to touch cutters off."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable

from gcodekit.geometry.chain import Point
from gcodekit.geometry.overlay import common
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.model import Setup
from gcodekit.part.setup_stock import plan
from gcodekit.plot.backdrop import polygons
from gcodekit.plot.marks import MOST_MARKS, free_place, haloed
from gcodekit.plot.paper import INK, METAL, PAPER, SMALL, PaperBox, fitted, number, tag
from gcodekit.plot.scale import Scale
from gcodekit.target.target import Target
from gcodekit.units import Units, mm_per

# As the program's messages say it.
_TOUCHED = re.compile(
    r"cutter (?P<cutter>\d{1,9})\b.*\btouch .* at "
    r"X(?P<x>-?\d{1,9}(?:\.\d+)?) Y(?P<y>-?\d{1,9}(?:\.\d+)?) and set"
)
# How far up a tab it is looked at, as a share of its height: over a skin.
_UP = 0.95
_DIAMOND = 2.9


def tabs(setup: Setup, target: Target | None, scale: Scale) -> str:
    """The metal of the tabs, bridging the kerf."""
    if target is None:
        return ""
    data, metal = [], plan(setup)
    for f in setup.features:
        if isinstance(f, Profile) and f.tabs is not None:
            seen = target.slice(setup.left.low[2] + _UP * f.tabs.height).features
            data += [polygons(common(s.kept, metal), scale) for s in seen if s.name == f.name]
    return tab_sign("".join(data)) if any(data) else ""


def tab_sign(data: str) -> str:
    """A tab of this outline."""
    return tag("path", d=data, fill=METAL, stroke=INK, stroke_width=0.45)


def touched(messages: Iterable[str], units: Units) -> dict[Point, list[int]]:
    r"""Find where the program's messages say to touch off, mm, and which cutters.

    Examples
    --------
    >>> touched(["cutter 3: 8 mm drill, touch the raw top at X1.5 Y-2.0 and set Z to 0"], "mm")
    {(1.5, -2.0): [3]}
    """
    found: dict[Point, list[int]] = {}
    for text in messages:
        if said := _TOUCHED.search(text):
            x, y = (float(said[k]) * mm_per(units) for k in "xy")
            cutters = found.setdefault((x, y), [])
            if int(said["cutter"]) not in cutters:
                cutters.append(int(said["cutter"]))
    return found


def touch_marks(places: dict[Point, list[int]], scale: Scale, taken: list[PaperBox]) -> str:
    """A diamond at each place in the view, the cutters beside it; where the lettering stands is
    added to `taken`."""
    marks, box = [], scale.box
    for (px, py), cutters in list(_gathered(places, scale).items())[:MOST_MARKS]:
        if not (box.left <= px <= box.right and box.top <= py <= box.bottom):
            continue
        text = fitted(", ".join(f"T{n}" for n in cutters), 40.0, SMALL)
        label = free_place(px, py, len(text) * SMALL * 0.6, taken, box)
        taken += [PaperBox(px, py, px, py).grown(_DIAMOND), label]
        marks += [diamond(px, py), haloed(label.left, label.bottom, text)]
    return "".join(marks)


def _gathered(places: dict[Point, list[int]], scale: Scale) -> dict[Point, list[int]]:
    """On the paper; places whose marks would lie over one another have one."""
    found: dict[Point, list[int]] = {}
    for place, cutters in places.items():
        at = scale.point(*place)
        near = next((p for p in found if math.dist(p, at) < _DIAMOND), at)
        found.setdefault(near, []).extend(cutters)
    return found


def diamond(x: float, y: float, size: float = _DIAMOND) -> str:
    """Find where a cutter is touched off."""
    s = number(size)
    data = f"M{number(x)} {number(y - size)}l{s} {s}l-{s} {s}l-{s} -{s}Z"
    return tag("path", d=data, stroke=PAPER, stroke_width=1.1) + tag(
        "path", d=data, stroke=INK, stroke_width=0.4
    )
