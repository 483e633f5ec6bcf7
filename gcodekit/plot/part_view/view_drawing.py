"""Views of bodies as SVG: toned areas, lines in ISO 128's widths, the axes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.plot.paper import INK, PAPER, PLAIN, PaperBox, number, tag
from gcodekit.plot.part_view.body_view import BodyView, Bounds, strokes
from gcodekit.plot.part_view.dimetric import Dimetric
from gcodekit.plot.part_view.surface_mesh import Array
from gcodekit.plot.part_view.tones import TONES


@dataclass(frozen=True, slots=True)
class LineGroup:
    """A line group of ISO 128-2: widths of outlines and of all other lines, two to one, mm."""

    wide: float
    narrow: float


# For a picture that has a sheet to itself, and for one that shares it.
SHEET_LINES, SMALL_LINES = LineGroup(0.5, 0.25), LineGroup(0.35, 0.18)
# ISO 128-2, line 05.1, long-dashed double-dotted narrow: dashes of 24 widths, dots of half a one,
# gaps of 3. Narrower than this, mm, its dots are lost in print.
PHANTOM = 0.25
PHANTOM_DASH = " ".join(number(n * PHANTOM) for n in (24, 3, 0.5, 3, 0.5, 3))
# Strokes and areas may be off by this on the paper, mm: a twentieth of the narrow line.
_OFF = 0.0125
# Tones lap over their neighbours by half of this, mm, so that no paper shows between.
_LAP = 0.1
# Of the axes: how long on the paper where not foreshortened, how far the letters are off them,
# an arrow's length and half its width (ISO 128-2 has arrows at 15° to 30°), a shaft's width, mm.
AXIS, _LETTER_OFF, _ARROW, _HALF_ARROW, _SHAFT = 11.0, 2.6, 2.8, 0.65, 0.35


@dataclass(frozen=True, slots=True)
class Placed:
    """The place on the paper of a picture at 1:1, up being positive: `scale` mm of paper a mm."""

    scale: float
    left: float
    bottom: float

    @staticmethod
    def centred(bounds: Bounds, x: float, y: float, scale: float) -> Placed:
        """With the middle of its bounds at a place on the paper."""
        x0, y0, x1, y1 = bounds
        return Placed(scale, x - scale * (x0 + x1) / 2, y + scale * (y0 + y1) / 2)

    def to(self, points: Array) -> Array:
        """Places (n, 2) on the paper."""
        return np.asarray(points * (self.scale, -self.scale) + (self.left, self.bottom))


@dataclass(frozen=True)
class Drawing:
    """A view of a body, ready to be drawn at any scale."""

    view: BodyView

    @cached_property
    def _rims(self) -> BaseGeometry:
        return strokes(self.view.rims)

    @cached_property
    def _corners(self) -> BaseGeometry:
        return strokes(self.view.corners)

    def shaded(self, placed: Placed, lines: LineGroup) -> str:
        """Tones, edges, and outlines on top."""
        ink: dict[str, str | float] = {"stroke": INK}
        return "".join(
            (
                *self._tones(placed),
                _stroked(self._corners, placed, stroke_width=lines.narrow, **ink),
                _stroked(self._rims, placed, stroke_width=lines.wide, **ink),
            )
        )

    def phantom(self, placed: Placed) -> str:
        """All its lines as of something that is not the part: long-dashed double-dotted."""
        drawn = strokes(np.concatenate([self.view.rims, self.view.corners]))
        ink: dict[str, str | float] = {"stroke": INK, "stroke_dasharray": PHANTOM_DASH}
        return _stroked(drawn, placed, stroke_width=PHANTOM, stroke_linecap="butt", **ink)

    def covered(self, placed: Placed) -> BaseGeometry:
        """The paper that it covers: its areas, or where it has none, all within its lines."""
        lines = shapely.multilinestrings([*self.view.rims, *self.view.corners])
        areas = shapely.geometrycollections([*self.view.areas.values()])
        return shapely.transform(areas if self.view.areas else lines.convex_hull, placed.to)

    def _tones(self, placed: Placed) -> Iterable[str]:
        for place, area in sorted(self.view.areas.items()):
            plain = shapely.simplify(area, _OFF / placed.scale)
            rings = shapely.get_parts(shapely.get_rings(shapely.get_parts(plain)))
            data = "".join(_data(ring, placed, "Z") for ring in rings)
            ink = TONES[place]
            if data:
                yield tag(
                    "path", d=data, fill=ink, fill_rule="evenodd", stroke=ink, stroke_width=_LAP
                )


def _stroked(lines: BaseGeometry, placed: Placed, **ink: str | float) -> str:
    # every line for itself: with all of them in mind it takes minutes for a thousand marks
    plain = shapely.simplify(lines, _OFF / placed.scale, preserve_topology=False)
    parts = [p for p in shapely.get_parts(plain) if not p.is_empty]
    data = "".join(_data(p, placed) for p in parts)
    return tag("path", d=data, **ink) if data else ""


def _data(line: BaseGeometry, placed: Placed, end: str = "") -> str:
    """Path data of a line or a ring."""
    points = placed.to(shapely.get_coordinates(line))
    if end:
        points = points[:-1]
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points.tolist()) + end


def axes(view: Dimetric, x: float, y: float) -> str:
    """The three axes from a place on the paper, each with its letter, clear of what lies below."""
    shafts, arrows, letters = "", "", []
    for letter, (tip, along) in zip("XYZ", _tips(view, x, y), strict=True):
        across = np.array([-along[1], along[0]])
        foot = tip - _ARROW * along
        corners = (tip, foot + _HALF_ARROW * across, foot - _HALF_ARROW * across)
        arrows += "M" + "L".join(f"{number(u)} {number(v)}" for u, v in corners) + "Z"
        shafts += f"M{number(x)} {number(y)}L{number(foot[0])} {number(foot[1])}"
        at_x, at_y = (tip + _LETTER_OFF * along).tolist()
        clear: dict[str, str] = {"stroke": PAPER, "paint_order": "stroke", "fill": INK}
        look = {"stroke_width": "1", "text_anchor": "middle", "font_weight": "bold"}
        letters.append(
            tag("text", letter, x=at_x, y=at_y + PLAIN * 0.36, font_size=PLAIN, **clear, **look)
        )
    below = tag("path", d=shafts + arrows, stroke=PAPER, stroke_width=_SHAFT + 0.6)
    shaft = tag("path", d=shafts, stroke=INK, stroke_width=_SHAFT)
    return tag("g", below, shaft, tag("path", d=arrows, fill=INK), *letters)


def axes_room(view: Dimetric, x: float, y: float) -> PaperBox:
    """The room that the axes with their letters take."""
    ends = [np.array([x, y]), *(tip + _LETTER_OFF * along for tip, along in _tips(view, x, y))]
    places = np.array(ends)
    left, top = places.min(axis=0).tolist()
    right, bottom = places.max(axis=0).tolist()
    return PaperBox(left, top, right, bottom).grown(PLAIN / 2)


def free_corner(view: Dimetric, box: PaperBox, drawn: BaseGeometry) -> tuple[float, float]:
    """Find where in a corner of a box the axes can begin, clear of what is drawn (on the paper):
    lower left, upper left or upper right; the first where all are taken."""
    own = axes_room(view, 0.0, 0.0)
    left, right = box.left - own.left, box.right - own.right
    low, high = box.bottom - own.bottom, box.top - own.top
    corners = ((left, low), (left, high), (right, high))
    for corner in corners:
        room = axes_room(view, *corner)
        if not shapely.box(room.left, room.top, room.right, room.bottom).intersects(drawn):
            return corner
    return corners[0]


def _tips(view: Dimetric, x: float, y: float) -> list[tuple[Array, Array]]:
    """The end of the arrow from a place, and its direction, of x, y and z."""
    ends = view.flat(np.eye(3)) * (AXIS, -AXIS)
    return [(end + np.array([x, y]), end / np.linalg.norm(end)) for end in ends]
