"""Scales: mark by mark, and the strokes of their numbers."""

from __future__ import annotations

from gcodekit.job.kinds.scale import ScaleMarks
from gcodekit.operations.kind_cutting import KindCutting
from gcodekit.operations.stroke_cutting import StrokeCutting


class ScaleCutting(StrokeCutting[ScaleMarks]):
    """How scales are cut."""


CUTTING: KindCutting[ScaleMarks] = ScaleCutting()
