"""A slot on its centre line."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, Self, cast

from gcodekit.geometry.chain import SAME_POINT, Chain, same
from gcodekit.geometry.region import Region, Shift
from gcodekit.geometry.tolerances import METAL_SAG
from gcodekit.job.feature import CutterKey, Feature, Rim, Wrong
from gcodekit.job.features.kind import AREA, DEPTH_WAYS, SIZE_WAYS, Build, Kind, Surroundings
from gcodekit.job.features.metal_checks import check_lines, too_wide
from gcodekit.job.features.sizes import SIZE_KEYS, read_band
from gcodekit.job.keys.keys import SMALLEST, Key, KeyTable
from gcodekit.job.keys.reading import Table
from gcodekit.job.measured import SizeAcross
from gcodekit.job.raw_stock import RawStock
from gcodekit.trade.cutter import Cutter

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

SlotEnd = Literal["round", "open"]

ENDS = KeyTable(
    "ends",
    (
        Key(
            name="start",
            kind="choice",
            choices=("round", "open"),
            default="round",
            meaning="first end of the slot",
        ),
        Key(
            name="end",
            kind="choice",
            choices=("round", "open"),
            default="round",
            meaning="last end of the slot",
        ),
    ),
    "[[setup.feature]]",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot(Feature):
    """`path` is the centre line between the centres of the end radii."""

    path: Chain
    width: float
    ends: tuple[SlotEnd, SlotEnd] = ("round", "round")
    kind = "slot"
    floor_finished = True

    def moved(self, shift: Shift) -> Self:
        """The same elsewhere."""
        return replace(self, path=shift.chain(self.path))

    def lines(self, metal: BaseGeometry) -> tuple[Chain, ...]:
        """Its centre line."""
        del metal
        return (self.path,)

    @property
    def weight(self) -> int:
        """Lines and arcs of its centre line."""
        return len(self.path)

    @property
    def half_width(self) -> float:
        """To either side of the centre line."""
        return self.width / 2

    @property
    def open_ended(self) -> bool:
        """At either end."""
        return "open" in self.ends

    def across(self) -> SizeAcross | Wrong:
        """Its width."""
        return SizeAcross((self.width,), inside=True)

    def taken_area(self, metal: BaseGeometry, narrowest: float) -> BaseGeometry:
        """As drawn."""
        del metal, narrowest
        return self.all_round()

    def all_round(self) -> BaseGeometry:
        """As drawn, half its width beyond an open end."""
        import shapely

        from gcodekit.geometry.flattening import to_shapely

        swept = to_shapely(self.path, METAL_SAG).buffer(self.width / 2)
        return shapely.union_all([swept, *self._square_ends()])

    def _square_ends(self) -> list[BaseGeometry]:
        import shapely

        path, half = self.path, self.width / 2
        found: list[BaseGeometry] = []
        for at, run, end in zip((0.0, path.length), (-half, half), self.ends, strict=True):
            if end == "open":
                (x, y), (dx, dy) = path.point_at(at), path.tangent_at(at)
                way = shapely.LineString([(x, y), (x + run * dx, y + run * dy)])
                found.append(way.buffer(half, cap_style="flat"))
        return found

    def rims(self, metal: BaseGeometry) -> tuple[Rim, ...]:
        """All round it; an open end lies beyond the metal."""
        from gcodekit.geometry.boolean import union
        from gcodekit.geometry.offset import grow_chain

        del metal
        swept, ends = grow_chain(self.path, self.width / 2), self._squares()
        return (Rim(outline=union([swept, *ends]) if ends else swept),)

    def _squares(self) -> list[Region]:
        """What an open end has beyond its round one, as drawn."""
        path, half = self.path, self.width / 2
        found = []
        for at, run, end in zip((0.0, path.length), (-half, half), self.ends, strict=True):
            if end == "open":
                (x, y), (dx, dy) = path.point_at(at), path.tangent_at(at)
                corners = [
                    (x + s * dx - t * dy, y + s * dy + t * dx)
                    for s, t in ((0.0, -half), (run, -half), (run, half), (0.0, half))
                ]
                found.append(Region.of(Chain.of_points(corners, closed=True)))
        return found

    def check_in_metal(self, table: Table, raw: RawStock, key: str) -> None:
        """Its width and its centre line."""
        if not too_wide(table, "width", self.width, raw):
            check_lines(table, self, (self.path,), raw, key, reach=self.width / 2)

    def bad_cutter(
        self, cutter: Cutter, key: CutterKey, say: Callable[[float], str]
    ) -> Wrong | None:
        """As any, and it has to go in."""
        wrong = Feature.bad_cutter(self, cutter, key, say)
        if wrong is None and cutter.diameter > self.width + SAME_POINT:
            return f"is wider than the slot, {say(self.width)}", "name a narrower one"
        return wrong


def _read(table: Table, around: Surroundings) -> Build | None:
    width, ends = table.length("width"), _ends(table)
    path = _path(table, around)
    if width is None or ends is None or path is None:
        return None
    line, band, both = path, read_band(table, width), ends
    size = band.middle if band else width
    if line.closed and both != ("round", "round"):
        table.error("ends", "a closed path has no ends", "remove ends")
        return None
    return lambda base: Slot(path=line, width=size, ends=both, band=band, **base)


def _path(table: Table, around: Surroundings) -> Chain | None:
    """From end to end, or along a path."""
    if table.has("path"):
        for key in table.given("from", "to"):
            table.error(key, "path is given too", "give either from and to, or path")
        return around.outlines.path(table, "path")
    if not table.given("from", "to"):
        table.error("", "its centre line is missing", "give from and to, or path")
        return None
    for key in ("from", "to"):
        if not table.has(key):
            table.error(key, "is missing", "add it: centre of that end radius")
    start, end = table.point("from"), table.point("to")
    if start is None or end is None:
        return None
    if same(start, end):
        table.error("to", "is the same point as from", 'move one of them, or use kind = "bore"')
        return None
    return Chain.of_points([start, end], closed=False)


def _ends(table: Table) -> tuple[SlotEnd, SlotEnd] | None:
    value = table.raw("ends")
    if isinstance(value, dict):
        ends = table.table("ends", ENDS)
        start, end = (ends.choice("start"), ends.choice("end")) if ends else (None, None)
    elif value is None:
        start = end = "round"
    else:
        start = end = table.source.choose(table.below("ends"), value, ("round", "open"))
    if start is None or end is None:
        return None
    return cast("SlotEnd", start), cast("SlotEnd", end)


KIND = Kind(
    rank=3,
    keys=(
        Key(name="from", kind="point", meaning="centre of the first end radius"),
        Key(name="to", kind="point", meaning="centre of the last end radius"),
        Key(name="path", kind="path", meaning="centre line, instead of from and to"),
        Key(
            name="width",
            kind="length",
            least=SMALLEST,
            required=True,
            meaning="width of the slot",
        ),
        Key(
            name="ends",
            kind="mixed",
            forms=("choice", "table"),
            choices=("round", "open"),
            default="round",
            meaning="ends of the slot: round in the stock, or open out of it",
        ),
        *SIZE_KEYS,
    ),
    tables=(ENDS,),
    text="""\
A slot along its centre line: straight between two points (the centres of the end radii), or \
along an open or closed path. A cutter narrower than the slot is preferred, so that both walls are \
finished.""",
    example="""\
[[setup.feature]]
kind = "slot"
path = [[20, 20], [60, 20], { to = [70, 30], radius = 10, turn = "ccw" }]
width = 5
through = true

[[setup.feature]]
kind = "slot"
from = [20, 45]
to = [60, 45]
width = 8
depth = 3""",
    see=("depth", "path", "ends"),
    read=_read,
    ways=AREA,
    until=True,
    one_of=(DEPTH_WAYS, (("from", "to"), ("path",))),
    not_both=(SIZE_WAYS,),
)
