"""The kinds of feature, a module each: its keys and their meaning, its shape in plan and depth.

A kind is found by being here: its module's name is what a job calls it, `KIND` in it says how it
is read. How it is cut is told by the module of that name in `operations`, what the proof asks of
it by that in `target`. Geometry's own imports stand in the methods that need them: the reference
asks for the keys alone.
"""

from __future__ import annotations

import pkgutil
from collections.abc import Mapping
from functools import cache
from importlib import import_module

from gcodekit.job.features.kind import Kind


@cache
def kinds() -> Mapping[str, Kind]:
    """Every kind by its name, in the order in which lists name them."""
    found: dict[str, Kind] = {
        module.name: import_module(f"{__name__}.{module.name}").KIND
        for module in pkgutil.iter_modules(__path__)
    }
    return dict(sorted(found.items(), key=lambda entry: entry[1].rank))
