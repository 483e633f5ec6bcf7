"""A hole: spotted, drilled, reamed or tapped, its mouth shaped."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, Self, cast

from gcodekit.geometry.chain import SAME_POINT, Chain
from gcodekit.geometry.region import Shift
from gcodekit.job.document.wording import quoted
from gcodekit.job.feature import CutterKey, Round, Wrong
from gcodekit.job.features.bushes import BUSH, BUSH_KEY, read_diameter
from gcodekit.job.features.cutter_checks import NAMED_FOR
from gcodekit.job.features.kind import DEPTH_WAYS, SIZE_WAYS, Base, Build, Kind, Surroundings
from gcodekit.job.features.metal_checks import check_places, too_wide
from gcodekit.job.features.mouths import COUNTERBORE, COUNTERSINK, MouthKeys, check_mouth
from gcodekit.job.features.sizes import SIZE_KEYS
from gcodekit.job.hole_shapes import Counterbore, Countersink
from gcodekit.job.keys.feature_keys import NAMED_PLACES, PLACE_KEYS, PLACE_WAYS
from gcodekit.job.keys.keys import SHORTEST, SMALLEST, Key
from gcodekit.job.keys.reading import Table
from gcodekit.job.outlines.places import check_apart, read_places
from gcodekit.job.raw_stock import RawStock
from gcodekit.trade.cutter import FLAT_MILLS, Cutter
from gcodekit.trade.threads import Thread, cuts_thread, find_thread, near_threads

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

Tapping = Literal["by hand", "machine"]
# A hole whose limits lie this far apart, mm, is drilled; a narrower one is reamed. A drill cuts
# up to about half of it too large. Common practice, no source.
DRILLED_BAND = 0.1
# Keys that say how true the diameter is.
_SIZED = ("fit", "limits", "bush")


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole(Round):
    """Spotted, drilled and perhaps reamed or tapped. `diameter` is the one aimed at, of a threaded
    hole the tapping drill's. `peck`: depth of a peck, 0.0 for none, None to leave it to the plan.
    `drilled` False: spot or countersink only. `spot_asked`: by the job, not by default. `pilot`:
    diameter of a smaller drill that goes first."""

    spot: bool = True
    spot_asked: bool = False
    pilot: float | None = None
    peck: float | None = None
    ream: bool = False
    thread: Thread | None = None
    tapping: Tapping = "by hand"
    drill_depth: float | None = None
    counterbore: Counterbore | None = None
    countersink: Countersink | None = None
    drilled: bool = True
    kind = "hole"
    milled = False

    def moved(self, shift: Shift) -> Self:
        """The same elsewhere."""
        return replace(self, places=tuple(map(shift.point, self.places)))

    def lines(self, metal: BaseGeometry) -> tuple[Chain, ...]:
        """Circles of all its diameters at every place."""
        del metal
        mouths = (self.counterbore, self.countersink)
        widths = (self.diameter, *(m.diameter for m in mouths if m is not None))
        return tuple(Chain.circle(p, w / 2) for p in self.places for w in widths)

    @property
    def widest(self) -> float:
        """Of the hole or its mouth."""
        mouths = (self.counterbore, self.countersink)
        return max(self.diameter, *(m.diameter for m in mouths if m), 0.0)

    @property
    def has_depth(self) -> bool:
        """Where it is drilled."""
        return self.drilled

    @property
    def aimed(self) -> bool:
        """A drill or reamer has its own size."""
        return False

    def taken_area(self, metal: BaseGeometry, narrowest: float) -> BaseGeometry:
        """Its own diameter."""
        del metal, narrowest
        return self.all_round()

    def all_round(self) -> BaseGeometry:
        """Its own diameter."""
        from gcodekit.job.stock.drawn_removal import discs

        return discs(self.places, self.diameter / 2)

    def check_in_metal(self, table: Table, raw: RawStock, key: str) -> None:
        """Its diameter and its places; a drill may wander where it breaks the metal's edge."""
        if not too_wide(table, "diameter", self.diameter, raw):
            check_places(table, self, raw, key)

    def check_depths(self, table: Table, bottom: float) -> None:
        """Of its drill and its mouth."""
        _check_drill_depth(table, self, bottom)
        check_mouth(table, self, self.counterbore, self.countersink, bottom)

    def bad_cutter(
        self, cutter: Cutter, key: CutterKey, say: Callable[[float], str]
    ) -> Wrong | None:
        """A drill of its size, or what else it asks for."""
        return _bad_kind(self, cutter, key) or _bad_size(self, cutter, key, say)


def _bad_kind(feature: Hole, cutter: Cutter, key: CutterKey) -> Wrong | None:
    if cutter.kind in FLAT_MILLS:
        return "is no drill", 'a hole that is milled is kind = "bore"'
    if not feature.drilled and feature.countersink:
        ok = cutter.kind in ("spot drill", "chamfer mill")
        return None if ok else ("cannot countersink", "name a chamfer mill or a spot drill")
    if not feature.drilled:
        ok = cutter.kind in ("spot drill", "drill")
        return None if ok else ("cannot spot", "name a spot drill")
    if key == "cutter" and feature.thread is not None and feature.tapping == "machine":
        return None if cutter.kind == "tap" else ("is no tap", 'tapping = "machine" asks for one')
    if cutter.kind == "spot drill":
        return "only spots", "name a drill"
    if key == "cutter" and feature.ream:
        return (
            None
            if cutter.kind == "reamer"
            else ("is no reamer", f"{_reamed_by(feature)} asks for one")
        )
    return None if cutter.kind == "drill" else ("is no drill", "name a drill")


def _reamed_by(hole: Hole) -> str:
    if hole.band is None:
        return "ream = true"
    return "fit" if hole.band.fit else "limits"


def _bad_size(
    hole: Hole, cutter: Cutter, key: CutterKey, say: Callable[[float], str]
) -> Wrong | None:
    if not hole.drilled:
        return None
    thread = hole.thread
    if cutter.kind == "tap" and thread is not None:
        has = f"{say(cutter.diameter)} of pitch {say(cutter.pitch or 0.0)}"
        wanted = f"{thread.name} is {say(thread.major)} of pitch {say(thread.pitch)}"
        return None if cuts_thread(cutter, thread) else (f"is {has}", wanted)
    if key == "cutter" and abs(cutter.diameter - hole.diameter) > NAMED_FOR:
        return f"is {say(cutter.diameter)}", f"the hole is {say(hole.diameter)}"
    if key == "rough_with" and hole.ream and cutter.diameter >= hole.diameter:
        return f"is {say(cutter.diameter)}", "a drill before a reamer is smaller than the hole"
    return None


def _check_drill_depth(table: Table, hole: Hole, lowest: float) -> None:
    """A reamed or tapped hole is drilled at least as deep, and not through unasked."""
    if hole.drill_depth is None:
        return
    say, bottom = table.source.say, hole.depth.top - hole.drill_depth
    if bottom > hole.depth.floor + SAME_POINT:
        deep, last = say(hole.depth.top - hole.depth.floor), "thread" if hole.thread else "reamer"
        table.error("drill_depth", f"{say(hole.drill_depth)} is not as deep as the {last}", deep)
    elif bottom < lowest - SAME_POINT and not hole.depth.through:
        table.error(
            "drill_depth",
            f"to z {say(bottom)} is below the metal's bottom at z {say(lowest)}",
            "to go through write through = true",
        )


def _read(table: Table, around: Surroundings) -> Build | None:
    """A hole, whatever belongs to it."""
    places = read_places(table, around.outlines.places)
    peck, thread = _peck(table), _thread(table)
    diameter, band = read_diameter(table, thread)
    pilot, drill_depth = table.length("pilot"), table.length("drill_depth")
    spot, ream, tapping = table.flag("spot"), table.flag("ream"), _tapping(table, around)
    drilled = bool(table.given("depth", "floor", "until")) or table.raw("through") is True
    narrow = band is not None and (bool(band.fit) or band.width < DRILLED_BAND)
    _check_drilled(table, drilled)
    _check_threaded(table, ream=ream or narrow)
    if pilot is not None and diameter is not None and pilot >= diameter:
        say = table.source.say
        table.error("pilot", f"{say(pilot)} is no smaller drill", f"the hole is {say(diameter)}")
    mouth = MouthKeys(table)
    if places is None or diameter is None or tapping is None:
        return None
    check_apart(table, places, diameter)
    at, size = places, diameter

    def build(base: Base) -> Hole:
        top = base["depth"].top
        counterbore = mouth.counterbore(base["depth"])
        return Hole(
            places=at,
            diameter=size,
            band=band,
            spot=spot,
            spot_asked=table.raw("spot") is True,
            pilot=pilot,
            peck=peck,
            ream=ream or narrow,
            thread=thread,
            tapping=tapping,
            drill_depth=drill_depth,
            counterbore=counterbore,
            countersink=mouth.countersink(top, counterbore),
            drilled=drilled,
            **base,
        )

    return build


def _thread(table: Table) -> Thread | None:
    name = table.text("thread")
    if name is None:
        return None
    thread = find_thread(name)
    if thread is None:
        table.error("thread", f"{quoted(name)} is no thread of the table", near_threads(name))
    return thread


def _tapping(table: Table, around: Surroundings) -> Literal["by hand", "machine"] | None:
    tapping = table.choice("tapping")
    if tapping is None:
        return None if table.has("tapping") else "by hand"
    if not table.has("thread"):
        table.error("tapping", "there is no thread to tap", 'give thread = "M4"')
    elif tapping == "machine" and not around.workshop.machine.spindle.reverse:
        table.error(
            "tapping",
            f"the spindle of {around.workshop.machine.name} does not turn backwards, and a tap "
            "must be run out again",
            'write "by hand"; a spindle that can says reverse = true in the workshop file',
        )
    return cast("Literal['by hand', 'machine']", tapping)


def _check_drilled(table: Table, drilled: bool) -> None:
    """Without a depth a hole is only spotted or countersunk."""
    if table.has("drill_depth") and not table.given("ream", "thread", *_SIZED):
        table.error("drill_depth", "only a reamed or tapped hole has one", "depth is the drill's")
    if drilled:
        return
    if not table.flag("spot") and not table.has("countersink"):
        table.error("spot", "a hole without a depth is only spotted", "give a depth, or spot it")
    for key in table.given("pilot", "thread", "counterbore", *_SIZED):
        table.error(key, "a hole without a depth is only spotted or countersunk", "give a depth")
    if table.flag("ream"):
        table.error("ream", "a hole without a depth is only spotted", "give a depth")


def _check_threaded(table: Table, *, ream: bool) -> None:
    given = [k for k in table.given("ream", "fit", "limits") if k != "ream" or ream]
    if table.has("thread") and given:
        table.error(given[0], "a threaded hole is not sized", f"leave out thread or {given[0]}")


def _peck(table: Table) -> float | None:
    """Depth of a peck; 0 for none; None to leave it to the plan."""
    value = table.raw("peck")
    if value is None or value is True:
        return None
    if value is False:
        return 0.0
    key = table.keys.key("peck")
    assert key is not None
    return table.source.amount(table.below("peck"), value, key, "length")


KIND = Kind(
    rank=6,
    keys=(
        *PLACE_KEYS,
        NAMED_PLACES,
        Key(
            name="diameter",
            kind="length",
            least=SMALLEST,
            meaning="the finished diameter; of a threaded hole the tapping drill, if not the usual",
        ),
        *SIZE_KEYS,
        BUSH_KEY,
        Key(
            name="spot",
            kind="flag",
            default=True,
            meaning="spot it first",
            text="With the rack's spot drill. Left out, a rack that has none drills without; "
            "spot = true asks for it. A hole without a depth is spotted and no more.",
        ),
        Key(
            name="pilot",
            kind="length",
            least=SMALLEST,
            meaning="diameter of a smaller drill to go first",
        ),
        Key(
            name="peck",
            kind="mixed",
            forms=("length", "flag"),
            least=0.05,
            meaning="depth of a peck, or false for none; left out: by depth and material",
            example="""\
[[setup.feature]]
kind = "hole"
diameter = 4
depth = 8
at = [20, 20]
peck = 2.5""",
        ),
        Key(name="ream", kind="flag", default=False, meaning="drill under size and ream"),
        Key(
            name="thread",
            kind="text",
            meaning="the thread to be tapped, as M4",
            text="Drilled to the standard's tapping size unless `diameter` says another. Blind: "
            "full threads reach the depth, and the drill goes deeper by the tap's lead and "
            "a pitch.",
        ),
        Key(
            name="tapping",
            kind="choice",
            choices=("by hand", "machine"),
            meaning="who taps it; by hand if left out",
        ),
        Key(
            name="drill_depth",
            kind="length",
            least=SHORTEST,
            meaning="of the drill, reamed or tapped",
            text="Only with ream = true: where the drill's full diameter ends, counted from `top`.",
        ),
        Key(name="counterbore", kind="table", meaning="flat-bottomed widening of the mouth"),
        Key(name="countersink", kind="table", meaning="cone at the mouth"),
    ),
    tables=(COUNTERBORE, COUNTERSINK, BUSH),
    text="""\
A drilled hole: spotted, drilled, reamed if asked. `depth` is where the hole has its full \
diameter; the drill's point goes deeper. Blind and reamed: full reamed size at the depth, drilled \
deeper by the reamer's lead and 1 mm. Through: the drill's shoulder passes the bottom by the \
breakthrough. Without a depth it is spotted only.""",
    example="""\
[[setup.feature]]
kind = "hole"
diameter = 6
ream = true
through = true
row = { start = [20, 30], pitch = 15, count = 4, angle = 0 }""",
    see=("depth", "places", "bore"),
    read=_read,
    meaningless=("rough", "finish", "allowance", "spring_passes", "stepdown", "stepover"),
    without_depth="none",
    until=True,
    one_of=(PLACE_WAYS,),
    not_both=(DEPTH_WAYS, SIZE_WAYS, (("diameter",), ("bush",)), (("thread",), ("bush",))),
)
