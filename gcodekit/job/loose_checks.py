"""What a set-up loses hold of: pieces that come free, and edges that zero was set on."""

from __future__ import annotations

from gcodekit.job.feature import Feature
from gcodekit.job.keys.reading import Table
from gcodekit.job.model import Setup
from gcodekit.job.stock.taken import narrowest
from gcodekit.job.workshop.machine import Workshop


def frees_part(feature: Feature) -> bool:
    """Whether a feature cuts the part out of its metal."""
    freed = feature.freed
    return freed is not None and not freed.slug and not feature.standing


def warn_of_lost_zero(setup: Setup, table: Table, workshop: Workshop) -> None:
    """Warn where zero was set on an edge that this set-up cuts away.

    A top that is faced away needs none: program and sheet name another surface for it.
    """
    for feature in setup.features:
        if not feature.depth.through:
            continue
        axis = feature.zero_lost(setup.sure, narrowest(workshop))
        if axis is not None:
            table.warn(
                ("zero", axis),
                f"zero is on the edge that {feature.name} cuts away",
                "it cannot be found again afterwards",
            )
            return
