"""Pieces of a drawing to rings and open lines, with all that is wrong or worth saying.

A ring is a closed line; rings within rings are holes, and parts within holes.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from gcodekit.drawing.affine import Affine
from gcodekit.drawing.drawing_model import (
    MOST_OUTLINE_RINGS,
    MOST_OUTLINE_SEGMENTS,
    Drawing,
    DrawnPiece,
    said,
)
from gcodekit.drawing.joining import TOLD, WIDEST_GAP, JoinedRun, Joining, drawn_twice, joined
from gcodekit.geometry.chain import Arc, Chain, Point, Segment, distance, same
from gcodekit.geometry.checks import meetings, region_of, self_crossing
from gcodekit.geometry.region import GeometryError, Region
from gcodekit.geometry.tolerances import FARTHEST_OUT, SLIVER

# Faults of one sort said one by one; the rest are counted.
MOST_SAID = 8

Remark = tuple[str, str]  # what is wrong, what would be right


@dataclass(frozen=True, slots=True)
class OpenLine:
    """An open line, and the pieces at its two ends as a message names them."""

    chain: Chain
    first: str
    last: str


@dataclass(slots=True)
class Assembled:
    """Rings and open lines in mm; `errors` say why there is no region where there is none."""

    rings: list[Chain] = field(default_factory=list)
    loose: list[OpenLine] = field(default_factory=list)
    errors: list[Remark] = field(default_factory=list)
    notes: list[Remark] = field(default_factory=list)
    region: Region | None = None


def assembled(drawing: Drawing, name: str | None, *, mm: float) -> Assembled:
    """Find what a name of a drawing stands for, or the whole of it.

    Parameters
    ----------
    mm : how long one of the file's units shall be
    """
    return _Assembly(drawing, name, mm).done()


@dataclass(slots=True)
class _Assembly:
    drawing: Drawing
    name: str | None
    mm: float
    out: Assembled = field(default_factory=Assembled)
    segments: list[Segment] = field(default_factory=list)
    owners: list[DrawnPiece] = field(default_factory=list)

    def done(self) -> Assembled:
        self._left_out()
        self._convert()
        if self.out.errors:
            return self.out
        self._without_doubles()
        runs = self._joined()
        rings = [r for r in runs if r.closed]
        self.out.loose = [self._loose(r) for r in runs if not r.closed]
        self.out.rings = [r.chain for r in rings]
        if len(rings) > MOST_OUTLINE_RINGS:
            self._error(f"has {len(rings)} closed lines", f"use at most {MOST_OUTLINE_RINGS}")
        elif self._sound(rings) and not (self.out.errors or self.out.loose):
            self.out.region = region_of(self.out.rings)
        return self.out

    def _error(self, message: str, hint: str = "") -> None:
        self.out.errors.append((message, hint))

    def _say(self, point: Point) -> str:
        return said(point, self.drawing, self.mm)

    def _length(self, mm: float) -> str:
        share = self.drawing.unit or 1.0
        in_file = mm / self.mm * share / (25.4 if self.drawing.units == "inch" else 1.0)
        return f"{in_file:.4g}"

    # -- from the file to segments -----------------------------------------------------------

    def _left_out(self) -> None:
        """Find what was passed over, and what could not be read."""
        self.out.notes += self.drawing.notes
        kinds = Counter(self.drawing.left_out_of(self.name))
        if kinds:
            counted = ", ".join(f"{n} {kind}" for kind, n in sorted(kinds.items()))
            self.out.notes.append((f"ignored, not shapes: {counted}", ""))
        _some(list(self.drawing.wrong_with(self.name)), self.out.errors)

    def _convert(self) -> None:
        """The pieces as lines and arcs in mm."""
        by = Affine.scaled(self.mm, self.mm)
        faults: list[Remark] = []
        empty: list[str] = []
        for drawn in self.drawing.under(self.name):
            shape = drawn.shape.mapped(by)
            if not all(abs(x) <= FARTHEST_OUT for x in shape.figures):  # a NaN is not within either
                far = f"{drawn.what} reaches further than {FARTHEST_OUT:g} mm from zero"
                faults.append((far, "or has an invalid number"))
                continue
            try:
                found = shape.segments()
            except GeometryError as error:
                faults.append((f"{drawn.what}: {error.message}", error.hint))
                continue
            found = tuple(s for s in found if s.length > TOLD or _whole(s))
            if not found:
                empty.append(drawn.what)
            self.segments += found
            self.owners += [drawn] * len(found)
            if len(self.segments) > MOST_OUTLINE_SEGMENTS:
                self._error(f"has more than {MOST_OUTLINE_SEGMENTS} lines and arcs", "simplify it")
                return
        if empty:
            self.out.notes.append((f"ignored, no length: {_listed(empty)}", ""))
        _some(faults, self.out.errors)

    def _without_doubles(self) -> None:
        """Of pieces on top of one another the first is kept."""
        first = drawn_twice(self.segments).tolist()
        twice = [(i, k) for i, k in enumerate(first) if i != k]
        if not twice:
            return
        pairs = dict.fromkeys(f"{self._what(i)} on {self._what(k)}" for i, k in twice)
        self.out.notes.append((f"drawn twice, one of each ignored: {_listed(list(pairs))}", ""))
        kept = [i for i, k in enumerate(first) if i == k]
        self.segments = [self.segments[i] for i in kept]
        self.owners = [self.owners[i] for i in kept]

    def _what(self, i: int) -> str:
        return self.owners[i].what

    # -- from segments to runs ---------------------------------------------------------------

    def _joined(self) -> list[JoinedRun]:
        """Full circles by themselves, all else joined end to end."""
        whole = [i for i, s in enumerate(self.segments) if _whole(s)]
        rest = [i for i, s in enumerate(self.segments) if not _whole(s)]
        found = joined([self.segments[i] for i in rest])
        self._tell(found, rest)
        circles = [JoinedRun(Chain((self.segments[i],)), (i,), closed=True) for i in whole]
        others = [JoinedRun(r.chain, tuple(rest[i] for i in r.which), r.closed) for r in found.runs]
        return sorted((*circles, *others), key=lambda r: min(r.which))

    def _tell(self, found: Joining, rest: list[int]) -> None:
        gaps: list[Remark] = []
        for wide, place, a, b in found.gaps:
            both = f"{self._what(rest[a])} and {self._what(rest[b])}"
            gaps.append(
                (f"{both} joined at {self._say(place)} across a gap of {self._length(wide)}", "")
            )
        _some(gaps, self.out.notes)
        forks: list[Remark] = []
        for place, which in found.forks:
            whats = _listed(list(dict.fromkeys(self._what(rest[i]) for i in which)))
            message = f"more than two ends meet at {self._say(place)}: {whats}"
            forks.append((message, "keep one line to it and one from it"))
        _some(forks, self.out.errors)

    def _loose(self, run: JoinedRun) -> OpenLine:
        return OpenLine(run.chain, self._what(run.which[0]), self._what(run.which[-1]))

    # -- rings -------------------------------------------------------------------------------

    def _sound(self, rings: Sequence[JoinedRun]) -> bool:
        """Tell whether rings have an inside and cross neither themselves nor one another."""
        found: list[Remark] = []
        for run in rings:
            what = self._what(run.which[0])
            at = self_crossing(run.chain)
            if at is not None:
                where = f"the closed line of {what} crosses or touches itself at {self._say(at)}"
                found.append((where, "move the lines apart there"))
            elif abs(run.chain.area) < SLIVER * run.chain.length:
                found.append((f"{what} encloses nothing", "delete it"))
        if not found:
            found = self._meetings(rings)
        _some(found, self.out.errors)
        return not found

    def _meetings(self, rings: Sequence[JoinedRun]) -> list[Remark]:
        found: list[Remark] = []
        for i, k, at in meetings([r.chain for r in rings], nearer=WIDEST_GAP, most=MOST_SAID + 1):
            both = f"{self._what(rings[i].which[0])} and {self._what(rings[k].which[0])}"
            message = f"the closed lines of {both} cross or touch at {self._say(at)}"
            hint = f"draw each on a {self.drawing.sort} of its own and join them with union"
            found.append((message, hint))
        return found


def loose_ends(drawing: Drawing, found: Assembled, *, mm: float) -> list[Remark]:
    """Find what to say of open lines where closed ones are needed."""
    out: list[Remark] = []
    remarks: list[Remark] = []
    for loose in found.loose:
        a, b = (said(p, drawing, mm) for p in (loose.chain.start, loose.chain.end))
        apart = said((distance(loose.chain.start, loose.chain.end), 0.0), drawing, mm)[1:-4]
        ends = f"{loose.first} has an open end at {a}, {loose.last} at {b}, {apart} apart"
        remarks.append((ends, "join them in the drawing"))
    _some(remarks, out)
    return out


def _whole(segment: Segment) -> bool:
    """Tell whether it is a full circle, and not next to nothing."""
    return (
        isinstance(segment, Arc)
        and same(segment.start, segment.end)
        and math.tau * segment.radius > TOLD
    )


def _listed(whats: list[str]) -> str:
    more = f" and {len(whats) - MOST_SAID} more" if len(whats) > MOST_SAID else ""
    return ", ".join(whats[:MOST_SAID]) + more


def _some(remarks: list[Remark], into: list[Remark]) -> None:
    """The first remarks of a sort, the rest counted."""
    into += remarks[:MOST_SAID]
    if len(remarks) > MOST_SAID:
        into.append((f"{len(remarks) - MOST_SAID} more faults like the last", ""))
