"""A bore: a round hole milled on a helix, or opened by drill, and brought to size."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, Self, cast

from gcodekit.geometry.chain import SAME_POINT, Chain
from gcodekit.geometry.region import Shift
from gcodekit.job.document.wording import one
from gcodekit.job.feature import CutterKey, Feature, Rim, Round, Wrong
from gcodekit.job.features.bushes import BUSH, BUSH_KEY, read_diameter
from gcodekit.job.features.cutter_checks import NAMED_FOR
from gcodekit.job.features.kind import DEPTH_WAYS, ROUND_WAYS, SIZE_WAYS, Build, Kind, Surroundings
from gcodekit.job.features.metal_checks import check_places, too_wide
from gcodekit.job.features.sizes import SIZE_KEYS
from gcodekit.job.keys.feature_keys import NAMED_PLACES, PLACE_KEYS, PLACE_WAYS
from gcodekit.job.keys.keys import SMALLEST, Key
from gcodekit.job.keys.reading import Table
from gcodekit.job.measured import SizeAcross
from gcodekit.job.outlines.places import check_apart, read_places
from gcodekit.job.raw_stock import RawStock
from gcodekit.trade.cutter import Cutter

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

FinishWith = Literal["end mill", "boring head", "reamer"]
# Why what was measured of a bore moves no pass.
_REAMED = ("a reamer has its own size", "remove it, and use another reamer")
_BORED = (
    "its size is set on the boring head",
    "remove it, and open the head by the difference at its last stop",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bore(Round):
    """Milled helically and finished to size. `diameter` is the one aimed at."""

    finish_with: FinishWith = "end mill"
    kind = "bore"
    floor_finished = True

    def moved(self, shift: Shift) -> Self:
        """The same elsewhere."""
        return replace(self, places=tuple(map(shift.point, self.places)))

    def lines(self, metal: BaseGeometry) -> tuple[Chain, ...]:
        """A circle at every place."""
        del metal
        return tuple(Chain.circle(p, self.diameter / 2) for p in self.places)

    @property
    def aimed(self) -> bool:
        """But for a reamer's."""
        return self.finish_with != "reamer"

    def across(self) -> SizeAcross | Wrong:
        """Its diameter, but for what a reamer or a boring head makes."""
        if self.finish_with == "reamer":
            return _REAMED
        if self.finish_with == "boring head":
            return _BORED
        return SizeAcross((self.diameter,), inside=True)

    def in_one_pass(self) -> str:
        """Nor does one make it where a reamer or boring head does."""
        found = self.across()
        return Feature.in_one_pass(self) if isinstance(found, SizeAcross) else found[0]

    def taken_area(self, metal: BaseGeometry, narrowest: float) -> BaseGeometry:
        """As drawn."""
        del metal, narrowest
        return self.all_round()

    def all_round(self) -> BaseGeometry:
        """As drawn."""
        from gcodekit.job.stock.drawn_removal import discs

        return discs(self.places, self.diameter / 2)

    def rims(self, metal: BaseGeometry) -> tuple[Rim, ...]:
        """Round every place."""
        del metal
        return (Rim(places=self.places, diameter=self.diameter),)

    def check_in_metal(self, table: Table, raw: RawStock, key: str) -> None:
        """Its diameter and its places."""
        if not too_wide(table, "diameter", self.diameter, raw):
            check_places(table, self, raw, key)

    def bad_cutter(
        self, cutter: Cutter, key: CutterKey, say: Callable[[float], str]
    ) -> Wrong | None:
        """A mill has to go round in it, what finishes it to have its size."""
        wanted = self.finish_with
        if key == "cutter" and wanted != "end mill":
            wrong = (
                None
                if cutter.kind == wanted
                else (f"is not {one(wanted)}", f"name {one(wanted)}, as in finish_with")
            )
        else:
            wrong = Feature.bad_cutter(self, cutter, key, say)
        return wrong or self._bad_size(cutter, key, say)

    def _bad_size(
        self, cutter: Cutter, key: CutterKey, say: Callable[[float], str]
    ) -> Wrong | None:
        size = self.diameter
        if cutter.kind == "reamer":
            if abs(cutter.diameter - size) > NAMED_FOR:
                return f"is {say(cutter.diameter)}", f"name a reamer of {say(size)}"
            return None
        if cutter.kind == "boring head":
            least, most = cutter.range or (0.0, 0.0)
            wrong = (f"bores {say(least)} to {say(most)}", f"name one that bores {say(size)}")
            return None if cutter.bores(size) else wrong
        if cutter.diameter > size + SAME_POINT:
            return f"is wider than the bore, {say(size)}", "name a smaller one"
        if cutter.diameter > size - SAME_POINT and key == "cutter":
            return "is as wide as the bore", "name a smaller one, or drill and ream a hole"
        return None


def _read(table: Table, around: Surroundings) -> Build | None:
    places, finish_with = read_places(table, around.outlines.places), table.choice("finish_with")
    diameter, band = read_diameter(table)
    if places is None or diameter is None or finish_with is None:
        return None
    check_apart(table, places, diameter)
    at, size = places, diameter
    how = cast("FinishWith", finish_with)
    return lambda base: Bore(places=at, diameter=size, band=band, finish_with=how, **base)


KIND = Kind(
    rank=5,
    keys=(
        *PLACE_KEYS,
        NAMED_PLACES,
        Key(name="diameter", kind="length", least=SMALLEST, meaning="finished diameter"),
        Key(
            name="finish_with",
            kind="choice",
            choices=("end mill", "boring head", "reamer"),
            default="end mill",
            meaning="cutter that finishes it to size",
            text="""\
"reamer" needs a reamer of that size in the rack. A reamer or boring head starts from a hole \
milled under size, or from an existing hole, cut by a feature above or in an earlier set-up: if \
no end mill is long enough, with `rough = false`, or if it leaves only the usual allowance. A \
boring head opens the bore by 1 mm in diameter at each cut, with a stop to set it each time; its \
bar must fit in the hole.""",
        ),
        *SIZE_KEYS,
        BUSH_KEY,
    ),
    tables=(BUSH,),
    text="""\
A round hole milled on a helix, then finished to size. It must be at least 1.2 cutter diameters \
wide; drill and ream a smaller one with kind = "hole".""",
    example="""\
[[setup.feature]]
kind = "bore"
diameter = 20
at = [50, 30]
through = true""",
    see=("depth", "places", "hole"),
    read=_read,
    ways=ROUND_WAYS,
    until=True,
    one_of=(DEPTH_WAYS, PLACE_WAYS, (("diameter",), ("bush",))),
    not_both=(SIZE_WAYS,),
)
