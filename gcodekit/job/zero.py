"""Where program zero is: numbers or expressions over the sides of the work."""

from __future__ import annotations

import re
from dataclasses import dataclass

from gcodekit.expr import PLACE_WORDS
from gcodekit.job.document.wording import listed, shown
from gcodekit.job.keys import job_keys
from gcodekit.job.keys.reading import Table
from gcodekit.job.stock.earlier_work import EarlierWork
from gcodekit.job.stock.frames import NO_OVERSIZE, Box3, StockPlacement, Vector

# Side words of each axis: its low limit, its high limit.
_ENDS = {"x": ("left", "right"), "y": ("front", "back"), "z": ("bottom", "top")}
_DEFAULT = {"x": "left", "y": "front", "z": "top"}
# From, to, mm.
Span = tuple[float, float]


def zero_words(axis: str, left: Span, length: float) -> dict[str, float]:
    """The words that `axis` may use and the places they stand for, from the raw stock's low limit:
    `left` is what the metal that is left spans, `length` the raw stock's."""
    low, high = _ENDS[axis]
    return {
        low: left[0],
        high: left[1],
        "centre": (left[0] + left[1]) / 2,
        f"raw_{low}": 0.0,
        f"raw_{high}": length,
        "raw_centre": length / 2,
    }


@dataclass(frozen=True, slots=True)
class Zero:
    """Program zero `at` a place from the raw stock's left front bottom corner as it sits, mm, its
    words, and the sides it is touched on: of which axis, 0 for the low one or 1 for the high; `on`:
    the feature that its x and y are on."""

    at: Vector
    text: str
    touched: frozenset[tuple[int, int]] = frozenset()
    on: str | None = None


def read_zero(setup: Table, sitting: StockPlacement, limits: Box3, earlier: EarlierWork) -> Zero:
    """Find where program zero is.

    Parameters
    ----------
    limits : the box of the metal that earlier set-ups left, in the stock's frame
    earlier : what may be named with `on`
    """
    table = setup.table("zero", job_keys.ZERO)
    found: list[float] = []
    texts: list[str] = []
    touched: set[tuple[int, int]] = set()
    on = _on(table, sitting, earlier) if table is not None and table.has("on") else None
    spans = zip(*sitting.within(limits, NO_OVERSIZE), strict=True)
    for i, (axis, length, span) in enumerate(zip("xyz", sitting.size, spans, strict=True)):
        if on is not None and i < 2:
            found.append(on[i])
            continue
        value = table.raw(axis) if table is not None and table.has(axis) else _DEFAULT[axis]
        found.append(_along(setup, axis, value, zero_words(axis, span, length)))
        touched |= {(i, end) for end in _ends(axis, value)}
        texts.append(f"{axis} {value if isinstance(value, str) else shown(value)}")
    name = str(table.raw("on")) if on is not None and table is not None else None
    if name is not None:
        texts.insert(0, f"on {name}")
    return Zero((found[0], found[1], found[2]), ", ".join(texts), frozenset(touched), name)


def _ends(axis: str, value: object) -> list[int]:
    """Find which sides an edge finder touches for it: a number counts from the low one."""
    words = set(re.findall(r"[A-Za-z_]\w*", value)) if isinstance(value, str) else set()
    if any("centre" in w for w in words):
        return []
    ends = [i for i, side in enumerate(_ENDS[axis]) if {side, f"raw_{side}"} & words]
    return ends or [0]


def refuse_raw_sides(setup: Table, sitting: StockPlacement, limits: Box3, zero: Zero) -> None:
    """Refuse zero on a raw side of an oversize bar whose opposite side is milled: from there nobody
    knows where that one is."""
    raw = sitting.raw_sides(limits)
    for i, end in sorted(zero.touched):
        if raw[end][i] and not raw[1 - end][i]:
            axis = "xyz"[i]
            more = setup.source.say(sitting.stock.oversize)
            setup.error(
                ("zero", axis),
                f"the {_ENDS[axis][end]} is still raw and may be {more} further out than drawn",
                f"put zero on the {_ENDS[axis][1 - end]}, which is milled",
            )


def _on(table: Table, sitting: StockPlacement, earlier: EarlierWork) -> Vector | None:
    """The axis that zero's x and y are put on."""
    for axis in "xy":
        if table.has(axis):
            table.error(axis, "zero is also on a feature", "remove this key, or on")
    return earlier.axis(table, "on", sitting)


def _along(setup: Table, axis: str, value: object, known: dict[str, float]) -> float:
    """One axis of zero, from the raw stock's low limit. A bare number counts from the metal's."""
    path = setup.below(("zero", axis))
    words = set(re.findall(r"[A-Za-z_]\w*", value)) if isinstance(value, str) else set()
    strays = sorted(words & (PLACE_WORDS - known.keys()))
    sides = list(known)[:3]
    if strays:
        setup.source.error(path, f"{strays[0]} is not a side along {axis}", f"use {listed(sides)}")
        return known[_DEFAULT[axis]]
    key = job_keys.ZERO.key(axis) or job_keys.ZERO.keys[0]
    at = setup.source.with_words(known).amount(path, value, key, "length")
    if at is None:
        return known[_DEFAULT[axis]]
    return at if words & known.keys() else known[sides[0]] + at
