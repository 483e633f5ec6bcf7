"""Jobs as a strategy: stock, rack, holding and features of any kind, at random.

A job is kept in mm, and written as text in either unit at the very end. A further feature kind is
one more strategy in `KINDS`: it is given the `Bench` (what it stands in) and gives the lines of its
`[[setup.feature]]`, lengths through `bench.u`.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from random_racks import BORING, SAW, SAW_ARBOR, SINKS, racks, workshop_text

MM_PER_INCH = 25.4

MATERIALS = ("aluminium", "brass", "mild steel", "acetal", "cast iron")


@dataclass(frozen=True, slots=True)
class Bench:
    """What a feature stands in: units, the metal's size (mm, above what grips it), and whether
    cuts may go through it."""

    inch: bool
    width: float
    length: float
    height: float
    through: bool
    holes_through: bool
    # what holds the work lies beside it, and is met where a cutter runs off there
    hemmed: bool
    mills: tuple[float, ...]
    drills: tuple[float, ...]
    reamers: tuple[float, ...]

    @property
    def narrowest(self) -> float:
        """The smallest end mill, with room for its allowance."""
        return self.mills[0] + 0.5

    def u(self, mm: float) -> str:
        """A length as the file writes it."""
        return f"{round(mm / MM_PER_INCH, 4) if self.inch else round(mm, 3)}"

    def p(self, x: float, y: float) -> str:
        """A point."""
        return f"[{self.u(x)}, {self.u(y)}]"


def tenths(low: float, high: float) -> st.SearchStrategy[float]:
    """Sizes as drawings have them: mostly to a tenth of a millimetre, whole ones first."""
    whole = st.integers(int(-(-low // 1)), int(high // 1)).map(float) if high - low >= 1 else None
    fine = st.integers(round(low * 10), round(high * 10)).map(lambda n: n / 10)
    return fine if whole is None else st.one_of(whole, fine)


def places(bench: Bench, off: float = 0.0) -> st.SearchStrategy[tuple[float, float]]:
    """Points of the metal, `off` inside its edge (outside, where less than 0)."""
    off = min(off, bench.width / 2 - 0.5, bench.length / 2 - 0.5)
    return st.tuples(tenths(off, bench.width - off), tenths(off, bench.length - off))


Point = tuple[float, float]
# Unit steps to the right, back, left and front.
ROUND = ((1, 0), (0, 1), (-1, 0), (0, -1))
# Threads with the drills they are tapped in.
TAPPING = {"M3": 2.5, "M4": 3.3, "M5": 4.2}
# Milled threads with their pitches and the bores they are cut in.
MILLED = {"M10": (1.5, 8.55), "M12x1.5": (1.5, 10.5), "M20x1.5": (1.5, 18.5), "M10x1": (1.0, 9.0)}
ANGLES = st.sampled_from((0, 0, 15, 30, 45, 90, 137, -20))


@st.composite
def outlines(draw: st.DrawFn, bench: Bench, *, deep: int = 1) -> str:
    """A shape, perhaps placed, perhaps made of two."""
    kinds = ["rectangle", "circle", "obround", "polygon", "path"] * 2 + ["of two"] * (deep > 0)
    kind = draw(st.sampled_from(kinds))
    most = max(8.0, min(bench.width, bench.length) * 0.8)
    w, h = draw(tenths(5, most)), draw(tenths(5, most))
    centre = bench.p(*draw(places(bench, 3.0)))
    angle = draw(ANGLES)
    if kind == "rectangle":
        rounding = draw(st.sampled_from((0.0, 0.0, 2.0, 3.0, 4.5)))
        inside = f", round = {bench.u(rounding)}" if 0 < 2 * rounding < min(w, h) else ""
        return (
            f"{{ rectangle = [{bench.u(w)}, {bench.u(h)}], centre = {centre}{inside}, "
            f"angle = {angle} }}"
        )
    if kind == "circle":
        return f"{{ circle = {bench.u(w)}, centre = {centre} }}"
    if kind == "obround":
        size = f"[{bench.u(max(w, h) + 1)}, {bench.u(min(w, h))}]"
        return f"{{ obround = {size}, centre = {centre}, angle = {angle} }}"
    if kind == "polygon":
        sides, across = draw(st.integers(3, 8)), draw(st.sampled_from(("flats", "corners")))
        size = bench.u(w)
        return (
            f"{{ polygon = {sides}, across_{across} = {size}, centre = {centre}, angle = {angle} }}"
        )
    if kind == "path":
        return draw(closed_paths(bench, w, h))
    how = draw(st.sampled_from(("union", "minus", "common")))
    first, second = draw(outlines(bench, deep=deep - 1)), draw(outlines(bench, deep=deep - 1))
    return f"{{ {how} = [{first}, {second}] }}"


@st.composite
def closed_paths(draw: st.DrawFn, bench: Bench, w: float, h: float) -> str:
    """An L or a chevron with rounds, bevels and now and then a bulging side."""
    x, y = draw(places(bench, 3.0))
    share = draw(st.sampled_from((0.3, 0.5, 0.7)))
    # legs that a cutter goes into, nearly always
    least = draw(st.sampled_from((bench.narrowest,) * 7 + (0.0,)))
    w, h = max(w, least / min(share, 1 - share)), max(h, least / min(share, 1 - share))
    corners = [
        (0.0, 0.0),
        (w, 0.0),
        (w, h),
        (w * share, h),
        (w * share, h * share),
        (0.0, h * share),
    ]
    smallest = min(w * share, w * (1 - share), h * share, h * (1 - share))
    entries = []
    for i, (dx, dy) in enumerate(corners):
        point = bench.p(x - w / 2 + dx, y - h / 2 + dy)
        corner = draw(st.sampled_from(("", "", "round", "bevel"))) if i else ""
        size = draw(st.sampled_from((0.5, 1.0, 2.0, 3.0)))
        if corner and size < smallest / 2:
            entries.append(f"{{ to = {point}, {corner} = {bench.u(size)} }}")
        else:
            entries.append(point)
    if draw(st.booleans()):
        return f"{{ path = [{', '.join(entries)}] }}"
    end, radius = bench.p(x - w / 2, y - h / 2), bench.u(max(h * share, 1.0))
    turn = draw(st.sampled_from(("cw", "ccw")))
    return (
        f'{{ path = [{", ".join(entries)}, {{ to = {end}, radius = {radius}, turn = "{turn}" }}] }}'
    )


@st.composite
def open_paths(draw: st.DrawFn, bench: Bench) -> str:
    """Two to four points, straight or by arcs, corners rounded or not."""
    points = draw(st.lists(places(bench, -2.0), min_size=2, max_size=4, unique_by=lambda p: p[0]))
    # from left to right, so that few of them cross themselves
    points = sorted(points)
    entries = [bench.p(*points[0])]
    for (x0, y0), (x1, y1) in pairwise(points):
        way = draw(st.sampled_from(("straight", "straight", "round", "arc")))
        far = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5
        if way == "arc":
            radius = bench.u(far * draw(st.sampled_from((0.55, 0.8, 2.0))) + 0.01)
            turn = draw(st.sampled_from(("cw", "ccw")))
            entries.append(f'{{ to = {bench.p(x1, y1)}, radius = {radius}, turn = "{turn}" }}')
        elif way == "round" and (x1, y1) != points[-1]:
            entries.append(f"{{ to = {bench.p(x1, y1)}, round = {bench.u(draw(tenths(0.5, 4)))} }}")
        else:
            entries.append(bench.p(x1, y1))
    return f"[{', '.join(entries)}]"


@st.composite
def where(draw: st.DrawFn, bench: Bench, off: float) -> str:
    """A place or several, in one of the ways of giving them."""
    x, y = draw(places(bench, off))
    how = draw(st.sampled_from(("at", "list", "row", "grid", "circle", "polar")))
    count = draw(st.integers(2, 4))
    pitch, angle = draw(tenths(4.0, 12.0)), draw(ANGLES)
    if how in ("row", "grid"):
        # so that most of them lie on the metal
        x, y = min(x, bench.width / 2), min(y, bench.length / 2)
        pitch = max(
            1.0, min(pitch, (bench.width / 2 - off) / count, (bench.length / 2 - off) / count)
        )
    skip = ", skip = [2]" if count > 2 and draw(st.booleans()) else ""
    if how == "at":
        return f"at = {bench.p(x, y)}"
    if how == "list":
        return f"at = [{bench.p(x, y)}, {bench.p(*draw(places(bench, off)))}]"
    if how == "row":
        end = draw(st.sampled_from(("start", "centre")))
        return (
            f"row = {{ {end} = {bench.p(x, y)}, pitch = {bench.u(pitch)}, count = {count}, "
            f"angle = {angle}{skip} }}"
        )
    if how == "grid":
        return (
            f"grid = {{ start = {bench.p(x, y)}, pitch = {bench.p(pitch, pitch)}, "
            f"count = [2, {count}], angle = {angle}{skip} }}"
        )
    centre = bench.p(bench.width / 2, bench.length / 2)
    radius = draw(tenths(4, max(6.0, min(bench.width, bench.length) / 2 - off)))
    if how == "circle":
        return (
            f"pitch_circle = {{ centre = {centre}, diameter = {bench.u(2 * radius)}, "
            f"count = {count}, start = {angle}{skip} }}"
        )
    return (
        f"polar = {{ centre = {centre}, "
        f"points = [[{bench.u(radius)}, {angle}], [{bench.u(radius / 2)}, 200]] }}"
    )


@st.composite
def depths(draw: st.DrawFn, bench: Bench, most: float) -> str:
    """Through where something may lie under the work, a depth or a floor."""
    if bench.through and draw(st.booleans()):
        return "through = true"
    deep = draw(tenths(0.5, max(0.5, min(most, bench.height * 0.9))))
    return draw(st.sampled_from((f"depth = {bench.u(deep)}", f"floor = {bench.u(-deep)}")))


@st.composite
def cutting(
    draw: st.DrawFn,
    bench: Bench,
    *,
    named: bool = True,
    widest: float = math.inf,
) -> list[str]:
    """Mostly nothing; now and then what a machinist tunes; `named`: a cutter too, mostly of the
    `widest` at most."""
    lines = []
    if draw(st.integers(0, 3)) == 0:
        lines.append(f'cut = "{draw(st.sampled_from(("climb", "conventional")))}"')
    fitting = sum(m <= widest for m in bench.mills) if draw(st.integers(0, 7)) else 0
    numbers = st.integers(1, fitting or len(bench.mills))
    tuned = draw(st.integers(0, 15))
    match tuned if named or tuned < 6 else 15:
        case 0:
            lines.append("spring_passes = 2")
        case 1:
            lines.append("finish = false")
        case 2:
            lines.append("rough = false")
        case 3:
            lines.append(f"allowance = {{ wall = {bench.u(0.3)}, floor = {bench.u(0.2)} }}")
        case 4:
            lines.append(f"stepdown = {bench.u(0.8)}")
        case 5:
            lines.append(f"stepover = {bench.u(1.1)}")
        case 6:
            lines.append(f"rough_with = {draw(numbers)}")
        case 7:
            lines.append(f"cutter = {draw(numbers)}")
    return lines


# Limits of size, mm: about the nominal, above it, below it, so narrow that a tenth is meant.
LIMITS = ((-0.02, 0.01), (0.0, 0.03), (0.05, 0.15), (-0.2, -0.1), (0.0, 0.08))
FITS = ("H7", "H9", "JS8", "P7", "F8", "D10")


@st.composite
def limited(draw: st.DrawFn, bench: Bench, *, hole: bool) -> list[str]:
    """Mostly nothing; now and then how true the size is to be."""
    match draw(st.integers(0, 9)):
        case 0 | 1:
            low, high = draw(st.sampled_from(LIMITS))
            # a hundred-thousandth of an inch, as narrow ones have to be
            per = MM_PER_INCH if bench.inch else 1.0
            return [f"limits = [{low / per:.5f}, {high / per:.5f}]"]
        case 2:
            name = draw(st.sampled_from(FITS))
            return [f'fit = "{name if hole else name.lower()}"']
    return []


@st.composite
def faces(draw: st.DrawFn, bench: Bench) -> list[str]:
    if not bench.hemmed and draw(st.booleans()):
        # no deeper than the least that others go, nearly always
        deep = draw(st.sampled_from((0.2, 0.3, 0.4, 0.4, 1.2)))
        return ['kind = "face"', f"depth = {bench.u(deep)}"]
    deep = draw(tenths(0.2, 1.5))
    return ['kind = "face"', f"depth = {bench.u(deep)}", f"outline = {draw(outlines(bench))}"]


@st.composite
def pockets(draw: st.DrawFn, bench: Bench) -> list[str]:
    lines = ['kind = "pocket"', f"outline = {draw(outlines(bench))}", draw(depths(bench, 8.0))]
    if draw(st.integers(0, 4)) == 0:
        lines.append(f"islands = [{draw(outlines(bench, deep=0))}]")
    return lines + draw(limited(bench, hole=True)) + draw(cutting(bench))


@st.composite
def slots(draw: st.DrawFn, bench: Bench) -> list[str]:
    width = draw(st.one_of(st.sampled_from(bench.mills), tenths(2.5, 14)))
    lines = ['kind = "slot"', f"width = {bench.u(width)}", draw(depths(bench, 6.0))]
    if draw(st.integers(0, 3)) == 0:
        lines += draw(limited(bench, hole=True))
        return [
            *lines,
            f"path = {draw(open_paths(bench))}",
            *draw(cutting(bench, widest=width)),
        ]
    first, ends = draw(places(bench)), draw(st.sampled_from(("round", "start", "end", "both")))
    last = draw(places(bench).filter(lambda p: p != first))
    # an open end is drawn at the edge, or a little beside it
    beside = draw(st.sampled_from((-1.0, 0.0, 0.0, 2.0)))
    if ends in ("start", "both"):
        first = (beside, first[1])
    if ends in ("end", "both"):
        last = (last[0], bench.length - beside)
    lines += [f"from = {bench.p(*first)}", f"to = {bench.p(*last)}"]
    if ends != "round":
        lines.append('ends = "open"' if ends == "both" else f'ends = {{ {ends} = "open" }}')
    return lines + draw(limited(bench, hole=True)) + draw(cutting(bench, widest=width))


@st.composite
def holding_on(draw: st.DrawFn, bench: Bench, spots: list[Point]) -> list[str]:
    """What keeps a part in its sheet: tabs anywhere or at `spots`, a skin, or nothing."""
    how = draw(st.sampled_from(("", "", "count", "count", "at", "skin")))
    if not how:
        return []
    if how == "skin":
        return [f"skin = {bench.u(draw(st.sampled_from((0.1, 0.3))))}"]
    height, width = bench.u(min(1.0, bench.height / 3)), bench.u(draw(tenths(2, 6)))
    where = f"count = {draw(st.integers(1, 4))}"
    if how == "at" and spots:
        chosen = draw(st.lists(st.sampled_from(spots), min_size=1, max_size=3, unique=True))
        where = f"at = [{', '.join(bench.p(*spot) for spot in chosen)}]"
    return [f"tabs = {{ {where}, width = {width}, height = {height} }}"]


@st.composite
def plain_outlines(draw: st.DrawFn, bench: Bench) -> tuple[str, list[Point]]:
    """A rectangle or circle, and points on it or a little beside it."""
    w, h = draw(tenths(8, max(12.0, bench.width * 0.7))), draw(tenths(8, max(12.0, bench.length)))
    x, y = draw(places(bench, 5.0))
    off = draw(st.sampled_from((0.0, 0.0, 1.2)))
    if draw(st.booleans()):
        across = [(x + (w / 2 + off) * dx, y + (w / 2 + off) * dy) for dx, dy in ROUND]
        return f"{{ circle = {bench.u(w)}, centre = {bench.p(x, y)} }}", across
    sides = [(x + w / 2 * dx, y + (h / 2 + off) * dy) for dx in (-0.3, 0.4, 1) for dy in (-1, 1)]
    return f"{{ rectangle = [{bench.u(w)}, {bench.u(h)}], centre = {bench.p(x, y)} }}", sides


@st.composite
def profiles(draw: st.DrawFn, bench: Bench) -> list[str]:
    depth = draw(depths(bench, 6.0))
    lines = ['kind = "profile"', depth]
    if draw(st.integers(0, 2)):
        side = draw(st.sampled_from(("outside", "outside", "inside", "on")))
        plain = plain_outlines(bench)
        outline, spots = draw(st.one_of(plain, outlines(bench).map(lambda o: (o, []))))
        lines += [f"outline = {outline}", f'side = "{side}"']
        if "through" in depth:
            lines += draw(holding_on(bench, spots))
        if side != "on":
            lines += draw(limited(bench, hole=side == "inside"))
    else:
        side = draw(st.sampled_from(("left", "right", "on")))
        lines += [f"path = {draw(open_paths(bench))}", f'side = "{side}"']
    return lines + draw(cutting(bench))


@st.composite
def bores(draw: st.DrawFn, bench: Bench) -> list[str]:
    diameter = draw(tenths(5, max(6.0, min(bench.width, bench.length, 50.0) * 0.6)))
    lines = ['kind = "bore"', f"diameter = {bench.u(diameter)}", draw(depths(bench, 8.0))]
    lines.append(draw(where(bench, diameter * draw(st.sampled_from((0.5, 0.6, 0.6, 0.4))))))
    match draw(st.integers(0, 7)):
        case 0:
            lines.append(
                f"limits = [{bench.u(draw(st.sampled_from((-0.1, 0.0))))}, {bench.u(0.2)}]"
            )
        case 1:
            lines.append('fit = "H11"')
        case 3:
            lines[1] = f'bush = {{ diameter = {bench.u(diameter)}, fit = "s7" }}'
        case 2 if BORING[0] <= diameter <= BORING[1]:
            return [*lines, 'finish_with = "boring head"']
    return lines + draw(cutting(bench, named=False))


@st.composite
def edges(draw: st.DrawFn, bench: Bench) -> list[str]:
    side, off = draw(st.sampled_from(("left", "right", "front", "back"))), draw(tenths(0.3, 6.0))
    size = bench.width if side in ("left", "right") else bench.length
    at = off if side in ("left", "front") else size - off
    lines = ['kind = "edge"', f'side = "{side}"', f"at = {bench.u(at)}"]
    whole = bench.through and draw(st.booleans())
    return lines + ([] if whole else [draw(depths(bench, 6.0))]) + draw(cutting(bench))


@st.composite
def bosses(draw: st.DrawFn, bench: Bench) -> list[str]:
    several = draw(st.integers(0, 3)) == 0
    lines = ['kind = "boss"', draw(depths(bench, 5.0))]
    if bench.hemmed or draw(st.integers(0, 2)) == 0:
        lines += draw(limited(bench, hole=False))
        return lines + draw(bosses_within(bench)) + draw(cutting(bench))
    kept = [draw(outlines(bench, deep=0)) for _ in range(1 + several)]
    lines.append(f"outlines = [{', '.join(kept)}]" if several else f"outline = {kept[0]}")
    return lines + draw(limited(bench, hole=False)) + draw(cutting(bench))


@st.composite
def bosses_within(draw: st.DrawFn, bench: Bench) -> list[str]:
    """A boss in a recess of the metal: now and then any two outlines."""
    if draw(st.integers(0, 7)) == 0:
        return [f"{key} = {draw(outlines(bench, deep=0))}" for key in ("outline", "within")]
    (x, y), size = draw(places(bench, 9.0)), draw(tenths(4, 12))
    centre, angle = bench.p(x, y), draw(ANGLES)
    wide = size * 1.5 + 2 * draw(st.sampled_from(bench.mills)) + 1.0
    kept = draw(
        st.sampled_from(
            (
                f"{{ circle = {bench.u(size)}, centre = {centre} }}",
                f"{{ rectangle = [{bench.u(size)}, {bench.u(0.7 * size)}], centre = {centre}, "
                f"angle = {angle} }}",
                f"{{ polygon = 6, across_flats = {bench.u(size)}, centre = {centre} }}",
            )
        )
    )
    within = draw(
        st.sampled_from(
            (
                f"{{ circle = {bench.u(wide)}, centre = {centre} }}",
                f"{{ obround = [{bench.u(wide + 4)}, {bench.u(wide)}], centre = {centre}, "
                f"angle = {angle} }}",
                f"{{ rectangle = [{bench.u(wide)}, {bench.u(wide)}], centre = {centre} }}",
            )
        )
    )
    return [f"outline = {kept}", f"within = {within}"]


@st.composite
def arcs(draw: st.DrawFn, bench: Bench) -> list[str]:
    side = draw(st.sampled_from(("outside", "inside")))
    x, y = draw(places(bench, -2.0 if side == "inside" else -5.0))
    turn = draw(st.sampled_from((45, 90, 90, 180, 200, 360)))
    # about where the most metal is, nearly always
    off, to = bench.width / 2 - x, bench.length / 2 - y
    ahead = round(math.degrees(math.atan2(to, off))) - turn // 2
    start = draw(st.one_of(st.just(ahead), st.just(ahead), st.integers(ahead - 20, ahead + 20)))
    far = math.hypot(off, to) + min(bench.width, bench.length) / 3
    radius = draw(tenths(4, 25 if side == "inside" else max(5.0, far)))
    lines = ['kind = "arc"', f"centre = {bench.p(x, y)}", f"radius = {bench.u(radius)}"]
    lines += [f"start = {start}", f"end = {start + turn}", f'side = "{side}"']
    lines.append(draw(depths(bench, 6.0)))
    if (bench.hemmed and side == "outside") or draw(st.integers(0, 2)) == 0:
        exact = draw(st.integers(0, 15)) == 0
        wide = draw(st.sampled_from(bench.mills)) + (0.0 if exact else 0.6)
        other = radius + wide if side == "outside" else radius - wide
        lines += [f"from_radius = {bench.u(other)}"] * (other > 0)
    return lines + ['ends = "open"'] * (draw(st.integers(0, 2)) == 0) + draw(cutting(bench))


@st.composite
def mouths(draw: st.DrawFn, bench: Bench, diameter: float, depth: str) -> list[str]:
    """What else a hole has: a wider mouth, a pilot, both or neither."""
    lines = []
    match draw(st.integers(0, 7)) if "through" in depth or draw(st.integers(0, 3)) == 0 else 7:
        case 0:
            deep = bench.u(draw(tenths(0.5, bench.height / 2)))
            fitting = [m for m in bench.mills if m > diameter + 0.5]
            sizes = tenths(diameter + 1, diameter + 8)
            wide = bench.u(draw(st.one_of(sizes, *([st.sampled_from(fitting)] if fitting else []))))
            lines.append(f"counterbore = {{ diameter = {wide}, depth = {deep} }}")
        case 1 if bench.height >= 6:
            angle = draw(st.sampled_from(sorted(SINKS)))
            wide = bench.u(draw(tenths(min(diameter + 1, 9), 10)))
            lines.append(f"countersink = {{ diameter = {wide}, angle = {angle} }}")
    smaller = [d for d in bench.drills if d < diameter - 0.5]
    if smaller and draw(st.integers(0, 5)) == 0:
        lines.append(f'pilot = "{draw(st.sampled_from(smaller))} mm"')
    return lines


@st.composite
def threads(draw: st.DrawFn, bench: Bench) -> list[str]:
    """A hole to be tapped by hand."""
    thread = draw(st.sampled_from(tuple(t for t, d in TAPPING.items() if d in bench.drills)))
    lines = ['kind = "hole"', f'thread = "{thread}"', draw(where(bench, 4.0))]
    depth = draw(depths(bench, 6.0))
    return [*lines, depth, *draw(mouths(bench, TAPPING[thread], depth))]


@st.composite
def holes(draw: st.DrawFn, bench: Bench) -> list[str]:
    if draw(st.integers(0, 7)) == 0 and any(d in bench.drills for d in TAPPING.values()):
        return draw(threads(bench))
    ream = bool(bench.reamers) and draw(st.integers(0, 3)) == 0
    diameter = draw(st.sampled_from(bench.reamers if ream else bench.drills))
    lines = ['kind = "hole"', f'diameter = "{diameter} mm"', draw(where(bench, diameter))]
    if not ream and draw(st.integers(0, 5)) == 0:
        return lines  # spotted only
    depth = draw(depths(bench, 12.0))
    lines += [depth] + ["ream = true"] * ream
    lines += draw(mouths(bench, diameter, depth))
    if draw(st.integers(0, 3)) == 0:
        lines.append(draw(st.sampled_from(("peck = false", f"peck = {bench.u(1.5)}"))))
    return lines + ["spot = false"] * draw(st.booleans())


@st.composite
def milled_threads(draw: st.DrawFn, bench: Bench) -> list[str]:
    """A bore and the thread in it, nearly always of the right size and deep enough."""
    name = draw(st.sampled_from(tuple(MILLED)))
    pitch, bore = MILLED[name]
    at = f"at = {bench.p(*draw(places(bench, bore / 2 + 2)))}"
    deep = draw(tenths(1.0, max(1.5, bench.height - 2.8)))
    low = deep + 0.75 * pitch + 1.3
    size = bore + draw(st.sampled_from((*(0.0,) * 30, -0.4, 0.5)))
    bored = "through = true" if bench.through else f"depth = {bench.u(low)}"
    lines = ['kind = "bore"', at, f'diameter = "{size} mm"', bored, "", "[[setup.feature]]"]
    lines += ['kind = "thread_mill"', at, f"depth = {bench.u(deep)}"]
    if draw(st.booleans()):
        lines.append(f'thread = "{name}"')
    else:
        lines += [f'diameter = "{name[1:].partition("x")[0]} mm"', f'pitch = "{pitch} mm"']
    lines += ['hand = "left"'] * (draw(st.integers(0, 3)) == 0)
    lines += [f'fit = "{draw(st.sampled_from(("5H", "6H", "7H", "6G")))}"'] * draw(st.booleans())
    return lines + ['cut = "conventional"'] * draw(st.booleans())


@st.composite
def saws(draw: st.DrawFn, bench: Bench) -> list[str]:
    """A kerf from one of the sides, to the edges or ending in the work, straight or a little askew,
    nearly always no deeper than the arbor lets it."""
    side, hand = draw(st.sampled_from(("front", "right", "back", "left"))), "right"
    across = bench.length if side in ("front", "back") else bench.width
    along = bench.width if side in ("front", "back") else bench.length
    most = (SAW[0] - SAW_ARBOR) / 2 - 1.0
    deep = draw(tenths(1.0, max(1.5, min(most, across - 2) * draw(st.sampled_from((1, 1, 1.3))))))
    askew = draw(st.sampled_from((0.0, 0.0, 0.0, 1.5)))
    ends = [draw(st.sampled_from((-3.0, -3.0, along * share))) for share in (0.25, 0.4)]
    line = [(ends[0], deep), (along - ends[1], deep + askew if deep + askew < most else deep)]
    # seen with its side at the front, the blade is on the right of what goes to the right
    turned = {
        "front": lambda u, n: (u, n),
        "right": lambda u, n: (bench.width - n, u),
        "back": lambda u, n: (bench.width - u, bench.length - n),
        "left": lambda u, n: (n, bench.length - u),
    }[side]
    if draw(st.booleans()):
        line, hand = line[::-1], "left"
    z = -draw(tenths(1.1, max(1.2, bench.height - 2.4)))
    lines = [
        'kind = "saw"',
        *(f"{k} = {bench.p(*turned(*p))}" for k, p in zip(("from", "to"), line, strict=True)),
    ]
    lines += [f'side = "{hand}"', f"z = {bench.u(z)}"]
    lines.append(f'loses = "{draw(st.sampled_from(("above", "below")))}"')
    if draw(st.integers(0, 3)) == 0:
        lines.append(f'cut = "{draw(st.sampled_from(("climb", "conventional")))}"')
    return lines + [f"stepdown = {bench.u(2.5)}"] * (draw(st.integers(0, 3)) == 0)


@st.composite
def chamfers(draw: st.DrawFn, bench: Bench) -> list[str]:
    """A wall and the chamfer of its edge: round a pocket or boss, along a path, round holes."""
    angle = draw(st.sampled_from((45, 45, 45, 41)))
    leg = [f"width = {bench.u(draw(st.sampled_from((0.2, 0.5, 1.0))))}", f"angle = {angle}"]
    edge = ["", "[[setup.feature]]", 'kind = "chamfer"']
    deep = f"depth = {bench.u(min(4.0, 0.8 * bench.height))}"
    how = draw(st.sampled_from(("pocket", "boss", "path", "hole", "bore")))
    if how in ("pocket", "boss") and not (bench.hemmed and how == "boss"):
        outline = f"outline = {draw(outlines(bench))}"
        side = "inside" if how == "pocket" else "outside"
        return [f'kind = "{how}"', outline, deep, *edge, outline, f'side = "{side}"', *leg]
    if how in ("hole", "bore"):
        drilled = st.sampled_from(bench.drills)
        size = draw(drilled if how == "hole" else tenths(8, 16))
        holes = [f'diameter = "{size} mm"', draw(where(bench, size))]
        return [f'kind = "{how}"', *holes, deep, *edge, *holes, *leg]
    side = f'side = "{draw(st.sampled_from(("left", "right")))}"'
    if draw(st.booleans()):
        line = [f"path = {draw(open_paths(bench))}", side]
        return ['kind = "profile"', *line, deep, *edge, *line, *leg]
    # a step all across, its edge broken from here to there
    y, ends = draw(tenths(0, bench.length)), st.sampled_from((-3.0, 0.0, 0.3, 0.7, 1.0))
    first, last = sorted(draw(st.lists(ends, min_size=2, max_size=2, unique=True)))
    wall = f"path = [{bench.p(-5, y)}, {bench.p(bench.width + 5, y)}]"
    way = f"path = [{bench.p(first * bench.width, y)}, {bench.p(last * bench.width, y)}]"
    return ['kind = "profile"', wall, side, deep, *edge, way, side, *leg]


TEXTS = ("A", "No {n}", "Ø5 ±0.1", "N {nnn}", "RA", "7° 30'", "M4 × 0.7", "Ω")


@st.composite
def engravings(draw: st.DrawFn, bench: Bench) -> list[str]:
    """A short text on its place, at several or round an arc, or a line."""
    lines = ['kind = "engrave"']
    what = draw(st.sampled_from(("text", "text", "places", "arc", "path")))
    if what == "path":
        lines.append(f"path = {draw(open_paths(bench))}")
    else:
        high = draw(st.sampled_from((1.0, 2.5, 4.0, 6.0)))
        text = draw(st.sampled_from(TEXTS))
        lines += [f'text = "{text}"', f"height = {bench.u(high)}"]
        lines.append(f'align = "{draw(st.sampled_from(("left", "centre", "right")))}"')
    if what == "arc":
        radius, start = draw(tenths(4, 20)), draw(ANGLES)
        tops, centre = draw(st.sampled_from(("outward", "inward"))), bench.p(*draw(places(bench)))
        arc = f'centre = {centre}, radius = {bench.u(radius)}, start = {start}, tops = "{tops}"'
        lines.append(f"arc = {{ {arc} }}")
    elif what != "path":
        count = 1 if what == "text" else 2
        at = [bench.p(*draw(places(bench, 1.0))) for _ in range(count)]
        lines.append(f"at = [{', '.join(at)}]")
        lines.append(f"angle = {draw(ANGLES)}")
    deep = draw(st.sampled_from((0.1, 0.2, 0.5)))
    if draw(st.booleans()):
        lines.append(f"line_width = {bench.u(draw(st.sampled_from((0.2, 0.3, 0.5, 1.0))))}")
    else:
        lines.append(f"depth = {bench.u(deep)}")
        lines += [f"cutter = {draw(st.sampled_from((1, 72)))}"] if draw(st.booleans()) else []
    return lines


@st.composite
def scales(draw: st.DrawFn, bench: Bench) -> list[str]:
    """Round a circle, a part of one, or along a line; with numbers or without."""
    lines = ['kind = "scale"']
    if draw(st.booleans()):
        lines.append(f"centre = {bench.p(*draw(places(bench)))}")
        lines.append(f"radius = {bench.u(draw(tenths(4, 20)))}")
        lines.append(f'side = "{draw(st.sampled_from(("outside", "inside")))}"')
        lines.append(f'turn = "{draw(st.sampled_from(("ccw", "cw")))}"')
        if draw(st.booleans()):
            lines += [f"start = {draw(ANGLES)}", f"end = {draw(ANGLES) + 77}"]
        parts = ("divisions = 7", "divisions = 24", "spacing_angle = 15")
        lines.append(draw(st.sampled_from(parts)))
    else:
        a, b = draw(places(bench)), draw(places(bench))
        lines += [f"from = {bench.p(*a)}", f"to = {bench.p(*b)}"]
        lines.append(f'side = "{draw(st.sampled_from(("left", "right")))}"')
        lines.append(draw(st.sampled_from(("divisions = 9", f"spacing = {bench.u(1.5)}"))))
    lines.append(f"short = {bench.u(draw(tenths(0.5, 2)))}")
    if draw(st.booleans()):
        lines.append(f"long = {{ length = {bench.u(3.0)}, every = {draw(st.integers(2, 6))} }}")
    if draw(st.booleans()):
        every, step = draw(st.integers(1, 6)), draw(st.sampled_from((-1, 0.1, 10)))
        tops = draw(st.sampled_from(("outward", "inward")))
        high = f'height = {bench.u(2.0)}, tops = "{tops}"'
        lines.append(f"numbers = {{ every = {every}, step = {step}, {high} }}")
    lines.append(f"line_width = {bench.u(draw(st.sampled_from((0.2, 0.3))))}")
    return lines


# A further kind: one more row.
KINDS: dict[str, Callable[[Bench], st.SearchStrategy[list[str]]]] = {
    "face": faces,
    "pocket": pockets,
    "slot": slots,
    "profile": profiles,
    "bore": bores,
    "hole": holes,
    "edge": edges,
    "boss": bosses,
    "arc": arcs,
    "thread_mill": milled_threads,
    "saw": saws,
    "chamfer": chamfers,
    "engrave": engravings,
    "scale": scales,
}


# Kinds that need something of their own beside them: too many of them leave no job unrefused.
RARER = ("chamfer", "saw", "thread_mill")
DRAWN = tuple(kind for kind in sorted(KINDS) for _ in range(1 if kind in RARER else 2))


@st.composite
def features(draw: st.DrawFn, bench: Bench) -> str:
    """One `[[setup.feature]]`, perhaps with copies."""
    kind = draw(st.sampled_from(DRAWN))
    # jaws and a tape leave nothing under the work but what a drill or boring head goes into
    through = bench.through or (kind in ("hole", "bore") and bench.holes_through)
    lines = draw(KINDS[kind](replace(bench, through=through)))
    ways = WAYS[:-1] if kind in ("bore", "profile") else WAYS
    way = draw(st.sampled_from(ways)) if kind in ROUGHED else ""
    unfit = "rough = false" in lines or (way == "constant engagement" and 'side = "on"' in lines)
    rough = [f'rough = "{way}"'] if way and not unfit else []
    # a copied thread would want a bore of its own
    whole = kind in ("thread_mill", "chamfer") or whole_face(lines)
    if draw(st.integers(0, 7)) == 0 and lines[1:] and not whole:
        lines.append(f"copies = {draw(copies(bench, mirrored=kind in MIRRORED))}")
    return "\n".join(["[[setup.feature]]", *lines, *rough, ""])


def whole_face(lines: list[str]) -> bool:
    """Whether it mills all of the top."""
    return lines[0] == 'kind = "face"' and len(lines) == 2


# How it is roughed; the last not for bores and profiles.
WAYS = ("", "", "", "", "", "constant engagement", "contour parallel", "zigzag")
ROUGHED = ("face", "pocket", "slot", "profile", "bore", "edge", "boss", "arc")

# What meets itself, or misses the metal, when it is moved a little.
MIRRORED = ("edge", "profile", "engrave", "scale")


@st.composite
def copies(draw: st.DrawFn, bench: Bench, *, mirrored: bool) -> str:
    """Moved, turned about the middle or mirrored there; `mirrored`: that only."""
    middle = bench.p(bench.width / 2, bench.length / 2)
    ways = [
        f'[{{ mirror = "x", about = {middle} }}]',
        f"[{{ move = {bench.p(7.5, 3)} }}]",
        f"{{ count = 3, angle = 120, about = {middle} }}",
    ]
    return draw(st.sampled_from(ways[: 1 if mirrored else 3]))


@st.composite
def stocks(draw: st.DrawFn, inch: bool) -> tuple[str, tuple[float, float, float]]:
    """The `[stock]` table and the metal's size, mm."""
    height = draw(st.sampled_from((3.0, 6.0, 8.0, 10.0, 12.7)))
    per = MM_PER_INCH if inch else 1.0
    match draw(st.integers(0, 9)):
        case 0:
            diameter = draw(tenths(20, 50))
            sizes = f"diameter = {diameter / per:.5g}, length = {height / per:.5g}"
            return f'round = {{ {sizes}, axis = "z" }}', (diameter, diameter, height)
        case 1:
            # lying down
            diameter, length = draw(tenths(16, 32)), draw(tenths(20, 60))
            sizes = f"diameter = {diameter / per:.5g}, length = {length / per:.5g}"
            return f'round = {{ {sizes}, axis = "x" }}', (length, diameter, diameter)
    width, length = draw(tenths(20, 70)), draw(tenths(20, 50))
    plates = draw(st.sampled_from((1, 1, 1, 2)))
    block = f"block = [{width / per:.5g}, {length / per:.5g}, {height / per / plates:.5g}]"
    stacked = f"\nstacked = {plates}" if plates > 1 else ""
    return block + stacked, (width, length, height)


@dataclass(frozen=True, slots=True)
class Holding:
    """The `[setup.hold]` table; how far what holds the work reaches over it from the left, and up
    from below, mm; whether cuts, or holes alone, may go through the work."""

    text: str
    left: float = 0.0
    grip: float = 0.0
    through: bool = True
    holes_through: bool = True


@st.composite
def holdings(draw: st.DrawFn, size: tuple[float, float, float], inch: bool) -> Holding:
    """Board, vise, a clamp at the left, or nothing."""
    per = MM_PER_INCH if inch else 1.0
    kind = draw(st.sampled_from(("board", "board", "board", "vise", "vise", "clamps", "none")))
    if kind == "none":
        return Holding("")
    if kind == "board":
        return Holding(f"[setup.hold]\nboard = {15 / per:.5g}\n")
    if kind == "vise":
        grip = draw(st.sampled_from((0.3, 0.5))) * size[2]
        lies = 'along = "y", fixed = "left", ' if draw(st.booleans()) else ""
        parallels = draw(st.booleans())
        under = f", parallels = {15 / per:.5g}" if parallels else ""
        text = (
            f"[setup.hold]\nvise = {{ {lies}grip = {grip / per:.5g}, "
            f"jaw_width = {100 / per:.5g}, jaw_depth = {25 / per:.5g}{under} }}\n"
        )
        return Holding(text, 0.0, grip, through=False, holes_through=parallels)
    # one on the left edge's middle; the features lie right of it, one in eight nearer
    left = draw(st.sampled_from((20.0,) * 7 + (8.0,)))
    at = f"[{(-2 - left) / per:.5g}, {size[1] / 2 / per:.5g}]"
    text = (
        f"[setup.hold]\nclamps = [{{ at = {at}, size = [{10 / per:.5g}, {8 / per:.5g}], "
        f"height = {12 / per:.5g} }}]\nboard = {15 / per:.5g}\n"
    )
    return Holding(text, left)


def job_features(draw: st.DrawFn, bench: Bench) -> list[str]:
    """One to four, no more than one face of the whole top."""
    found = draw(st.lists(features(bench), min_size=1, max_size=4, unique_by=_face_or_itself))
    if len(found) > 1 and draw(st.integers(0, 7)) == 0:
        # a feature without a name is called by its kind and a running number
        kind = found[-1].split('"')[1]
        number = sum(f'kind = "{kind}"' in f for f in found)
        found[0] += f'after = "{kind} {number}"\n'
    if draw(st.integers(0, 19)) == 0:
        found.append(f"[[setup.copy]]\nmove = {bench.p(3.5, 8)}\n")
    return found


def _face_or_itself(feature: str) -> str:
    lines = feature.splitlines()[1:]
    return "whole face" if whole_face(lines) else feature


@st.composite
def jobs(draw: st.DrawFn) -> tuple[str, str]:
    """The text of a job file and of its workshop file."""
    inch = draw(st.integers(0, 3)) == 0
    stock, size = draw(stocks(inch))
    mills, drills, reamers = draw(racks())
    hold = draw(holdings(size, inch))
    width, length, height = size
    if hold.left and "round" not in stock:
        # the metal that is clamped is added on the left
        per = MM_PER_INCH if inch else 1.0
        stock = stock.replace(f"[{width / per:.5g}", f"[{(width + hold.left) / per:.5g}")
    bench = Bench(
        inch=inch,
        width=width,
        length=length,
        height=height - hold.grip,
        through=hold.through and 'axis = "x"' not in stock,
        holes_through=hold.holes_through,
        hemmed=bool(hold.left),
        mills=mills,
        drills=drills,
        reamers=reamers,
    )
    found = job_features(draw, bench)
    order = 'order = "as written"\n' if draw(st.integers(0, 5)) == 0 else ""
    order += f"break_edges = {bench.u(0.3)}\n" * (draw(st.integers(0, 7)) == 0)
    left = f'"left + {bench.u(hold.left)}"' if hold.left else '"left"'
    text = (
        f'name = "Random"\nunits = "{"inch" if inch else "mm"}"\nworkshop = "workshop.toml"\n'
        f'material = "{draw(st.sampled_from(MATERIALS))}"\n[stock]\n{stock}\n[[setup]]\n'
        f'zero = {{ x = {left}, y = "front", z = "top" }}\n{order}{hold.text}{"".join(found)}'
    )
    return text, workshop_text(mills, drills, reamers, draw(st.booleans()))


def as_drawn(how_many: int, **more: Any) -> settings:
    """So many jobs just as they are drawn: none is kept, none shrunk, however long they take."""
    return settings(
        max_examples=how_many,
        database=None,
        deadline=None,
        phases=(Phase.generate,),
        suppress_health_check=list(HealthCheck),
        **more,
    )
