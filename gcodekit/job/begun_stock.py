"""The stock that a set-up begins with where it takes one of the pieces that an earlier one has
parted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from gcodekit.expr import nearest
from gcodekit.job.document.wording import quoted
from gcodekit.job.keys import job_keys
from gcodekit.job.keys.reading import Table
from gcodekit.job.model import Piece
from gcodekit.job.raw_stock import Stock
from gcodekit.job.setup_features import EarlierSetups
from gcodekit.job.stock.frames import Box3, Frame
from gcodekit.job.stock.limits_left import limits_left
from gcodekit.job.stock.pieces import StockPiece, others_gone, piece_at, pieces_after
from gcodekit.job.stock.removed_stock import Slab

Cut = tuple[tuple[Frame, tuple[Slab, ...]], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BegunStock:
    """The stock a set-up begins with: what is gone of it, in which coordinates, and the limits of
    the rest. `pieces`: by the set-up that parted it, the number of the piece taken; `strangers`:
    the set-ups that took another."""

    cut: Cut
    limits: Box3
    piece: Piece | None = None
    pieces: Mapping[str, int] = field(default_factory=dict)
    strangers: frozenset[str] = frozenset()


def taken_piece(table: Table, stock: Stock, before: EarlierSetups) -> BegunStock | None:
    """The piece that a set-up takes; None where it takes none, or that is at fault."""
    if not table.has("piece"):
        _all_of_it(table, before)
        return None
    piece = _read(table, before)
    if piece is None:
        return None
    done = before.done[piece.setup]
    pieces = pieces_after(done.setup, done.taken)
    number = _number(table, piece, pieces)
    if number is None or _parted_again(table, piece, number, before):
        return None
    chain = {**done.pieces, piece.setup: number}
    strangers = frozenset(n for n, d in before.done.items() if _apart(d.pieces, chain))
    frame = Frame.of(done.setup)
    rest = others_gone(done.setup, pieces, pieces[number])
    cut = (*done.begun, (frame, done.taken), (frame, rest), *_since(before, piece, strangers))
    limits = limits_left(stock, cut, done.limits)
    if limits is None:
        table.error("piece", "the set-ups in between leave nothing of it", "check their depths")
        return None
    return BegunStock(cut=cut, limits=limits, piece=piece, pieces=chain, strangers=strangers)


def _since(before: EarlierSetups, piece: Piece, strangers: frozenset[str]) -> Cut:
    """What the set-ups after the one that parted the stock have cut of the piece."""
    names = list(before.done)
    after = names[names.index(piece.setup) + 1 :]
    those = (before.done[n] for n in after if n not in strangers)
    return tuple((Frame.of(d.setup), d.taken) for d in those)


def _all_of_it(table: Table, before: EarlierSetups) -> None:
    """Once one piece was taken by itself, all others are too."""
    parted = [d.setup.piece for d in before.done.values() if d.setup.piece is not None]
    if parted:
        table.error(
            "",
            f"an earlier set-up took one piece of what {quoted(parted[0].setup)} parted",
            "say which piece this one takes: piece = { setup = "
            f'"{parted[0].setup}", at = [x, y, z] }}',
        )


def _read(table: Table, before: EarlierSetups) -> Piece | None:
    """The table, its set-up known and its place of two or three figures."""
    if table.flag("loose"):
        table.error("loose", "piece is given too", "remove loose: a piece is taken by itself")
        return None
    inner = table.table("piece", job_keys.PIECE)
    name, at = (inner.text("setup"), inner.lengths("at")) if inner is not None else (None, None)
    if inner is None or name is None or at is None:
        return None
    if len(at) not in (2, 3):
        inner.error("at", "is not a point", "give [x, y] or [x, y, z]")
        return None
    if name not in before.done:
        close = nearest(name, list(before.done))
        known = ", ".join(quoted(n) for n in before.done)
        hint = f"choose from {known}" if known else "this is the first set-up"
        hint = f"did you mean {quoted(close)}?" if close else hint
        inner.error("setup", f"no such earlier set-up: {quoted(name)}", hint)
        return None
    return Piece(name, at)


def _number(table: Table, piece: Piece, pieces: list[StockPiece]) -> int | None:
    """Which of the pieces it is; anything but one is noted."""
    found = piece_at(pieces, piece)
    if len(pieces) < 2:
        table.error(
            "piece",
            f"{quoted(piece.setup)} does not part the stock",
            "cut right through it first, past its edges, or remove piece",
        )
    elif not found:
        table.error("piece", "no piece is at that place", f"the pieces: {_places(table, pieces)}")
    elif len(found) > 1:
        over = [pieces[i] for i in found]
        table.error(
            "piece",
            f"{len(found)} pieces lie above one another at that place",
            f"add z to at: {_places(table, over)}",
        )
    else:
        return found[0]
    return None


def _places(table: Table, pieces: list[StockPiece]) -> str:
    """A place in each piece, as the file writes it."""
    say = table.source.say
    rows = (", ".join(say(round(v, 2) + 0.0).split()[0] for v in p.middle) for p in pieces)
    return " or ".join(f"at = [{row}]" for row in rows)


def _parted_again(table: Table, piece: Piece, number: int, before: EarlierSetups) -> bool:
    """Note a piece of which a later set-up has already taken a part by itself."""
    for done in before.done.values():
        own = done.setup.piece
        if own is None or own.setup == piece.setup:
            continue
        if before.done[own.setup].pieces.get(piece.setup) == number:
            table.error(
                "piece",
                f"{quoted(own.setup)} has parted that piece again",
                f"name {quoted(own.setup)} as its setup",
            )
            return True
    return False


def _apart(one: Mapping[str, int], other: Mapping[str, int]) -> bool:
    """Tell whether two set-ups took different pieces of what one set-up parted."""
    return any(other.get(setup, number) != number for setup, number in one.items())
