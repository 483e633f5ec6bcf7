"""`gcodekit cutters`: the rack of a workshop."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from gcodekit.cli import say
from gcodekit.cli.options import Json, WorkshopFile

if TYPE_CHECKING:
    from gcodekit.trade.cutter import Cutter


def cutters(workshop: WorkshopFile = None, as_json: Json = False) -> None:
    """List the cutters of a workshop file, or of the built-in bench mill."""
    from gcodekit.job.workshop.workshop import bench_mill, load_workshop

    rack = (load_workshop(workshop) if workshop else bench_mill()).cutters
    ordered = sorted(rack, key=lambda c: c.number)
    if as_json:
        say.document([_described(c) for c in ordered])
        return
    heads = ("T", "name", "kind", "diameter", "flutes", "of", "flute length", "stickout")
    say.table(heads, [_row(c) for c in ordered])
    say.result("")
    say.result("Lengths in mm.")


def _row(cutter: Cutter) -> tuple[str, ...]:
    lengths = (cutter.flute_length, cutter.stickout)
    return (
        str(cutter.number),
        cutter.name,
        cutter.kind,
        say.number(cutter.diameter),
        str(cutter.flutes),
        cutter.material,
        *(say.number(v) for v in lengths),
    )


def _described(cutter: Cutter) -> dict[str, Any]:
    """Lengths in mm, the tip angle in degrees; what does not apply is null."""
    from dataclasses import asdict

    pointed = cutter.tip_angle < math.pi
    angle = round(math.degrees(cutter.tip_angle), 6) if pointed else None
    return {**asdict(cutter), "tip_angle": angle}
