"""The value of a key in words: kind and unit, default, bounds; for the reference and editors."""

from __future__ import annotations

from gcodekit.job.document.wording import listed
from gcodekit.job.keys.keys import Key, KeyKind

_KINDS: dict[KeyKind, str] = {
    "text": "text",
    "flag": "true or false",
    "count": "whole number",
    "length": "length, mm or in",
    "angle": "angle, degrees",
    "feed": "feed, mm/min or in/min",
    "acceleration": "acceleration, mm/s2 or in/s2",
    "speed": "speed, rev/min",
    "number": "number",
    "point": "point [x, y]",
    "points": "point [x, y], or a list of points",
    "lengths": "list of lengths, mm or in",
    "texts": "list of words",
    "counts": "list of whole numbers",
    "numbers": "list of numbers",
    "expression": "length, mm or in, or text with side words",
    "table": "table { }",
    "tables": "list of tables",
    "outline": "outline { }, or the name of one",
    "outlines": "list of outlines",
    "path": "list of points and segments",
    "polar": "list of [radius, angle]",
    "mixed": "one of several forms",
}
_UNITS: dict[KeyKind, str] = {
    "length": " mm",
    "lengths": " mm",
    "expression": " mm",
    "angle": " degrees",
    "feed": " mm/min",
    "acceleration": " mm/s2",
    "speed": " rev/min",
}
_BOUNDED = (*_UNITS, "count", "counts", "number", "numbers")


def takes(key: Key, words: tuple[str, ...]) -> str:
    """The kind and unit of the key's value; `words`: those it may be.

    Examples
    --------
    >>> takes(Key(name="grip", kind="length", over=0, most=500, meaning=""), ())
    'length, mm or in'
    >>> takes(Key(name="turn", kind="choice", meaning=""), ("ccw", "cw"))
    '"ccw" or "cw"'
    """
    return ", or ".join(_form(form, key, words) for form in key.forms or (key.kind,))


def _form(form: KeyKind, key: Key, words: tuple[str, ...]) -> str:
    quoted = [f'"{w}"' for w in words]
    if form == "choice":
        return listed(quoted)
    if form == "texts" and words:
        return f"list of {listed(quoted)}"
    if key.figures and form in ("lengths", "counts"):
        what = "lengths, mm or in" if form == "lengths" else "whole numbers"
        return f"list of {key.figures} {what}"
    return _KINDS.get(form, form)


def default(key: Key) -> str:
    """Whether the key is required, or the value it has if it is not given; empty where neither.

    Examples
    --------
    >>> default(Key(name="turn", kind="angle", default=0.0, meaning=""))
    'default: 0 degrees'
    >>> default(Key(name="grip", kind="length", required=True, meaning=""))
    'required'
    """
    if key.required:
        return "required"
    if key.unset:
        return f"default: {key.unset}"
    return "" if key.default is None else f"default: {_value(key, key.default)}"


def bounds(key: Key) -> str:
    """The limits of the key's number and of its entries; empty where it has none.

    Examples
    --------
    >>> bounds(Key(name="grip", kind="length", over=0, most=500, meaning=""))
    'greater than 0, at most 500 mm'
    >>> bounds(Key(name="clearance", kind="length", least=0.1, most=500, meaning=""))
    '0.1 to 500 mm'
    """
    bounded = next((form for form in key.forms or (key.kind,) if form in _BOUNDED), None)
    limits = _limits(key, _UNITS.get(bounded, "")) if bounded else ""
    most = f"at most {key.entries:,} entries" if key.entries else ""
    return ", ".join(filter(None, (limits, most)))


def rule(key: Key, words: tuple[str, ...]) -> str:
    """All of it on one line: kind and unit; required, or the default; the bounds.

    Examples
    --------
    >>> rule(Key(name="clearance", kind="length", default=5.0, least=0.1, most=500, meaning=""), ())
    'length, mm or in; default: 5 mm; 0.1 to 500 mm'
    """
    return "; ".join(filter(None, (takes(key, words), default(key), bounds(key))))


def _limits(key: Key, unit: str) -> str:
    """The least and the most; nought needs no unit."""
    if key.least is not None and key.most is not None:
        return f"{_figure(key.least)} to {_figure(key.most)}{unit}"
    most = "" if key.most is None else f"at most {_figure(key.most)}{unit}"
    if key.least is not None:
        return f"at least {_figure(key.least)}{unit if key.least else ''}"
    if key.over is not None:
        over = f"greater than {_figure(key.over)}{unit if key.over and not most else ''}"
        return f"{over}, {most}" if most else over
    return most


def _value(key: Key, value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, tuple):
        return f"[{', '.join(_bare(v) for v in value)}]"
    if isinstance(value, str):
        return _bare(value)
    return f"{_bare(value)}{_UNITS.get(key.kind, '')}"


def _bare(value: object) -> str:
    return f'"{value}"' if isinstance(value, str) else f"{value:g}"


def _figure(number: float) -> str:
    """A bound in full, thousands apart: 500,000 and not 5e+05."""
    return f"{number:,.0f}" if abs(number) >= 10_000 else f"{number:g}"
