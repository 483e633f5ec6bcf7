"""Lengths and angles with their units, and the arithmetic between them.

Inside everything is mm and radians. A number written without a unit stays a plain number until
it meets a length or an angle, or until a key asks for one; then it is in the job's units
(degrees for angles).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

Units = Literal["mm", "inch"]
Kind = Literal["number", "length", "angle", "other"]
Powers = tuple[float, float]  # of length and of angle

MM_PER_INCH = 25.4  # exact since 1959
DEGREE = math.pi / 180

# suffix -> (kind, size in inside units, the job units it belongs to)
SUFFIXES: dict[str, tuple[Kind, float, Units | None]] = {
    "mm": ("length", 1.0, "mm"),
    "in": ("length", MM_PER_INCH, "inch"),
    "thou": ("length", MM_PER_INCH / 1000, "inch"),
    "deg": ("angle", DEGREE, None),
}

_POWERS: dict[Kind, Powers] = {"number": (0, 0), "length": (1, 0), "angle": (0, 1)}


def mm_per(units: Units) -> float:
    """One job unit in mm."""
    return MM_PER_INCH if units == "inch" else 1.0


def format_length(mm: float, units: Units) -> str:
    """A length in words, to a tenth of a micrometre or a hundred-thousandth of an inch.

    Examples
    --------
    >>> format_length(3.5875, "mm"), format_length(3.5875, "inch")
    ('3.5875 mm', '0.14124 in')
    """
    value, places, word = (mm, 4, "mm") if units == "mm" else (mm / MM_PER_INCH, 5, "in")
    text = f"{value:.{places}f}".rstrip("0").rstrip(".")
    return f"{'0' if text == '-0' else text} {word}"


def format_size(mm: float, units: Units) -> str:
    """A measured length in words: three decimals of a millimetre, four of an inch, one more digit
    where that would be 0.

    Examples
    --------
    >>> format_size(1.0, "mm"), format_size(0.12345, "mm"), format_size(0.12345, "inch")
    ('1 mm', '0.123 mm', '0.0049 in')
    >>> format_size(0.0002, "mm"), format_size(0.002, "inch"), format_size(0.001, "inch")
    ('0.0002 mm', '0.0001 in', '0.00004 in')
    """
    number = format_coordinate(mm, units)
    value, word = (mm, "mm") if units == "mm" else (mm / MM_PER_INCH, "in")
    if number == "0" and abs(value) > _LEAST_SHOWN:
        number = f"{value:.{-math.floor(math.log10(abs(value)))}f}"
    return f"{number} {word}"


# Lengths of less than this, mm or inch, are 0 in words.
_LEAST_SHOWN = 1e-9


def format_coordinate(mm: float, units: Units) -> str:
    """A coordinate or length as a bare number: three decimals of a millimetre, four of an inch.

    Examples
    --------
    >>> format_coordinate(-12.7, "inch"), format_coordinate(-0.0001, "mm")
    ('-0.5', '0')
    """
    value, places = (mm, 3) if units == "mm" else (mm / MM_PER_INCH, 4)
    text = f"{value:.{places}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def format_place(place: Sequence[float], units: Units) -> str:
    """A place as X, Y and Z words.

    Examples
    --------
    >>> format_place((20, 10, -1.5), "mm"), format_place((25.4, -12.7), "inch")
    ('X20 Y10 Z-1.5', 'X1 Y-0.5')
    """
    return " ".join(f"{a}{format_coordinate(v, units)}" for a, v in zip("XYZ", place, strict=False))


def format_feed(mm_per_min: float, units: Units) -> str:
    """A feed in words.

    Examples
    --------
    >>> format_feed(600, "mm"), format_feed(600, "inch"), format_feed(2.54, "inch")
    ('600 mm/min', '23.6 in/min', '0.1 in/min')
    """
    if units == "mm":
        return f"{mm_per_min:.{0 if mm_per_min >= 10 else 1}f} mm/min"
    return f"{mm_per_min / MM_PER_INCH:.1f} in/min"


def format_time(seconds: float) -> str:
    """A time as people read it.

    Examples
    --------
    >>> format_time(42), format_time(59.6), format_time(823), format_time(7384)
    ('42 s', '1 min 00 s', '13 min 43 s', '2 h 03 min')
    """
    minutes, rest = divmod(round(seconds), 60)
    if minutes >= 60:
        minutes = round(seconds / 60)
        return f"{minutes // 60} h {minutes % 60:02d} min"
    return f"{minutes} min {rest:02d} s" if minutes else f"{rest} s"


def format_point(x: float, y: float, units: Units) -> str:
    """A place in words, in the job's units.

    Examples
    --------
    >>> format_point(25.4, -12.7, "inch")
    '[1, -0.5]'
    """
    return f"[{format_length(x, units).split()[0]}, {format_length(y, units).split()[0]}]"


def format_both(mm: float, units: Units) -> str:
    """A length in the job's units, and in the other unit in brackets."""
    other: Units = "mm" if units == "inch" else "inch"
    return f"{format_length(mm, units)} ({format_length(mm, other)})"


class QuantityError(Exception):
    """Arithmetic that has no answer: `message` says why, `hint` what would be right."""

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(f"{message}, {hint}" if hint else message)
        self.message = message
        self.hint = hint


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in inside units: a plain number, mm or radians.

    Parameters
    ----------
    kind : "other" for what arithmetic passes through (an area, a reciprocal); see `powers`
    foreign : a length some part of which was written in the unit that is not the job's
    powers : of length and angle; read only where `kind` is "other"
    """

    value: float
    kind: Kind = "number"
    foreign: bool = False
    powers: Powers = (0, 0)

    @property
    def dimension(self) -> Powers:
        """Powers of length and angle."""
        return self.powers if self.kind == "other" else _POWERS[self.kind]

    def __str__(self) -> str:
        return {"number": "a plain number", "length": "a length", "angle": "an angle"}.get(
            self.kind, _in_words(self.powers)
        )


def _in_words(powers: Powers) -> str:
    known: dict[Powers, str] = {
        (2, 0): "an area (length times length)",
        (3, 0): "a volume",
        (-1, 0): "one over a length",
        (0, -1): "one over an angle",
    }
    return known.get(powers, "neither a length nor a number")


def quantity(value: float, powers: Powers, *, foreign: bool = False) -> Quantity:
    """The quantity of these powers of length and angle.

    Raises
    ------
    QuantityError
        the value is infinite or not a number
    """
    if not math.isfinite(value):
        raise QuantityError("the result is too large")
    near = (_tidy(powers[0]), _tidy(powers[1]))
    for kind, own in _POWERS.items():
        if own == near:
            return Quantity(value, kind, foreign and kind == "length")
    return Quantity(value, "other", foreign, near)


def _tidy(power: float) -> float:
    """Roots leave powers like 0.9999999: bring them back."""
    return round(power, 6) + 0.0


class Reckoner:
    """Arithmetic in a job's units. Gathers a warning wherever a bare number meets a length
    that was written in the other unit."""

    def __init__(self, units: Units) -> None:
        self.units = units
        self.warnings: list[str] = []

    def alike(self, values: Sequence[Quantity]) -> tuple[Quantity, ...]:
        """The values brought to one kind: a bare number becomes what it meets.

        Raises
        ------
        QuantityError
            a length meets an angle
        """
        typed = [v for v in values if v.kind != "number"]
        if not typed:
            return tuple(values)
        powers = typed[0].dimension
        for other in typed[1:]:
            if other.dimension != powers:
                raise QuantityError(f"{typed[0]} and {other} cannot be combined")
        scale = mm_per(self.units) ** powers[0] * DEGREE ** powers[1]
        return tuple(quantity(v.value * scale, powers) if v.kind == "number" else v for v in values)

    def _settled(self, given: Sequence[Quantity], value: float, powers: Powers) -> Quantity:
        """The result of bringing `given` together, with the warning that may be due."""
        foreign = any(v.foreign for v in given)
        bare = [v.value for v in given if v.kind == "number" and v.value != 0]
        result = quantity(value, powers, foreign=foreign and not bare)
        if foreign and bare:
            self._warn(bare[0], result)
        return result

    def _warn(self, bare: float, result: Quantity) -> None:
        own, other, other_suffix = (
            ("mm", "inches", "in") if self.units == "mm" else ("in", "mm", "mm")
        )
        if result.kind != "length":
            self.warnings.append(
                f"{bare:g} without a unit meets {result} that has {other} in it: it is taken in "
                f"{own}; give every length its unit"
            )
            return
        self.warnings.append(
            f"{bare:g} without a unit meets a length in {other}: it is taken as {bare:g} {own}, "
            f"which makes {format_both(result.value, self.units)}; "
            f"write {bare:g} {own} or {bare:g} {other_suffix}"
        )

    def add(self, a: Quantity, b: Quantity, *, sign: int = 1) -> Quantity:
        """a + b, or a - b where `sign` is -1."""
        first, second = self.alike((a, b))
        return self._settled((a, b), first.value + sign * second.value, first.dimension)

    def multiply(self, a: Quantity, b: Quantity) -> Quantity:
        """a * b."""
        (p, q), (r, s) = a.dimension, b.dimension
        return quantity(a.value * b.value, (p + r, q + s), foreign=a.foreign or b.foreign)

    def divide(self, a: Quantity, b: Quantity) -> Quantity:
        """a / b."""
        if b.value == 0:
            raise QuantityError("division by zero")
        (p, q), (r, s) = a.dimension, b.dimension
        return quantity(a.value / b.value, (p - r, q - s), foreign=a.foreign or b.foreign)

    def power(self, a: Quantity, b: Quantity) -> Quantity:
        """a ** b, the exponent a plain number."""
        if b.kind != "number":
            raise QuantityError(f"the exponent is {b}", "use a plain number")
        try:
            value = a.value**b.value
        except ZeroDivisionError:
            raise QuantityError("division by zero: 0 to a negative power") from None
        except OverflowError:
            raise QuantityError("the result is too large") from None
        if isinstance(value, complex):
            raise QuantityError("a root of a negative number")
        p, q = a.dimension
        return quantity(value, (p * b.value, q * b.value), foreign=a.foreign)

    def negative(self, a: Quantity) -> Quantity:
        """-a."""
        return quantity(-a.value, a.dimension, foreign=a.foreign)

    def call(self, name: str, args: Sequence[Quantity]) -> Quantity:
        """One of the functions a job may use; the number of arguments has been checked."""
        if name in ("sin", "cos", "tan"):
            return _of_angle(name, args[0])
        if name in ("asin", "acos", "atan"):
            return _arc(name, args[0])
        if name == "sqrt":
            if args[0].value < 0:
                raise QuantityError("a root of a negative number")
            return self.power(args[0], Quantity(0.5))
        if name == "abs":
            return quantity(abs(args[0].value), args[0].dimension, foreign=args[0].foreign)
        like = self.alike(args)
        values = [v.value for v in like]
        if name == "atan2":
            self._settled(args, values[0], like[0].dimension)
            return Quantity(math.atan2(*values) / DEGREE)
        return self._settled(args, _CHOICES[name](values), like[0].dimension)


_CHOICES: dict[str, Callable[[Sequence[float]], float]] = {
    "min": min,
    "max": max,
    "hypot": lambda legs: math.hypot(*legs),
}


def _of_angle(name: str, a: Quantity) -> Quantity:
    if a.kind not in ("number", "angle"):
        raise QuantityError(f"{name} of {a}", "give an angle in degrees")
    angle = a.value * DEGREE if a.kind == "number" else a.value
    if name == "tan" and abs(math.cos(angle)) < 1e-12:
        raise QuantityError("tan of a right angle has no value")
    return Quantity(getattr(math, name)(angle))


def _arc(name: str, a: Quantity) -> Quantity:
    if a.kind != "number":
        raise QuantityError(f"{name} of {a}", "give a plain ratio, such as length / length")
    if name != "atan" and abs(a.value) > 1:
        raise QuantityError(f"{name} of {a.value:g}", "give a value from -1 to 1")
    return Quantity(getattr(math, name)(a.value) / DEGREE)
