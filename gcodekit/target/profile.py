"""Profiles: the kerf beside an outline or path, less the tabs and the skin that hold the piece."""

from __future__ import annotations

import math

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import less, union
from gcodekit.job.kinds.profile import Profile
from gcodekit.target.bodies import Body, Upright
from gcodekit.target.demand import Bench, Demand, Used
from gcodekit.target.metal import bottom_of, plan
from gcodekit.target.neighbours import Neighbours
from gcodekit.target.plane import tightest
from gcodekit.target.run_off import RUN_OFF
from gcodekit.target.sides import Side, side_of
from gcodekit.target.tabs import tab_metal
from gcodekit.trade.cutter import Cutter

# Largest radius of a tangential lead-in beside a kerf, mm. Common practice, no source.
LARGEST_LEAD = 5.0


def profile_demand(profile: Profile, used: Used, bench: Bench, others: Neighbours) -> Demand:
    """The finishing cutter's kerf must go; what roughing and leads take on the cutter's side of
    the line may, but nothing that others keep."""
    side, stock_bottom = side_of(profile), bottom_of(bench.setup)
    off, lead = max(used.allowance, used.left), lead_of(used.cutter)
    room = side.room(2 * used.widest + off + lead, used.widest + lead + RUN_OFF)
    kerf = side.kerf(used.cutter.radius, used.left)
    low, must, stay = profile.depth.cut_to, [], list[Body]()
    may = room
    if profile.skin is not None:
        low = max(low, stock_bottom + profile.skin)
        stay.append(Upright(kerf, -math.inf, low))
    if profile.tabs is not None:
        top, tabs = stock_bottom + profile.tabs.height, tab_metal(profile, used, side)
        must = [Upright(less(kerf, tabs.missed), low, top)]
        stay.append(Upright(tabs.stays, -math.inf, top))
        # beside a tab the kerf need not go, but may
        may = union((room, kerf))
        must.append(Upright(kerf, max(low, top)))
    else:
        must = [Upright(kerf, low)]
    return Demand(
        name=profile.name,
        reach=min(used.cutter.radius, _tightest(profile, bench)),
        must=tuple(must),
        may=(Upright(may, low),),
        stay=tuple(stay),
        along=True,
        kept=others.beside(profile, room, _along(side, used, off)),
    )


def lead_of(cutter: Cutter) -> float:
    """The largest radius of a lead-in: the cutter's own, for a smaller arc turns harder."""
    return min(cutter.radius, LARGEST_LEAD)


def _along(side: Side, used: Used, off: float) -> BaseGeometry:
    """What the cutters sweep along the line, off the wall and on it, and past open ends."""
    past = (side.past_ends(c.radius, w) for c in used.cutters for w in (0.0, off))
    return union((side.band(2 * used.widest + off), *past))


def _tightest(profile: Profile, bench: Bench) -> float:
    """The smallest drawn round that the cutter lies in."""
    if profile.side == "on":
        return math.inf
    chains = profile.outline.rings if profile.outline is not None else (profile.path,)
    drawn = (c for c in chains if c is not None)
    return tightest(drawn, left=profile.side in ("inside", "left"), within=plan(bench.setup))
