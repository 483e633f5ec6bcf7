"""The plan view of a set-up's program, as read back from its text: a sheet of SVG text."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from pathlib import Path

from gcodekit.job.model import Setup
from gcodekit.plot.drawn import bodies, feature_lines, standing_bodies, stock, stock_rim
from gcodekit.plot.key import RAPID_DASH, key, title_block
from gcodekit.plot.marks import Units, axes, axes_fit, axes_room, plunges, problem_marks, rulers
from gcodekit.plot.names import feature_names
from gcodekit.plot.paper import SOFT, SWEPT, VIEW, document, rectangle, tag
from gcodekit.plot.scale import Extent, Scale
from gcodekit.plot.traces import RAPID, Traces, traces_of
from gcodekit.rs274.moves import Move
from gcodekit.rs274.problems import Problem
from gcodekit.trade.cutter import Cutter

# Cuts this many times the metal's size away from it are off the sheet.
FARTHEST = 1.0
# Free space round the metal, as a share of its size.
_AIR = 0.04


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
) -> str:
    """A set-up seen down the spindle: metal, drawing, rapids, and cuts by their depth.

    Parameters
    ----------
    moves : as read back from the program's text
    cutters : by number, for their names and the width they take
    problems : marked where they are, with their line's number, and listed
    file : the program's name, to find the picture's program by
    metal : False where nobody has said what it is: the set-up's is then only the view's extent
    """
    rack = dict(cutters or {})
    used = tuple(dict.fromkeys(m.cutter for m in moves if m.kind != "rapid" and m.cutter))
    # beyond the metal a cutter's width does not matter; without metal it is all there is to see
    widest = max((rack[n].radius for n in used if n in rack), default=0.0)
    scale = Scale.fitting(_extent(moves, setup, 0.0 if metal else widest), VIEW)
    traces = traces_of(moves, scale)
    taken = [axes_room(scale)]
    wrong = problem_marks(problems, scale, taken)
    view = (
        stock(setup, scale) if metal else "",
        tag("g", _swept(traces, rack, scale), **({"clip_path": "url(#metal)"} if metal else {})),
        bodies(setup, scale),
        feature_lines(setup, scale),
        stock_rim(setup, scale) if metal else "",
        _rapids(traces),
        _cuts(traces),
        plunges(traces.down, traces.bands, rack, scale, top=setup.raw.high[2]),
        axes(scale) if axes_fit(scale) else "",
        feature_names(setup, scale, taken),
        wrong,
    )
    clips = tag("clipPath", rectangle(VIEW.grown(2.0)), id="view")
    if metal:
        clips += tag("clipPath", stock(setup, scale), id="metal")
    return document(
        f"{title}: {setup.name}" if setup.name else title,
        tag("defs", clips),
        tag("g", *view, clip_path="url(#view)"),
        rulers(scale, units),
        key(
            traces.bands,
            used,
            rack,
            problems,
            units,
            held=bool(standing_bodies(setup)),
            drawn=bool(setup.features),
            left_out=traces.left_out,
            metal=metal,
        ),
        title_block(setup, title, units, scale, file=file, metal=metal),
    )


def write(path: Path, picture: str) -> None:
    """Put a picture into a file, whole or not at all."""
    part = path.with_name(path.name + ".part")
    part.write_text(picture, encoding="utf-8", newline="\n")
    os.replace(part, path)


def _extent(moves: Sequence[Move], setup: Setup, more: float) -> Extent:
    """Metal, holding, cuts and program zero, none of them farther away than FARTHEST."""
    (x0, y0, _), (x1, y1, _) = setup.raw.low, setup.raw.high
    far = FARTHEST * max(x1 - x0, y1 - y0)
    boxes = [b.bounds for b in standing_bodies(setup)]
    places = [(0.0, 0.0), *(corner for b in boxes for corner in (b[:2], b[2:]))]
    for m in moves:
        if m.kind != "rapid" and m.known_before == "XYZ":
            places += [(p[0], p[1]) for p in (m.start, m.end)]
    near = [p for p in places if x0 - far <= p[0] <= x1 + far and y0 - far <= p[1] <= y1 + far]
    xs, ys = [x0, x1, *(p[0] for p in near)], [y0, y1, *(p[1] for p in near)]
    air = _AIR * max(max(xs) - min(xs), max(ys) - min(ys)) + more
    return (min(xs) - air, min(ys) - air, max(xs) + air, max(ys) + air)


def _swept(traces: Traces, cutters: Mapping[int, Cutter], scale: Scale) -> str:
    """The width the cutters take, light, under everything."""
    return "".join(
        tag(
            "path",
            d="".join(data),
            stroke=SWEPT,
            stroke_width=cutters[group[0]].diameter * scale.factor,
        )
        for group, data in sorted(traces.strokes.items())
        if group != RAPID and group[0] in cutters
    )


def _rapids(traces: Traces) -> str:
    data = "".join(traces.strokes.get(RAPID, ()))
    if not data:
        return ""
    return tag("path", d=data, stroke=SOFT, stroke_width=0.18, stroke_dasharray=RAPID_DASH)


def _cuts(traces: Traces) -> str:
    """Shallow first, so that the deeper lie on top."""
    groups = sorted((g for g in traces.strokes if g != RAPID), key=lambda g: (g[1], g[0]))
    return "".join(
        tag(
            "path",
            d="".join(traces.strokes[g]),
            stroke=traces.bands[g[1]].ink,
            stroke_width=traces.bands[g[1]].stroke,
        )
        for g in groups
    )
