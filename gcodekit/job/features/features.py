"""One feature of a set-up: its kind's own keys, its depth, its cutting."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal, TypedDict, cast

from gcodekit.errors import Place
from gcodekit.geometry.chain import Chain, same
from gcodekit.geometry.region import Region
from gcodekit.job.features.cutting import read_cutting
from gcodekit.job.features.depths import Metal, read_depth
from gcodekit.job.features.holes import read_bore, read_hole
from gcodekit.job.features.sizes import read_band, refuse_flush, refuse_size, sized_outline
from gcodekit.job.features.tabs import above_skin, read_skin, read_tabs
from gcodekit.job.features.walls import read_arc, read_boss, read_edge
from gcodekit.job.keys import feature_keys
from gcodekit.job.keys.reading import Table
from gcodekit.job.model import Cutting, Depth, Face, Feature, Pocket, Profile, Slot, SlotEnd
from gcodekit.job.outlines.outlines import Outlines
from gcodekit.job.workshop.machine import Workshop


@dataclass(frozen=True, slots=True)
class Around:
    """What a feature stands in."""

    workshop: Workshop
    outlines: Outlines
    metal: Metal


class Base(TypedDict):
    """What every feature has."""

    name: str
    place: Place
    depth: Depth
    cutting: Cutting
    after: str | None


Build = Callable[[Base], Feature]


def read_feature(table: Table, name: str, around: Around) -> Feature | None:
    """A feature; None where it is at fault."""
    kind = str(table.raw("kind"))
    depth = read_depth(table, around.metal, kind=kind)
    cutting = read_cutting(table, around.workshop, kind)
    build = _READERS[kind](table, around)
    if depth is None or build is None or table.refused:
        return None
    return build(
        Base(
            name=name,
            place=table.source.place(table.path),
            depth=depth,
            cutting=cutting,
            after=table.text("after"),
        )
    )


def kind_of(table: Table) -> str | None:
    """The feature's kind, its table checked against that kind's keys; None where unknown."""
    if not table.has("kind"):
        table.error("kind", "is missing", f"one of {', '.join(feature_keys.KINDS)}")
        return None
    kind = table.choice("kind")
    if kind is not None:
        table.as_kind(feature_keys.FEATURES[kind]).checked(kind=kind)
    return kind


def _face(table: Table, around: Around) -> Build | None:
    if not table.has("outline"):
        return lambda base: Face(**base)
    outline = around.outlines.region(table, "outline")
    return None if outline is None else lambda base: Face(outline=outline, **base)


def _pocket(table: Table, around: Around) -> Build | None:
    outline = around.outlines.region(table, "outline") if table.has("outline") else None
    islands = _islands(table, around)
    corner = table.length("corner")
    if outline is None or islands is None:
        return None
    sized = sized_outline(table, outline, inside=True)
    rim, band = sized or (outline, None)
    if band is not None and band.wall > 0:
        refuse_flush(table, outline, islands)
    area: Region | None = rim
    if islands:
        area = around.outlines.combined(table, "islands", "minus", [rim, *islands])
    if area is None:
        return None
    if area.empty:
        table.error("islands", "cover the whole outline", "nothing is left to clear")
        return None
    kept, clear = tuple(islands), area
    return lambda base: Pocket(
        outline=rim, islands=kept, area=clear, corner=corner, band=band, **base
    )


def _islands(table: Table, around: Around) -> list[Region] | None:
    value = table.raw("islands")
    if value is None:
        return []
    if not isinstance(value, list):
        table.error("islands", "is not a list of outlines", "write islands = [...]")
        return None
    if table.many("islands", value):
        return None
    found = [around.outlines.region(table, ("islands", i)) for i in range(len(value))]
    return None if None in found else [r for r in found if r is not None]


def _slot(table: Table, around: Around) -> Build | None:
    width, ends = table.length("width"), _ends(table)
    path = _slot_path(table, around)
    if width is None or ends is None or path is None:
        return None
    line, band, both = path, read_band(table, width), ends
    size = band.middle if band else width
    if line.closed and both != ("round", "round"):
        table.error("ends", "a closed path has no ends", "leave them out")
        return None
    return lambda base: Slot(path=line, width=size, ends=both, band=band, **base)


def _slot_path(table: Table, around: Around) -> Chain | None:
    """From end to end, or along a path."""
    if table.has("path"):
        for key in table.given("from", "to"):
            table.error(key, "path is given too", "give from and to, or path")
        return around.outlines.path(table, "path")
    if not table.given("from", "to"):
        table.error("", "where it runs is not said", "give from and to, or path")
        return None
    for key in ("from", "to"):
        if not table.has(key):
            table.error(key, "is missing", "a slot runs from one centre to another")
    start, end = table.point("from"), table.point("to")
    if start is None or end is None:
        return None
    if same(start, end):
        table.error("to", "is the same point as from", 'a round recess is kind = "bore"')
        return None
    return Chain.of_points([start, end], closed=False)


def _ends(table: Table) -> tuple[SlotEnd, SlotEnd] | None:
    value = table.raw("ends")
    if isinstance(value, dict):
        ends = table.table("ends", feature_keys.ENDS)
        start, end = (ends.choice("start"), ends.choice("end")) if ends else (None, None)
    elif value is None:
        start = end = "round"
    else:
        start = end = table.source.choose(
            table.below("ends"), value, ("round", "open"), header=table.keys.header
        )
    if start is None or end is None:
        return None
    return cast("SlotEnd", start), cast("SlotEnd", end)


_CLOSED_SIDES = ("outside", "inside", "on")
_OPEN_SIDES = ("left", "right", "on")
# Why there is no size across, and what would have one: on a closed line, along an open one.
_NO_SIZE = (
    (
        "the cutter's middle goes along the line: no size is made",
        'write side = "outside" or "inside"',
    ),
    ("an open path has no size across", "leave it out, or draw a closed outline"),
)


def _profile(table: Table, around: Around) -> Build | None:
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
    if side == "on" and table.raw("rough") == "even load":
        what = "a kerf on the line is as wide as its cutter, there is no room for an even load"
        table.error("rough", what, 'true, false or "follow outline"')
    chains = outline.rings if outline else (path,) if path else ()
    tabs, skin = read_tabs(table, around.metal, chains), read_skin(table, around.metal)
    sides = _CLOSED_SIDES if way == "outline" else _OPEN_SIDES
    if side is not None and way is not None and side not in sides:
        what = "a closed outline" if way == "outline" else "an open path"
        words = ", ".join(f'"{s}"' for s in sides)
        table.error("side", f'"{side}" does not go with {what}', f"one of {words}")
        return None
    if side is None or not chains or (table.has("tabs") and not tabs):
        return None
    if table.has("skin") and skin is None:
        return None
    where = cast("Literal['outside', 'inside', 'on', 'left', 'right']", side)
    rim = outline

    def build(base: Base) -> Profile:
        whole = Profile(outline=rim, path=path, side=where, tabs=tabs, skin=skin, band=band, **base)
        return replace(whole, depth=above_skin(whole.depth, skin))

    return build


_READERS: dict[str, Callable[[Table, Around], Build | None]] = {
    "face": _face,
    "pocket": _pocket,
    "slot": _slot,
    "profile": _profile,
    "bore": read_bore,
    "hole": read_hole,
    "edge": read_edge,
    "boss": read_boss,
    "arc": read_arc,
}
