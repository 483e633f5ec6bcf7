"""What keeps a profile's piece in its metal: tabs, or a skin left at the bottom."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from gcodekit.geometry.chain import Chain, Point
from gcodekit.job.feature import Depth
from gcodekit.job.features.depths import MetalHeights
from gcodekit.job.holdings import Clamp
from gcodekit.job.keys.keys import Key, KeyTable
from gcodekit.job.keys.reading import Table

# A tab asked for at a point farther than this from the outline, mm, was meant for another one.
FARTHEST_TAB = 5.0
# A blade or chisel that cuts tabs off while a clamp stands beside them takes so much room, mm.
# Common practice, no source.
HAND_TOOL = 5.0

TABS = KeyTable(
    "tabs",
    (
        Key(
            name="count",
            kind="count",
            least=1,
            most=200,
            meaning="number of tabs, spread evenly",
        ),
        Key(
            name="at",
            kind="points",
            entries=200,
            meaning="points for tabs, instead of count",
            text="Each tab is put where the line is nearest to the point; a point more than "
            "5 mm off it is an error.",
        ),
        Key(
            name="width",
            kind="length",
            least=0.1,
            required=True,
            meaning="least width of metal in a tab",
        ),
        Key(
            name="height",
            kind="length",
            least=0.05,
            required=True,
            meaning="height of the tabs above the bottom of the stock",
        ),
    ),
    "[[setup.feature]]",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tabs:
    """Evenly spread when `at` is empty, else nearest to those points.

    `clear_of`: middle and radius, mm, of the round holes that go into the tabs' height: tabs that
    are spread keep off them where there is room. `clamps`: those that stand once the tabs are
    there, with their names; likewise.
    """

    count: int = 0
    width: float
    height: float
    at: tuple[Point, ...] = ()
    clear_of: tuple[tuple[Point, float], ...] = ()
    clamps: tuple[tuple[Clamp, str], ...] = ()


def read_tabs(table: Table, metal: MetalHeights, chains: Sequence[Chain]) -> Tabs | None:
    """Tabs hold only what is cut through, and are lower than the metal."""
    tabs = table.table("tabs", TABS)
    if tabs is None:
        return None
    if table.raw("through") is not True:
        tabs.error(
            "", "tabs are only for a part that is cut free", "write through = true, or remove them"
        )
    way = tabs.one_of("count", "at", what="the place of the tabs")
    count = tabs.count("count") if way == "count" else 0
    at = _places(tabs, chains) if way == "at" else ()
    width, height = tabs.length("width"), tabs.length("height")
    if way is None or count is None or at is None or width is None or height is None:
        return None
    if not _lower(tabs, "height", height, metal):
        return None
    return Tabs(count=count, width=width, height=height, at=at)


def _places(tabs: Table, chains: Sequence[Chain]) -> tuple[Point, ...] | None:
    """Points near the line; None where one is at fault."""
    from gcodekit.geometry.flattening import nearest

    points = tabs.points("at")
    if points is None:
        return None
    say, near = tabs.source.say, True
    for point in points:
        gap = min((nearest(c, point)[1] for c in chains), default=0.0)
        if gap > FARTHEST_TAB:
            tabs.error(
                "at",
                f"{tabs.source.say_point(point)} is {say(gap)} from the line",
                f"move it to within {say(FARTHEST_TAB)}",
            )
            near = False
    return tuple(points) if near else None


def read_skin(table: Table, metal: MetalHeights) -> float | None:
    """The thickness left at the bottom; None where none is asked for or it is at fault."""
    skin = table.length("skin")
    if skin is None:
        return None
    if table.raw("through") is not True:
        table.error(
            "skin",
            "an onion skin is only for a part that is cut free",
            "write through = true, or remove it",
        )
    elif table.has("tabs"):
        table.error(
            "skin", "tabs are given too", "remove one of them; an onion skin holds all round"
        )
    elif _lower(table, "skin", skin, metal):
        return skin
    return None


def above_skin(depth: Depth, skin: float | None) -> Depth:
    """The depth of a profile that stops at its skin: nothing is broken through."""
    if skin is None:
        return depth
    floor = depth.floor + skin
    return replace(depth, floor=floor, through=False, cut_to=floor)


def _lower(table: Table, key: str, height: float, metal: MetalHeights) -> bool:
    """Tell whether what is left standing is lower than the metal; else the fault is noted."""
    thickness = metal.now - metal.bottom
    if height < thickness:
        return True
    say = table.source.say
    table.error(
        key, f"{say(height)} is not lower than the stock", f"give less than {say(thickness)}"
    )
    return False
