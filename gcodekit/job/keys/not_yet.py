"""Keys and values that the job file will have and does not yet: refused by name, never ignored.

One table, so that giving the tool a new ability deletes rows here and adds keys elsewhere.
"""

from __future__ import annotations

# Keys, by the header of the table, or the feature's kind, that they will stand in.
KEYS: dict[str, tuple[str, ...]] = {
    "the top of the file": ("measured",),
    "[machine]": ("dial",),
}

# Values, by the table's header and key.
VALUES: dict[tuple[str, str], tuple[object, ...]] = {}


def key_not_yet(header: str, key: str, kind: str = "") -> bool:
    """Tell whether a key is known but not yet supported in that table (of that feature kind)."""
    return key in KEYS.get(header, ()) or (bool(kind) and key in KEYS.get(kind, ()))


def value_not_yet(header: str, key: str, value: object) -> bool:
    """Tell whether a value of a key is known but not yet supported."""
    return value in VALUES.get((header, key), ())
