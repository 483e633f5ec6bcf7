"""A program's moves as strokes: rapids, cuts by cutter and depth, and places gone straight down.

Size is bounded whatever the program is: consecutive moves join in one path, a stroke drawn before
is not drawn again, steps too small to see are passed over, and the rest is left out and said.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise, zip_longest

from gcodekit.geometry.chain import Point
from gcodekit.plot.depth_colours import DepthBand, band_at, bands_of
from gcodekit.plot.label_places import along
from gcodekit.plot.paper import tag
from gcodekit.plot.scale import Scale
from gcodekit.proof.chords import lowest, point_on, points_of
from gcodekit.rs274.program_read import Move, Point3

# Steps shorter than this on the paper, mm, are joined to the next.
LEAST_STEP = 0.06
# Strokes of one picture: about 2 MB.
MOST_DRAWN = 80_000
# A dashed rapid no longer than this on the paper, mm, would show no dash: between marks and letters
# beside each other it would look like one more cut.
SHORTEST_RAPID = 2.5
# Chords of an arc, to see which parts of the paper it goes through.
_ARC_CELLS = 40
# Of one path: what draws it takes more than twice as long over twice as many.
MOST_IN_PATH = 250

Group = tuple[int, int]
RAPID: Group = (-1, -1)


@dataclass(slots=True)
class Traces:
    """Path data by (cutter, band), shallow first; `RAPID` for rapids. `down`: the deepest z gone
    straight to at a place, by (cutter, x, y); `begun`: those of them that a cut goes on from at
    that height. `left_out`: moves not drawn. `cells`: the mm of the paper that cuts go through.
    """

    bands: tuple[DepthBand, ...]
    strokes: dict[Group, list[str]] = field(default_factory=dict)
    down: dict[tuple[int, float, float], float] = field(default_factory=dict)
    begun: set[tuple[int, float, float]] = field(default_factory=set)
    left_out: int = 0
    cells: set[tuple[int, int]] = field(default_factory=set)
    _seen: set[tuple[object, ...]] = field(default_factory=set)
    _pens: dict[Group, Point] = field(default_factory=dict)
    _count: int = 0

    def draw(self, group: Group, start: Point, end: Point, move: Move, scale: Scale) -> None:
        """One move, or one chord of it."""
        curve = move.curve if _flat_arc(move) else None
        turn = round(curve.sweep, 3) if curve else 0.0
        a, b = (_on_paper(p, scale) for p in (start, end))
        # the way back is the same stroke; the other half of a circle is not
        key = (group, *min((a, b, turn), (b, a, -turn)))
        if key in self._seen:
            return
        if self._count >= MOST_DRAWN:
            self.left_out += 1
            return
        self._seen.add(key)
        self._count += 1
        if group != RAPID:
            self._note_cells(start, end, move, scale)
        data = self.strokes.setdefault(group, [])
        if self._pens.get(group) != start or self._count % MOST_IN_PATH == 0:
            data.append(f"M{scale.to(*start)}")
        if curve is None:
            data += [f"L{scale.to(*p)}" for p in scale.pieces(start, end)[1:]]
        elif abs(curve.sweep) > 1.9 * math.pi:
            data += _round(start, end, curve.centre, curve.sweep, scale)
        else:
            data.append(scale.arc(end, curve.radius, curve.sweep))
        self._pens[group] = end

    def _note_cells(self, start: Point, end: Point, move: Move, scale: Scale) -> None:
        """Where on the paper it goes."""
        places = [start, end]
        if _flat_arc(move) and move.curve is not None:
            count = min(_ARC_CELLS, 2 + int(abs(move.curve.sweep) * 4))
            places = [point_on(move, i / count)[:2] for i in range(count + 1)]
        for x, y in along([scale.point(*p) for p in places]):
            self.cells.add((round(x), round(y)))


def paths(data: Sequence[str], **attributes: str | float) -> str:
    """Path data, in as many paths as it takes."""
    found: list[str] = []
    part: list[str] = []
    for piece in data:
        if piece.startswith("M") and len(part) >= MOST_IN_PATH:
            found.append(tag("path", d="".join(part), **attributes))
            part = []
        part.append(piece)
    if part:
        found.append(tag("path", d="".join(part), **attributes))
    return "".join(found)


def _on_paper(point: Point, scale: Scale) -> tuple[int, int]:
    x, y = scale.point(*point)
    return round(x * 50), round(y * 50)


def _round(
    start: Point, end: Point, centre: tuple[float, ...], sweep: float, scale: Scale
) -> list[str]:
    """A whole turn, or several, as two arcs."""
    radius = math.dist(start, centre[:2])
    opposite = (2 * centre[0] - start[0], 2 * centre[1] - start[1])
    half = math.copysign(math.pi * 0.999, sweep)
    return [scale.arc(opposite, radius, half), scale.arc(end, radius, half)]


def traces_of(moves: Sequence[Move], scale: Scale, floors: Iterable[float] = ()) -> Traces:
    """Every move whose both ends are known in plan, and its height where it cuts; its bands lead
    down to `floors`."""
    known = known_moves(moves)
    traces = Traces(bands_of(_depths(known), floors))
    # where the pen stands, and where the moves passed over since have come to
    pen: tuple[Group, Point, Point] | None = None
    for move in known:
        group = _group(move, traces.bands)
        if _upright(move):
            if move.kind != "rapid":
                _note_down(traces, move)
            continue
        if move.kind != "rapid":
            _note_begun(traces, move)
        for start, end in _pieces(move):
            goes_on = pen is not None and pen[0] == group and pen[2] == start
            since = pen[1] if pen is not None and goes_on and not _flat_arc(move) else start
            if not _flat_arc(move) and math.dist(since, end) * scale.factor < LEAST_STEP:
                pen = (group, since, end)
                continue
            if group != RAPID or math.dist(since, end) * scale.factor > SHORTEST_RAPID:
                traces.draw(group, since, end, move, scale)
            pen = (group, end, end)
    return traces


def known_moves(moves: Sequence[Move]) -> list[Move]:
    """Those whose both ends are known in plan, and the height where they cut."""
    return [m for m in moves if "XY" in m.known_before and (m.kind == "rapid" or "Z" in m.known)]


def depth_of(move: Move) -> float:
    """The lowest z; of a move from an unknown height, its end's."""
    return lowest(move) if "Z" in move.known_before else move.end[2]


def _depths(moves: Sequence[Move]) -> set[float]:
    """The lowest z of every cut; a way straight down that a cut goes on from has none."""
    cuts = [m for m, then in zip_longest(moves, moves[1:]) if not _leads_on(m, then)]
    return {round(depth_of(m), 3) for m in cuts if m.kind != "rapid"}


def _leads_on(move: Move, then: Move | None) -> bool:
    return _upright(move) and then is not None and then.kind != "rapid" and then.start == move.end


def _flat_arc(move: Move) -> bool:
    return move.curve is not None and move.curve.plane == 17


def _upright(move: Move) -> bool:
    return move.curve is None and move.start[:2] == move.end[:2]


def _group(move: Move, bands: tuple[DepthBand, ...]) -> Group:
    return RAPID if move.kind == "rapid" else (move.cutter, band_at(bands, depth_of(move)))


def _place(cutter: int, at: Point3) -> tuple[int, float, float]:
    return (cutter, round(at[0], 3), round(at[1], 3))


def _note_begun(traces: Traces, move: Move) -> None:
    key = _place(move.cutter, move.start)
    if key in traces.down and move.start[2] <= traces.down[key]:
        traces.begun.add(key)


def _note_down(traces: Traces, move: Move) -> None:
    key = _place(move.cutter, move.end)
    if move.end[2] <= depth_of(move) and (key in traces.down or len(traces.down) < MOST_DRAWN):
        traces.down[key] = min(move.end[2], traces.down.get(key, math.inf))


def _pieces(move: Move) -> list[tuple[Point, Point]]:
    """The move in plan: itself, or the chords of an arc in an upright plane."""
    if move.curve is None or move.curve.plane == 17:
        return [((move.start[0], move.start[1]), (move.end[0], move.end[1]))]
    points = [(p[0], p[1]) for p in points_of(move)]
    return list(pairwise(points))
