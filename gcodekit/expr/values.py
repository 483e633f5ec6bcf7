"""A key's number: an expression or a TOML number, as the key that holds it expects it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from gcodekit.expr.parser import work_out
from gcodekit.expr.tokens import ExprError
from gcodekit.units import DEGREE, Quantity, Units, format_length, mm_per

Expect = Literal["length", "angle", "count", "number", "feed", "speed", "acceleration"]

LARGEST_LENGTH = 10_000.0  # mm: no bench mill holds more, so it is a slip of the unit
LARGEST_FEED = 100_000.0  # mm/min
LARGEST_ANGLE = 100 * 2 * math.pi  # rad: a hundred turns
NEAR_WHOLE = 1e-9  # how near a worked-out count must be to a whole number


@dataclass(frozen=True, slots=True)
class Result:
    """A value in inside units (mm, mm/min, radians, plain) and what should be said about it."""

    value: float
    warnings: tuple[str, ...] = ()


def evaluate(
    text: str, names: Mapping[str, Quantity], *, units: Units, expect: Expect = "length"
) -> Result:
    """An expression's value in inside units, as the key that holds it expects it.

    Parameters
    ----------
    names : dimensions, and place words (lengths in mm) where the key allows them
    units : the job's; what a bare number counts in

    Raises
    ------
    ExprError
        anything wrong with the text or with what it comes to

    Examples
    --------
    >>> evaluate("1-3/8 in", {}, units="mm").value
    34.925
    >>> evaluate("2 * pitch", {"pitch": Quantity(12.5)}, units="mm").value
    25.0
    """
    value, warnings = work_out(text, names, units=units)
    return Result(_as_expected(value, units, expect), tuple(warnings))


def as_number(
    value: object,
    names: Mapping[str, Quantity] | None = None,
    *,
    units: Units,
    expect: Expect = "length",
) -> Result:
    """The same from a raw TOML value: an integer, a float or an expression.

    Raises
    ------
    ExprError
        also for truth values, dates, lists and numbers that are not finite
    """
    if isinstance(value, str):
        return evaluate(value, names or {}, units=units, expect=expect)
    return Result(_as_expected(plain(value), units, expect))


def plain(value: object) -> Quantity:
    """A TOML number as a quantity without unit.

    Raises
    ------
    ExprError
        it is no finite number
    """
    if isinstance(value, bool):
        raise ExprError(f"{str(value).lower()} is not a number", "write a number")
    if not isinstance(value, int | float):
        shown = repr(value)
        shown = shown if len(shown) <= 40 else f"{shown[:40]}..."
        raise ExprError(f"{shown} is not a number", 'write a number or an expression in "quotes"')
    try:
        number = float(value)
    except OverflowError:
        raise ExprError("the number is too large") from None
    if not math.isfinite(number):
        raise ExprError(f"{number} is not a finite number", "write a number")
    return Quantity(number)


def _as_expected(value: Quantity, units: Units, expect: Expect) -> float:
    """A quantity as the key wants it, or the reason why it cannot be had."""
    if expect == "angle":
        return _angle(value)
    if expect in ("count", "number", "speed"):
        return _plain_number(value, expect)
    if value.kind not in ("number", "length"):
        hint = "remove deg" if value.kind == "angle" else "check its units"
        raise ExprError(f"{value} in place of a {expect}", hint)
    size = value.value * (mm_per(units) if value.kind == "number" else 1.0)
    if expect == "length" and abs(size) > LARGEST_LENGTH:
        raise ExprError(
            f"{format_length(size, units)} is more than {format_length(LARGEST_LENGTH, units)}",
            "check the decimal point and the unit",
        )
    if expect != "length" and abs(size) > LARGEST_FEED:
        raise ExprError(
            f"a {expect} of {format_length(size, units)}/{_RATE_TIMES[expect]} is too fast",
            "check the unit",
        )
    return size


_RATE_TIMES = {"feed": "min", "acceleration": "s2"}


def _angle(value: Quantity) -> float:
    if value.kind not in ("number", "angle"):
        raise ExprError(f"{value} in place of an angle", "write degrees")
    size = value.value * (DEGREE if value.kind == "number" else 1.0)
    if abs(size) > LARGEST_ANGLE:
        raise ExprError(f"{size / DEGREE:g} degrees is more than 100 turns", "write 0 to 360")
    return size


def _plain_number(value: Quantity, expect: Expect) -> float:
    if value.kind != "number":
        hint = "divide it by a length" if value.kind == "length" else "write a plain number"
        wanted = "plain number" if expect == "number" else expect
        raise ExprError(f"{value} in place of a {wanted}", hint)
    if expect != "count":
        return value.value
    count = round(value.value)
    if abs(value.value - count) > NEAR_WHOLE * max(1.0, abs(count)):
        raise ExprError(f"{value.value:.6g} is not a whole number", f"write {count}")
    return float(count)
