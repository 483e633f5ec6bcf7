"""Engraving: the middles of its letters, set out from the table of letters, or its path."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.job.features.lettering import Lettering
from gcodekit.job.kinds.engrave import Engrave
from gcodekit.target.drawn_areas import line_of
from gcodekit.target.drawn_letters import letter_middles
from gcodekit.target.grooves import GrooveTarget
from gcodekit.target.kind_target import KindTarget

# Where a number goes, in so many digits at least as it has n.
NUMBER = re.compile(r"\{n+\}")


class EngraveTarget(GrooveTarget[Engrave]):
    """Letters or a line."""

    def middles(self, feature: Engrave) -> BaseGeometry:
        """Every stroke of its letters, or its path."""
        if feature.path is not None:
            return shapely.MultiLineString([line_of(feature.path)])
        return letter_middles(_counted(feature))


def _counted(feature: Engrave) -> Iterator[Lettering]:
    """Its lines with the number of each in its place: the first has the feature's, the next one
    more."""
    if feature.number is None:
        yield from feature.written
        return
    for number, line in enumerate(feature.written, feature.number):
        yield replace(line, text=_filled(line.text, str(number)))


def _filled(text: str, digits: str) -> str:
    return NUMBER.sub(lambda there: digits.zfill(len(there[0]) - len("{}")), text)


TARGET: KindTarget[Engrave] = EngraveTarget()
