"""Features that break into another: their cuts go on into it, where there is no stock to judge them
by."""

from __future__ import annotations

from collections.abc import Iterable

from gcodekit.geometry.flattening import polygons_of
from gcodekit.geometry.overlay import EMPTY, common, union
from gcodekit.proof.chords import in_feature
from gcodekit.proof.cutter_room import reachable
from gcodekit.proof.findings import Blank, TargetSlices
from gcodekit.proof.reach import reach
from gcodekit.proof.sections import ProgramCut
from gcodekit.rs274.program_read import ProblemList
from gcodekit.target.target import FeatureSlice


def check_broken_through(
    cut: ProgramCut,
    target: TargetSlices,
    features: Iterable[FeatureSlice],
    blank: Blank,
    *,
    tolerance: float,
    problems: ProblemList,
) -> None:
    """An error for every place of a feature whose cuts do not go as far into what it breaks into as
    they are to: a foil may be left there."""
    for feature in sorted((f for f in features if f.into), key=lambda f: f.opens_to):
        z = feature.opens_to + tolerance
        asked = next(f for f in target.slice(z).features if f.name == feature.name)
        taken = cut.by_owner(z).get(feature.name, EMPTY)
        room = reachable(union((asked.required, asked.allowed)), feature.reach)
        inside = common(common(asked.required, room), blank.outer(z))
        for place in polygons_of(inside):
            if reach(place, taken).distance > tolerance:
                at = place.representative_point()
                text = f"uncut{in_feature(feature.name)}: does not break through into"
                problems.error(f"{text} {feature.into}", where=(at.x, at.y, feature.opens_to))
