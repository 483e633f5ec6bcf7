"""Where program zero is: numbers or expressions over the sides of the work."""

from __future__ import annotations

import re
from collections.abc import Mapping

from gcodekit.expr import PLACE_WORDS
from gcodekit.job import job_keys
from gcodekit.job.frames import Sitting, Vector
from gcodekit.job.reading import Table
from gcodekit.job.wording import listed, shown

# axis -> words -> what moved the limits they name.
Moved = Mapping[str, Mapping[str, str]]
# Side words of each axis: its low limit, its high limit.
_SIDES = {"x": ("left", "right"), "y": ("front", "back"), "z": ("bottom", "top")}
_DEFAULT = {"x": "left", "y": "front", "z": "top"}


def zero_words(axis: str, length: float) -> dict[str, float]:
    """The words that `axis` may use and the lengths they stand for, from its low limit."""
    low, high = _SIDES[axis]
    return {
        low: 0.0,
        high: length,
        "centre": length / 2,
        f"raw_{low}": 0.0,
        f"raw_{high}": length,
        "raw_centre": length / 2,
    }


def read_zero(setup: Table, sitting: Sitting, moved: Moved) -> tuple[Vector, str]:
    """Program zero from the corner of the work as it sits (mm), and its words for the sheet.

    Parameters
    ----------
    moved : of each axis the words whose limit an earlier set-up moved, with what moved it
    """
    table = setup.table("zero", job_keys.ZERO)
    found: list[float] = []
    texts: list[str] = []
    for axis, length in zip("xyz", sitting.size, strict=True):
        value = table.raw(axis) if table is not None and table.has(axis) else _DEFAULT[axis]
        found.append(_along(setup, axis, value, length, moved.get(axis, {})))
        texts.append(f"{axis} {value if isinstance(value, str) else shown(value)}")
    return (found[0], found[1], found[2]), ", ".join(texts)


def _along(
    setup: Table, axis: str, value: object, length: float, moved: Mapping[str, str]
) -> float:
    """One axis of zero, from its low limit."""
    path = setup.below(("zero", axis))
    words = set(re.findall(r"[A-Za-z_]\w*", value)) if isinstance(value, str) else set()
    for word in sorted(words & moved.keys()):
        setup.source.error(
            path,
            f"{word} is a surface that {moved[word]} has cut, which is not yet supported",
            f"measure from raw_{word}",
        )
    known = zero_words(axis, length)
    strays = sorted(words & (PLACE_WORDS - known.keys()))
    if strays:
        sides = listed(list(known)[:3])
        setup.source.error(path, f"{strays[0]} is no side along {axis}", f"it may be {sides}")
        return _DEFAULT_AT[axis] * length
    key = job_keys.ZERO.key(axis) or job_keys.ZERO.keys[0]
    source = setup.source.with_words(known)
    at = source.amount(path, value, key, "length")
    return _DEFAULT_AT[axis] * length if at is None else at


# Where zero is taken to be after a fault, as a share of the work's length.
_DEFAULT_AT = {"x": 0.0, "y": 0.0, "z": 1.0}
