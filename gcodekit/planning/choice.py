"""Which cutters a set-up's features are cut with: those the job names, or the obvious ones of the
rack."""

from __future__ import annotations

from dataclasses import replace

from gcodekit.errors import PlanError
from gcodekit.job.feature import Feature
from gcodekit.operations.choosing.picks import picks
from gcodekit.operations.chosen import Chosen
from gcodekit.operations.draft import Work
from gcodekit.operations.kind_cutting import cutting_of
from gcodekit.planning.asked_rates import rate_doubts
from gcodekit.planning.heights import Heights
from gcodekit.planning.in_use import with_those_in_use


def choose_all(
    work: Work, features: tuple[Feature, ...], heights: Heights
) -> tuple[dict[str, Chosen], list[PlanError]]:
    """Every feature's cutters, and every refusal."""
    chosen: dict[str, Chosen] = {}
    errors: list[PlanError] = []
    for feature in features:
        try:
            found = _choose(work, feature, heights)
            found = replace(found, picks=picks(work, feature, found, heights.top_of(feature)))
            chosen[feature.name] = found
        except PlanError as error:
            errors.append(error)

    chosen = with_those_in_use(work, features, chosen, heights)
    for feature in features:
        if (own := chosen.get(feature.name)) is not None:
            doubts = rate_doubts(work, feature, own, heights.top_of(feature))
            chosen[feature.name] = replace(own, doubts=(*own.doubts, *doubts))
    return chosen, errors


def _choose(work: Work, feature: Feature, heights: Heights) -> Chosen:
    footprint = heights.footprints[feature.name]
    return cutting_of(feature).choose(work, feature, heights.top_of(feature), footprint)
