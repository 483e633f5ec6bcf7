"""A drawing as read: what is drawn, under which names, in the file's own units.

DrawnPiece its shape, the names it goes by (a layer, or ids), what the file calls it
Drawing    every piece of a file, and what the reader left out
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal, TypeVar

from gcodekit.drawing.primitives import Primitive
from gcodekit.errors import DrawingError, Fault, Place
from gcodekit.geometry.chain import Point
from gcodekit.units import Units, mm_per

# The limits below are many times what outlines for a small mill come to. They keep a broken or
# hostile file to a few seconds and a few hundred megabytes.
LARGEST_DRAWING = 16_000_000  # bytes
MOST_DRAWN_PIECES = 40_000  # of a whole file, blocks and symbols put in place
MOST_OUTLINE_SEGMENTS = 15_000  # lines and arcs of one outline
MOST_OUTLINE_RINGS = 1_000  # of one outline

Sort = Literal["layer", "id"]
Thing = TypeVar("Thing")


@dataclass(frozen=True, slots=True)
class DrawnPiece:
    """One piece of a drawing. `what`: as the file has it, such as ``LINE 2F`` or ``path "rim"``."""

    shape: Primitive
    names: tuple[str, ...]
    what: str


@dataclass(frozen=True, kw_only=True)  # no slots: what stands under a name is kept
class Drawing:
    """A file's pieces.

    Parameters
    ----------
    sort : what its names are
    unit : mm that one of the file's units is long; None where the file does not say
    names : every name in the file, those under which nothing is drawn too
    left_out : (names, kind) of everything that is no shape and was passed over
    wrong : (names, what is wrong, what would be right) of pieces that cannot be read
    notes : what is to be said of the whole file, and what would be better
    """

    file: str
    sort: Sort
    unit: float | None
    pieces: tuple[DrawnPiece, ...]
    names: tuple[str, ...]
    left_out: tuple[tuple[tuple[str, ...], str], ...] = ()
    wrong: tuple[tuple[tuple[str, ...], str, str], ...] = ()
    notes: tuple[tuple[str, str], ...] = ()

    @property
    def units(self) -> Units:
        """Units in which places and sizes of the drawing are said."""
        return "inch" if self.unit == mm_per("inch") else "mm"

    def under(self, name: str | None) -> tuple[DrawnPiece, ...]:
        """The pieces of a name, or all of them."""
        return self.pieces if name is None else self._pieces.get(name, ())

    def left_out_of(self, name: str | None) -> Iterable[str]:
        """The kinds of what was passed over under a name, or in all."""
        found = self.left_out if name is None else self._left_out.get(name, ())
        return (kind for _, kind in found)

    def wrong_with(self, name: str | None) -> tuple[tuple[str, str], ...]:
        """Find what is wrong with the pieces of a name, or of all, each thing once."""
        found = self.wrong if name is None else self._wrong.get(name, ())
        return tuple(dict.fromkeys((message, hint) for _, message, hint in found))

    @cached_property
    def _pieces(self) -> Mapping[str, tuple[DrawnPiece, ...]]:
        return _by_name(self.pieces, lambda d: d.names)

    @cached_property
    def _left_out(self) -> Mapping[str, tuple[tuple[tuple[str, ...], str], ...]]:
        return _by_name(self.left_out, lambda entry: entry[0])

    @cached_property
    def _wrong(self) -> Mapping[str, tuple[tuple[tuple[str, ...], str, str], ...]]:
        return _by_name(self.wrong, lambda entry: entry[0])

    @property
    def drawn_names(self) -> tuple[str, ...]:
        """The names under which something is drawn, or should be."""
        return tuple(n for n in self.names if n in self._pieces or n in self._wrong)

    @property
    def nameless(self) -> bool:
        """Whether something is drawn, or should be, under no name."""
        return not all(d.names for d in self.pieces) or not all(w[0] for w in self.wrong)


def _by_name(
    things: Iterable[Thing], names: Callable[[Thing], Iterable[str]]
) -> Mapping[str, tuple[Thing, ...]]:
    found: dict[str, list[Thing]] = {}
    for thing in things:
        for name in names(thing):
            found.setdefault(name, []).append(thing)
    return {name: tuple(some) for name, some in found.items()}


@dataclass(slots=True)
class GatheredPieces:
    """Gathers a drawing's pieces as they are read."""

    file: str
    pieces: list[DrawnPiece] = field(default_factory=list)
    names: dict[str, None] = field(default_factory=dict)
    left_out: list[tuple[tuple[str, ...], str]] = field(default_factory=list)
    wrong: list[tuple[tuple[str, ...], str, str]] = field(default_factory=list)

    def add(self, shape: Primitive, names: tuple[str, ...], what: str) -> None:
        """Take a piece in."""
        if len(self.pieces) >= MOST_DRAWN_PIECES:
            raise refused(
                self.file, f"has more than {MOST_DRAWN_PIECES} lines and arcs", "simplify it"
            )
        self.pieces.append(DrawnPiece(shape, names, what))

    def pass_over(self, names: tuple[str, ...], kind: str) -> None:
        """Note something that is no shape."""
        self.left_out.append((names, kind))

    def fault(self, names: tuple[str, ...], message: str, hint: str) -> None:
        """Note a piece that cannot be read."""
        self.wrong.append((names, message, hint))


def refused(file: str, message: str, hint: str = "", *, line: int = 0) -> DrawingError:
    """The error of a file that cannot be read at all."""
    return DrawingError([Fault(Place(file, line), printable(message), hint)])


def printable(text: str) -> str:
    """Text of a file without what a terminal would obey."""
    return "".join(c if c.isprintable() else "?" for c in text)


def said(point: Point, drawing: Drawing, mm: float) -> str:
    """A place in the drawing's own units; `mm`: what one of them was taken to be long."""
    share = 1.0 if drawing.unit is None else drawing.unit / mm_per(drawing.units)
    x, y = (f"{c / mm * share:.4f}".rstrip("0").rstrip(".") for c in point)
    return f"[{'0' if x == '-0' else x}, {'0' if y == '-0' else y}]"
