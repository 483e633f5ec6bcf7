"""A set-up before it is cut: the stock in its work-holding, program zero, axes, jaws, and where
cutters are touched off. No tool paths: the set-up's own sheet has those."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gcodekit.job.model import Setup
from gcodekit.plot.label_places import LabelPlaces
from gcodekit.plot.paper import INK, SMALL, PaperBox, document, words
from gcodekit.plot.part_view.setup_view import setup_view
from gcodekit.plot.part_view.surface_mesh import SurfaceMesh
from gcodekit.plot.plan_view import drawn_views
from gcodekit.plot.sheet_lettering import Sheet
from gcodekit.plot.tab_marks import touched
from gcodekit.plot.traces import traces_of
from gcodekit.plot.views import contents, laid_out
from gcodekit.target.target import Target
from gcodekit.units import Units

# On the paper, mm: the whole picture, and the part in space at its right.
SIZE = (186.0, 84.0)
_SPACE = PaperBox(132.0, 7.0, 185.0, 79.0)
_DRAWING = PaperBox(0.5, 0.5, 185.5, 83.5)
# The views' room: sizes left and below, captions above lie outside it.
_BELOW, _LEFT, _ABOVE, _RIGHT = 3.0, 16.0, 7.5, 3.0


@dataclass(frozen=True, slots=True)
class WorkHoldingView:
    """A picture as SVG text, and the features that have a number in it for want of room."""

    svg: str
    numbered: tuple[tuple[int, str], ...]


def work_holding_view(
    setup: Setup,
    *,
    title: str,
    units: Units,
    target: Target | None = None,
    messages: Sequence[str] = (),
    part: SurfaceMesh | None = None,
) -> WorkHoldingView:
    """Plan and second view of a set-up, and the finished part in its stock.

    Parameters
    ----------
    target : what is asked of the set-up, for where its tabs stay
    messages : that its programs show, for where cutters are touched off
    part : the finished part in the stock's frame
    """
    right = _DRAWING.right if part is None else _SPACE.left - 2
    drawing = PaperBox(_DRAWING.left, _DRAWING.top, right, _DRAWING.bottom)
    room = PaperBox(
        drawing.left + _LEFT, drawing.top + _ABOVE, drawing.right - _RIGHT, drawing.bottom - _BELOW
    )
    views = laid_out(contents((), setup, 0.0, metal=True), room)
    sheet = Sheet(
        setup=setup,
        views=views,
        traces=traces_of((), views.plan, ()),
        cutters={},
        problems=(),
        units=units,
        metal=True,
        places=LabelPlaces(drawing),
    )
    drawn = drawn_views(sheet, {}, target, touched(messages, units))
    space = _in_space(part, setup) if part is not None else ""
    svg = document(title, *drawn.content, space, size=SIZE)
    return WorkHoldingView(svg, drawn.numbered)


def _in_space(part: SurfaceMesh, setup: Setup) -> str:
    head = words(
        _SPACE.left, 4.5, "FINISHED PART IN ITS STOCK", size=SMALL, fill=INK, font_weight="bold"
    )
    return head + setup_view(part, setup, _SPACE).group
