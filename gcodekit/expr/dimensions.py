"""`[dimensions]`: named quantities that may refer to one another in any order."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from gcodekit.expr.parser import CONSTANTS, FUNCTIONS, PLACE_WORDS, work_out
from gcodekit.expr.tokens import ExprError, tokens
from gcodekit.expr.values import plain
from gcodekit.units import SUFFIXES, Quantity, Units


@dataclass(frozen=True, slots=True)
class NamedFault:
    """A fault (or warning) of one dimension; `follows` when another's fault is the cause."""

    name: str
    message: str
    hint: str = ""
    severity: Literal["error", "warning"] = "error"
    follows: bool = False


def name_fault(name: str) -> tuple[str, str] | None:
    """Why a dimension may not have this name (message and hint), or None if it may."""
    if not re.fullmatch(r"[A-Za-z][A-Za-z0-9_]*", name, re.ASCII):
        return "is not a valid name", "start with a letter, then use letters, digits and _"
    for what, words in (
        ("a function", FUNCTIONS),
        ("a constant", CONSTANTS),
        ("a unit", SUFFIXES),
        ("a side word", PLACE_WORDS),
    ):
        if name in words:
            return f"{name} is the name of {what}", f"choose another name, such as {name}_1"
    return None


def resolve_dimensions(
    raw: Mapping[str, object], units: Units
) -> tuple[dict[str, Quantity], tuple[NamedFault, ...]]:
    """Every dimension's quantity, whatever order they are written in, and every fault.

    A dimension at fault is in the mapping as not-a-number, so that what uses it can say so
    instead of calling it unknown.
    """
    faults: list[NamedFault] = []
    names: dict[str, Quantity] = {}
    uses: dict[str, set[str]] = {}
    for name, value in raw.items():
        try:
            bad = name_fault(name)
            if bad:
                raise ExprError(*bad)
            words = tokens(value) if isinstance(value, str) else []
            uses[name] = {t.text for t in words if t.sort == "name" and t.text in raw}
        except ExprError as fault:
            names[name] = _AT_FAULT
            faults.append(NamedFault(name, fault.message, fault.hint))
    order, circles = _in_order({n: u - names.keys() for n, u in uses.items()})
    for circle in circles:
        names.update(dict.fromkeys(circle, _AT_FAULT))
        round_ = " -> ".join([*circle, circle[0]])
        faults.append(
            NamedFault(circle[0], f"refers back to itself: {round_}", "remove one of these names")
        )
    for name in order:
        if name not in names:
            names[name], found = _dimension(name, raw[name], names, units)
            faults.extend(found)
    return names, tuple(faults)


_AT_FAULT = Quantity(math.nan)


def _dimension(
    name: str, value: object, names: Mapping[str, Quantity], units: Units
) -> tuple[Quantity, list[NamedFault]]:
    try:
        if not isinstance(value, str):
            return plain(value), []
        result, warnings = work_out(value, names, units=units)
    except ExprError as fault:
        return _AT_FAULT, [NamedFault(name, fault.message, fault.hint, follows=fault.follows)]
    return result, [NamedFault(name, warning, severity="warning") for warning in warnings]


def _in_order(uses: Mapping[str, set[str]]) -> tuple[list[str], list[list[str]]]:
    """Names so that each comes after those it uses, and the circles there are.

    What leans on a circle without being part of it comes last.
    """
    left = {name: set(used) for name, used in uses.items()}
    users: dict[str, list[str]] = {name: [] for name in uses}
    for name, used in uses.items():
        for other in used:
            users[other].append(name)
    order: list[str] = []
    ready = [name for name, used in left.items() if not used]
    circles: list[list[str]] = []
    while left:
        while ready:
            name = ready.pop()
            del left[name]
            order.append(name)
            for user in users[name]:
                if name in left.get(user, ()):
                    left[user].discard(name)
                    if not left[user]:
                        ready.append(user)
        if left:
            circle = _circle(left)
            circles.append(circle)
            for name in circle:
                left[name].clear()
            ready = list(circle)
    return order, circles


def _circle(left: Mapping[str, set[str]]) -> list[str]:
    """One circle among names each of which uses another of them."""
    walked: dict[str, int] = {}
    name = next(iter(left))
    while name not in walked:
        walked[name] = len(walked)
        name = min(left[name])
    return list(walked)[walked[name] :]
