"""What a level's moves come to: load, length, air, what is left, and time."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from shapely.geometry.base import BaseGeometry

from engagement.bite import Bite, bite
from engagement.left import gouge, left_standing, reachable
from engagement.speed import Pieces, seconds
from engagement.ways import Array, Level

# A cutter is in cut where it is engaged by more, radians.
IN_CUT = math.radians(1.5)
# Over-engaged is what passes the target by this.
OVER = 1.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """`feed` of cuts and of links, mm/min (rapids go as links); mm/s^2."""

    feed: float = 1500.0
    links: float = 3000.0
    acceleration: float = 300.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Metrics:
    """One level of one pocket.

    Attributes
    ----------
    target : phi_t, radians
    over : share of the length in cut with phi over 1.1 phi_t
    high, worst : phi / phi_t, the 99th percentile of the length in cut and the greatest
    worst_phi : radians
    worst_at : where
    cut_ratio, total_ratio : length of the cuts, and of cuts and links, times ae over the area that
        can be reached; links count in plan, whatever their height
    air : share of the length along the level that is not in cut
    left : what could be reached and was not, share of its area
    lump : how far it stands away from what was swept, mm; `lump_at` where
    gouge : how far the cutter's body leaves the area, mm
    blocks : a mm of cut
    links_in_metal : links that are engaged somewhere
    retracts : rises above the metal's top between the first cut and the last
    entries : ways down into the level
    load_s : seconds with the feed lowered wherever more than ae is taken
    peak_s : seconds at the one feed that the worst moment allows
    plain_s : seconds at the feed as programmed
    """

    target: float
    over: float
    high: float
    worst: float
    worst_phi: float
    worst_at: tuple[float, float]
    cut_ratio: float
    total_ratio: float
    air: float
    left: float
    lump: float
    lump_at: tuple[float, float] | None
    gouge: float
    blocks: float
    links_in_metal: int
    retracts: int
    entries: int
    cut_length: float
    link_length: float
    load_s: float
    peak_s: float
    plain_s: float


def measure(
    level: Level,
    area: BaseGeometry,
    *,
    radius: float,
    ae: float,
    machine: Machine | None = None,
    room: BaseGeometry | None = None,
) -> Metrics:
    """Everything about a level.

    Parameters
    ----------
    area : the metal to be taken away, in plan
    radius : of the cutter, mm
    ae : the width of cut aimed at, mm
    room : where the cutter's body may be, default `area`
    """
    machine = machine or Machine()
    samples = bite(level, area, radius)
    cuts = samples.rows(level.are("cut")[samples.move])
    target = math.acos(1 - ae / radius)
    along = level.ways.length
    cut_length = float(along[level.are("cut")].sum())
    link_length = float(along[level.are("link")].sum())
    reach = reachable(area, radius)
    left, lump, lump_at = left_standing(level, reach, radius)
    worst = int(np.argmax(cuts.phi))
    at, _ = level.ways.rows(cuts.move[worst : worst + 1]).at(cuts.share[worst : worst + 1])
    in_cut = cuts.phi > IN_CUT
    length_in_cut = float(cuts.weight[in_cut].sum())
    flat = samples.weight[level.opens[samples.move]].sum()
    in_air = samples.weight[level.opens[samples.move] & (samples.phi <= IN_CUT)].sum()
    meets = ~level.are("cut")[samples.move] & (samples.phi > IN_CUT)
    return Metrics(
        target=target,
        over=float(cuts.weight[cuts.phi > OVER * target].sum()) / length_in_cut,
        high=_percentile(cuts.phi[in_cut], cuts.weight[in_cut], 0.99) / target,
        worst=float(cuts.phi[worst]) / target,
        worst_phi=float(cuts.phi[worst]),
        worst_at=(float(at[0, 0]), float(at[0, 1])),
        cut_ratio=cut_length * ae / reach.area,
        total_ratio=(cut_length + link_length) * ae / reach.area,
        air=float(in_air / flat),
        left=left,
        lump=lump,
        lump_at=lump_at,
        gouge=gouge(level, area if room is None else room, radius),
        blocks=float(level.are("cut").sum()) / cut_length,
        links_in_metal=len(np.unique(samples.move[meets])),
        retracts=_retracts(level),
        entries=_entries(level),
        cut_length=cut_length,
        link_length=link_length,
        load_s=_time(level, samples, machine, ae / np.maximum(samples.width, ae)),
        peak_s=_time(level, samples, machine, np.full(len(samples.phi), _allowed(cuts, ae))),
        plain_s=_time(level, samples, machine, np.ones(len(samples.phi))),
    )


def _percentile(values: Array, weights: Array, share: float) -> float:
    order = np.argsort(values)
    total = np.cumsum(weights[order])
    return float(values[order][np.searchsorted(total, share * total[-1])])


def _allowed(cuts: Bite, ae: float) -> float:
    """The share of the feed that the greatest width of cut allows."""
    return min(1.0, ae / float(cuts.width.max()))


def _retracts(level: Level) -> int:
    rises = [m.end[2] > m.start[2] and m.end[2] > level.top for m in level.moves]
    first = next(i for i, opens in enumerate(level.opens) if opens)
    return sum(rises[first:])


def _entries(level: Level) -> int:
    down = np.array([m.end[2] < m.start[2] for m in level.moves])
    return int((down & level.lands).sum())


def _time(level: Level, samples: Bite, machine: Machine, share: Array) -> float:
    """Seconds from the first move along the level to the last; `share` of the feed at each
    sample. A link that is engaged is no faster than a cut."""
    first = int(np.nonzero(level.opens)[0][0])
    real = samples.weight > 0
    by_move = {int(m): [] for m in np.unique(samples.move)}
    for move, mm, part, phi in zip(
        samples.move[real].tolist(),
        samples.weight[real].tolist(),
        share[real].tolist(),
        samples.phi[real].tolist(),
        strict=True,
    ):
        by_move[move].append((mm, part, phi))
    rows: list[tuple[float, float, float, Array, Array]] = []
    for i in range(first, len(level.moves)):
        rows += _pieces(level, i, by_move.get(i, []), machine)
    columns = list(zip(*rows, strict=True))
    pieces = Pieces(*(np.array(c, dtype=np.float64) for c in columns))
    return seconds(pieces, machine.acceleration)


def _pieces(
    level: Level, i: int, samples: list[tuple[float, float, float]], machine: Machine
) -> list[tuple[float, float, float, Array, Array]]:
    move = level.moves[i]
    fast = machine.links if move.kind == "rapid" else min(move.feed, machine.links)
    if move.curve is None:
        vector = np.subtract(move.end, move.start)
        unit = vector / np.linalg.norm(vector)
        ways = [(unit, unit)] * max(1, len(samples))
    else:
        ways = _round(level, i, max(1, len(samples)))
    bend = move.curve.radius if move.curve else math.inf
    if not samples:
        return [(move.length, fast / 60, bend, *ways[0])]
    cut = level.kinds[i] == "cut"
    # a link may rise or fall below the metal's top
    longer = move.length / sum(mm for mm, _, _ in samples)
    found = []
    for (mm, share, phi), way in zip(samples, ways, strict=True):
        feed = min(fast, machine.feed) * share if cut or phi > IN_CUT else fast
        found.append((mm * longer, feed / 60, bend, *way))
    return found


def _round(level: Level, i: int, count: int) -> list[tuple[Array, Array]]:
    """Directions at the starts and ends of so many equal pieces of an arc."""
    row = np.full(count + 1, i)
    _, heading = level.ways.rows(row).at(np.arange(count + 1) / count)
    move = level.moves[i]
    rise = (move.end[2] - move.start[2]) / move.length
    flat = math.sqrt(1 - rise**2)
    units = np.stack(
        [flat * np.cos(heading), flat * np.sin(heading), np.full(count + 1, rise)], axis=1
    )
    return list(pairwise(units))
