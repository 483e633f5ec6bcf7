"""Pieces of stock that come loose: parted by a feature, and held by nothing."""

from __future__ import annotations

from collections.abc import Generator, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import groupby

from manifold3d import Manifold

from gcodekit.errors import Fault
from gcodekit.job.feature import Feature, Round
from gcodekit.job.model import Job, Setup
from gcodekit.remaining.solid_frames import into, out_of
from gcodekit.remaining.stock_bodies import (
    enclosed,
    in_air,
    inside,
    middle_of,
    on_board,
    pieces_of,
    plates_of,
)
from gcodekit.remaining.stock_solids import hollow, offcuts, raw_solid
from gcodekit.remaining.taken_pieces import TakenPiece, piece_of
from gcodekit.remaining.work_holding import FEEL, Grips, grips
from gcodekit.target import planar
from gcodekit.target.kind_target import target_kind
from gcodekit.target.volumes import Finish, joined
from gcodekit.units import format_point

# A piece of which less than this would be taken is not cut, mm3.
LEAST_CUT = 0.1


@dataclass(frozen=True, slots=True)
class Parting:
    """The pieces that the stock is in when a set-up is done, in its coordinates."""

    setup: Setup
    pieces: tuple[Manifold, ...]


@dataclass(frozen=True, slots=True)
class FollowedStock:
    """What is wrong with the work-holding, and what the work became."""

    faults: tuple[Fault, ...]
    partings: tuple[Parting, ...]


def holding_faults(job: Job, finishes: Mapping[str, Finish]) -> FollowedStock:
    """Errors where a holding grips or presses on air, where tabs or a skin stand in air, and where
    a set-up would cut in two pieces that an earlier one has parted; warnings of pieces that come
    free with nothing to hold them."""
    watch = _Watch(job, finishes)
    faults = tuple(watch.faults())
    return FollowedStock(faults, tuple(watch.partings))


@dataclass(slots=True)
class _Watch:
    """Follows the stock through the set-ups. `stock` is what is left, in its own frame; it is
    `untouched` before anything is cut. `after` is what each set-up has left, `pieces` what those
    took that take a piece of it; `partings` gathers what the work became."""

    job: Job
    finishes: Mapping[str, Finish]
    stock: Manifold = field(default_factory=Manifold)
    begun: Manifold = field(default_factory=Manifold)
    parted_by: str = ""
    untouched: bool = True
    free: list[Manifold] = field(default_factory=list)
    after: dict[str, Manifold] = field(default_factory=dict)
    pieces: dict[str, TakenPiece] = field(default_factory=dict)
    partings: list[Parting] = field(default_factory=list)

    def faults(self) -> Iterator[Fault]:
        first = self.job.setups[0]
        self.stock = out_of(first, raw_solid(first, drawn=True))
        if self.job.stock.hollow is not None:
            self.stock -= hollow(self.job.stock)
            self.untouched = False
        for number, setup in enumerate(self.job.setups):
            if setup.loose:
                for earlier in self.job.setups[:number]:
                    self.stock -= out_of(earlier, offcuts(earlier))
                self.parted_by = ""
            if setup.piece is not None and not (yield from self._takes_piece(setup)):
                return
            yield from self._setup(setup)
            self.after[setup.name] = self.stock

    def _takes_piece(self, setup: Setup) -> Generator[Fault, None, bool]:
        """Go on with the piece that a set-up takes, as those that took it before have left it;
        False where it is not there."""
        assert setup.piece is not None
        parting = next(s for s in self.job.setups if s.name == setup.piece.setup)
        piece = piece_of(setup, parting, into(parting, self.after[parting.name]))
        if piece is None:
            yield Fault(
                setup.place.at(f"{setup.place.key}.piece"),
                f"{setup.name}: no one piece is at that place when {parting.name} is done",
                "cut right through the work first, or check the place",
            )
            return False
        since = list(self.after)[list(self.after).index(parting.name) + 1 :]
        same = [n for n in since if n in self.pieces and self.pieces[n].is_same(piece)]
        self.stock = self.after[same[-1]] if same else piece.body
        # what one that took it has parted again is not one piece
        self.parted_by = same[-1] if same and len(pieces_of(self.stock)) > 1 else ""
        self.pieces[setup.name] = piece
        return True

    def _setup(self, setup: Setup) -> Iterator[Fault]:
        stock = into(setup, self.stock)
        if stock.is_empty():
            return
        if self.parted_by:
            # a slug inside another piece has dropped out by now
            stock = joined([p for p in stock.decompose() if not enclosed(p, stock)])
            yield from self._other_pieces(setup, stock)
        self.begun, self.free = stock, []
        begun = stock.bounding_box()[5]
        for stage, hold in enumerate(setup.holds):
            top = stock.bounding_box()[5] if not stock.is_empty() else begun
            held = grips(hold, stock, top=begun, faced=begun - top)
            yield from _on_air(setup, stage, held, stock)
            features = [f for f in setup.features if f.stage == stage]
            for _, group in groupby(features, key=_together):
                batch = list(group)
                for feature in batch:
                    yield from self._tabs_in_air(feature, setup, stock)
                    stock -= self._taken(feature, setup, stock)
                sound, self.untouched = self.untouched and _apart(batch, setup), False
                if not sound and any(f.milled or f.undercut for f in batch):
                    yield from self._freed(batch, setup, held, stock)
        became = pieces_of(stock)
        if len(became) > 1 and _worth_telling(setup, self.job):
            self.partings.append(Parting(setup, tuple(became)))
        if setup is not self.job.setups[-1] and not self.parted_by and len(became) > 1:
            self.parted_by = setup.name
        self.stock = out_of(setup, stock)

    def _taken(self, feature: Feature, setup: Setup, stock: Manifold) -> Manifold:
        finish = self.finishes[feature.name]
        return target_kind(feature).solid(feature, setup, finish, "drawn", stock)

    def _freed(
        self, batch: list[Feature], setup: Setup, held: Grips, stock: Manifold
    ) -> Iterator[Fault]:
        """A warning for the pieces that features leave with nothing to hold them."""
        feature = batch[-1]
        finish = self.finishes[feature.name]
        scrap, trims = target_kind(feature).scrap(feature, finish), target_kind(feature).trims

        def is_part(piece: Manifold) -> bool:
            return any(_is_part(piece, f, finish.diameter) for f in batch)

        for plate, body in plates_of(setup, stock):
            free: dict[str, list[Manifold]] = {}
            pieces = [p for p in pieces_of(body) if not self._is_scrap(p, scrap)]
            rim = [p for p in pieces if not inside(p, self.begun)]
            rim = [p for p in rim if not is_part(p)]
            if len(pieces) == 1 and (rim or trims):
                continue
            # a plate's frame is tacked to those below it
            on_it = rim if plate else [] if held.any else on_board(rim)
            for piece in pieces:
                if piece not in on_it and not held.holds(piece) and not self._known(piece):
                    name = "the part" if is_part(piece) else _name(piece, feature, self.begun)
                    free.setdefault(name, []).append(piece)
            for what, those in free.items():
                self.free += those
                yield _free(feature, what, plate, those, self.job)

    def _is_scrap(self, piece: Manifold, widest: float) -> bool:
        """Tell whether a piece is a corner of waste at the stock's side."""
        x0, y0, _, x1, y1, _ = piece.bounding_box()
        return max(x1 - x0, y1 - y0) < widest and not inside(piece, self.begun)

    def _known(self, piece: Manifold) -> bool:
        """Tell whether a piece, or what it is left of, is known to have come free."""
        half = piece.volume() / 2
        return any(float((piece ^ other).volume()) > half for other in self.free)

    def _tabs_in_air(self, feature: Feature, setup: Setup, stock: Manifold) -> Iterator[Fault]:
        """Tabs and skins that stand where earlier cuts left no stock."""
        kind, finish = target_kind(feature), self.finishes[feature.name]
        skin, tabs = kind.skin(feature, setup, finish), kind.tabs(feature, setup, finish)
        if skin is None and not tabs:
            return
        raw = raw_solid(setup)
        if skin is not None and in_air(skin, raw, stock):
            yield Fault(
                feature.place.at(f"{feature.place.key}.skin"),
                f"{feature.name}: no stock left by earlier cuts for the onion skin",
                "cut it from the other side, or hold the part with clamps",
            )
        air = [point for point, body in tabs if in_air(body, raw, stock)]
        if air:
            places = ", ".join(format_point(*_short(p), self.job.units) for p in air)
            yield Fault(
                feature.place.at(f"{feature.place.key}.tabs"),
                f"{feature.name}: no stock left by earlier cuts for the tabs at {places}",
                "place them on stock with at = [[x, y], ...], or cut this profile first",
            )

    def _other_pieces(self, setup: Setup, stock: Manifold) -> Iterator[Fault]:
        """An error where a set-up cuts in more than one of the pieces that an earlier one parted,
        or takes its limits from all of them."""
        pieces = pieces_of(stock)
        if len(pieces) < 2:
            return
        bodies = [self._taken(f, setup, stock) for f in setup.features]
        cut = [p for p in pieces if any((b ^ p).volume() > LEAST_CUT for b in bodies)]
        what = ""
        if len(cut) > 1:
            what = f"this set-up cuts {len(cut)} of them"
        elif cut and any(
            abs(a - b) > 0.01
            for a, b in zip(cut[0].bounding_box(), stock.bounding_box(), strict=True)
        ):
            what = "zero and limits of this set-up are those of all of them together"
        if what:
            yield Fault(
                setup.place,
                f"{setup.name}: {self.parted_by} parts the stock into {len(pieces)} pieces, "
                + what,
                "say which piece it takes: piece = "
                f'{{ setup = "{self.parted_by}", at = [x, y, z] }}',
            )


def _worth_telling(setup: Setup, job: Job) -> bool:
    """Tell whether a set-up parts the work into pieces that count: by a kerf right through it, or
    for others to take one. A profile's slug or frame is told of elsewhere."""
    named = {s.piece.setup for s in job.setups if s.piece is not None}
    return setup.name in named or any(f.undercut is not None for f in setup.features)


def _together(feature: Feature) -> str:
    """Round holes part nothing by themselves: they are taken together, and so are copies."""
    return "" if isinstance(feature, Round) else feature.copy_of or feature.name


def _apart(batch: list[Feature], setup: Setup) -> bool:
    """Tell whether features are round holes with metal all round each: that leaves a block whole,
    where nothing else has been cut."""
    if setup.raw.shape != "block" or setup.raw.plates > 1:
        return False
    (x0, y0, _), (x1, y1, _) = setup.raw.low, setup.raw.high
    count, areas = 0, []
    for feature in batch:
        if not isinstance(feature, Round):
            return False
        areas.append(planar.discs(feature.places, feature.widest / 2 + FEEL))
        count += len(set(feature.places))
    area = planar.union(areas)
    return len(area.decompose()) == count and (area - planar.box(x0, y0, x1, y1)).is_empty()


def _on_air(setup: Setup, stage: int, held: Grips, stock: Manifold) -> Iterator[Fault]:
    place = setup.stops[stage - 1].place if stage else setup.place
    key = f"{place.key}.hold" if place.key else "hold"
    names = list(held.on_air(stock))
    jaws = [n for n in names if "jaw" in n]
    if jaws:
        grip = "grip" if len(jaws) > 1 else "grips"
        yield Fault(
            place.at(key),
            f"{setup.name}: no stock between the jaws: {' and '.join(jaws)} {grip} nothing",
            "move the vise's centre, turn it, or change grip so that the jaws meet stock",
        )
    for name in names:
        if name not in jaws:
            yield Fault(
                place.at(key),
                f"{setup.name}: no stock under {name}: it presses on nothing",
                "move it onto the stock",
            )


def _name(piece: Manifold, feature: Feature, begun: Manifold) -> str:
    """The name of a piece that comes loose."""
    parted = feature.depth.cut_to < begun.bounding_box()[2] + FEEL
    return "a slug" if parted and inside(piece, begun) else "a piece"


def _is_part(piece: Manifold, feature: Feature, kerf: float) -> bool:
    """Tell whether a piece is what a feature goes round, with nothing beyond the kerf: stubs of
    tabs that end in air are part of it."""
    region = target_kind(feature).part(feature)
    if region is None:
        return False
    around = planar.grown(planar.area_of(region), FEEL + kerf)
    return float((piece.project() - around).area()) < FEEL


def _free(feature: Feature, what: str, plate: int, freed: list[Manifold], job: Job) -> Fault:
    at = format_point(*_short(middle_of(freed[0])), job.units)
    more = f" and {len(freed) - 1} more" if len(freed) > 1 else ""
    of_plate = f" of plate {plate} (from below)" if plate else ""
    text = f"{what}{of_plate} comes loose at {at}{more}: nothing holds it"
    remedy = target_kind(feature).remedy(feature, plate, job.units)
    return Fault(feature.place, text, remedy, "warning")


def _short(point: tuple[float, float]) -> tuple[float, float]:
    return (round(point[0], 2) + 0.0, round(point[1], 2) + 0.0)
