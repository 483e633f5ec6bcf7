"""The worst that is found of a feature where the cut is held against the drawing, and its words."""

from __future__ import annotations

from dataclasses import dataclass, field

from gcodekit.proof.chords import in_feature
from gcodekit.proof.findings import FeatureFinding
from gcodekit.proof.gouges import Gouges
from gcodekit.proof.reach import Reach
from gcodekit.rs274.program_read import Point3, ProblemList
from gcodekit.units import format_size


@dataclass(slots=True)
class Worst:
    """The largest distance found, mm, and where."""

    distance: float = 0.0
    where: Point3 | None = None

    def take(self, found: Reach, z: float) -> None:
        """Keep what was found at a height, if it is larger."""
        if found.distance > self.distance:
            self.distance = found.distance
            self.where = (found.at[0], found.at[1], z) if found.at else None


@dataclass(slots=True)
class FeatureWorst:
    """The worst of a feature: its gouge; what is left of it, in all and where its cutter can reach;
    what is left `between` it and its neighbours, where one could get at it `from_edge`, and in
    `sharp` corners. `asked`: there is something to cut."""

    gouge: Worst = field(default_factory=Worst)
    uncut: Worst = field(default_factory=Worst)
    reachable: Worst = field(default_factory=Worst)
    between: Worst = field(default_factory=Worst)
    from_edge: Worst = field(default_factory=Worst)
    sharp: Worst = field(default_factory=Worst)
    asked: bool = False

    @property
    def finding(self) -> FeatureFinding:
        """The figures of the report."""
        return FeatureFinding(self.gouge.distance, self.uncut.distance, self.reachable.distance)


def report_worst(
    name: str, feature: FeatureWorst, gouges: Gouges, true_to: float, problems: ProblemList
) -> None:
    """Report what is beyond the tolerance of a feature, `true_to`, mm: what its cutter can reach as
    an error, else what it cannot as a warning."""
    worst = feature.gouge
    if worst.distance > true_to and worst.where:
        gouges.report(name, worst.distance, worst.where, problems, allowed=true_to)

    def left(found: Worst, where: str) -> str:
        size = format_size(found.distance, problems.units)
        return f"uncut{in_feature(name)}: {size} left {where}"

    reachable, edge, between = feature.reachable, feature.from_edge, feature.between
    sharp = feature.sharp
    if sharp.distance > true_to:
        hint = "round the corner, use a smaller cutter, or file it by hand"
        text = left(sharp, "in an inside corner sharper than the cutter")
        problems.warn(text, where=sharp.where, hint=hint)
    if reachable.distance > true_to:
        problems.error(left(reachable, "where the cutter can reach"), where=reachable.where)
    elif edge.distance > true_to:
        hint = "draw the outline further out past the edge"
        text = left(edge, "in a corner near the edge of the stock")
        problems.warn(text, where=edge.where, hint=hint)
    elif between.distance > true_to:
        hint = "draw both as one outline (union)"
        text = left(between, "where it meets the feature beside it")
        problems.warn(text, where=between.where, hint=hint)
