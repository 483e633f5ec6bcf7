"""With what each feature is finished: what the drawing's target must know of the cutters."""

from __future__ import annotations

from collections.abc import Mapping

from gcodekit.job.model import Feature, Setup
from gcodekit.operations.draft import Chosen, wall_allowance
from gcodekit.part.asked import FinishingCut
from gcodekit.planning.plan import left_on_walls


def finishing_cuts(setup: Setup, chosen: Mapping[str, Chosen]) -> dict[str, FinishingCut]:
    """By feature's name."""
    return {f.name: _finishing(f, chosen[f.name]) for f in setup.features}


def _finishing(feature: Feature, chosen: Chosen) -> FinishingCut:
    last = chosen.last or (chosen.finish if feature.cutting.finish else chosen.rough)
    on_purpose = not feature.cutting.finish and not feature.depth.through
    return FinishingCut(
        cutter=last,
        others=tuple(c for c in chosen.every if c.number != last.number),
        allowance=wall_allowance(feature, chosen.rough),
        left=left_on_walls(feature, chosen),
        left_on_floor=(feature.cutting.floor_allowance or 0.0) if on_purpose else 0.0,
    )
