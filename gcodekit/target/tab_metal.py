"""The metal of tabs in plan: what has to stay of the kerf, and what a cutter misses beside it."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import EMPTY, common, less, union
from gcodekit.job.kinds.profile import Profile
from gcodekit.target.cutter_side import Side
from gcodekit.target.demand import FeatureCutters
from gcodekit.target.drawn_areas import grown, rectangle
from gcodekit.target.tab_spread import middles
from gcodekit.target.volumes import Middle

# Half the width of the line through a tab's middle by which its piece of kerf is known, mm.
MIDDLE_LINE = 1e-3
# A cutter need come no nearer to a tab than this, mm.
TAB_CLEAR = 0.002


@dataclass(frozen=True, slots=True)
class TabMetal:
    """`stays`: every tab, full width across the kerf; `missed`: what need not be cut for them."""

    stays: BaseGeometry = EMPTY
    missed: BaseGeometry = EMPTY


def tab_metal(profile: Profile, used: FeatureCutters, side: Side) -> TabMetal:
    """A profile's tabs across all that its finishing cutter takes."""
    if profile.tabs is None:
        return TabMetal()
    radius = used.cutter.radius
    off = 0.0 if profile.side == "on" else used.left
    width = 2 * radius + off
    kerf, axis = side.band(width), side.axis(radius + off)
    stays = [
        _stays(m, side, kerf, half=profile.tabs.width / 2, width=width, on=profile.side == "on")
        for m in middles(profile, profile.tabs, used.widest)
    ]
    return TabMetal(union(stays), union(_missed(s, axis, radius) for s in stays))


def _stays(
    tab: Middle, side: Side, kerf: BaseGeometry, *, half: float, width: float, on: bool
) -> BaseGeometry:
    """The kerf within half a tab of its middle, straight across, as far as it hangs together."""
    near, far = (-width / 2, width / 2) if on else (0.0, width)
    near, far = near * tab.longer, far * tab.longer
    out = side.across(tab.along)
    # a bent kerf leaves the straight within a tab by less than half of it
    pieces = shapely.get_parts(
        common(kerf, rectangle(tab.point, out, (near - half, far + half), half))
    )
    middle = rectangle(tab.point, out, (near, far), MIDDLE_LINE)
    return union(p for p in pieces if p.intersects(middle))


def _missed(tab: BaseGeometry, axis: BaseGeometry, radius: float) -> BaseGeometry:
    """Round a tab, all that no cutter on its path sweeps which never touches the tab."""
    way = (axis & grown(tab, 4 * radius)) - grown(tab, radius + TAB_CLEAR)
    return less(grown(tab, 2 * radius), grown(way, radius))
