"""Text to tokens: numbers with their suffixes and fractions read, names and signs."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from gcodekit.units import SUFFIXES, Quantity, QuantityError

LONGEST_TEXT = 500


class ExprError(QuantityError):
    """What is wrong in an expression.

    Parameters
    ----------
    column : 1-based place in the text, 0 where the whole is meant
    follows : only because a dimension it uses is itself at fault
    """

    def __init__(
        self, message: str, hint: str = "", column: int = 0, *, follows: bool = False
    ) -> None:
        super().__init__(message, hint)
        self.column = column
        self.follows = follows


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word most like this one, if any is like it at all."""
    choices = sorted(known)
    lower = {choice.lower(): choice for choice in choices}
    found = difflib.get_close_matches(word[:60].lower(), lower, n=1, cutoff=0.6)
    return lower[found[0]] if found else None


@dataclass(frozen=True, slots=True)
class Token:
    """A number, name or sign; `apart` when a space stands before it."""

    sort: Literal["number", "name", "sign", "end"]
    text: str
    column: int
    apart: bool = False
    quantity: Quantity | None = None  # of a number, once its suffix has been read
    suffixed: bool = False


_EXPR_TOKEN = re.compile(
    r"(?P<number>(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)"
    r"|(?P<name>[A-Za-z][A-Za-z0-9_]*)|(?P<sign>\*\*|[-+*/(),])",
    re.ASCII,
)
_BLANK = re.compile(r"[ \t\r\n]*")
_MISTYPED: dict[str, str] = {
    **dict.fromkeys("\u2212\u2013\u2014\u2010\u2011", "type the - of the keyboard"),
    **dict.fromkeys("\u00a0\u2007\u2009\u202f\u2003\u2002", "type an ordinary space"),
    **dict.fromkeys("\u00d7\u22c5\u00b7", "use * to multiply"),
    **dict.fromkeys("\u00f7\u2044\u2215", "use / for a fraction"),
    **dict.fromkeys("\"\u2033\u201d\u201c'\u2032\u2019", "write in for inches: 3/8 in"),
    **dict.fromkeys("\u00bd\u00bc\u00be\u215b\u215c\u215d\u215e", "write the fraction as 1/2 in"),
    "^": "use ** for a power",
    "\u00b2": "use **2 for a square",
    "\u00b0": "write deg for degrees: 30 deg",
    "\u00b1": "use the key limits = [-0.01, 0.01]",
    "%": "write a factor: 0.5 * width",
    "=": "write one expression, without =",
    "[": "use round brackets ( )",
    "]": "use round brackets ( )",
}


def tokens(text: str) -> list[Token]:
    """Numbers (suffix and fraction read), names and signs, then an end.

    Raises
    ------
    ExprError
        text that is too long, or a character that arithmetic has no use for
    """
    if len(text) > LONGEST_TEXT:
        raise ExprError(f"longer than {LONGEST_TEXT} characters", "split it up in [dimensions]")
    found: list[Token] = []
    start = 0
    while True:
        blank = _BLANK.match(text, start)
        at = blank.end() if blank else start
        if at == len(text):
            found.append(Token("end", "", at + 1))
            return _with_suffixes(found)
        match = _EXPR_TOKEN.match(text, at)
        if match is None:
            sign = text[at]
            shown = sign if sign.isprintable() and not sign.isspace() else f"U+{ord(sign):04X}"
            raise ExprError(f"{shown} is not allowed here", _MISTYPED.get(sign, ""), at + 1)
        sort: Literal["number", "name", "sign"] = match.lastgroup  # type: ignore[assignment]  # the group names are the sorts
        found.append(Token(sort, match.group(), at + 1, apart=at > start))
        start = match.end()


def _with_suffixes(found: list[Token]) -> list[Token]:
    """Join every number to its suffix, and fractions and mixed numbers to one number each."""
    out: list[Token] = []
    at = 0
    while at < len(found):
        used = _number_length(found, at)
        if used == 0:
            out.append(found[at])
            at += 1
            continue
        literal = _literal(found[at : at + used])
        if literal.suffixed:
            _refuse_divided(out, literal, fraction=used > 2)
        out.append(literal)
        at += used
    return out


def _number_length(found: list[Token], at: int) -> int:
    """Find how many tokens from `at` make one number: 0 where none starts.

    number := N | N suffix | N "/" N suffix | N N "/" N suffix | N "-" N "/" N suffix (unspaced)
    """
    if found[at].sort != "number":
        return 0
    shape = "".join(_letter(t) for t in found[at : at + 6])
    tight = not any(t.apart for t in found[at + 1 : at + 5])
    whole = found[at].text.isdigit()
    if whole and shape.startswith("N-N/Ns") and tight:
        return 6
    if whole and shape.startswith("NN/Ns"):
        return 5
    if shape.startswith("N/Ns"):
        return 4
    return 2 if shape.startswith("Ns") else 1


def _letter(token: Token) -> str:
    if token.sort == "number":
        return "N"
    if token.sort == "name":
        return "s" if token.text in SUFFIXES else "w"
    return token.text[:1] if len(token.text) == 1 else "#"


def _literal(parts: list[Token]) -> Token:
    """One number from its tokens; its column is the first's."""
    first = parts[0]
    text = " ".join(t.text for t in parts).replace(" / ", "/").replace(" - ", "-")
    if len(parts) == 1:
        return Token("number", text, first.column, first.apart, Quantity(_float(first)))
    value = _float(first)
    if len(parts) >= 4:
        over, under = _float(parts[-4]), _float(parts[-2])
        if under == 0:
            raise ExprError("division by zero in a fraction", "correct it", parts[-2].column)
        value = over / under
        if len(parts) > 4:
            if value >= 1:
                raise ExprError(
                    f"{parts[-4].text}/{parts[-2].text} after a whole number is itself 1 or more",
                    "use brackets to make it clear",
                    parts[-4].column,
                )
            value += _float(first)
    kind, size, _ = SUFFIXES[parts[-1].text]
    return Token("number", text, first.column, first.apart, Quantity(value * size, kind), True)


def _float(token: Token) -> float:
    value = float(token.text)
    if not math.isfinite(value):
        raise ExprError("the number is too large", "check it", token.column)
    return value


def _refuse_divided(before: list[Token], literal: Token, *, fraction: bool) -> None:
    """``a/8 in`` and ``2/3/8 in`` read two ways: ask for brackets."""
    at = len(before) - 1
    while at >= 0 and before[at].text in ("+", "-"):
        at -= 1
    if at < 0 or before[at].text not in ("/", "**"):
        return
    left = before[at - 1] if at else None
    if before[at].text == "/" and not fraction and left is not None and left.suffixed:
        return  # 3 in / 8 in: a ratio of two lengths, read one way only
    sign = before[at].text
    shown = left.text if left is not None else ""
    shown = "(...)" if shown == ")" else shown
    plain, suffix = literal.text.rsplit(" ", 1)
    raise ExprError(
        f"{shown}{sign}{literal.text} can be read in two ways",
        f"use brackets: {shown}{sign}({literal.text}) or ({shown}{sign}{plain}) * 1 {suffix}",
        literal.column,
    )
