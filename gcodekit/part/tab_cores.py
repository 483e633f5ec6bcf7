"""The metal of tabs in plan: the piece of kerf that stays, and the kerf a cutter misses by it."""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import common, less, union
from gcodekit.part.plane_regions import grown, strip
from gcodekit.part.profile_side import ProfileSide
from gcodekit.part.tab_places import TabPlace

# Half the width of the line across the kerf by which the tab's own piece of it is known, mm.
HAIR_LINE = 1e-3
# A cutter need come no nearer to a tab than this, mm: one that would graze its flank may stay off.
CLEAR_OF_TAB = 0.002


def core_of(
    tab: TabPlace, line: ProfileSide, kerf: BaseGeometry, *, half: float, radius: float
) -> BaseGeometry:
    """The piece of kerf at a tab, `half` to each side of its middle: a strip of the tab's width
    straight across, from the part to the metal beyond. `radius`: half the kerf's width."""
    near, far = (tab.stretch * edge for edge in line.across(radius))
    # within the tab a curved kerf lies off the tangent by no more than half of it
    box = strip(tab.point, line.away(tab), (near - half, far + half), half)
    middle = strip(tab.point, line.away(tab), (near, far), HAIR_LINE)
    pieces = shapely.get_parts(common(kerf, box))
    return union(p for p in pieces if p.intersects(middle))


def missed_by(
    core: BaseGeometry, line: ProfileSide, *, radius: float, off: float = 0.0
) -> BaseGeometry:
    """The area that a cutter on its path, its side `off` the wall, misses round a tab it never
    touches; beyond the kerf too, lest hairs of it seem to stand along its edge."""
    near, untouched = grown(core, 2 * radius), grown(core, radius + CLEAR_OF_TAB)
    path = shapely.intersection(line.path(radius + off), grown(core, 4 * radius))
    return less(near, grown(shapely.difference(path, untouched), radius))
