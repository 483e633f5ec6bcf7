"""Engraving: letters and lines, stroke by stroke."""

from __future__ import annotations

from gcodekit.job.kinds.engrave import Engrave
from gcodekit.operations.kind_cutting import KindCutting
from gcodekit.operations.stroke_cutting import StrokeCutting


class EngraveCutting(StrokeCutting[Engrave]):
    """How letters and lines are cut."""


CUTTING: KindCutting[Engrave] = EngraveCutting()
