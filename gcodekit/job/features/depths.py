"""How deep a feature goes: its datum, its floor, and where the cutter's full diameter goes."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal, Protocol

from gcodekit.geometry.chain import SAME_POINT
from gcodekit.job.document.wording import listed
from gcodekit.job.feature import Depth, Wrong
from gcodekit.job.holdings import Hold
from gcodekit.job.keys.reading import Table
from gcodekit.job.stock.hold import BOARD_KEPT, room_below, why_no_room


@dataclass(frozen=True, slots=True)
class MetalHeights:
    """The metal's limits in z where a feature starts, program coordinates.

    `highest` is as high as an oversize top may stand, `loose_bottom` how much lower than drawn the
    bottom may lie; `raw_top` and `raw_bottom` are the raw stock's; `faced` is the floor of this
    set-up's last whole-top face.
    """

    top: float
    bottom: float
    highest: float
    loose_bottom: float
    raw_top: float
    raw_bottom: float
    breakthrough: float
    hold: Hold
    faced: float | None = None
    faced_by: str = ""

    @property
    def now(self) -> float:
        """The top of the metal as the last face left it."""
        return self.top if self.faced is None else min(self.top, self.faced)

    def after_face(self, name: str, floor: float) -> MetalHeights:
        """The metal once a whole-top face is done."""
        return replace(self, faced=floor, faced_by=name)


class DepthRules(Protocol):
    """What a kind of feature says of its depth."""

    @property
    def without_depth(self) -> Literal["fault", "through", "none", "own"]:
        """What it is where no depth is given."""

    @property
    def until(self) -> bool:
        """Whether it may stop at what an earlier set-up has cut."""

    @property
    def through_fault(self) -> Callable[[Table], Wrong | None]:
        """Why it cannot go right through."""


def read_depth(table: Table, metal: MetalHeights, kind: DepthRules) -> Depth | None:
    """The depth of a feature; None where it is at fault."""
    if kind.without_depth == "own":
        return Depth(top=metal.now, floor=metal.now, through=False, cut_to=metal.now)
    names = tuple(n for n in (*_PLAIN_KEYS, "leave") if n in table.keys.names)
    given = [n for n in names if table.has(n) and table.raw(n) is not False]
    if not given and kind.without_depth == "through" and not table.has("through"):
        given = ["through"]
    top = _top(table, metal, needed=given == ["depth"] or not given)
    if len(given) > 1:
        table.error(given[1], f"{listed(given, 'and')} are given", "give only one of them")
        return None
    if not given:
        return _no_depth(table, metal, top, kind, names)
    if top is None:
        return None
    if given == ["through"]:
        return _through(table, metal, top, kind)
    if given == ["until"]:
        # where that is the feature's own place says, which is not read yet
        return Depth(top=top, floor=metal.bottom, through=False, cut_to=metal.bottom)
    floor = _floor(table, metal, top, given[0])
    if floor is None or not _within_metal(table, metal, floor, given[0]):
        return None
    if given == ["depth"]:
        _warn_moved_surface(table, metal, floor)
    return Depth(top=top, floor=floor, through=False, cut_to=floor)


_PLAIN_KEYS = ("depth", "floor", "through", "until")


def _no_depth(
    table: Table, metal: MetalHeights, top: float | None, kind: DepthRules, names: tuple[str, ...]
) -> Depth | None:
    """A hole without a depth is spotted only; anything else needs one."""
    if kind.without_depth != "none":
        if not table.refused:
            known = [n for n in names if n != "until" or kind.until]
            table.error("", "depth missing", f"give {listed(known)}")
        return None
    if top is None:
        return None
    return Depth(top=top, floor=top, through=False, cut_to=top)


def _top(table: Table, metal: MetalHeights, *, needed: bool) -> float | None:
    """Program z of the depth's datum."""
    if not table.has("top"):
        if needed and metal.bottom >= 0:
            table.error(
                "top",
                "is missing, and Z 0 (the default) is not above the bottom of the stock",
                f'write top = "top" ({table.source.say(metal.top)})',
            )
            return None
        # A floor or a through cut needs no datum: then the metal's own top will do.
        return 0.0 if metal.bottom < 0 else metal.now
    return read_height(table, metal, "top")


def read_height(table: Table, metal: MetalHeights, name: str) -> float | None:
    """Program z that a key gives: a number, or an expression with the metal's top and bottom."""
    value = table.raw(name)
    words = set(re.findall(r"[A-Za-z_]\w*", value)) if isinstance(value, str) else set()
    if "faced" in words and metal.faced is None:
        table.error(
            name,
            "no face comes before this in the set-up",
            'write a face of the whole top before it, or use "top"',
        )
        return None
    source = table.source.with_words(_top_words(metal))
    key = table.keys.key(name)
    assert key is not None
    return source.amount(table.below(name), value, key, "length")


def _top_words(metal: MetalHeights) -> dict[str, float]:
    words = {"top": metal.now, "bottom": metal.bottom}
    words |= {"raw_top": metal.raw_top, "raw_bottom": metal.raw_bottom}
    return words | ({"faced": metal.faced} if metal.faced is not None else {})


def _floor(table: Table, metal: MetalHeights, top: float, key: str) -> float | None:
    """Program z of the floor."""
    size = table.length(key)
    if size is None:
        return None
    if key == "depth":
        return top - size
    return metal.bottom + size if key == "leave" else size


def _within_metal(table: Table, metal: MetalHeights, floor: float, key: str) -> bool:
    """Tell whether the floor lies in the metal; else the fault is noted."""
    say = table.source.say
    if floor < metal.bottom - SAME_POINT:
        table.error(
            key,
            f"its floor at Z {say(floor)} is below the bottom of the stock, Z {say(metal.bottom)}",
            "reduce the depth, or write through = true to go through",
        )
        return False
    if floor >= (metal.highest if metal.faced is None else metal.now) - SAME_POINT:
        table.error(
            key,
            f"its floor at Z {say(floor)} is not below the top of the stock, Z {say(metal.now)}",
            "give a lower floor, or it cuts nothing",
        )
        return False
    return True


def _through(table: Table, metal: MetalHeights, top: float, kind: DepthRules) -> Depth | None:
    """To the bottom of the metal and the breakthrough."""
    if table.has("through") and not table.flag("through"):
        return None
    if (wrong := kind.through_fault(table)) is not None:
        table.error("through", *wrong)
        return None
    if metal.loose_bottom:
        table.error(
            "through" if table.has("through") else "",
            f"the bottom is still raw and may be {table.source.say(metal.loose_bottom)} lower "
            "than drawn",
            'mill it first, put zero on it (z = "bottom"), or give a depth',
        )
        return None
    if not table.has("skin"):  # a skin is not broken through
        _check_room(table, metal)
    return Depth(
        top=top, floor=metal.bottom, through=True, cut_to=metal.bottom - metal.breakthrough
    )


def _check_room(table: Table, metal: MetalHeights) -> None:
    """Tell whether the breakthrough finds room under the metal."""
    room = room_below(metal.hold)
    if room is None:
        return
    say = table.source.say
    if room <= 0 and metal.hold.board is None:
        table.error(
            "through", "nothing is given under the work to cut into", why_no_room(metal.hold)
        )
    elif metal.hold.board is not None and metal.breakthrough > room + SAME_POINT:
        table.error(
            "through",
            f"a breakthrough of {say(metal.breakthrough)} goes into the last "
            f"{say(BOARD_KEPT)} of the spoil board",
            f"set breakthrough to at most {say(room)}",
        )
    elif metal.hold.board is None and metal.breakthrough >= room - SAME_POINT:
        in_chuck = metal.hold.chuck is not None
        base = "the face of the chuck" if in_chuck else "the bed of the vise"
        remedy = "grip less" if in_chuck else "use higher parallels"
        table.error(
            "through",
            f"a breakthrough of {say(metal.breakthrough)} reaches {base}, "
            f"{say(room)} below the work",
            f"{remedy}, or reduce the breakthrough",
        )


def _warn_moved_surface(table: Table, metal: MetalHeights, floor: float) -> None:
    """A depth from z 0 after a face that put the surface elsewhere."""
    if table.has("top") or metal.faced is None or abs(metal.faced) <= SAME_POINT:
        return
    say = table.source.say
    table.warn(
        "depth",
        f"is measured from Z 0, but {metal.faced_by} has left the surface at Z {say(metal.faced)}",
        f"it is {say(-floor)} from Z 0 and {say(metal.faced - floor)} from the surface: "
        'choose with top = 0 or top = "faced"',
    )
