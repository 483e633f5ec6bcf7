"""Plan and front view of a set-up's program, as read back from its text: a sheet that
lacks but the verdict on the job."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from gcodekit.job.feature import Round
from gcodekit.job.kinds.hole import Hole
from gcodekit.job.model import Setup
from gcodekit.plot.backdrop import (
    bodies,
    body_edges,
    feature_lines,
    is_blank,
    stock,
    stock_rim,
)
from gcodekit.plot.centre_lines import front_centres, plan_centres
from gcodekit.plot.cutter_table import cutter_rows
from gcodekit.plot.front import front_view, held_by
from gcodekit.plot.front_strokes import strokes_seen
from gcodekit.plot.key import KeyContents, key
from gcodekit.plot.key_signs import Sample, signs_of
from gcodekit.plot.label_places import LabelPlaces
from gcodekit.plot.line_types import PATH, RAPID
from gcodekit.plot.long_breaks import break_marks
from gcodekit.plot.marks import plunges
from gcodekit.plot.paper import DRAWING, SOFT, SWEPT, PaperBox, group, rectangle, tag
from gcodekit.plot.part_view.setup_view import setup_view
from gcodekit.plot.part_view.surface_mesh import SurfaceMesh
from gcodekit.plot.scale import Scale, said, unit_name
from gcodekit.plot.sheet_facts import SheetFacts
from gcodekit.plot.sheet_lettering import Sheet, lettering_of, weigh
from gcodekit.plot.tab_marks import TouchOff, tab_shapes, tabs, touched
from gcodekit.plot.title_block import title_block
from gcodekit.plot.traces import RAPID as RAPIDS
from gcodekit.plot.traces import Traces, paths, traces_of
from gcodekit.plot.verdict_stamp import DrawnSheet
from gcodekit.plot.views import contents, laid_out
from gcodekit.rs274.program_read import Move, Problem
from gcodekit.target.target import Target
from gcodekit.trade.cutter import POINTED, Cutter
from gcodekit.units import Units

# Of each view's border the lettering keeps off by this, mm.
_IN_FRAME = 1.0


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
    facts: SheetFacts | None = None,
) -> DrawnSheet:
    """A set-up from above and from the front: stock, drawing, rapids, and cuts by their depth.

    Parameters
    ----------
    moves : as read back from the program's text
    cutters : by number, for the table and the width they take
    problems : marked where they are, with their line's number, and listed, errors first; their
        texts are in `units`
    file : the program's name
    metal : False where nobody has said what it is: the set-up's is then only the view's extent
    target : what is asked of the set-up, for where its tabs stay
    messages : that the program shows, for where cutters are touched off
    facts : what else the sheet says: verdict, material, machine, date, sheet, times
    """
    rack, facts = dict(cutters or {}), facts or SheetFacts()
    touches = touched(messages, units)
    sheet = _laid_out(moves, setup, rack, problems, units, touches, metal=metal)
    views = sheet.views
    strokes, unseen = strokes_seen(moves, sheet.traces.bands, views.front, views.axis)
    drawn = drawn_views(sheet, strokes, target, touches)
    explained = KeyContents(
        stamp=facts.stamp,
        problems=sheet.problems,
        cutters=cutter_rows(moves, rack, facts.seconds, units),
        bands=sheet.traces.bands,
        features=drawn.numbered,
        signs=_signs(sheet, tabs=drawn.tabs, touches=bool(touches)),
        units=units,
        left_out=max(sheet.traces.left_out, unseen),
        in_space=None if facts.part is None else partial(_in_space, facts.part, setup),
    )
    block = title_block(
        setup, title, units, views.plan, facts, file=file, metal=metal, note=views.note
    )
    content = (*drawn.content, key(explained), block)
    head = f"{title}: {setup.name}" if setup.name else title
    return DrawnSheet(head, content, facts.stamp, tuple(sheet.problems))


@dataclass(frozen=True, slots=True)
class DrawnViews:
    """Plan and second view with all lettering, as SVG groups; the features that have a number in
    them for want of room, and whether tabs are drawn."""

    content: tuple[str, ...]
    numbered: tuple[tuple[int, str], ...]
    tabs: bool


def drawn_views(
    sheet: Sheet,
    strokes: Mapping[tuple[int, int], Sequence[str]],
    target: Target | None,
    touches: Mapping[TouchOff, Sequence[int]],
) -> DrawnViews:
    """Draw both views of a sheet; `strokes`: paths of the second view, by group."""
    views = sheet.views
    bridges = tab_shapes(sheet.setup, target, views.plan)
    weigh(sheet, bridges)
    breaks = break_marks(sheet.setup, views, sheet.places)
    lettering, numbered = lettering_of(sheet, touches)
    content = (
        _clips(sheet),
        tag("g", _plan(sheet, tabs(bridges)), breaks[0], clip_path="url(#plan)"),
        tag("g", _front(sheet, strokes), breaks[1], clip_path="url(#front)"),
        group("drawing", lettering),
    )
    return DrawnViews(content, numbered, bool(bridges))


def _in_space(part: SurfaceMesh, setup: Setup, box: PaperBox) -> str:
    return setup_view(part, setup, box).group


def _laid_out(
    moves: Sequence[Move],
    setup: Setup,
    rack: Mapping[int, Cutter],
    problems: Sequence[Problem],
    units: Units,
    touches: Iterable[TouchOff],
    *,
    metal: bool,
) -> Sheet:
    """The views, what is cut in them, and the problems as they are listed: errors first."""
    used = {m.cutter for m in moves if m.kind != "rapid"}
    widest = max((rack[n].radius for n in used if n in rack), default=0.0)
    marks = [(p.where[0], p.where[1]) for p in problems if p.where is not None]
    marks += [touch.place for touch in touches]
    views = laid_out(contents(moves, setup, widest, metal=metal, marks=marks))
    return Sheet(
        setup=setup,
        views=views,
        traces=traces_of(moves, views.plan, _floors(setup)),
        cutters=rack,
        problems=sorted(problems, key=lambda p: p.severity != "error"),
        units=units,
        metal=metal,
        places=LabelPlaces(DRAWING.grown(-_IN_FRAME)),
    )


def _floors(setup: Setup) -> list[float]:
    """Those of the drawing's features, and of holes' mouths."""
    bores = [f.counterbore for f in setup.features if isinstance(f, Hole)]
    return [f.depth.floor for f in setup.features] + [b.floor for b in bores if b is not None]


def _signs(sheet: Sheet, *, tabs: bool, touches: bool) -> list[tuple[Sample, str]]:
    setup = sheet.setup
    return signs_of(
        drawn=any(not f.whole_top for f in setup.features),
        metal=_stock_word(setup) if sheet.metal else "",
        blank=is_blank(setup),
        held=held_by(setup),
        tabs=tabs,
        touches=touches,
        clearance=setup.clearance > 0,
        rounds=any(isinstance(f, Round) or f.axis is not None for f in setup.features),
        left_out=_left_out(sheet),
    )


def _left_out(sheet: Sheet) -> str:
    """How much of long work the views leave out, in words; "" where they show all of it."""
    length = sum(breaks.left_out for breaks in sheet.views.plan.breaks)
    digits = 1 if sheet.units == "mm" else 2
    return (
        f"{said(length, sheet.units, digits)} {unit_name(sheet.units)} left out" if length else ""
    )


def _stock_word(setup: Setup) -> str:
    return "stock left" if setup.gone else "stock"


def _clips(sheet: Sheet) -> str:
    """What ends at a view's edge, and what at the stock's."""
    views = sheet.views
    found = tag("clipPath", rectangle(views.plan.box), id="plan")
    found += tag("clipPath", rectangle(views.front.box), id="front")
    if sheet.metal:
        found += tag("clipPath", stock(sheet.setup, views.plan), id="metal")
    return tag("defs", found)


# -- what is drawn -------------------------------------------------------------------------------


def _plan(sheet: Sheet, bridges: str) -> str:
    """The plan but for its lettering; `bridges`: the tabs, drawn."""
    setup, scale, traces = sheet.setup, sheet.views.plan, sheet.traces
    top = setup.left.high[2]
    swept = _swept(traces, sheet.cutters, scale, top if sheet.metal else math.inf)
    parts = (
        stock(setup, scale) if sheet.metal else "",
        tag("g", swept, **({"clip_path": "url(#metal)"} if sheet.metal else {})),
        bridges,
        bodies(setup, scale),
        body_edges(setup, scale) if sheet.metal else "",
        stock_rim(setup, scale) if sheet.metal else "",
        feature_lines(setup, scale, metal=sheet.metal),
        plan_centres(setup, scale),
        _rapids(traces),
        _cuts(traces),
        plunges(_holes(traces, sheet.cutters), traces.bands, sheet.cutters, scale, top=top),
    )
    return "".join(parts)


def _holes(traces: Traces, cutters: Mapping[int, Cutter]) -> dict[tuple[int, float, float], float]:
    """Where a cutter goes straight down, but for points that go on from there along a line: letters
    would be lost under their crosses."""
    engraved = {
        key for key in traces.begun if key[0] in cutters and cutters[key[0]].kind in POINTED
    }
    return {key: z for key, z in traces.down.items() if key not in engraved}


def _front(sheet: Sheet, strokes: Mapping[tuple[int, int], Sequence[str]]) -> str:
    """The second view likewise; `strokes`: the tip's paths in it."""
    views, setup = sheet.views, sheet.setup
    drawn = front_view(
        setup, strokes, sheet.traces.bands, views.front, axis=views.axis, metal=sheet.metal
    )
    return drawn + front_centres(setup, views.front, views.axis)


def _swept(traces: Traces, cutters: Mapping[int, Cutter], scale: Scale, top: float) -> str:
    """The width the cutters take, light, under everything: a cone no more of it than it has at
    the stock's top."""
    drawn = []
    for (number, band), data in sorted(traces.strokes.items()):
        if (number, band) != RAPIDS and number in cutters:
            high = max(0.0, top - traces.bands[band].low)
            width = 2 * cutters[number].radius_at(high) * scale.factor
            drawn.append(paths(data, stroke=SWEPT, stroke_width=width))
    return "".join(drawn)


def _rapids(traces: Traces) -> str:
    data = traces.strokes.get(RAPIDS, ())
    return paths(data, stroke=SOFT, stroke_width=PATH, stroke_dasharray=RAPID)


def _cuts(traces: Traces) -> str:
    """Shallow first, so that the deeper lie on top."""
    groups = sorted((g for g in traces.strokes if g != RAPIDS), key=lambda g: (g[1], g[0]))
    return "".join(
        paths(
            traces.strokes[g],
            stroke=traces.bands[g[1]].ink,
            stroke_width=traces.bands[g[1]].stroke,
            stroke_dasharray=traces.bands[g[1]].dash,
        )
        for g in groups
    )
