"""Keys that the job file will have and does not yet: refused by name, never ignored.

One table, so that giving the tool a new ability deletes rows here and adds keys elsewhere.
"""

from __future__ import annotations

# Keys, by the header of the table, or the feature's kind, that they will stand in.
KEYS: dict[str, tuple[str, ...]] = {}


def key_not_yet(header: str, key: str, kind: str = "") -> bool:
    """Tell whether a key is known but not yet supported in that table (of that feature kind)."""
    return key in KEYS.get(header, ()) or (bool(kind) and key in KEYS.get(kind, ()))
