"""Room for cutters: allowed regions at a height, corners out of reach, and the run-off."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import EMPTY, common, joined, less, union
from gcodekit.proof.chords import Array, Segments, in_feature
from gcodekit.proof.findings import Blank
from gcodekit.proof.reach import Reach, reach
from gcodekit.proof.sections import quarter_chords
from gcodekit.rs274.program_read import Move, ProblemList
from gcodekit.target.bodies import Box
from gcodekit.target.disc_sweep import resized
from gcodekit.target.target import Slice
from gcodekit.units import format_size

# A cut that leaves the metal is followed this far beside it, mm.
FREE_SPACE = 1.0
# A slot exactly as wide as its cutter must count as reached: the opening disc is this much
# smaller than the cutter, mm, a little more than the chords sag. In a right-angled corner it moves
# the limit by 0.0002 mm; where a cutter only just gets in beside a curved wall, by much more.
OPENING_SLACK = 0.0005
# The box in plan that a feature's cutters keep to is theirs to this, mm.
ROOM_SLACK = 1e-3
# Overlays round to a tenth of this, mm: a spike no thicker than twice this is of their making.
HAIR_SPIKE = 1e-5


@dataclass(frozen=True, slots=True)
class CutterRoom:
    """At one height: the metal, and where a cutter may be."""

    metal: BaseGeometry
    allowed: BaseGeometry

    def gouge(self, taken: BaseGeometry) -> Reach:
        """Return how far a cut goes into what is kept."""
        inside = common(taken, self.metal)
        return Reach() if inside.is_empty else reach(inside, self.allowed)


def room_at(asked: Slice, blank: Blank) -> CutterRoom:
    """A cutter may be in what must and may go less what is to stay, and in free space.

    Free space counts because a cut that grazes the edge of the metal by a hair leaves the part
    by that hair, not by the distance to the next feature.
    """
    metal = less(blank.at(asked.z), asked.air)
    return room_in(metal, asked)


def room_in(metal: BaseGeometry, asked: Slice) -> CutterRoom:
    """The same in other metal than there is at that height."""
    allowed = less(joined((asked.required, asked.allowed)), asked.kept)
    return CutterRoom(metal, joined((allowed, _free(metal))))


def _free(metal: BaseGeometry) -> BaseGeometry:
    """Free space round the metal, to FREE_SPACE beyond it."""
    if metal.is_empty:
        return EMPTY
    x0, y0, x1, y1 = metal.bounds
    frame = shapely.box(x0 - FREE_SPACE, y0 - FREE_SPACE, x1 + FREE_SPACE, y1 + FREE_SPACE)
    return less(frame, metal)


def without_hairs(region: BaseGeometry) -> BaseGeometry:
    """It without spikes as thin as what overlays round to."""
    inner: BaseGeometry = region.buffer(-HAIR_SPIKE)
    return inner.buffer(HAIR_SPIKE, join_style="mitre")


def substance(region: BaseGeometry, crumb: float) -> BaseGeometry:
    """Its pieces that hold a circle of a radius: a cutter beside the metal bulges into the mouth of
    a gap that it does not go into."""
    pieces = shapely.get_parts(region)
    return shapely.MultiPolygon(list(pieces[~shapely.is_empty(shapely.buffer(pieces, -crumb))]))


def with_free(room: BaseGeometry, radius: float, metal: BaseGeometry) -> BaseGeometry:
    """Room for a cutter with the free space about it, or every corner at the metal's edge would be
    out of reach."""
    x0, y0, x1, y1 = room.bounds
    margin = 2 * radius + 1.0
    around = shapely.box(x0 - margin, y0 - margin, x1 + margin, y1 + margin)
    return room if metal.covers(around) else union((room, less(around, metal)))


def reachable(room: BaseGeometry, radius: float) -> BaseGeometry:
    """Return the region a finishing cutter can cut within its room: a corner keeps the cutter's
    radius."""
    inner = max(0.0, radius - OPENING_SLACK)
    chords = quarter_chords(inner)
    return resized(resized(room, -inner, chords=chords), inner, chords=chords)


def check_run_off(
    segments: Iterable[Segments],
    rooms: Mapping[str, Box],
    moves: tuple[Move, ...],
    *,
    top: float,
    problems: ProblemList,
) -> None:
    """Each feature's cutters stay in its room in plan wherever they are lower than the metal's
    `top`: what is beyond it is air, but where the work ends something may hold it, or the
    machine's travel end."""
    worst: dict[str, tuple[float, int, Array]] = {}
    for s in segments:
        if s.owner not in rooms:
            continue
        x0, y0, x1, y1 = rooms[s.owner]
        r = s.cutter.radius
        for tips in (s.start, s.end):
            low, at = tips[:, 2] < top, tips[:, :2]
            over = np.maximum((x0, y0) - (at - r), (at + r) - (x1, y1)).max(axis=1)
            over[~low] = 0.0
            i = int(over.argmax())
            if over[i] > worst.get(s.owner, (ROOM_SLACK,))[0]:
                worst[s.owner] = (float(over[i]), int(s.move[i]), tips[i])
    for owner, (over, move, tip) in worst.items():
        problems.error(
            f"run-off{in_feature(owner)}: the cutter runs {format_size(over, problems.units)} "
            "further past the work than it needs to",
            line=moves[move].line,
            where=(float(tip[0]), float(tip[1]), float(tip[2])),
        )
