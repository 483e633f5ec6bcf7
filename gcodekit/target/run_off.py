"""How far past the metal, and past what is drawn, a feature's cutters have any business."""

from __future__ import annotations

import shapely

from gcodekit.job.feature import Feature
from gcodekit.job.kinds.arc import Sector
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.boss import Boss
from gcodekit.job.kinds.edge import Edge
from gcodekit.job.kinds.face import Face
from gcodekit.job.kinds.hole import Hole
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.kinds.slot import Slot
from gcodekit.job.model import Setup
from gcodekit.target.bodies import Box
from gcodekit.target.demand import Demand, Used
from gcodekit.target.metal import plan
from gcodekit.target.plane import area_of, framed, line_of

# Cutters run past the metal by their radius and this, mm: the job file's contract. A gap as wide
# ends an open slot.
RUN_OFF = 1.0
# They come down beside the metal no farther from it than their radius, and this, mm, by a small
# one: there is only air.
LEAST_OFF = 2.0


def cutters_room(feature: Feature, used: Used, setup: Setup, whole: Demand) -> Box:
    """The box in plan that no edge of a feature's cutters leaves at the metal's height: round the
    metal and what is drawn, wider by a whole cutter that runs off; and by as much as it may come
    down beside, or be led in on an arc, where it does not go straight down. `whole`: what the
    feature demands."""
    off = 2 * used.widest + RUN_OFF
    if isinstance(feature, Face):
        # a spiral's first ring lies outside its outline by less than a radius, and is come to from
        # a whole cutter farther out
        off += 2 * used.widest
    elif not isinstance(feature, Bore | Hole):
        off += max(used.widest, LEAST_OFF)
    every = [plan(setup).bounds, *_drawn(feature, whole)]
    x0, y0 = (min(b[i] for b in every) - off for i in (0, 1))
    x1, y1 = (max(b[i] for b in every) + off for i in (2, 3))
    return (x0, y0, x1, y1)


def _drawn(feature: Feature, whole: Demand) -> list[Box]:
    """Of its outline, path or places; what is cut back to a plane or radius has no end. A slot goes
    on past its open ends, aslant with a corner far beyond the metal."""
    match feature:
        case Pocket() | Face() | Profile(path=None):
            return [] if feature.outline is None else [area_of(feature.outline).bounds]
        case Boss():
            return [area_of(feature.within or feature.kept).bounds]
        case Profile():
            return [] if feature.path is None else [line_of(feature.path).bounds]
        case Slot():
            return [body.bounds for body in (*whole.must, *whole.may)]
        case Bore():
            return [framed(shapely.MultiPoint(feature.places), feature.diameter / 2).bounds]
        case Hole():
            return [framed(shapely.MultiPoint(feature.places), feature.widest / 2).bounds]
        case Edge() | Sector():
            return []
    raise NotImplementedError(feature.kind)
