"""Tokens to a value, by recursive descent: each method's docstring is its rule."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import NoReturn

from gcodekit.expr.tokens import ExprError, Token, nearest, tokens
from gcodekit.units import SUFFIXES, Quantity, QuantityError, Reckoner, Units

DEEPEST_NESTING = 40

FUNCTIONS: dict[str, tuple[int, int]] = {  # fewest and most arguments
    **dict.fromkeys(("sqrt", "sin", "cos", "tan", "asin", "acos", "atan", "abs"), (1, 1)),
    "atan2": (2, 2),
    **dict.fromkeys(("hypot", "min", "max"), (1, 50)),
}
CONSTANTS: dict[str, Quantity] = {"pi": Quantity(math.pi)}
PLACE_WORDS: frozenset[str] = frozenset(
    {"left", "right", "centre", "front", "back", "top", "bottom", "faced"}
    | {"raw_left", "raw_right", "raw_front", "raw_back", "raw_top", "raw_bottom"}
    | {"raw_centre"}
)


class _Parser:
    """Works the value out while reading; each method's docstring is its rule."""

    def __init__(self, text: str, names: Mapping[str, Quantity], reckoner: Reckoner) -> None:
        self.tokens = tokens(text)
        self.names = names
        self.reckoner = reckoner
        self.at = 0
        self.depth = 0

    @property
    def next(self) -> Token:
        return self.tokens[self.at]

    def ended(self) -> bool:
        return self.next.sort == "end"

    def take(self) -> Token:
        token = self.tokens[self.at]
        self.at += 1
        return token

    def whole(self) -> Quantity:
        """Whole := sum end."""
        if self.ended():
            raise ExprError("is empty", "write a number")
        value = self.sum()
        if not self.ended():
            self.stray()
        return value

    def sum(self) -> Quantity:
        """Sum := product (("+" | "-") product)*."""
        value = self.product()
        while self.next.text in ("+", "-"):
            sign = self.take()
            other = self.product()
            with _located(sign):
                value = self.reckoner.add(value, other, sign=-1 if sign.text == "-" else 1)
        return value

    def product(self) -> Quantity:
        """Product := signed (("*" | "/") signed)*."""
        value = self.signed()
        while self.next.text in ("*", "/"):
            sign = self.take()
            other = self.signed()
            work = self.reckoner.multiply if sign.text == "*" else self.reckoner.divide
            with _located(sign):
                value = work(value, other)
        return value

    def signed(self) -> Quantity:
        """Signed := ("+" | "-") signed | atom ("**" signed)?."""
        self.depth += 1
        if self.depth > DEEPEST_NESTING:
            raise ExprError(
                "brackets nested too deeply", "split it up in [dimensions]", self.next.column
            )
        if self.next.text in ("+", "-"):
            sign = self.take()
            value = self.signed()
            value = self.reckoner.negative(value) if sign.text == "-" else value
        else:
            value = self.atom()
            if self.next.text == "**":
                sign = self.take()
                exponent = self.signed()
                with _located(sign):
                    value = self.reckoner.power(value, exponent)
        self.depth -= 1
        return value

    def atom(self) -> Quantity:
        """Atom := number | name | function "(" sum ("," sum)* ")" | "(" sum ")"."""
        token = self.take()
        if token.quantity is not None:
            if token.suffixed:
                suffix = token.text.rsplit(" ", 1)[-1]
                home = SUFFIXES[suffix][2]
                foreign = home is not None and home != self.reckoner.units
                return Quantity(token.quantity.value, token.quantity.kind, foreign)
            return token.quantity
        if token.sort == "name":
            return self.call(token) if token.text in FUNCTIONS else self.name(token)
        if token.text == "(":
            value = self.sum()
            self.close(token)
            return value
        if token.sort == "end":
            raise ExprError(
                "the expression is not complete", "add the missing number", token.column
            )
        raise ExprError(f"{token.text} is in place of a number", "", token.column)

    def call(self, function: Token) -> Quantity:
        """Function "(" sum ("," sum)* ")"."""
        if self.next.text != "(":
            raise ExprError(
                f"{function.text} has no brackets", f"write {function.text}(...)", function.column
            )
        opening = self.take()
        args = [self.sum()]
        while self.next.text == ",":
            self.take()
            args.append(self.sum())
        self.close(opening)
        fewest, most = FUNCTIONS[function.text]
        if not fewest <= len(args) <= most:
            wanted = str(fewest) if fewest == most else f"{fewest} to {most}"
            raise ExprError(
                f"{function.text} has {len(args)} values", f"give {wanted}", function.column
            )
        with _located(function):
            return self.reckoner.call(function.text, args)

    def close(self, opening: Token) -> None:
        if self.next.text == ")":
            self.take()
        elif self.ended():
            raise ExprError("a bracket is not closed", "add )", opening.column)
        else:
            self.stray()

    def name(self, token: Token) -> Quantity:
        known = self.names.get(token.text) or CONSTANTS.get(token.text)
        if known is not None:
            if math.isnan(known.value):
                raise ExprError(
                    f"{token.text} has an error of its own",
                    "correct that dimension first",
                    token.column,
                    follows=True,
                )
            return known
        raise ExprError(*_unknown(token.text, self.names), token.column)

    def stray(self) -> NoReturn:
        """Say what is wrong with a token no rule has a place for."""
        raise ExprError(*_misplaced(self.tokens[self.at - 1], self.next), self.next.column)


@contextmanager
def _located(token: Token) -> Iterator[None]:
    """Gives the token's column to whatever the arithmetic inside complains of."""
    try:
        yield
    except QuantityError as fault:
        if isinstance(fault, ExprError):
            raise
        raise ExprError(fault.message, fault.hint, token.column) from None


def _unknown(word: str, names: Mapping[str, Quantity]) -> tuple[str, str]:
    if word in SUFFIXES:
        return f"{word} has no number before it", f"write it after a number: 5 {word}"
    if word in PLACE_WORDS:
        return f"{word} cannot be used here", "use side words in zero and top only"
    close = nearest(word, [*names, *FUNCTIONS, *CONSTANTS, *SUFFIXES])
    hint = f"did you mean {close}?" if close else "add it to [dimensions]"
    return f"{word} is not known", hint


def _misplaced(before: Token, token: Token) -> tuple[str, str]:
    if token.text in SUFFIXES:
        return (
            f"{token.text} must follow a number, not {before.text}",
            f"give each number its own unit, or multiply: (...) * 1 {token.text}",
        )
    if token.text == ",":
        return "a comma outside the brackets of a function", "use a decimal point: 2.5"
    if token.text == ")":
        return "a bracket is closed that was never opened", "delete )"
    if before.sort == "number" and token.sort == "number":
        return (
            f"{before.text} and {token.text} side by side",
            "write + - * or / between them, or give a mixed number its unit: 1 3/8 in",
        )
    if before.sort == "number" and token.sort == "name":
        close = nearest(token.text, SUFFIXES)
        hint = f"did you mean {close}?" if close else f"use * to multiply: {before.text} * ..."
        return f"no sign between {before.text} and {token.text}", hint
    return f"{token.text} is in place of + - * or /", "use * to multiply"


def work_out(
    text: str, names: Mapping[str, Quantity], *, units: Units
) -> tuple[Quantity, list[str]]:
    """The quantity an expression comes to, and the warnings met on the way.

    Raises
    ------
    ExprError
        anything at all that is wrong with the text
    """
    reckoner = Reckoner(units)
    return _Parser(text, names, reckoner).whole(), reckoner.warnings
