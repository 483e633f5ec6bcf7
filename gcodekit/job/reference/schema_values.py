"""JSON Schema of the value of one key.

Bounds of lengths are in mm whatever the file's units, so they are stated as wide as either unit
needs; text stands for a number wherever arithmetic is allowed.
"""

from __future__ import annotations

from typing import Any

from gcodekit.expr.tokens import LONGEST_TEXT
from gcodekit.job.keys.keys import Key, KeyKind
from gcodekit.job.reference.key_words import rule
from gcodekit.units import MM_PER_INCH

Schema = dict[str, Any]

# Letters, figures, signs and blanks of arithmetic, at least one of them no blank.
ARITHMETIC = r"^\s*[A-Za-z0-9_.+\-*/(),][A-Za-z0-9_.+\-*/(),\s]*$"
_IN_UNITS: tuple[KeyKind, ...] = (
    "length",
    "lengths",
    "expression",
    "feed",
    "acceleration",
)
_NUMBERS: tuple[KeyKind, ...] = (
    *("length", "angle", "feed", "acceleration", "speed", "number", "expression"),
)
_LISTS: dict[KeyKind, KeyKind] = {"lengths": "length", "counts": "count", "numbers": "number"}
_REFERENCES: dict[KeyKind, str] = {
    "point": "point",
    "points": "points",
    "outline": "outline",
    "path": "path",
    "polar": "polar",
}

_TEXT: Schema = {"type": "string", "maxLength": 200, "pattern": r"\S"}


def ref(name: str) -> Schema:
    """A reference to a definition."""
    return {"$ref": f"#/$defs/{name}"}


def described(key: Key, words: tuple[str, ...], schema: Schema) -> Schema:
    """A key's schema with what the key means."""
    meaning = f"{key.meaning[:1].upper()}{key.meaning[1:]}"
    taken = rule(key, words)
    found = {"description": f"{meaning}. {taken[:1].upper()}{taken[1:]}.", **schema}
    if key.default is not None and not key.required and key.kind not in _IN_UNITS:
        found["default"] = list(key.default) if isinstance(key.default, tuple) else key.default
    return found


def value(key: Key, words: tuple[str, ...], inner: Schema | None) -> Schema:
    """Find what may stand behind a key; `inner` is the schema of its own table."""
    forms = [_form(form, key, words, inner) for form in key.forms or (key.kind,)]
    if key.forms == ("choice", "length"):
        # a text is one of the words, or it has a figure in it
        either: list[Schema] = [{"type": "number"}, {"enum": list(words)}, {"pattern": r"\d"}]
        return forms[1] | {"anyOf": either}
    if "text" in key.forms and "count" in key.forms:
        # text is a name then, never arithmetic
        forms = [{"type": "integer", **_bounds(key, "count")}, *forms[1:]]
    return by_type(*forms)


def _form(form: KeyKind, key: Key, words: tuple[str, ...], inner: Schema | None) -> Schema:
    if form in _NUMBERS:
        return {"type": ["number", "string"], **_bounds(key, form), **_arithmetic()}
    if form == "count":
        return {"type": ["integer", "string"], **_bounds(key, form), **_arithmetic()}
    if form in _LISTS:
        items = _form(_LISTS[form], key, (), None)
        return {"type": "array", "items": items, **_figures(key)}
    if form in _REFERENCES:
        return ref(_REFERENCES[form]) | _entries(key)
    plain: dict[KeyKind, Schema] = {
        "text": _TEXT,
        "flag": {"type": "boolean"},
        "choice": {"type": "string", "enum": list(words)},
        "texts": {"type": "array", "items": {"enum": list(words)} if words else _TEXT},
        "outlines": {"type": "array", "items": ref("outline"), **_entries(key)},
        "table": inner or {"type": "object"},
        "tables": {
            "type": "array",
            "items": inner or {"type": "object"},
            **_some(key),
            **_entries(key),
        },
    }
    return plain.get(form, {})


def _arithmetic() -> Schema:
    return {"maxLength": LONGEST_TEXT, "pattern": ARITHMETIC}


def _entries(key: Key) -> Schema:
    return {"maxItems": key.entries} if key.entries else {}


def _some(key: Key) -> Schema:
    return {"minItems": 1} if key.required else {}


def _figures(key: Key) -> Schema:
    if key.figures:
        return {"minItems": key.figures, "maxItems": key.figures}
    return _entries(key)


def _bounds(key: Key, form: KeyKind) -> Schema:
    """The least and the most, as a bare number of either unit may be."""
    share = 1 / MM_PER_INCH if form in _IN_UNITS else 1.0
    found: Schema = {}
    if key.over is not None:
        found["exclusiveMinimum"] = min(key.over, key.over * share)
    if key.least is not None:
        found["minimum"] = min(key.least, key.least * share)
    if key.most is not None:
        found["maximum"] = max(key.most, key.most * share)
    return found


def by_type(first: Schema, *others: Schema) -> Schema:
    """One of several forms, told apart by type so that only the faults of that form are shown.

    A form without a type of its own is a reference to a table.
    """
    if not others:
        return first
    tests = [form.get("type", "object") for form in (first, *others)]
    types = [name for test in tests for name in ([test] if isinstance(test, str) else test)]
    rest = by_type(*others)
    rest.pop("type", None) if len(others) > 1 else None
    return {"type": types, "if": {"type": tests[0]}, "then": first, "else": rest}
