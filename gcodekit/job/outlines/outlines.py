"""Outlines and paths: named ones, shapes, drawn paths, and what is made of them."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path as FilePath

from gcodekit.expr import nearest
from gcodekit.geometry.boolean import common, minus, union
from gcodekit.geometry.chain import Chain, Line, Segment
from gcodekit.geometry.edge_sources import chord_angle
from gcodekit.geometry.offset import grow
from gcodekit.geometry.region import GeometryError, Region, Shift
from gcodekit.job.document.wording import listed, plain, quoted
from gcodekit.job.keys import outline_keys
from gcodekit.job.keys.reading import Path, Table
from gcodekit.job.outlines.drawn_shapes import drawn_path, drawn_shape
from gcodekit.job.outlines.imported import imported_shape
from gcodekit.job.outlines.places import NamedPlaces

# Deeper nesting than any drawing has, shallow enough to read without running out of stack.
DEEPEST_NESTING = 40
# What all the sums and offsets of a job may cost, by the lines and chords of arcs that they work
# on: sums of sums double, and must not hang. An offset of 10,000 lines, 0.2 s, is 20,000 of it.
# The chords of arcs count for more: where small arcs meet in corners an offset takes longest.
MOST_WORK = 150_000
LINE_WORK, CHORD_WORK, MOST_ARC_WORK = 2.0, 3.0, 300.0
OF_SUM = 0.4  # what a sum costs of an offset's work
# A cutter's way round an outline has an arc at every corner, and where they are very many all cross
# one another. A turn of more than so many radians is a corner.
MOST_CORNERS, CORNER = 600, 0.35

Shape = Region | Chain  # an open path stays a chain
_OWN_ANGLE = ("rectangle", "obround", "polygon")


@dataclass(frozen=True, slots=True)
class Outlines:
    """The outlines of a job; named ones are worked out once, when first used."""

    top: Table
    named: Mapping[str, object]
    folder: Callable[[Path], FilePath]  # where a key's drawings are looked for
    places: NamedPlaces
    done: dict[str, Shape | None] = field(default_factory=dict)
    under_way: list[str] = field(default_factory=list)
    nested: list[int] = field(default_factory=list)  # one entry for each table being worked out
    spent: list[float] = field(default_factory=list)  # what each sum cost
    loose_ends: dict[Chain, str] = field(default_factory=dict)  # of drawings' open lines

    @staticmethod
    def of(top: Table, folder: Callable[[Path], FilePath]) -> Outlines:
        """The outlines that the job names; `folder` of the file that a key stands in."""
        named = top.raw("outlines")
        if named is not None and not isinstance(named, Mapping):
            top.error("outlines", "is not a table", "write [outlines] and the names below it")
        named = named if isinstance(named, Mapping) else {}
        return Outlines(top, named, folder, NamedPlaces.of(top))

    def check_all(self) -> None:
        """Work out those that nothing has used, for their faults; named places as well."""
        for name in self.named:
            self._of_name(name)
        self.places.check_all()

    def region(self, table: Table, key: str | Path) -> Region | None:
        """The closed outline at a key."""
        shape = self._shape(table, (key,) if isinstance(key, str) else key)
        if isinstance(shape, Chain):
            ends = self.loose_ends.get(shape)
            message = f"is an open path ({ends})" if ends else "is an open path"
            table.error(key, message, "draw a closed outline")
            return None
        return shape if shape is None or _few_corners(table, key, shape.rings) else None

    def path(self, table: Table, key: str, *, closed: bool = True) -> Chain | None:
        """The path at a key: a list of points and segments, or an outline.

        `closed`: whether a path that ends where it starts will do.
        """
        if isinstance(table.raw(key), list):
            shape: Shape | None = drawn_path(table, (key,), closed=False)
        else:
            shape = self._shape(table, (key,))
        if isinstance(shape, Region):
            if len(shape.rings) != 1:
                table.error(key, f"has {len(shape.rings)} closed lines", "draw one line for a path")
                return None
            shape = shape.rings[0]
        if shape is not None and shape.closed and not closed:
            table.error(key, "is a closed line", "use outline = ... instead of path")
            return None
        return shape if shape is None or _few_corners(table, key, [shape]) else None

    # -- names -------------------------------------------------------------------------------

    def _shape(self, table: Table, path: Path) -> Shape | None:
        """A name or a table as a shape."""
        value: object = table.data
        for step in path:
            value = value[step]  # type: ignore[index]  # the path was walked before
        if len(self.nested) + len(self.under_way) > DEEPEST_NESTING:
            table.error(
                path, "outlines are nested too deeply", f"use at most {DEEPEST_NESTING} levels"
            )
            return None
        if isinstance(value, str):
            return self._named(table, path, value)
        if not isinstance(value, Mapping):
            table.error(path, "is not an outline", "give a name or { rectangle = [w, h], ... }")
            return None
        self.nested.append(1)
        shape = self._drawn(Table(table.source, table.below(path), value, outline_keys.OUTLINE))
        self.nested.pop()
        return shape

    def _named(self, table: Table, path: Path, name: str) -> Shape | None:
        if name not in self.named:
            close = nearest(name, self.named)
            known = f"there are {plain(listed(list(self.named), 'and'))}" if self.named else ""
            hint = f"did you mean {quoted(close)}?" if close else known or "add it below [outlines]"
            table.error(path, f"no such outline: {quoted(name)}", hint)
            return None
        if name in self.under_way:
            circle = " -> ".join([*self.under_way[self.under_way.index(name) :], name])
            table.error(
                path, f"refers back to itself: {plain(circle)}", "remove one of these names"
            )
            return None
        return self._of_name(name)

    def _of_name(self, name: str) -> Shape | None:
        if name not in self.done:
            self.under_way.append(name)
            self.done[name] = self._shape(self.top, ("outlines", name))
            self.under_way.pop()
        return self.done[name]

    # -- shapes ------------------------------------------------------------------------------

    def _drawn(self, table: Table) -> Shape | None:
        """A table as a shape, placed."""
        table.checked()
        what = table.one_of(*outline_keys.SHAPES, what="the shape of the outline")
        if what is None:
            return None
        _refuse_strays(table, what)
        own_angle = what in _OWN_ANGLE and not table.has("about")
        shape: Shape | None
        ends = ""
        if what in ("union", "minus", "common"):
            shape = self._combined(table, what)
        elif what in ("dxf", "svg"):
            shape, ends = imported_shape(table, what, self.folder(table.path))
        elif what == "use":
            name = table.text("use")
            shape = None if name is None else self._named(table, ("use",), name)
        else:
            shape = drawn_shape(table, what, own_angle=own_angle)
        placed = None if shape is None else self._placed(table, shape, turn=not own_angle)
        if isinstance(placed, Chain) and ends:
            self.loose_ends[placed] = ends
        return placed

    def _combined(self, table: Table, how: str) -> Region | None:
        raw = table.raw(how)
        if not isinstance(raw, list) or len(raw) < 2:
            table.error(how, "is not a list of two or more outlines", f"write {how} = [a, b]")
            return None
        found = [self.region(table, (how, i)) for i in range(len(raw))]
        regions = [r for r in found if r is not None]
        if len(regions) < len(found):
            return None
        shape = self.combined(table, how, how, regions)
        if shape is not None and shape.empty:
            table.error(how, "leaves nothing", "check where the outlines lie")
            return None
        return shape

    def combined(self, table: Table, key: str, how: str, regions: list[Region]) -> Region | None:
        """Regions together, the first less the rest, or what they have in common."""
        if not self._affordable(table, key, regions, share=OF_SUM):
            return None
        if how == "union":
            return union(regions)
        if how == "minus":
            return minus(regions[0], union(regions[1:]))
        return common(regions)

    def _affordable(
        self,
        table: Table,
        key: str,
        regions: list[Region],
        *,
        by: float = 0.0,
        share: float = 1.0,
    ) -> bool:
        """Tell whether a sum, or an offset `by` so much, can be worked out in good time."""
        segments = [s for r in regions for ring in r.rings for s in ring]
        self.spent.append(share * sum(_work(s, by) for s in segments))
        if sum(self.spent) <= MOST_WORK:
            return True
        table.error(key, "the outlines have too many lines and arcs in all", "simplify them")
        return False

    def _placed(self, table: Table, shape: Shape, *, turn: bool) -> Shape | None:
        """Mirrored, turned, moved, then grown."""
        mirror, move, about = table.choice("mirror"), table.point("move"), table.point("about")
        angle = table.angle("angle") if turn else None
        shift = Shift(
            mirror=mirror, angle=angle or 0.0, about=about or (0.0, 0.0), move=move or (0.0, 0.0)
        )
        if not shift.still:
            shape = shift.chain(shape) if isinstance(shape, Chain) else shift.region(shape)
        by = table.length("grow")
        return self._grown(table, shape, by) if by else shape

    def _grown(self, table: Table, shape: Shape, by: float) -> Region | None:
        if isinstance(shape, Chain):
            table.error("grow", "an open path has no inside", "use grow with closed outlines only")
            return None
        if not self._affordable(table, "grow", [shape], by=abs(by)):
            return None
        try:
            grown = grow(shape, by)
        except GeometryError as error:
            table.error("grow", *error.said(table.source.say))
            return None
        if grown.empty:
            narrow = table.source.say(2 * abs(by))
            table.error(
                "grow", "leaves nothing", f"give less: the outline is narrower than {narrow}"
            )
            return None
        return grown


def _few_corners(table: Table, key: str | Path, chains: Iterable[Chain]) -> bool:
    """Tell whether an outline has no more corners than a cutter's way round it can have."""
    corners = sum(_corners(chain) for chain in chains)
    if corners > MOST_CORNERS:
        text = f"has {corners:,} corners, {MOST_CORNERS} are the most"
        table.error(key, text, "simplify it, or split it into several")
    return corners <= MOST_CORNERS


def _corners(chain: Chain) -> int:
    """Find how often a chain turns sharply from one segment to the next."""
    joints = pairwise((*chain, chain.segments[0]) if chain.closed else chain)
    turns = (
        math.remainder(_way(b.tangent_at(0.0)) - _way(a.tangent_at(a.length)), math.tau)
        for a, b in joints
    )
    return sum(abs(turn) > CORNER for turn in turns)


def _way(tangent: tuple[float, float]) -> float:
    return math.atan2(tangent[1], tangent[0])


def _work(segment: Segment, by: float) -> float:
    """Find what a segment costs in an offset `by` so much."""
    if isinstance(segment, Line):
        return LINE_WORK
    chords = 1 + abs(segment.sweep) / chord_angle(segment.radius, by)
    return min(CHORD_WORK * chords, MOST_ARC_WORK)


def _refuse_strays(table: Table, what: str) -> None:
    """Note keys that belong to another shape."""
    placing = tuple(k.name for k in outline_keys.PLACING)
    allowed = (what, *outline_keys.SHAPE_KEYS[what], *placing)
    for name in table.data:
        if name in table.keys.names and name not in allowed:
            table.error(name, f"does not go with {what}", f"use {listed(allowed[1:], 'and')}")
