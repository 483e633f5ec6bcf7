"""The set-up seen from the front, x to the right and z up: metal, holding, drawing, tip paths."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from gcodekit.job.feature import Feature, Round
from gcodekit.job.model import Setup
from gcodekit.part.keep_out import keep_out
from gcodekit.part.setup_stock import plan
from gcodekit.planning.heights import safe_height
from gcodekit.plot.depth_colours import DepthBand
from gcodekit.plot.key import CLEARANCE_DASH, RAPID_DASH
from gcodekit.plot.paper import BODY, FAINT, INK, METAL, SOFT, PaperBox, line, rectangle, tag
from gcodekit.plot.scale import Scale
from gcodekit.plot.traces import RAPID, Group, paths

# Sides of a lying bar's end.
_BAR_SIDES = 96


def front_metal(setup: Setup, scale: Scale) -> str:
    """Path data of the raw metal's outline."""
    (x0, _, z0), (x1, _, z1) = setup.left.low, setup.left.high
    if setup.left.shape == "round" and setup.left.axis == "y":
        cx, cz, r = (x0 + x1) / 2, (z0 + z1) / 2, (x1 - x0) / 2
        turns = [math.tau * i / _BAR_SIDES for i in range(_BAR_SIDES)]
        points = [scale.to(cx + r * math.cos(t), cz + r * math.sin(t)) for t in turns]
    else:
        points = [scale.to(x, z) for x, z in ((x0, z0), (x1, z0), (x1, z1), (x0, z1))]
    return "M" + "L".join(points) + "Z"


def plates(setup: Setup, scale: Scale) -> str:
    """The joints of a stack, where it lies as it was stacked."""
    raw = setup.raw
    if raw.plates < 2 or setup.up not in ("top", "bottom"):
        return ""
    step = (raw.high[2] - raw.low[2]) / raw.plates
    rows = [raw.low[2] + step * i for i in range(1, raw.plates)]
    data = "".join(f"M{scale.to(raw.low[0], z)}L{scale.to(raw.high[0], z)}" for z in rows)
    return tag("path", d=data, stroke=INK, stroke_width=0.2)


def held_by(setup: Setup) -> str:
    """Find what is drawn of the holding, in words for the key."""
    hold = setup.hold
    under = "spoil board" if hold.board is not None else "table"
    words = (
        "jaws" if hold.vise else "chuck" if hold.chuck else under,
        "clamps" if hold.clamps else "",
        "bolts" if hold.bolts else "",
    )
    return ", ".join(w for w in words if w) if hold.said else ""


def front_bodies(setup: Setup, scale: Scale, low: float) -> list[PaperBox]:
    """Jaws, clamps, parallels and what the work lies on, as boxes on the paper, none of them going
    down below `low`."""
    boxes = [(b.outline.bounds, b.bottom, b.top) for b in keep_out(setup)]
    if setup.hold.board is not None and setup.hold.said:
        bottom = setup.left.low[2]
        boxes.append((boxes[0][0], bottom - setup.hold.board, bottom))
    return [_box(b[0], b[2], max(bottom, low), top, scale) for b, bottom, top in boxes]


def _box(x0: float, x1: float, bottom: float, top: float, scale: Scale) -> PaperBox:
    view = scale.box.grown(3.0)
    (left, upper), (right, lower) = scale.point(x0, top), scale.point(x1, max(bottom, -1e6))
    return PaperBox(max(left, view.left), upper, min(right, view.right), max(upper, lower))


def drawn_depths(setup: Setup, scale: Scale) -> str:
    """Every feature from its top to its floor, as wide as it is drawn."""
    boxes = [box for f in setup.features for box in _feature(f, setup)]
    data = "".join(
        f"M{scale.to(x0, top)}L{scale.to(x0, low)}L{scale.to(x1, low)}L{scale.to(x1, top)}"
        for x0, x1, low, top in dict.fromkeys(boxes)
    )
    return tag("path", d=data, stroke=FAINT, stroke_width=0.18) if data else ""


def _feature(feature: Feature, setup: Setup) -> Iterable[tuple[float, float, float, float]]:
    depth = feature.depth
    if isinstance(feature, Round):
        half = feature.diameter / 2
        return [(x - half, x + half, depth.floor, depth.top) for x, _ in feature.places]
    xs = [p[0] for line in feature.lines(plan(setup)) for p in line.flattened(0.05)]
    if not xs:
        x0, _, x1, _ = plan(setup).bounds
        xs = [x0, x1]
    more = feature.half_width
    return [(min(xs) - more, max(xs) + more, depth.floor, depth.top)]


def clearance(setup: Setup, scale: Scale) -> str:
    """The height rapids move at."""
    y = scale.point(0.0, safe_height(setup))[1]
    box = scale.box
    # nothing is known of it where there is no job
    if setup.clearance <= 0 or not box.top <= y <= box.bottom:
        return ""
    ink: dict[str, str | float] = {"stroke": SOFT, "stroke_width": 0.25}
    return line(box.left, y, box.right, y, stroke_dasharray=CLEARANCE_DASH, **ink)


def front_view(
    setup: Setup,
    strokes: Mapping[Group, Sequence[str]],
    bands: Sequence[DepthBand],
    scale: Scale,
    *,
    low: float,
    metal: bool,
) -> str:
    """All but axes and problems, which lie on top."""
    bodies = front_bodies(setup, scale, low)
    outline = front_metal(setup, scale)
    parts = [rectangle(b, fill=BODY, stroke=SOFT, stroke_width=0.25) for b in bodies]
    if metal:
        parts.append(tag("path", d=outline, fill=METAL))
        parts.append(plates(setup, scale))
    # jaws and clamps before the metal hide it: their edges are to be seen all the same
    parts += [rectangle(b, stroke=SOFT, stroke_width=0.2) for b in bodies]
    parts.append(drawn_depths(setup, scale))
    if metal:
        parts.append(tag("path", d=outline, stroke=INK, stroke_width=0.5))
        parts.append(clearance(setup, scale))
    rapids = strokes.get(RAPID, ())
    parts.append(paths(rapids, stroke=SOFT, stroke_width=0.18, stroke_dasharray=RAPID_DASH))
    for group in sorted((g for g in strokes if g != RAPID), key=lambda g: g[1]):
        band = bands[group[1]]
        parts.append(paths(strokes[group], stroke=band.ink, stroke_width=0.8 * band.stroke))
    return "".join(parts)
