"""A drawing as read: what is drawn, under which names, in the file's own units.

Drawn      one piece: its shape, the names it goes by (a layer, or ids), what the file calls it
Drawing    every piece of a file, and what the reader left out
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from gcodekit.drawing.primitives import Primitive
from gcodekit.errors import DrawingError, Fault, Place
from gcodekit.geometry.chain import Point
from gcodekit.units import Units, mm_per

# The limits below are many times what outlines for a small mill come to. They keep a broken or
# hostile file to a few seconds and a few hundred megabytes.
LARGEST_FILE = 16_000_000  # bytes
MOST_PIECES = 40_000  # of a whole file, blocks and symbols put in place
MOST_SEGMENTS = 20_000  # lines and arcs of one outline
MOST_RINGS = 1_000  # of one outline
FARTHEST = 10_000.0  # mm from zero, as everywhere else in the geometry

Sort = Literal["layer", "id"]


@dataclass(frozen=True, slots=True)
class Drawn:
    """One piece of a drawing. `what`: as the file has it, such as ``LINE 2F`` or ``path "rim"``."""

    shape: Primitive
    names: tuple[str, ...]
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A file's pieces.

    Parameters
    ----------
    sort : what its names are
    unit : mm that one of the file's units is long; None where the file does not say
    names : every name in the file, those under which nothing is drawn too
    left_out : by name, how many of which kind are no shapes and were passed over
    wrong : by name, pieces that cannot be read: what is wrong, what would be right
    notes : what is to be said of the whole file, and what would be better
    """

    file: str
    sort: Sort
    unit: float | None
    pieces: tuple[Drawn, ...]
    names: tuple[str, ...]
    left_out: Mapping[str, Counter[str]] = field(default_factory=dict)
    wrong: Mapping[str, list[tuple[str, str]]] = field(default_factory=dict)
    notes: tuple[tuple[str, str], ...] = ()

    @property
    def units(self) -> Units:
        """Units in which places and sizes of the drawing are said."""
        return "inch" if self.unit == mm_per("inch") else "mm"

    def under(self, name: str | None) -> tuple[Drawn, ...]:
        """The pieces of a name, or all of them."""
        if name is None:
            return self.pieces
        return tuple(d for d in self.pieces if name in d.names)

    @property
    def drawn_names(self) -> tuple[str, ...]:
        """The names under which something is drawn, or should be."""
        used = dict.fromkeys(n for d in self.pieces for n in d.names)
        return tuple(n for n in self.names if n in used or n in self.wrong)


@dataclass(slots=True)
class Reading:
    """Gathers a drawing's pieces as they are read."""

    file: str
    pieces: list[Drawn] = field(default_factory=list)
    names: dict[str, None] = field(default_factory=dict)
    left_out: dict[str, Counter[str]] = field(default_factory=dict)
    wrong: dict[str, list[tuple[str, str]]] = field(default_factory=dict)

    def add(self, shape: Primitive, names: tuple[str, ...], what: str) -> None:
        """Take a piece in."""
        if len(self.pieces) >= MOST_PIECES:
            raise refused(self.file, f"draws more than {MOST_PIECES} pieces", "draw it simpler")
        self.pieces.append(Drawn(shape, names, what))

    def pass_over(self, names: tuple[str, ...], kind: str) -> None:
        """Note something that is no shape."""
        for name in names or ("",):
            self.left_out.setdefault(name, Counter())[kind] += 1

    def fault(self, names: tuple[str, ...], message: str, hint: str) -> None:
        """Note a piece that cannot be read."""
        for name in names or ("",):
            self.wrong.setdefault(name, []).append((message, hint))


def refused(file: str, message: str, hint: str = "", *, line: int = 0) -> DrawingError:
    """The error of a file that cannot be read at all."""
    return DrawingError([Fault(Place(file, line), message, hint)])


def said(point: Point, drawing: Drawing, mm: float) -> str:
    """A place in the drawing's own units; `mm`: what one of them was taken to be long."""
    share = 1.0 if drawing.unit is None else drawing.unit / mm_per(drawing.units)
    x, y = (f"{c / mm * share:.4f}".rstrip("0").rstrip(".") for c in point)
    return f"[{'0' if x == '-0' else x}, {'0' if y == '-0' else y}]"
