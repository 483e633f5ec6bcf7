"""The set-up seen from the front, x to the right and z up, or from the right, y up and z to the
left: stock, holding, drawing, tip paths."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import shapely

from gcodekit.job.feature import Feature, Round
from gcodekit.job.model import Setup
from gcodekit.part.keep_out import keep_out
from gcodekit.part.setup_stock import plan
from gcodekit.planning.heights import safe_height
from gcodekit.plot.backdrop import is_blank, rim_ink
from gcodekit.plot.break_lines import broken, edges_of
from gcodekit.plot.depth_colours import DepthBand
from gcodekit.plot.line_types import CLEARANCE, HIDDEN, NARROW, PATH, RAPID, WIDE
from gcodekit.plot.paper import INK, METAL, PAPER, SOFT, PaperBox, line, tag
from gcodekit.plot.scale import Scale
from gcodekit.plot.traces import RAPID as RAPIDS
from gcodekit.plot.traces import Group, paths

# Sides of a lying bar's end.
_BAR_SIDES = 96
# So far behind the face of the stock it is looked whether a kerf is open there, mm.
_FACE = 0.01
# Bodies without an end go on for so long, mm on the paper: past any view's edge.
_ENDLESS = 400.0


def front_metal(setup: Setup, scale: Scale, axis: int = 0) -> str:
    """Path data of the stock's outline."""
    u0, u1 = setup.left.low[axis], setup.left.high[axis]
    z0, z1 = setup.left.low[2], setup.left.high[2]
    if setup.left.shape == "round" and setup.left.axis == "xy"[1 - axis]:
        cu, cz, r = (u0 + u1) / 2, (z0 + z1) / 2, (u1 - u0) / 2
        turns = [math.tau * i / _BAR_SIDES for i in range(_BAR_SIDES)]
        points = [scale.to(cu + r * math.cos(t), cz + r * math.sin(t)) for t in turns]
    else:
        points = [scale.to(u, z) for u, z in ((u0, z0), (u1, z0), (u1, z1), (u0, z1))]
    return "M" + "L".join(points) + "Z"


def plates(setup: Setup, scale: Scale, axis: int = 0) -> str:
    """The joints of a stack, where it lies as it was stacked."""
    raw = setup.raw
    if raw.plates < 2 or setup.up not in ("top", "bottom"):
        return ""
    step = (raw.high[2] - raw.low[2]) / raw.plates
    rows = [raw.low[2] + step * i for i in range(1, raw.plates)]
    data = "".join(f"M{scale.to(raw.low[axis], z)}L{scale.to(raw.high[axis], z)}" for z in rows)
    return tag("path", d=data, stroke=INK, stroke_width=NARROW)


def held_by(setup: Setup) -> str:
    """What is drawn of the holding, in words for the key."""
    hold = setup.hold
    table = "rotary table" if hold.rotary else "table"
    under = "spoil board" if hold.board is not None else table
    words = (
        "vise jaws" if hold.vise else "chuck" if hold.chuck else under,
        "clamps" if hold.clamps else "",
        "bolts" if hold.bolts else "",
    )
    return ", ".join(w for w in words if w) if hold.said else ""


def front_bodies(setup: Setup, scale: Scale, axis: int = 0) -> list[PaperBox]:
    """Jaws, clamps, parallels and what the work lies on, as boxes on the paper."""
    endless = setup.left.low[2] - _ENDLESS / (scale.factor * scale.stretch)
    boxes = [(b.outline.bounds, b.bottom, b.top) for b in keep_out(setup)]
    if setup.hold.board is not None and setup.hold.said:
        # first is what the cutters keep off, a little above the board's underside: drawn as it is
        bottom, (wide, _, _) = setup.left.low[2], boxes[0]
        under = bottom - setup.hold.board
        boxes[0] = (wide, -math.inf, under)
        boxes.append((wide, under, bottom))
    return [scale.span(b[axis], max(bottom, endless), b[axis + 2], top) for b, bottom, top in boxes]


def drawn_depths(setup: Setup, scale: Scale, axis: int = 0) -> str:
    """Every feature from its top to its floor, as wide as it is drawn: hidden edges (ISO 128-2,
    02.1)."""
    open_ = [f for f in setup.features if f.undercut is None]
    boxes = [box for f in open_ for box in _feature(f, setup, axis)]
    data = "".join(
        f"M{scale.to(u0, top)}L{scale.to(u0, low)}L{scale.to(u1, low)}L{scale.to(u1, top)}"
        for u0, u1, low, top in dict.fromkeys(boxes)
    )
    # what has stock over it has an edge above too
    data += "".join(_frame(box, scale) for box in undercuts(setup, axis))
    if not data:
        return ""
    return tag("path", d=data, stroke=INK, stroke_width=NARROW, stroke_dasharray=HIDDEN)


def _frame(box: tuple[float, float, float, float], scale: Scale) -> str:
    u0, u1, low, top = box
    corners = ((u0, low), (u0, top), (u1, top), (u1, low))
    return "M" + "L".join(scale.to(u, z) for u, z in corners) + "Z"


def undercuts(setup: Setup, axis: int) -> list[tuple[float, float, float, float]]:
    """From where to where, and from which height to which, kerfs go through the stock."""
    found = []
    for f in setup.features:
        if f.undercut is not None:
            area = f.taken_area(plan(setup), 0.0).intersection(plan(setup))
            if not area.is_empty:
                found.append((area.bounds[axis], area.bounds[axis + 2], *f.undercut))
    return found


def open_kerfs(setup: Setup, scale: Scale, axis: int) -> str:
    """Kerfs in the face toward the viewer: gaps, with wide edges."""
    x0, y0, x1, y1 = plan(setup).bounds
    at = y0 + _FACE if axis == 0 else x1 - _FACE
    face = shapely.LineString([(x0, at), (x1, at)] if axis == 0 else [(at, y0), (at, y1)])
    data = ""
    for f in setup.features:
        if f.undercut is None:
            continue
        for piece in shapely.get_parts(f.taken_area(plan(setup), 0.0).intersection(face)):
            if piece.length > 0:
                span = (piece.bounds[axis], piece.bounds[axis + 2])
                data += _frame((*span, *f.undercut), scale)
    return tag("path", d=data, fill=PAPER, stroke=INK, stroke_width=WIDE) if data else ""


def _feature(
    feature: Feature, setup: Setup, axis: int
) -> Sequence[tuple[float, float, float, float]]:
    depth = feature.depth
    if feature.whole_top:
        return ()
    if isinstance(feature, Round):
        half = feature.diameter / 2
        return [(p[axis] - half, p[axis] + half, depth.floor, depth.top) for p in feature.places]
    lines = feature.lines(plan(setup))
    us = [p[axis] for line_ in lines for p in line_.flattened(0.05)]
    if not us:
        return ()
    more = feature.half_width
    return [(min(us) - more, max(us) + more, depth.floor, depth.top)]


def new_top(setup: Setup, scale: Scale, axis: int) -> str:
    """The edge that facing leaves, all across the stock."""
    floors = [f.depth.floor for f in setup.features if f.whole_top]
    if not floors:
        return ""
    u0, u1 = setup.left.low[axis], setup.left.high[axis]
    data = f"M{scale.to(u0, min(floors))}L{scale.to(u1, min(floors))}"
    return tag("path", d=data, stroke=INK, stroke_width=WIDE)


def clearance(setup: Setup, scale: Scale) -> str:
    """The height rapids move at."""
    x, y = scale.point(0.0, safe_height(setup))
    box = scale.box
    within = box.left <= x <= box.right if scale.turned else box.top <= y <= box.bottom
    # nothing is known of it where there is no job
    if setup.clearance <= 0 or not within:
        return ""
    ends = (x, box.top, x, box.bottom) if scale.turned else (box.left, y, box.right, y)
    return line(*ends, stroke=SOFT, stroke_width=NARROW, stroke_dasharray=CLEARANCE)


def front_view(
    setup: Setup,
    strokes: Mapping[Group, Sequence[str]],
    bands: Sequence[DepthBand],
    scale: Scale,
    *,
    axis: int = 0,
    metal: bool,
) -> str:
    """All but axes and problems, which lie on top."""
    boxes = [
        shapely.box(b.left, b.top, b.right, b.bottom) for b in front_bodies(setup, scale, axis)
    ]
    outline = front_metal(setup, scale, axis)
    parts = [broken(b, scale.box) for b in boxes]
    if metal:
        parts.append(tag("path", d=outline, fill=METAL))
        parts.append(plates(setup, scale, axis))
    # jaws and clamps before the stock hide it: their edges are to be seen all the same
    parts += [edges_of(b, scale.box, HIDDEN) for b in boxes]
    parts.append(drawn_depths(setup, scale, axis))
    if metal:
        parts.append(open_kerfs(setup, scale, axis))
        parts.append(tag("path", d=outline, **rim_ink(setup)))
        parts.append("" if is_blank(setup) else new_top(setup, scale, axis))
        parts.append(clearance(setup, scale))
    rapids = strokes.get(RAPIDS, ())
    parts.append(paths(rapids, stroke=SOFT, stroke_width=PATH, stroke_dasharray=RAPID))
    for group in sorted((g for g in strokes if g != RAPIDS), key=lambda g: g[1]):
        band = bands[group[1]]
        ink = {"stroke": band.ink, "stroke_dasharray": band.dash}
        parts.append(paths(strokes[group], stroke_width=0.8 * band.stroke, **ink))
    return "".join(parts)
