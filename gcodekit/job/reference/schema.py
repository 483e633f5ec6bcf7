"""JSON Schema (2020-12) of the job and workshop files, from the key tables.

It knows the keys, their types, bounds and words, and which go together; what needs arithmetic,
geometry, the rack or another file is left to the loader. Whatever the loader accepts, it accepts.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Literal

from gcodekit.expr.parser import CONSTANTS, FUNCTIONS, PLACE_WORDS
from gcodekit.job.features.kind import KeyWays
from gcodekit.job.keys import feature_keys, job_keys, outline_keys, workshop_keys
from gcodekit.job.keys.keys import Key, KeyTable
from gcodekit.job.keys.kind_tables import kind_names, kind_tables, usable_keys
from gcodekit.job.keys.tables import PlacedTable, below, standings, words_of
from gcodekit.job.reference import key_rules
from gcodekit.job.reference.schema_values import Schema, by_type, described, ref, value
from gcodekit.trade.materials import materials
from gcodekit.units import SUFFIXES

DIALECT = "https://json-schema.org/draft/2020-12/schema"
Which = Literal["job", "workshop", "both"]
FEATURE = feature_keys.FEATURE
_PATH_ENTRIES = 20_000

_LENGTH = Key(name="", kind="length", meaning="")


def schema(which: Which = "both") -> Schema:
    """The schema of a file; of both, told apart by what only a workshop file has."""
    definitions = _definitions()
    titles = {"job": "job file", "workshop": "workshop file", "both": "job and workshop files"}
    top: Schema = {"$schema": DIALECT, "title": f"gcodekit {titles[which]}"}
    if which == "both":
        either = [{"required": ["machine"]}, {"required": ["cutter"]}]
        top |= {"if": {"anyOf": either}, "then": ref("workshop"), "else": ref("job")}
    else:
        top |= definitions.pop(which)
    return top | {"$defs": _used(top, definitions)}


def _used(top: Schema, definitions: dict[str, Schema]) -> dict[str, Schema]:
    """The definitions that are referred to, by the document or by one another."""
    used: set[str] = set()
    waiting = [*_references(top)]
    while waiting:
        name = waiting.pop()
        if name not in used:
            used.add(name)
            waiting += _references(definitions[name])
    return {name: found for name, found in definitions.items() if name in used}


def _references(node: Any) -> Iterable[str]:
    if isinstance(node, dict):
        if "$ref" in node:
            yield node["$ref"].removeprefix("#/$defs/")
        node = list(node.values())
    if isinstance(node, list):
        for inner in node:
            yield from _references(inner)


def _definitions() -> dict[str, Schema]:
    tables = {s.address: _table(s.table) for s in standings() if s.address not in _OWN_WAY}
    common = {f"feature.{k.name}": _key(FEATURE, k) for k in FEATURE.keys}
    kinds = {f"kind.{kind}": _kind(kind) for kind in kind_names()}
    tables["job"]["properties"] |= _job_properties(tables["job"]["properties"])
    tables["cutter"] |= {"allOf": [*tables["cutter"].get("allOf", ()), *_cutter_needs()]}
    drawn = {"outline": _outline(), "path": _path(), "path_entry": _table(outline_keys.PATH_ENTRY)}
    return tables | {"setup.feature": _feature()} | kinds | common | drawn | _points()


# Tables that are not an object of their keys and no more.
_OWN_WAY = ("setup.feature", "outline", "path")


# -- tables -----------------------------------------------------------------------------------


def _table(table: KeyTable) -> Schema:
    found = _object({k.name: _key(table, k) for k in table.keys}, table.keys)
    return found | _rules(table, table.header)


def _object(properties: dict[str, Schema], keys: Iterable[Key]) -> Schema:
    required = [k.name for k in keys if k.required]
    found: Schema = {"type": "object", "properties": properties, "additionalProperties": False}
    return found | ({"required": required} if required else {})


def _key(table: KeyTable, key: Key) -> Schema:
    words = words_of(table, key)
    inner = below(table, key)
    place = next((s for s in standings() if s.table is inner), None)
    return described(key, words, value(key, words, _reference(place)))


def _reference(place: PlacedTable | None) -> Schema | None:
    return None if place is None else ref(place.address)


def _rules(table: KeyTable, name: str) -> Schema:
    """Find which keys go together."""
    rules: list[Schema] = []
    for ways in key_rules.one_of(name):
        there = _there(table, ways)
        if not there:
            continue  # a kind's rules, of a table of the same name in another kind
        rules.append({"anyOf": [_given(table, way) for way in there]})
        rules += _exclusive(table, there)
    for ways in key_rules.not_both(name):
        rules += _exclusive(table, _there(table, ways))
    for key, (other, words) in key_rules.words_with(name).items():
        only = {"properties": {other: {"enum": list(words)}}}
        rules.append({"if": {"required": [key]}, "then": only})
    needs = key_rules.NEEDS.get(name, {})
    found: Schema = {"allOf": rules} if rules else {}
    return found | ({"dependentRequired": {k: list(n) for k, n in needs.items()}} if needs else {})


def _there(table: KeyTable, ways: KeyWays) -> KeyWays:
    return tuple(way for way in ways if set(way) <= set(table.names))


def _given(table: KeyTable, way: tuple[str, ...]) -> Schema:
    """That a way is taken; a flag that is false takes none."""
    flags = {name: {"const": True} for name in way if _flag(table, name)}
    return {"required": list(way)} | ({"properties": flags} if flags else {})


def _exclusive(table: KeyTable, ways: KeyWays) -> list[Schema]:
    """That no two ways are taken."""
    rules = []
    for way in ways:
        others = {name for other in ways if other != way for name in other} - set(way)
        refused = {n: {"const": False} if _flag(table, n) else False for n in sorted(others)}
        rules.append({"if": _given(table, way), "then": {"properties": refused}})
    return rules


def _flag(table: KeyTable, name: str) -> bool:
    key = table.key(name)
    return key is not None and key.kind == "flag"


# -- features ---------------------------------------------------------------------------------


def _feature() -> Schema:
    """A feature: its kind decides which keys it has."""
    kinds: list[Schema] = [
        {
            "if": {"properties": {"kind": {"const": kind}}, "required": ["kind"]},
            "then": ref(f"kind.{kind}"),
        }
        for kind in kind_names()
    ]
    of_kind = {"kind": ref("feature.kind")}
    return {"type": "object", "properties": of_kind, "required": ["kind"], "allOf": kinds}


def _kind(kind: str) -> Schema:
    table, usable = kind_tables()[kind], usable_keys(kind)
    common = FEATURE.names
    properties = {
        k.name: ref(f"feature.{k.name}") if k.name in common else _key(table, k) for k in usable
    }
    return _object(properties, usable) | _rules(table, kind)


# -- the top of the job -----------------------------------------------------------------------


def _job_properties(properties: dict[str, Schema]) -> dict[str, Schema]:
    number: Schema = {"type": ["number", "string"]}
    refused = {*FUNCTIONS, *CONSTANTS, *SUFFIXES, *PLACE_WORDS, *job_keys.JOB.names}
    names = {"pattern": "^[A-Za-z][A-Za-z0-9_]*$", "not": {"enum": sorted(refused)}}
    known = [word for m in materials() for word in (m.name, *m.aliases)]
    return {
        # capitals, spaces and hyphens do not count in a material: other spellings are left to
        # the loader
        "material": {
            "description": properties["material"]["description"],
            "type": "string",
            "anyOf": [{"enum": known}, {"pattern": r"\S"}],
        },
        "dimensions": properties["dimensions"]
        | {"propertyNames": names, "additionalProperties": number},
        "outlines": properties["outlines"] | {"additionalProperties": ref("outline")},
        "places": {"additionalProperties": ref("places")} | properties["places"],
        "measured": {"additionalProperties": ref("measured")} | properties["measured"],
    }


def _cutter_needs() -> list[Schema]:
    kind = workshop_keys.CUTTER.key("kind")
    assert kind is not None
    return [
        {
            "if": {"properties": {"kind": {"const": word}}, "required": ["kind"]},
            "then": {"required": [key]},
        }
        for word, key in key_rules.CUTTER_NEEDS.items()
        if word in kind.choices
    ]


# -- outlines, paths, points ------------------------------------------------------------------


def _outline() -> Schema:
    """A name, or a table whose shape decides which keys it has."""
    chain: Schema = {
        "properties": {k.name: _outline_key(k.name) for k in outline_keys.OUTLINE.keys},
        "anyOf": [{"required": [shape]} for shape in outline_keys.SHAPES],
        "additionalProperties": False,
    }
    for shape in reversed(outline_keys.SHAPES):
        chain = {"if": {"required": [shape]}, "then": _shape(shape), "else": chain}
    name: Schema = {"type": "string", "pattern": r"\S"}
    return {
        "description": "An outline: the name of one of [outlines], or a shape in { }.",
        **by_type(name, {"type": "object", **chain}),
    }


def _shape(shape: str) -> Schema:
    table = outline_keys.OUTLINE
    placing = tuple(k.name for k in outline_keys.PLACING)
    names = (shape, *outline_keys.SHAPE_KEYS[shape], *placing)
    found: Schema = {
        "properties": {name: _outline_key(name) for name in names},
        "additionalProperties": False,
    }
    if shape in ("union", "minus", "common"):
        found["properties"][shape]["minItems"] = 2
    if shape == "path":
        found["properties"]["path"] = ref("path_list")
    return found | _rules(KeyTable(table.header, tuple(map(_named, names))), shape)


def _named(name: str) -> Key:
    key = outline_keys.OUTLINE.key(name)
    assert key is not None
    return key


def _outline_key(name: str) -> Schema:
    return _key(outline_keys.OUTLINE, _named(name))


def _path() -> Schema:
    """A feature's path: points and segments, or an outline."""
    return by_type(
        ref("path_list") | {"type": "array"}, ref("outline") | {"type": ["string", "object"]}
    )


def _points() -> dict[str, Schema]:
    length = value(_LENGTH, (), None)
    angle = value(Key(name="", kind="angle", meaning=""), (), None)
    pair: Schema = {"type": "array", "minItems": 2, "maxItems": 2}
    entry = by_type({"type": "array", **ref("point")}, {"type": "object", **ref("path_entry")})
    several: Schema = {"type": "array", "minItems": 1}
    return {
        "point": {"description": "A point [x, y].", **pair, "items": length},
        "points": {
            **several,
            "if": {"contains": {"type": "array"}},
            "then": {"items": ref("point")},
            "else": ref("point"),
        },
        "polar": {**several, "items": {**pair, "prefixItems": [length, angle]}},
        "path_list": {
            "description": "Points [x, y] and segments { to = [x, y], ... }, one after another.",
            "type": "array",
            "minItems": 2,
            "maxItems": _PATH_ENTRIES,
            "items": entry,
        },
    }
