"""Bores: opened by a helix, widened if need be, and finished to size."""

from __future__ import annotations

from dataclasses import replace

from gcodekit.geometry.chain import Point
from gcodekit.geometry.shapes import circle
from gcodekit.job.kinds.bore import Bore
from gcodekit.operations.area import area_drafts
from gcodekit.operations.boring import boring_drafts
from gcodekit.operations.chosen import Chosen
from gcodekit.operations.cycles import in_short_order, ream_draft, room_for_reamer
from gcodekit.operations.draft import Draft, Work
from gcodekit.operations.outline_clearing import Area
from gcodekit.trade.hole_cutting import BORING_LEFT
from gcodekit.trade.reaming import reaming_allowance


def bore_drafts(work: Work, bore: Bore, chosen: Chosen, top: float) -> list[Draft]:
    """Every place roughed and finished in one visit of each cutter."""
    places = in_short_order(work, bore.places)
    drafts = [] if chosen.opened else _milled(work, bore, chosen, places, top)
    if chosen.reamer is not None:
        drafts.append(ream_draft(work, bore, chosen.reamer, places, top))
    elif chosen.boring is not None:
        opened = chosen.opened or bore.diameter - BORING_LEFT
        drafts += boring_drafts(work, bore, chosen.boring, top, opened)
    return drafts


def _milled(
    work: Work, bore: Bore, chosen: Chosen, places: tuple[Point, ...], top: float
) -> list[Draft]:
    """To size, or to what a reamer or boring head is left."""
    diameter = bore.diameter
    if chosen.reamer is not None:
        diameter -= reaming_allowance(bore.diameter)
    elif chosen.boring is not None:
        diameter -= BORING_LEFT
    opened = bore
    if chosen.reamer is not None and not bore.depth.through:
        floor = bore.depth.cut_to - room_for_reamer(work, bore, chosen.reamer)
        opened = replace(bore, depth=replace(bore.depth, cut_to=floor))
    by_label: dict[tuple[str, int], list[Draft]] = {}
    for place in places:
        area = Area(feature=opened, region=circle(diameter, centre=place), top=top, chosen=chosen)
        for draft in area_drafts(work, area):
            by_label.setdefault((draft.label, draft.cutter.number), []).append(draft)
    return [_joined(group) for group in by_label.values()]


def _joined(group: list[Draft]) -> Draft:
    moves = tuple(move for draft in group for move in draft.moves)
    return replace(group[0], moves=moves)
