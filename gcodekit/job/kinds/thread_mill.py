"""A thread milled on a helix, in a bore or on a boss."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Self

from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.region import Shift
from gcodekit.job.document.wording import quoted
from gcodekit.job.feature import CutterKey, Round, Wrong
from gcodekit.job.features.kind import NO_CLEARING, Base, Build, Kind, Surroundings
from gcodekit.job.features.metal_checks import check_places, too_wide
from gcodekit.job.keys.feature_keys import NAMED_PLACES, PLACE_KEYS, PLACE_WAYS
from gcodekit.job.keys.keys import SMALLEST, Key
from gcodekit.job.keys.reading import Table
from gcodekit.job.outlines.places import check_apart, read_places
from gcodekit.job.raw_stock import RawStock
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.size_limits import UnknownFitError
from gcodekit.trade.thread_limits import (
    COARSEST_PITCH,
    FINEST_PITCH,
    HALF_ANGLE,
    INSIDE,
    LARGEST,
    OUTSIDE,
    USUAL_INSIDE,
    USUAL_OUTSIDE,
    ThreadLimits,
    thread_limits,
)
from gcodekit.trade.threads import SAME_PITCH, Thread, find_thread, near_threads

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

# A tooth may differ from the thread's angle by this, radians (0.25 degree).
SAME_ANGLE = math.radians(0.25)
# Series whose flanks stand at 60 degrees to each other, as the standard's limits have it.
SIXTY_DEGREES = ("metric coarse", "metric fine", "UN")


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadMill(Round):
    """A thread of these `limits`, `left`- or right-hand, in what was bored or left standing before.
    `diameter` is its major one; its floor is as deep as there is full thread."""

    limits: ThreadLimits
    left: bool
    called: str
    kind = "thread_mill"
    milled = False

    @property
    def internal(self) -> bool:
        """Whether it is cut in a bore, not on a boss."""
        return self.limits.internal

    def moved(self, shift: Shift) -> Self:
        """The same elsewhere: a mirrored copy has the same hand."""
        return replace(self, places=tuple(map(shift.point, self.places)))

    def lines(self, metal: BaseGeometry) -> tuple[Chain, ...]:
        """Circles of its crests."""
        del metal
        return tuple(Chain.circle(place, crest) for place, crest, _ in self.threads)

    @property
    def threads(self) -> tuple[tuple[Point, float, float], ...]:
        """One at every place, its crests half way between their limits."""
        root = self.limits.root[0 if self.internal else 1] / 2
        return tuple((place, sum(self.limits.crest) / 4, root) for place in self.places)

    def taken_area(self, metal: BaseGeometry, narrowest: float) -> BaseGeometry:
        """Nothing goes all the way down: between its grooves stands the thread."""
        import shapely

        del metal, narrowest
        return shapely.Polygon()

    def check_in_metal(self, table: Table, raw: RawStock, key: str) -> None:
        """Its diameter and its places."""
        said = "diameter" if table.has("diameter") else "thread"
        if not too_wide(table, said, self.diameter, raw):
            check_places(table, self, raw, key)

    def bad_cutter(
        self, cutter: Cutter, key: CutterKey, say: Callable[[float], str]
    ) -> Wrong | None:
        """It needs teeth of its angle and pitch, that go into it."""
        del key
        pitch = self.limits.pitch
        if cutter.kind != "thread mill":
            return "is not a thread mill", "name a thread mill"
        if abs(cutter.tip_angle / 2 - HALF_ANGLE) > SAME_ANGLE:
            angle = math.degrees(cutter.tip_angle)
            return f"has teeth of {angle:g} degrees", "name a thread mill of 60 degrees"
        if cutter.pitch is not None and abs(cutter.pitch - pitch) > SAME_PITCH / 4 * pitch:
            return (
                f"has teeth {say(cutter.pitch)} apart",
                f"name one of pitch {say(pitch)}, or one with a single row of teeth",
            )
        widest = pitch / 8 if self.internal else pitch / 4
        if cutter.tip_flat > widest * (1 + SAME_PITCH):
            return (
                f"has teeth with a flat of {say(cutter.tip_flat)}, too wide for its root",
                f"name one with a flat of {say(round(widest, 4))} at most",
            )
        if self.internal and cutter.diameter >= self.limits.crest[0]:
            return (
                "is too large for the bore",
                f"name one smaller than {say(round(self.limits.crest[0], 3))}",
            )
        return None


def _read(table: Table, around: Surroundings) -> Build | None:
    places = read_places(table, around.outlines.places)
    internal, hand = table.flag("internal"), table.choice("hand")
    sizes, limits = _sizes(table), None
    if sizes is not None:
        limits = _limits(table, *sizes[:2], internal=internal)
    if places is None or limits is None or sizes is None or hand is None:
        return None
    major, _, called = sizes
    check_apart(table, places, major)
    at, found = places, limits

    def build(base: Base) -> ThreadMill:
        return ThreadMill(
            places=at, diameter=major, limits=found, left=hand == "left", called=called, **base
        )

    return build


def _sizes(table: Table) -> tuple[float, float, str] | None:
    """Major diameter, pitch and name."""
    if table.has("thread"):
        given = table.given("diameter", "pitch")
        if given:
            table.error(given[0], "thread gives it already", f"remove thread or {given[0]}")
        thread = _thread(table)
        return None if thread is None else (thread.major, thread.pitch, thread.name)
    missing = [key for key in ("diameter", "pitch") if not table.has(key)]
    if missing:
        hint = 'give thread = "M20x1.5", or diameter (the major one) and pitch'
        table.error(missing[0], "is missing", hint)
        return None
    major, pitch = table.length("diameter"), table.length("pitch")
    if major is None or pitch is None:
        return None
    say = table.source.say
    return major, pitch, f"{say(major)} x {say(round(pitch, 5))}"


def _thread(table: Table) -> Thread | None:
    name = table.text("thread")
    thread = None if name is None else find_thread(name)
    if name is not None and thread is None:
        hint = f"{near_threads(name)}; for any other give diameter and pitch"
        table.error("thread", f"{quoted(name)} is not a known thread", hint)
    elif thread is not None and thread.series not in SIXTY_DEGREES:
        table.error(
            "thread",
            f"{thread.name} has no flanks of 60 degrees",
            "use a metric or unified thread here, or tap the hole",
        )
        return None
    return thread


def _limits(table: Table, major: float, pitch: float, *, internal: bool) -> ThreadLimits | None:
    """The limits in its class."""
    fit = table.text("fit") if table.has("fit") else USUAL_INSIDE if internal else USUAL_OUTSIDE
    if fit is None:
        return None
    classes = INSIDE if internal else OUTSIDE
    if fit not in classes:
        whose = "an internal" if internal else "an external"
        hint = f"use one of {', '.join(classes)}"
        table.error("fit", f"{quoted(fit)} is not a class of {whose} thread", hint)
        return None
    try:
        return thread_limits(major=major, pitch=pitch, fit=fit, internal=internal)
    except UnknownFitError as error:
        table.error("pitch" if table.has("pitch") else "thread", str(error), error.hint)
        return None


KIND = Kind(
    rank=11,
    keys=(
        *PLACE_KEYS,
        NAMED_PLACES,
        Key(
            name="thread",
            kind="text",
            meaning="thread to mill, such as M20x1.5 or 1/2-20 UNF",
            text="A metric or unified thread of the table. `gcodekit thread M20` shows its sizes.",
        ),
        Key(
            name="diameter",
            kind="length",
            least=SMALLEST,
            most=LARGEST,
            meaning="major diameter of a thread that is in no table",
        ),
        Key(
            name="pitch",
            kind="length",
            least=FINEST_PITCH,
            most=COARSEST_PITCH,
            meaning="pitch of a thread that is in no table",
            text='24 threads per inch are written `pitch = "1/24 in"`.',
            example="""\
[[setup.feature]]
kind = "bore"
diameter = 49.75
at = [50, 30]
through = true

[[setup.feature]]
kind = "thread_mill"
diameter = "2 in"
pitch = "1/24 in"
at = [50, 30]
depth = 5""",
        ),
        Key(
            name="internal",
            kind="flag",
            default=True,
            meaning="in a bore; false: on a boss",
        ),
        Key(
            name="hand",
            kind="choice",
            choices=("right", "left"),
            default="right",
            meaning="hand of the thread",
        ),
        Key(
            name="fit",
            kind="text",
            meaning="tolerance class of the thread, such as 6H or 6g",
            unset="6H in a bore, 6g on a boss",
            text="ISO 965-1, for metric and unified threads alike: "
            f"{', '.join(INSIDE)} in a bore, {', '.join(OUTSIDE)} on a boss. The pitch diameter is "
            "aimed at the middle of its limits.",
        ),
    ),
    text="""\
A thread milled on a helix, in a bore or (`internal = false`) on a boss. A feature above, or an \
earlier set-up, cuts the bore to the minor diameter, or the boss to the major one, within the \
limits of the class: a bore or boss of another size is refused with the size wanted. There is full \
thread down to `depth`; below it the bore must go on for the run-out: 1.25 pitches with a cutter \
of several rows of teeth, 0.75 pitches and half the tooth's length with a single row. It needs a \
thread mill of 60 degrees, with its `tip_flat` as measured. Climb or conventional milling and the \
hand decide whether it is cut upwards or downwards. A cutter so large in its bore that the flanks \
would come out bent is refused.""",
    example="""\
[[setup.feature]]
kind = "bore"
diameter = 18.5
at = [50, 30]
through = true

[[setup.feature]]
kind = "thread_mill"
thread = "M20x1.5"
at = [50, 30]
depth = 5""",
    see=("depth", "places", "bore"),
    read=_read,
    meaningless=(
        *NO_CLEARING,
        "stepdown",
        "plunge_feed",
    ),
    one_of=(
        (("depth",), ("floor",), ("through",)),
        PLACE_WAYS,
        (("thread",), ("diameter", "pitch")),
    ),
)
