"""How true a size must be: `fit` and `limits`."""

from __future__ import annotations

from collections.abc import Sequence

from gcodekit.geometry.region import GeometryError, Region
from gcodekit.geometry.tolerances import CHECK_SAG
from gcodekit.job.band import Band
from gcodekit.job.document.wording import listed, quoted
from gcodekit.job.keys.keys import Key
from gcodekit.job.keys.reading import Table
from gcodekit.trade.size_limits import UnknownFitError, deviations, is_hole, plain_class

# The keys of a size: every kind that has one has them.
SIZE_KEYS = (
    Key(
        name="fit",
        kind="text",
        meaning="tolerance class of the size, such as H7",
        text="Holes C to H, JS, K to S in grades 5 to 11 (K and M to 8), shafts c to h, js, k to "
        "s; sizes to 500 mm. A hole with a fit is reamed, by a reamer with the same fit; "
        "all others are milled to the middle of the limits, or bored.",
        see=("fits",),
    ),
    Key(
        name="limits",
        kind="lengths",
        figures=2,
        meaning="deviations from the size, signed: [lower, upper]",
        text="Lower first. A hole with limits less than 0.1 mm apart is reamed, by a "
        "reamer whose diameter is between them; all others are milled to the middle, or bored.",
        example="""\
[[setup.feature]]
kind = "pocket"
outline = { rectangle = [40, 25], centre = [50, 30], round = 5 }
depth = 3
limits = [0, 0.03]""",
        see=("fits",),
    ),
)
# A band narrower than this, mm, cannot be told from its middle: what the proof may be off by
# counts on both sides of the diameter.
NARROWEST_BAND = 0.004
# Limits farther off than this, mm, or than half the size, were meant as the size itself.
FARTHEST_OFF = 1.0
# An island this near to the outline ends on it, mm.
FLUSH = 0.005
_SIGNED = "give signed deviations from the size: [0, 0.02], [-0.01, 0.01]"


def read_band(table: Table, size: float | None) -> Band | None:
    """The limits of a diameter or width that is cut out of the metal; None where they are not
    given or at fault."""
    if not _one_way(table) or size is None:
        return None
    return _band(table, (size,), inside=True)


def sized_outline(table: Table, outline: Region, *, inside: bool) -> tuple[Region, Band] | None:
    """An outline with its walls where a program aims, and the limits of its size across; None
    where they are at fault. `inside`: the metal within the outline goes; else it stays."""
    from gcodekit.geometry.outline_widths import region_sizes
    from gcodekit.geometry.resizing import resized

    if not _one_way(table):
        return None
    key = "fit" if table.has("fit") else "limits"
    if any(part.holes for part in outline.parts):
        table.error(
            key,
            "the outline has holes in it, so it has several sizes",
            "cut the inside as features of their own",
        )
        return None
    band = _band(table, region_sizes(outline), inside=inside)
    if band is None:
        return None
    try:
        return resized(outline, band.wall), band
    except GeometryError as error:
        table.error(key, *error.said(table.source.say))
        return None


def refuse_size(table: Table, message: str, hint: str) -> None:
    """Note limits of size where there is no size."""
    for key in table.given("fit", "limits"):
        table.error(key, message, hint)


def refuse_flush(table: Table, outline: Region, islands: Sequence[Region]) -> None:
    """Note islands that end on an outline whose walls move away from them."""
    from gcodekit.geometry.flattening import to_shapely

    rim = to_shapely(outline, CHECK_SAG)
    within = rim.buffer(FLUSH)
    for i, island in enumerate(islands):
        shape = to_shapely(island, CHECK_SAG)
        if within.covers(shape) and shape.dwithin(rim.boundary, FLUSH):
            table.error(
                ("islands", i),
                "ends on the outline, and the limits would move the outline away from it",
                "extend the island past the outline",
            )


def _one_way(table: Table) -> bool:
    """Tell whether one of both is given."""
    if table.has("fit") and table.has("limits"):
        table.error("limits", "fit and limits are both given", "remove one of them")
        return False
    return table.has("fit") or table.has("limits")


def _band(table: Table, sizes: Sequence[float], *, inside: bool) -> Band | None:
    if table.has("limits"):
        return of_limits(table, sizes)
    text = table.text("fit")
    return None if text is None else of_class(table, text, sizes, hole=inside)


def of_class(table: Table, text: str, sizes: Sequence[float], *, hole: bool) -> Band | None:
    """The limits that a tolerance class gives to sizes, which have to be the same for all."""
    name = plain_class(text)
    if fault := _no_class(text, name, hole=hole) or (None if sizes else _NOTHING_ACROSS):
        table.error("fit", *fault)
        return None
    try:
        found = [(size, deviations(size, name)) for size in sizes]
    except UnknownFitError as error:
        table.error("fit", str(error), error.hint)
        return None
    off = found[0][1]
    if any(other != off for _, other in found):
        say = table.source.say
        each = listed([f"{say(s)}: {say(o.lower)} to {say(o.upper)}" for s, o in found], "and")
        hint = "give limits = [lower, upper] for all of them"
        table.error("fit", f"{name} has different limits for each size across ({each})", hint)
        return None
    return Band(lower=off.lower, upper=off.upper, sizes=tuple(sizes), fit=name)


_NOTHING_ACROSS = (
    "a fit needs a size across, and the outline has none",
    "use a circle, obround, rectangle or polygon with opposite flats, or give "
    "limits = [lower, upper]",
)


def _no_class(text: str, name: str, *, hole: bool) -> tuple[str, str] | None:
    """Why a text is no class of a hole, or of a shaft."""
    whose, like = ("hole", "H7") if hole else ("shaft", "g6")
    if "/" in text:
        given = (word.strip() for word in text.split("/"))
        right = next((word for word in given if is_hole(word) == hole), like)
        return (
            f'"{text}" is the fit of a hole and a shaft',
            f"give the {whose}'s class, {quoted(right)}",
        )
    if not name[:1].isalpha() or is_hole(name) == hole:
        return None
    if hole:
        return f'"{text}" is a shaft\'s class', f'write capitals for a hole: "{name.upper()}"'
    return f'"{text}" is a hole\'s class', f'write small letters for a shaft: "{name.lower()}"'


def of_limits(table: Table, sizes: Sequence[float]) -> Band | None:
    """The limits as they are given."""
    found, say = table.lengths("limits", 2), table.source.say
    if found is None:
        return None
    low, high = found
    size = min(sizes, default=0.0)
    far = max(found, key=abs)
    if low >= high:
        table.error(
            "limits",
            f"{say(low)} is not below {say(high)}",
            "give the lower one first, both signed: [0, 0.02], [-0.01, 0.01]",
        )
    elif high - low < NARROWEST_BAND:
        table.error(
            "limits",
            f"{say(high - low)} apart is finer than can be proved",
            f"give at least {say(NARROWEST_BAND)}",
        )
    elif sizes and size + low <= 0:
        table.error("limits", f"{say(low)} leaves nothing of {say(size)}", "give a smaller one")
    elif abs(far) > min(FARTHEST_OFF, size / 2 or FARTHEST_OFF):
        table.error("limits", f"{say(far)} is too far off the size", _SIGNED)
    else:
        return Band(lower=low, upper=high, sizes=tuple(sizes))
    return None
