"""The edges of a set-up that are all to be broken: chamfers along the rims of its features."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

from gcodekit.job.feature import Cutting, Depth, Feature, Rim
from gcodekit.job.hold_checks import frees_part
from gcodekit.job.keys.reading import Table
from gcodekit.job.kinds.chamfer import FLANK_CUTTERS, Chamfer
from gcodekit.job.raw_stock import RawStock
from gcodekit.job.workshop.machine import Workshop

# An edge is broken at this angle to the spindle, where the rack has a point for it; else at that of
# its cutter next to this.
USUAL_SLOPE = math.radians(45.0)
# Steeper or flatter than these it is none: what a chamfer's `angle` may be.
STEEPEST, FLATTEST = math.radians(15.0), math.radians(75.0)


@dataclass(slots=True)
class BrokenEdges:
    """Adds the chamfers to a set-up's features. `raw`: the least block or bar round the work,
    `names`: of the job's features so far, with their lines."""

    table: Table
    workshop: Workshop
    raw: RawStock
    names: dict[str, int]
    stages: int
    _slope: float = field(init=False, default=USUAL_SLOPE)

    def added_to(self, features: list[Feature]) -> list[Feature]:
        """The features, with a chamfer along every rim: after all others, but before the part
        comes loose. As they are where the set-up does not ask for it."""
        width = self.table.length("break_edges")
        if width is None or not features:
            return features
        slope = self._steepness()
        if slope is None:
            self.table.error(
                "break_edges", "the rack has no chamfer mill", "add one of 90 degrees to the rack"
            )
            return features
        self._slope = slope
        loose = next((i for i, f in enumerate(features) if frees_part(f)), len(features))
        before = [e for f in features[:loose] for e in self._edges(f, features, width, loose)]
        after = [e for f in features[loose:] for e in self._edges(f, features, width, loose)]
        return [*features[:loose], *before, *features[loose:], *after]

    def _steepness(self) -> float | None:
        """The slope that a cutter of the rack cuts, nearest to the usual one."""
        halves = [c.tip_angle / 2 for c in self.workshop.cutters if c.kind in FLANK_CUTTERS]
        fitting = [h for h in halves if STEEPEST <= h <= FLATTEST]
        return min(fitting, key=lambda h: abs(h - USUAL_SLOPE), default=None)

    def _edges(
        self, feature: Feature, features: list[Feature], width: float, loose: int
    ) -> Iterator[Chamfer]:
        """The chamfers of one feature; what cannot have any is told with its reason."""
        from gcodekit.job.stock.raw_metal import stock_plan

        faced = [f.depth.floor for f in features if f.clears_top(self.raw)]
        top = min(feature.depth.top, *faced, math.inf)
        # where the part comes loose what is written before that is broken before that
        early = feature in features[:loose] and loose < len(features)
        stage = features[loose].stage if early else self.stages
        for rim in feature.rims(stock_plan(self.raw)):
            reason = _unbroken(feature, rim)
            if reason:
                self.table.source.faults.warn(
                    feature.place,
                    f"an edge of {feature.name} is not broken: {reason}",
                    "break it by hand, or give it a chamfer of its own",
                )
                continue
            yield self._edge(feature, rim, width, top, stage)

    def _edge(self, feature: Feature, rim: Rim, width: float, top: float, stage: int) -> Chamfer:
        low = top - width / math.tan(self._slope)
        return Chamfer(
            name=self._name(feature),
            place=feature.place,
            depth=Depth(top=top, floor=low, through=False, cut_to=low),
            cutting=Cutting(direction=feature.cutting.direction),
            stage=stage,
            outline=rim.outline,
            path=rim.path,
            places=rim.places,
            diameter=rim.diameter,
            side=rim.side,
            width=width,
            slope=self._slope,
            edge_of=feature.name,
        )

    def _name(self, feature: Feature) -> str:
        """A name of its own."""
        name, number = f"edge of {feature.name}", 1
        while name in self.names:
            number += 1
            name = f"edge {number} of {feature.name}"
        self.names[name] = feature.place.line
        return name


def _unbroken(feature: Feature, rim: Rim) -> str:
    """Why a rim gets no chamfer; empty where it does."""
    if rim.unknown:
        return rim.unknown
    if not feature.cutting.finish:
        return "its wall keeps an allowance"
    if frees_part(feature) and rim.side == "outside":
        return "the part is loose once it is cut, give it tabs"
    return ""
