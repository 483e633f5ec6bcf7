"""Plan and front view of a set-up's program, as read back from its text: a sheet of SVG text."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from gcodekit.geometry.chain import Point
from gcodekit.job.model import Setup
from gcodekit.plot.backdrop import bodies, feature_lines, stock, stock_rim
from gcodekit.plot.depth_colours import DepthBand
from gcodekit.plot.feature_names import feature_names
from gcodekit.plot.front import front_view, held_by
from gcodekit.plot.front_strokes import strokes_seen
from gcodekit.plot.key import RAPID_DASH, key, title_block
from gcodekit.plot.marks import (
    axes,
    axes_fit,
    axes_room,
    called,
    caption,
    depth_labels,
    plunges,
    problem_marks,
    rulers,
)
from gcodekit.plot.paper import SOFT, SWEPT, PaperBox, document, rectangle, tag
from gcodekit.plot.scale import Scale
from gcodekit.plot.tab_marks import tabs, touch_marks, touched
from gcodekit.plot.traces import RAPID, Traces, paths, traces_of
from gcodekit.plot.views import Views, height_extent, laid_out, plan_extent
from gcodekit.rs274.program_read import Move, Problem
from gcodekit.target.target import Target
from gcodekit.trade.cutter import Cutter
from gcodekit.units import Units


def plan_view(
    moves: Sequence[Move],
    *,
    setup: Setup,
    title: str,
    units: Units,
    cutters: Mapping[int, Cutter] | None = None,
    problems: Sequence[Problem] = (),
    metal: bool = True,
    file: str = "",
    target: Target | None = None,
    messages: Sequence[str] = (),
) -> str:
    """A set-up from above and from the front: metal, drawing, rapids, and cuts by their depth.

    Parameters
    ----------
    moves : as read back from the program's text
    cutters : by number, for their names and the width they take
    problems : marked where they are, with their line's number, and listed
    file : the program's name
    metal : False where nobody has said what it is: the set-up's is then only the view's extent
    target : what is asked of the set-up, for where its tabs stay
    messages : that the program shows, for where cutters are touched off
    """
    rack = dict(cutters or {})
    used = tuple(dict.fromkeys(m.cutter for m in moves if m.kind != "rapid" and m.cutter))
    # beyond the metal a cutter's width does not matter; without metal it is all there is to see
    widest = max((rack[n].radius for n in used if n in rack), default=0.0)
    x0, y0, x1, y1 = plan_extent(moves, setup, 0.0 if metal else widest)
    up = height_extent(moves, setup, metal=metal)
    views = laid_out((x0, x1), (y0, y1), up)
    traces = traces_of(moves, views.plan)
    bridges, touches = tabs(setup, target, views.plan), touched(messages, units)
    strokes, unseen = strokes_seen(moves, traces.bands, views.front)
    plan = _plan(traces, setup, views.plan, rack, problems, units, metal, bridges, touches)
    front = front_view(setup, strokes, traces.bands, views.front, low=up[0], metal=metal)
    return document(
        f"{title}: {setup.name}" if setup.name else title,
        _clips(views, setup, metal=metal),
        tag("g", plan, clip_path="url(#plan)"),
        tag("g", front, clip_path="url(#front)"),
        _on_top(problems, views.front, 2),
        _round_about(views, traces.bands, units),
        key(
            traces.bands,
            used,
            rack,
            problems,
            units,
            held=held_by(setup),
            drawn=bool(setup.features),
            left_out=max(traces.left_out, unseen),
            metal=_metal_word(setup) if metal else "",
            tabs=bool(bridges),
            touches=bool(touches),
            clearance=setup.clearance > 0,
        ),
        title_block(setup, title, units, views.plan, file=file, metal=metal),
    )


def _metal_word(setup: Setup) -> str:
    return "metal left" if setup.gone else "raw metal"


def _clips(views: Views, setup: Setup, *, metal: bool) -> str:
    """Find what ends at a view's edge, and what at the metal's."""
    clips = tag("clipPath", rectangle(_ruled(views.plan.box)), id="plan")
    clips += tag("clipPath", rectangle(_ruled(views.front.box)), id="front")
    if metal:
        clips += tag("clipPath", stock(setup, views.plan), id="metal")
    return tag("defs", clips)


def _round_about(views: Views, bands: Sequence[DepthBand], units: Units) -> str:
    """Captions, rulers and depths beside the views."""
    return (
        rulers(views.plan, units)
        + rulers(views.front, units)
        + caption(views.plan, "PLAN")
        + caption(views.front, "FRONT", views.note)
        + depth_labels([(b.low, b.ink) for b in bands], views.front, units)
    )


def _ruled(box: PaperBox) -> PaperBox:
    """A view as far as its rulers."""
    return PaperBox(box.left - 2, box.top - 2, box.right, box.bottom + 2)


def _plan(
    traces: Traces,
    setup: Setup,
    scale: Scale,
    rack: dict[int, Cutter],
    problems: Sequence[Problem],
    units: Units,
    metal: bool,
    bridges: str,
    touches: dict[Point, list[int]],
) -> str:
    taken = [axes_room(scale)]
    on_top = _on_top(problems, scale, 1, taken)
    on_top = touch_marks(touches, scale, taken) + on_top
    swept = _swept(traces, rack, scale, setup.left.high[2] if metal else math.inf)
    parts = (
        stock(setup, scale) if metal else "",
        tag("g", swept, **({"clip_path": "url(#metal)"} if metal else {})),
        bridges,
        bodies(setup, scale),
        feature_lines(setup, scale),
        stock_rim(setup, scale) if metal else "",
        _rapids(traces),
        _cuts(traces),
        plunges(traces.down, traces.bands, rack, scale, top=setup.left.high[2]),
        feature_names(setup, scale, taken, units),
        on_top,
    )
    return "".join(parts)


def _on_top(
    problems: Sequence[Problem], scale: Scale, up: int, taken: list[PaperBox] | None = None
) -> str:
    """Axes and problems; `up` is the axis that points up the paper: 1 y, 2 z."""
    places = [
        (p, name, (p.where[0], p.where[up]))
        for p, name in zip(problems, called(problems), strict=True)
        if p.where is not None
    ]
    drawn = axes(scale, "XYZ"[up]) if axes_fit(scale) else ""
    boxes = [axes_room(scale)] if taken is None else taken
    return drawn + problem_marks(places, scale, boxes)


def _swept(traces: Traces, cutters: Mapping[int, Cutter], scale: Scale, top: float) -> str:
    """The width the cutters take, light, under everything: a cone no more of it than it has at
    the metal's top."""
    drawn = []
    for (number, band), data in sorted(traces.strokes.items()):
        if (number, band) != RAPID and number in cutters:
            high = max(0.0, top - traces.bands[band].low)
            width = 2 * cutters[number].radius_at(high) * scale.factor
            drawn.append(paths(data, stroke=SWEPT, stroke_width=width))
    return "".join(drawn)


def _rapids(traces: Traces) -> str:
    data = traces.strokes.get(RAPID, ())
    return paths(data, stroke=SOFT, stroke_width=0.18, stroke_dasharray=RAPID_DASH)


def _cuts(traces: Traces) -> str:
    """Shallow first, so that the deeper lie on top."""
    groups = sorted((g for g in traces.strokes if g != RAPID), key=lambda g: (g[1], g[0]))
    return "".join(
        paths(
            traces.strokes[g],
            stroke=traces.bands[g[1]].ink,
            stroke_width=traces.bands[g[1]].stroke,
        )
        for g in groups
    )
