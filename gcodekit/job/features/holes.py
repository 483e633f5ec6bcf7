"""Round holes of a job file: drilled, bored, to a size, with a shaped mouth or a thread."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal, cast

from gcodekit.job.band import Band
from gcodekit.job.document.wording import quoted
from gcodekit.job.features.bushes import read_bush
from gcodekit.job.features.sizes import read_band
from gcodekit.job.hole_shapes import Counterbore, Countersink
from gcodekit.job.keys import feature_keys
from gcodekit.job.keys.reading import Table
from gcodekit.job.model import Bore, Depth, Feature, Hole
from gcodekit.job.outlines.places import check_apart, read_places
from gcodekit.trade.threads import Thread, find_thread, near_threads

if TYPE_CHECKING:
    from gcodekit.job.features.features import Around, Base, Build

# A hole whose limits lie this far apart, mm, is drilled; a narrower one is reamed. A drill cuts
# up to about half of it too large. Common practice, no source.
DRILLED_BAND = 0.1
# A diameter this near a thread's own, mm, names the thread, not its drill.
_SAME = 0.01
# A tapping drill may be this much under the minor diameter, mm: what a tap still takes out.
_UNDER_MINOR = 0.1

# Keys that say how true the diameter is.
_SIZED = ("fit", "limits", "bush")


def read_bore(table: Table, _: Around) -> Build | None:
    """A bore."""
    places, finish_with = read_places(table), table.choice("finish_with")
    diameter, band = _size(table, None)
    if places is None or diameter is None or finish_with is None:
        return None
    check_apart(table, places, diameter)
    at, size = places, diameter
    how = cast("Literal['end mill', 'boring head', 'reamer']", finish_with)
    return lambda base: Bore(places=at, diameter=size, band=band, finish_with=how, **base)


def read_hole(table: Table, around: Around) -> Build | None:
    """A hole, whatever belongs to it."""
    places, peck, thread = read_places(table), _peck(table), _thread(table)
    diameter, band = _size(table, thread)
    pilot, drill_depth = table.length("pilot"), table.length("drill_depth")
    spot, ream, tapping = table.flag("spot"), table.flag("ream"), _tapping(table, around)
    drilled = bool(table.given("depth", "floor", "until")) or table.raw("through") is True
    narrow = band is not None and (bool(band.fit) or band.width < DRILLED_BAND)
    _check_drilled(table, drilled)
    _check_threaded(table, ream=ream or narrow)
    if pilot is not None and diameter is not None and pilot >= diameter:
        say = table.source.say
        table.error("pilot", f"{say(pilot)} is no smaller drill", f"the hole is {say(diameter)}")
    mouth = _Mouth(table)
    if places is None or diameter is None or tapping is None:
        return None
    check_apart(table, places, diameter)
    at, size = places, diameter

    def build(base: Base) -> Feature:
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


def _size(table: Table, thread: Thread | None) -> tuple[float | None, Band | None]:
    """The diameter to aim at, and the limits that it has."""
    if table.has("bush"):
        band = read_bush(table)
        return (band.middle, band) if band else (None, None)
    diameter = _diameter(table, thread)
    band = read_band(table, diameter) if thread is None else None
    return (band.middle if band else diameter), band


def _diameter(table: Table, thread: Thread | None) -> float | None:
    """The finished diameter; a threaded hole has its tapping drill's unless it says another."""
    diameter = table.length("diameter")
    if thread is None:
        known = table.given("diameter", "thread") or table.misspelt("diameter", "thread", "bush")
        if not known and not table.refused:
            table.error("diameter", "is missing", "it gives the finished diameter")
        return diameter
    if diameter is None or abs(diameter - thread.major) <= _SAME:
        return None if diameter is None and table.has("diameter") else thread.tap_drill
    if not thread.minor - _UNDER_MINOR <= diameter < thread.major:
        say = table.source.say
        table.error(
            "diameter",
            f"{say(diameter)} is no tapping drill for {thread.name}",
            f"leave it out for the usual {say(thread.tap_drill)}, or give one from "
            f"{say(thread.minor)} to under {say(thread.major)}",
        )
        return None
    return diameter


def _tapping(table: Table, around: Around) -> Literal["by hand", "machine"] | None:
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


class _Mouth:
    """The keys that shape a hole's mouth."""

    def __init__(self, table: Table) -> None:
        self._bored = table.table("counterbore", feature_keys.COUNTERBORE)
        self._sunk = table.table("countersink", feature_keys.COUNTERSINK)
        bored, sunk = self._bored, self._sunk
        self._wide = bored.length("diameter") if bored else None
        self._deep = bored.length("depth") if bored else None
        self._sunk_wide = sunk.length("diameter") if sunk else None
        self._angle = sunk.angle("angle") if sunk else None

    def counterbore(self, depth: Depth) -> Counterbore | None:
        """The counterbore below the feature's datum."""
        if self._wide is None or self._deep is None:
            return None
        return Counterbore(diameter=self._wide, floor=depth.top - self._deep)

    def countersink(self, top: float, counterbore: Counterbore | None) -> Countersink | None:
        """The countersink: at the counterbore's floor where it is the narrower one."""
        if self._sunk_wide is None or self._angle is None:
            return None
        below = counterbore is not None and self._sunk_wide < counterbore.diameter
        mouth = counterbore.floor if below and counterbore else top
        return Countersink(diameter=self._sunk_wide, angle=self._angle, mouth=mouth)


def check_hole(table: Table, hole: Hole, *, bottom: float) -> None:
    """Note a mouth that does not go with its hole. `bottom`: z of the metal's."""
    say = table.source.say
    bored, sunk = hole.counterbore, hole.countersink
    if bored is not None:
        if bored.diameter <= hole.diameter:
            text = f"{say(bored.diameter)} is no wider than the hole"
            table.error(("counterbore", "diameter"), text, f"the hole is {say(hole.diameter)}")
        if hole.drilled and bored.floor <= hole.depth.floor:
            text = f"{say(hole.depth.top - bored.floor)} is as deep as the hole"
            deep = say(hole.depth.top - hole.depth.floor)
            table.error(("counterbore", "depth"), text, f"less than {deep}")
    if sunk is None:
        return
    if hole.drilled and sunk.diameter <= hole.diameter:
        text = f"{say(sunk.diameter)} is no wider than the hole"
        table.error(("countersink", "diameter"), text, f"the hole is {say(hole.diameter)}")
    if bored is not None and sunk.mouth > bored.floor:
        _check_sunk_counterbore(table, hole, bored, sunk)
    lowest = hole.depth.floor if hole.drilled and not hole.depth.through else bottom
    if not hole.depth.through and sunk.tip < lowest:
        table.error(
            ("countersink", "diameter"),
            f"its point comes to z {say(sunk.tip)}, below the "
            + ("hole's floor" if hole.drilled else "metal's bottom")
            + f" at z {say(lowest)}",
            "make it smaller or blunter, or the hole deeper",
        )


def _check_sunk_counterbore(
    table: Table, hole: Hole, bored: Counterbore, sunk: Countersink
) -> None:
    """A countersink at a counterbore's rim is wider than it, and its point goes into the hole."""
    say, at_floor = table.source.say, 2 * (bored.floor - sunk.tip) * math.tan(sunk.angle / 2)
    if sunk.diameter <= bored.diameter:
        text = f"{say(sunk.diameter)} is as wide as the counterbore"
        table.error(
            ("countersink", "diameter"),
            text,
            "wider breaks the counterbore's edge, narrower the hole's at its floor",
        )
    elif at_floor > hole.diameter:
        table.error(
            ("countersink", "diameter"),
            f"its cone is still {say(at_floor)} wide at the counterbore's floor",
            f"the hole is {say(hole.diameter)}: break that edge with a chamfer mill's side instead",
        )


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
