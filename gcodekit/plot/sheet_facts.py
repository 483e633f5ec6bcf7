"""What a sheet says besides what is drawn: given by whoever made or ran the program."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from gcodekit.plot.part_view.surface_mesh import SurfaceMesh

Stamp = Literal["PASS", "FAIL", "UNPROVEN", "DRY RUN"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetFacts:
    """`stamp`: what the proof came to; `material` and `machine` in words; `date` as it is to be
    written, "" for none; sheet `number` of `count`; `seconds` that each cutter moves; `part`: the
    finished part in the stock's frame, drawn where the key leaves room."""

    stamp: Stamp = "DRY RUN"
    material: str = ""
    machine: str = ""
    date: str = ""
    number: int = 1
    count: int = 1
    seconds: Mapping[int, float] = field(default_factory=dict)
    part: SurfaceMesh | None = None
