"""A profile: the cutter follows a closed outline or an open path, beside it or on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, Self, cast

from gcodekit.geometry.chain import SAME_POINT, Chain, Point
from gcodekit.geometry.region import Region, Shift
from gcodekit.geometry.tolerances import METAL_SAG
from gcodekit.job.document.wording import listed
from gcodekit.job.feature import Feature, Freed, Rim, Round, Wrong
from gcodekit.job.features.kind import (
    DEPTH_WAYS,
    ROUND_WAYS,
    SIZE_WAYS,
    Base,
    Build,
    Kind,
    Surroundings,
)
from gcodekit.job.features.metal_checks import PlanLimits, check_lines
from gcodekit.job.features.sizes import SIZE_KEYS, refuse_size, sized_outline
from gcodekit.job.features.tabs import TABS, Tabs, above_skin, read_skin, read_tabs
from gcodekit.job.keys.keys import Key
from gcodekit.job.keys.reading import Table
from gcodekit.job.measured import SizeAcross
from gcodekit.job.raw_stock import RawStock

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from gcodekit.job.holdings import Hold

Side = Literal["outside", "inside", "on", "left", "right"]
# Why what was measured of a profile moves no pass.
_ON_LINE = (
    "a profile on its line is cut in one, without a finishing pass",
    "remove it, and give the cutter's diameter as measured",
)
_ONE_WALL = (
    "an open path has one wall, so no size across",
    "remove it, and move the path by what it is off",
)
# A cutter beside an open cut may run off the metal by its radius and still cut: an ample one, mm.
_ANY_CUTTER = 25.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile(Feature):
    """Along a closed `outline`, or an open `path`; `side` is where the cutter stands."""

    outline: Region | None = None
    path: Chain | None = None
    side: Side
    tabs: Tabs | None = None
    skin: float | None = None
    kind = "profile"
    floor_finished = True

    def among(self, features: Sequence[Feature], bottom: float, holds: Sequence[Hold]) -> Self:
        """The same, its tabs knowing the round holes that go into them, and the clamps that stand
        from its own stage on."""
        tabs = self.tabs
        if tabs is None or not tabs.count:
            return self
        low = (f for f in features if f.depth.cut_to < bottom + tabs.height)
        holes = tuple((p, f.diameter / 2) for f in low if isinstance(f, Round) for p in f.places)
        mine = holds[self.stage :]
        clamps = {c: f"clamp {n}" for hold in mine for n, c in enumerate(hold.clamps, 1)}
        return replace(self, tabs=replace(tabs, clear_of=holes, clamps=tuple(clamps.items())))

    def moved(self, shift: Shift) -> Self:
        """The same elsewhere, its cutter on the same side of the metal."""
        hands: dict[str, Side] = {"left": "right", "right": "left"} if shift.mirror else {}
        tabs = self.tabs
        return replace(
            self,
            outline=None if self.outline is None else shift.region(self.outline),
            path=None if self.path is None else shift.chain(self.path),
            side=hands.get(self.side, self.side),
            tabs=tabs and replace(tabs, at=tuple(shift.point(p) for p in tabs.at)),
        )

    def lines(self, metal: BaseGeometry) -> tuple[Chain, ...]:
        """Find what it follows."""
        del metal
        return self.chains

    @property
    def chains(self) -> tuple[Chain, ...]:
        """What it follows: its outline's rings, or its path."""
        if self.path is not None:
            return (self.path,)
        return self.outline.rings if self.outline is not None else ()

    @property
    def weight(self) -> int:
        """Lines and arcs of what it follows."""
        return sum(map(len, self.chains))

    @property
    def keeps(self) -> tuple[Region, ...]:
        """What it is cut round."""
        return (self.outline,) if self.outline is not None and self.side == "outside" else ()

    @property
    def axis(self) -> Point | None:
        """Of a round outline."""
        return self.outline.centre if self.outline is not None else None

    @property
    def standing(self) -> float:
        """Its tabs, or its skin."""
        return max(self.skin or 0.0, self.tabs.height if self.tabs else 0.0)

    @property
    def freed(self) -> Freed | None:
        """What lies in an outline that it cuts right through, or would but for its skin."""
        if self.outline is None or not (self.depth.through or self.skin is not None):
            return None
        return Freed(self.outline, slug=self.side == "inside")

    def across(self) -> SizeAcross | Wrong:
        """Those of its outline, on the side that its cutter leaves."""
        if self.side == "on":
            return _ON_LINE
        if self.outline is None:
            return _ONE_WALL
        from gcodekit.geometry.outline_widths import region_sizes

        return SizeAcross(region_sizes(self.outline), inside=self.side == "inside")

    def no_floor(self) -> str:
        """Nor one that leaves a skin."""
        leaves = "its skin is what has to stay under it, so it has no depth to correct"
        return leaves if self.skin is not None else Feature.no_floor(self)

    def in_one_pass(self) -> str:
        """Nor does one make it where the cutter runs on the line."""
        return _ON_LINE[0] if self.side == "on" else Feature.in_one_pass(self)

    def kerf(self, narrowest: float) -> float:
        """Width of its kerf, as narrow as it may be: of the cutter named, or of the narrowest."""
        named = self.cutting.cutter
        return named.diameter if named is not None else narrowest

    def taken_area(self, metal: BaseGeometry, narrowest: float) -> BaseGeometry:
        """As much of its kerf as there is sure to be."""
        from gcodekit.geometry.flattening import to_shapely

        del metal
        width = self.kerf(narrowest)
        if self.path is not None:
            line = to_shapely(self.path, METAL_SAG)
            if self.side == "on":
                return line.buffer(width / 2)
            return line.buffer(width if self.side == "left" else -width, single_sided=True)
        assert self.outline is not None  # the job gives one of both
        area = to_shapely(self.outline, METAL_SAG)
        match self.side:
            case "outside":
                return area.buffer(width).difference(area)
            case "inside":
                return area.difference(area.buffer(-width))
            case _:
                return area.boundary.buffer(width / 2)

    def zero_lost(self, raw: RawStock, narrowest: float) -> Literal["x", "y"] | None:
        """Of an edge that its kerf reaches along its length."""
        if self.outline is None or self.side != "outside":
            return None
        width = self.kerf(narrowest)
        part, metal = PlanLimits.of_chains(self.outline.rings), PlanLimits.of_metal(raw)
        long_y = part.back - part.front > (metal.back - metal.front) / 2
        long_x = part.right - part.left > (metal.right - metal.left) / 2
        edges: tuple[tuple[Literal["x", "y"], float, float, bool], ...] = (
            ("x", metal.left, part.left - metal.left, long_y),
            ("x", metal.right, metal.right - part.right, long_y),
            ("y", metal.front, part.front - metal.front, long_x),
            ("y", metal.back, metal.back - part.back, long_x),
        )
        for axis, at, gap, long in edges:
            if abs(at) < SAME_POINT and long and SAME_POINT < gap <= width:
                return axis
        return None

    def rims(self, metal: BaseGeometry) -> tuple[Rim, ...]:
        """Along its line, on what it leaves; a cutter on its line leaves both where they fall."""
        del metal
        if self.side == "on":
            return (Rim(unknown="its kerf is as wide as its cutter"),)
        return (Rim(outline=self.outline, path=self.path, side=self.side),)

    def check_in_metal(self, table: Table, raw: RawStock, key: str) -> None:
        """Find what it follows; an outside one is no larger than the metal."""
        reach = 0.0 if self.side == "inside" else _ANY_CUTTER
        round_part = self.side == "outside"
        check_lines(table, self, self.chains, raw, key, reach=reach, round_part=round_part)


_CLOSED_SIDES = ("outside", "inside", "on")
_OPEN_SIDES = ("left", "right", "on")
# Why there is no size across, and what would have one: on a closed line, along an open one.
_NO_SIZE = (
    (
        "the centre of the cutter is on the line, so there is no size",
        'write side = "outside" or "inside"',
    ),
    ("an open path has no size across", "remove it, or draw a closed outline"),
)


def _read(table: Table, around: Surroundings) -> Build | None:
    way = table.one_of("outline", "path", what="its line")
    side = table.choice("side")
    outline = around.outlines.region(table, "outline") if way == "outline" else None
    path = around.outlines.path(table, "path", closed=False) if way == "path" else None
    band = None
    if way == "path" or side == "on":
        refuse_size(table, *_NO_SIZE[way == "path"])
    elif outline is not None and side in _CLOSED_SIDES:
        sized = sized_outline(table, outline, inside=side == "inside")
        outline, band = sized or (outline, None)
    if side == "on" and table.raw("rough") == "constant engagement":
        what = (
            'constant engagement needs a kerf wider than the cutter, with side = "on" there is none'
        )
        table.error("rough", what, 'use true, false or "contour parallel"')
    chains = outline.rings if outline else (path,) if path else ()
    tabs, skin = read_tabs(table, around.metal, chains), read_skin(table, around.metal)
    if not _goes_with(table, side, way):
        return None
    if side is None or not chains or (table.has("tabs") and not tabs):
        return None
    if table.has("skin") and skin is None:
        return None
    where, rim = cast("Side", side), outline

    def build(base: Base) -> Profile:
        whole = Profile(outline=rim, path=path, side=where, tabs=tabs, skin=skin, band=band, **base)
        return replace(whole, depth=above_skin(whole.depth, skin))

    return build


def _goes_with(table: Table, side: str | None, way: str | None) -> bool:
    """Tell whether a side goes with an outline, or with a path; else the fault is noted."""
    sides = _CLOSED_SIDES if way == "outline" else _OPEN_SIDES
    if side is None or way is None or side in sides:
        return True
    what = "a closed outline" if way == "outline" else "an open path"
    words = listed([f'"{s}"' for s in sides])
    table.error("side", f'"{side}" does not go with {what}', f"use {words}")
    return False


KIND = Kind(
    rank=4,
    keys=(
        Key(name="outline", kind="outline", meaning="closed outline to follow"),
        Key(name="path", kind="path", meaning="open path to follow"),
        Key(
            name="side",
            kind="choice",
            choices=("outside", "inside", "on", "left", "right"),
            required=True,
            meaning="side of the line that the cutter is on",
            text="outside, inside or on with an outline; left, right or on with a path.",
        ),
        Key(name="tabs", kind="table", meaning="tabs: bridges that hold the part", unset="no tabs"),
        Key(
            name="skin",
            kind="length",
            least=0.05,  # thinner, board and touching off decide what is left
            meaning="thickness of the onion skin left to hold the part",
            unset="no onion skin",
            text="A thin web left under the cut, to be broken or filed away. It takes the place of "
            "tabs, and there is no breakthrough.",
        ),
        *SIZE_KEYS,
    ),
    tables=(TABS,),
    text="""\
Follow a line with the cutter next to it or on it: cut a part out of sheet, trim an edge, open a \
large hole. `side` is the side that the cutter is on. With a closed outline: outside, inside or \
on; "outside" keeps the cutter outside the part and inside its holes. With an open path: left, \
right or on, seen along the path from its first point.

A piece that comes free with no tab and no clamp on it gets a warning with its place.""",
    example="""\
[[setup.feature]]
kind = "profile"
outline = { rectangle = [80, 40], centre = [50, 30], round = 6 }
side = "outside"
through = true
tabs = { count = 4, width = 6, height = 1 }""",
    see=("depth", "outline", "path", "tabs"),
    read=_read,
    ways=ROUND_WAYS,
    one_of=(DEPTH_WAYS, (("outline",), ("path",))),
    not_both=((("tabs",), ("skin",)), SIZE_WAYS),
    words_with={
        "outline": ("side", _CLOSED_SIDES),
        "path": ("side", _OPEN_SIDES),
    },
)
