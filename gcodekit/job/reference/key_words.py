"""What a key takes, in words: for the reference and for the hints an editor shows."""

from __future__ import annotations

from gcodekit.job.document.wording import listed
from gcodekit.job.keys.keys import Key, KeyKind

_KINDS: dict[KeyKind, str] = {
    "text": "text",
    "flag": "true or false",
    "count": "whole number",
    "length": "length",
    "angle": "angle in degrees",
    "feed": "feed in units a minute",
    "acceleration": "units per second squared",
    "speed": "rev/min",
    "number": "number",
    "point": "point [x, y]",
    "points": "point [x, y], or a list of points",
    "lengths": "list of lengths",
    "texts": "list of words",
    "counts": "list of whole numbers",
    "numbers": "list of numbers",
    "expression": "length, or text with side words",
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
    "angle": " deg",
    "feed": " mm/min",
    "acceleration": " mm/s2",
    "speed": " rev/min",
}
_BOUNDED = (*_UNITS, "count", "counts", "number", "numbers")


def takes(key: Key, words: tuple[str, ...]) -> str:
    """Find what may stand behind the key; `words`: those it may be.

    Examples
    --------
    >>> takes(Key(name="grip", kind="length", over=0, most=500, meaning=""), ())
    'length over 0, at most 500 mm'
    >>> takes(Key(name="turn", kind="choice", meaning=""), ("ccw", "cw"))
    '"ccw" or "cw"'
    """
    taken = ", or ".join(_form(form, key, words) for form in key.forms or (key.kind,))
    return f"{taken}, at most {key.entries:,} of them" if key.entries else taken


def _form(form: KeyKind, key: Key, words: tuple[str, ...]) -> str:
    quoted = [f'"{w}"' for w in words]
    if form == "choice":
        return listed(quoted)
    if form == "texts" and words:
        return f"list of {listed(quoted)}"
    bounds = _bounds(key, _UNITS.get(form, "")) if form in _BOUNDED else ""
    if key.figures and form in ("lengths", "counts"):
        what = "lengths" if form == "lengths" else "whole numbers"
        return f"list of {key.figures} {what}{bounds}"
    return f"{_KINDS.get(form, form)}{bounds}"


def _bounds(key: Key, unit: str) -> str:
    """The least and the most; nought needs no unit."""
    most = "" if key.most is None else f"{key.most:g}{unit}"
    if key.least is not None:
        if most:
            return f", {key.least:g} to {most}"
        return f", {key.least:g}{unit if key.least else ''} or more"
    if key.over is not None:
        over = f" over {key.over:g}{unit if key.over and not most else ''}"
        return f"{over}, at most {most}" if most else over
    return f", at most {most}" if most else ""


def left_out(key: Key) -> str:
    """Find what it means to leave the key out; empty where the key's meaning says that.

    Examples
    --------
    >>> left_out(Key(name="turn", kind="angle", default=0.0, meaning=""))
    'left out: 0 deg'
    >>> left_out(Key(name="grip", kind="length", required=True, meaning=""))
    'must be given'
    """
    if key.required:
        return "must be given"
    return "" if key.default is None else f"left out: {_value(key, key.default)}"


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
