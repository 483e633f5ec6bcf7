"""A hole: spotted, drilled, reamed or tapped, its mouth shaped."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, Self, cast

from gcodekit.geometry.chain import SAME_POINT, Chain
from gcodekit.geometry.region import Shift
from gcodekit.job.document.wording import quoted
from gcodekit.job.feature import CutterKey, Rim, Round, Wrong
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
from gcodekit.job.measured import SizeAcross
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

    def across(self) -> SizeAcross | Wrong:
        """None that a pass could correct."""
        return "a drill or reamer has its own size", (
            'remove it, and use another drill or reamer, or kind = "bore"'
        )

    def taken_area(self, metal: BaseGeometry, narrowest: float) -> BaseGeometry:
        """Its own diameter."""
        del metal, narrowest
        return self.all_round()

    def all_round(self) -> BaseGeometry:
        """Its own diameter."""
        from gcodekit.job.stock.drawn_removal import discs

        return discs(self.places, self.diameter / 2)

    def rims(self, metal: BaseGeometry) -> tuple[Rim, ...]:
        """Round every place, as wide as its mouth; a countersink has none."""
        del metal
        bored, sunk = self.counterbore, self.countersink
        if not self.drilled or (sunk is not None and sunk.mouth == self.depth.top):
            return ()
        return (Rim(places=self.places, diameter=bored.diameter if bored else self.diameter),)

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
        return "is not a drill", 'name a drill, or mill it with kind = "bore"'
    if not feature.drilled and feature.countersink:
        ok = cutter.kind in ("spot drill", "chamfer mill")
        return None if ok else ("cannot countersink", "name a chamfer mill or a spot drill")
    if not feature.drilled:
        ok = cutter.kind in ("spot drill", "drill")
        return None if ok else ("cannot spot", "name a spot drill")
    if key == "cutter" and feature.thread is not None and feature.tapping == "machine":
        return (
            None if cutter.kind == "tap" else ("is not a tap", 'name a tap for tapping = "machine"')
        )
    if cutter.kind == "spot drill":
        return "only spots", "name a drill"
    if key == "cutter" and feature.ream:
        return (
            None
            if cutter.kind == "reamer"
            else ("is not a reamer", f"name a reamer for {_reamed_by(feature)}")
        )
    return None if cutter.kind == "drill" else ("is not a drill", "name a drill")


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
        wanted = f"name one for {thread.name}, {say(thread.major)} of pitch {say(thread.pitch)}"
        return None if cuts_thread(cutter, thread) else (f"is {has}", wanted)
    if key == "cutter" and abs(cutter.diameter - hole.diameter) > NAMED_FOR:
        return f"is {say(cutter.diameter)}", f"name one of {say(hole.diameter)}"
    if key == "rough_with" and hole.ream and cutter.diameter >= hole.diameter:
        return f"is {say(cutter.diameter)}", "name a drill smaller than the hole"
    return None


def _check_drill_depth(table: Table, hole: Hole, lowest: float) -> None:
    """A reamed or tapped hole is drilled at least as deep, and not through unasked."""
    if hole.drill_depth is None:
        return
    say, bottom = table.source.say, hole.depth.top - hole.drill_depth
    if bottom > hole.depth.floor + SAME_POINT:
        deep, last = say(hole.depth.top - hole.depth.floor), "thread" if hole.thread else "reamer"
        table.error(
            "drill_depth",
            f"{say(hole.drill_depth)} is less than the depth of the {last}",
            f"give {deep} or more",
        )
    elif bottom < lowest - SAME_POINT and not hole.depth.through:
        table.error(
            "drill_depth",
            f"to Z {say(bottom)} is below the bottom of the stock at Z {say(lowest)}",
            "reduce it, or write through = true to go through",
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
        table.error(
            "pilot", f"{say(pilot)} is not smaller than the hole", f"give less than {say(diameter)}"
        )
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
        table.error("thread", f"{quoted(name)} is not a known thread", near_threads(name))
    return thread


def _tapping(table: Table, around: Surroundings) -> Literal["by hand", "machine"] | None:
    tapping = table.choice("tapping")
    if tapping is None:
        return None if table.has("tapping") else "by hand"
    if not table.has("thread"):
        table.error("tapping", "there is no thread to tap", 'add the thread, such as thread = "M4"')
    elif tapping == "machine" and not around.workshop.machine.spindle.reverse:
        table.error(
            "tapping",
            f"the spindle of {around.workshop.machine.name} cannot run backwards to bring "
            "the tap out",
            'write "by hand", or set reverse = true in the workshop file if it can',
        )
    return cast("Literal['by hand', 'machine']", tapping)


def _check_drilled(table: Table, drilled: bool) -> None:
    """Without a depth a hole is only spotted or countersunk."""
    if table.has("drill_depth") and not table.given("ream", "thread", *_SIZED):
        table.error("drill_depth", "is only for a reamed or tapped hole", "use depth")
    if drilled:
        return
    if not table.flag("spot") and not table.has("countersink"):
        table.error(
            "spot", "a hole without a depth is only spotted", "give a depth, or set spot = true"
        )
    for key in table.given("pilot", "thread", "counterbore", *_SIZED):
        table.error(key, "a hole without a depth is only spotted or countersunk", "give a depth")
    if table.flag("ream"):
        table.error("ream", "a hole without a depth is only spotted", "give a depth")


def _check_threaded(table: Table, *, ream: bool) -> None:
    given = [k for k in table.given("ream", "fit", "limits") if k != "ream" or ream]
    if table.has("thread") and given:
        table.error(given[0], "does not go with a thread", f"remove thread or {given[0]}")


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
            meaning="finished diameter; for a thread, the tapping drill",
            unset="for a thread, the standard tapping drill",
        ),
        *SIZE_KEYS,
        BUSH_KEY,
        Key(
            name="spot",
            kind="flag",
            default=True,
            meaning="spot the hole first",
            text="With the spot drill of the rack. By default a rack without one drills without "
            "spotting; with spot = true it is an error. A hole without a depth is only spotted.",
        ),
        Key(
            name="pilot",
            kind="length",
            least=SMALLEST,
            meaning="diameter of a pilot drill",
            unset="no pilot hole",
        ),
        Key(
            name="peck",
            kind="mixed",
            forms=("length", "flag"),
            least=0.05,
            meaning="depth of one peck, or false for none",
            unset="by depth and material",
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
            meaning="thread to tap, such as M4",
            text="Drilled to the standard tapping size unless `diameter` gives another. In a blind "
            "hole the full thread reaches the depth, and the drill goes deeper by the lead of the "
            "tap and one pitch. `gcodekit thread M4` shows the sizes.",
        ),
        Key(
            name="tapping",
            kind="choice",
            choices=("by hand", "machine"),
            meaning="method of tapping",
            unset="by hand",
        ),
        Key(
            name="drill_depth",
            kind="length",
            least=SHORTEST,
            meaning="depth of the drill in a reamed or tapped hole",
            text="Only with ream, fit, limits or thread: where the full diameter of the drill "
            "ends, measured from `top`.",
        ),
        Key(
            name="counterbore",
            kind="table",
            meaning="counterbore: flat-bottomed recess for a screw head",
        ),
        Key(name="countersink", kind="table", meaning="countersink: cone at the mouth"),
    ),
    tables=(COUNTERBORE, COUNTERSINK, BUSH),
    text="""\
A drilled hole: spotted, drilled, and reamed or tapped if required. `depth` is where the hole has \
its full diameter; the point of the drill goes deeper. A blind reamed hole has its full reamed \
size at the depth and is drilled deeper by the lead of the reamer and 1 mm. In a through hole the \
shoulder of the drill passes the bottom by the breakthrough. A hole without a depth is only \
spotted.""",
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
