"""Clearing an area in strokes to and fro."""

from __future__ import annotations

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.flat import to_shapely
from gcodekit.operations.draft import Draft, Work
from gcodekit.operations.outline_clearing import Area, cleared, step_of, too_big
from gcodekit.toolpath.clear import LOWERED_BESIDE
from gcodekit.toolpath.rings import FLAT_SAG, room_for
from gcodekit.toolpath.to_and_fro import ToAndFro
from gcodekit.trade.cutter import Cutter


def cleared_to_and_fro(
    work: Work, area: Area, cutter: Cutter, wall: float, floor: float
) -> tuple[list[Draft], BaseGeometry]:
    """An area cleared with the allowances left, and what is open then."""
    room = room_for(area.region, cutter.radius + wall, air=work.air)
    if room.empty:
        raise too_big(work, area.feature, cutter)
    strokes = ToAndFro(
        room=room,
        flat=to_shapely(room, FLAT_SAG),
        radius=cutter.radius,
        stepover=step_of(work, area, cutter),
        climb=area.feature.cutting.direction == "climb",
        centre_cutting=cutter.centre_cutting,
        air=work.air.buffer(-(cutter.radius + LOWERED_BESIDE)),
    )
    draft = cleared(work, area, cutter, strokes, in_slots=strokes.first_share, floor=floor)
    return [draft], strokes.flat.buffer(cutter.radius)
