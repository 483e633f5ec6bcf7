"""Values: numbers, parameters, expressions in brackets and functions.

Source: NISTIR 6556, 3.3.2 and appendix E.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable

from gcodekit.rs274.parameters import TOP_INDEX

# Near enough to a whole number, NISTIR 6556, 3.3.2.1.
NEAR_WHOLE = 1e-4
# Possessive, so that no row of digits is tried twice.
NUMBER_PATTERN = r"[+-]?+(?:[0-9]++\.?+[0-9]*+|\.[0-9]++)"
# More brackets than this cannot be closed again on a line of the longest length.
DEEPEST_BRACKETS = 130

_NUMBER_AT = re.compile(NUMBER_PATTERN).match
_LETTERS_AT = re.compile("[A-Z]+").match
_FUNCTION = re.compile(r"(ABS|ACOS|ASIN|ATAN|COS|EXP|FIX|FUP|LN|ROUND|SIN|SQRT|TAN)\[").match
_OPERATOR = re.compile(r"\*\*|[*/+\-\]]|MOD|AND|XOR|OR").match

# What a value that is no number may begin with, besides the letters of a function.
_VALUE_BEGINS = frozenset("#[")

# 3.3.2.3; the closing bracket comes last of all
_RANK = {
    "**": 3, "*": 2, "/": 2, "MOD": 2, "+": 1, "-": 1, "OR": 1, "XOR": 1, "AND": 1, "]": 0,
}  # fmt: skip


def shown(char: str) -> str:
    """A character of a program as a message may show it: as it is if it can be printed."""
    return char if "!" <= char <= "~" else repr(char)


class NoValueError(Exception):
    """A value that cannot be read or has no answer; `at` is its place in the bare text."""

    def __init__(self, at: int, text: str) -> None:
        super().__init__(text)
        self.at = at
        self.text = text


class Reader:
    """Reads values from a bare text: upper case, no blanks, no comments."""

    __slots__ = ("depth", "parameter", "text")

    def __init__(self, text: str, parameter: Callable[[int], float]) -> None:
        self.text = text
        self.parameter = parameter
        self.depth = 0

    def begins_function(self, at: int) -> bool:
        """Tell whether letters and a bracket stand there, be it a function or not."""
        found = _LETTERS_AT(self.text, at)
        return found is not None and self.text[found.end() : found.end() + 1] == "["

    def value(self, at: int) -> tuple[float, int]:
        """The value at a place, and where it ends.

        Raises
        ------
        NoValueError
        """
        char = self.text[at : at + 1]
        if char not in _VALUE_BEGINS:
            found = _NUMBER_AT(self.text, at)
            if found:
                return float(found.group()), found.end()
        self.depth += 1
        if self.depth > DEEPEST_BRACKETS:
            raise NoValueError(at, f"values nested more than {DEEPEST_BRACKETS} deep")
        if char == "#":
            index, at = self.index(at + 1)
            result = self.parameter(index), at
        elif char == "[":
            result = self._expression(at)
        else:
            result = self._function(at)
        self.depth -= 1
        return result

    def index(self, at: int) -> tuple[int, int]:
        """The index of a parameter, after its sign, and where it ends."""
        value, end = self.value(at)
        index = round(value)
        if abs(value - index) > NEAR_WHOLE or not 1 <= index <= TOP_INDEX:
            text = f"#{value:g}: a parameter number must be a whole number, 1 to {TOP_INDEX}"
            raise NoValueError(at, text)
        return index, end

    def _expression(self, opened: int) -> tuple[float, int]:
        """Return the value of a bracket; left to right within a rank."""
        value, at = self.value(opened + 1)
        waiting: list[tuple[float, str, int]] = []
        while True:
            found = _OPERATOR(self.text, at)
            if not found:
                raise self._not_closed(opened, at)
            sign = found.group()
            rank = _RANK[sign]
            while waiting and _RANK[waiting[-1][1]] >= rank:
                left, earlier, place = waiting.pop()
                value = _binary(earlier, left, value, place)
            if rank == 0:
                return value, found.end()
            waiting.append((value, sign, at))
            value, at = self.value(found.end())

    def _not_closed(self, opened: int, at: int) -> NoValueError:
        if at >= len(self.text):
            return NoValueError(opened, "bracket without ]")
        return NoValueError(at, f"expected an operator or ], found {shown(self.text[at])}")

    def _function(self, at: int) -> tuple[float, int]:
        found = _FUNCTION(self.text, at)
        if not found:
            name = _LETTERS_AT(self.text, at)
            if name and self.text[name.end() : name.end() + 1] == "[":
                raise NoValueError(at, f"{name.group()} is not an RS-274 function")
            raise NoValueError(at, "number or expression missing")
        name_of = found.group(1)
        value, end = self._expression(found.end() - 1)
        if name_of != "ATAN":
            return _unary(name_of, value, at), end
        if self.text[end : end + 2] != "/[":
            raise NoValueError(at, "ATAN needs two arguments: ATAN[a]/[b]")
        other, end = self._expression(end + 1)
        return math.degrees(math.atan2(value, other)), end


def _binary(sign: str, a: float, b: float, at: int) -> float:
    try:
        result = _OPERATIONS[sign](a, b)
    except ZeroDivisionError:
        raise NoValueError(at, "division by zero") from None
    except OverflowError:
        raise NoValueError(at, "result too large") from None
    if isinstance(result, complex):
        raise NoValueError(at, f"{a:g} to the power of {b:g} is not a real number")
    if not math.isfinite(result):
        raise NoValueError(at, "result too large")
    return result


def _modulo(a: float, b: float) -> float:
    # never negative, whatever the signs
    return a % abs(b)


_OPERATIONS: dict[str, Callable[[float, float], float]] = {
    "**": lambda a, b: a**b,
    "*": lambda a, b: a * b,
    "/": lambda a, b: a / b,
    "MOD": _modulo,
    "+": lambda a, b: a + b,
    "-": lambda a, b: a - b,
    "OR": lambda a, b: float(a != 0 or b != 0),
    "XOR": lambda a, b: float((a != 0) != (b != 0)),
    "AND": lambda a, b: float(a != 0 and b != 0),
}


def _unary(name: str, value: float, at: int) -> float:
    try:
        return float(_UNARY[name](value))
    except (ValueError, OverflowError):
        raise NoValueError(at, f"{name} of {value:g} is not defined") from None


def _round_half_out(value: float) -> float:
    return math.copysign(math.floor(abs(value) + 0.5), value)


# Angles in degrees, in and out (3.3.2.4).
_UNARY: dict[str, Callable[[float], float]] = {
    "ABS": abs,
    "ACOS": lambda v: math.degrees(math.acos(v)),
    "ASIN": lambda v: math.degrees(math.asin(v)),
    "COS": lambda v: math.cos(math.radians(v)),
    "EXP": math.exp,
    "FIX": math.floor,
    "FUP": math.ceil,
    "LN": math.log,
    "ROUND": _round_half_out,
    "SIN": lambda v: math.sin(math.radians(v)),
    "SQRT": math.sqrt,
    "TAN": lambda v: math.tan(math.radians(v)),
}
