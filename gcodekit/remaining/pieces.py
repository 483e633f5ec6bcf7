"""Pieces of stock that come free: what stands by itself after every feature, and what holds it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import groupby

from manifold3d import Manifold

from gcodekit.errors import Fault
from gcodekit.job.feature import Feature
from gcodekit.job.kinds.arc import Sector
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.boss import Boss
from gcodekit.job.kinds.edge import Edge
from gcodekit.job.kinds.face import Face
from gcodekit.job.kinds.hole import Hole
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.kinds.slot import Slot
from gcodekit.job.model import Job, Setup
from gcodekit.remaining import planar
from gcodekit.remaining.bodies import (
    CRUMB,
    enclosed,
    in_air,
    inside,
    middle_of,
    on_board,
    pieces_of,
    plates_of,
    runs_of,
)
from gcodekit.remaining.contact import FEEL, Grips, grips
from gcodekit.remaining.stock import hollow, into, offcuts, out_of, raw_solid
from gcodekit.remaining.volumes import (
    Finish,
    joined,
    skin_body,
    tab_body,
    taken,
)
from gcodekit.units import format_length, format_point


def holding_faults(job: Job, finishes: Mapping[str, Finish]) -> tuple[Fault, ...]:
    """Errors where a holding grips or presses on air, where tabs or a skin stand in air, and where
    a set-up would cut in two pieces that an earlier one has parted; warnings of pieces that come
    free with nothing to hold them."""
    return tuple(_Watch(job, finishes).faults())


@dataclass(slots=True)
class _Watch:
    """Follows the stock through the set-ups. `stock` is what is left, in its own frame; it is
    `untouched` before anything is cut."""

    job: Job
    finishes: Mapping[str, Finish]
    stock: Manifold = field(default_factory=Manifold)
    begun: Manifold = field(default_factory=Manifold)
    parted_by: str = ""
    untouched: bool = True
    free: list[Manifold] = field(default_factory=list)

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
            yield from self._setup(setup)

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
                if not sound and any(not isinstance(f, Hole) for f in batch):
                    yield from self._freed(batch, setup, held, stock)
        if setup is not self.job.setups[-1] and not self.parted_by and len(pieces_of(stock)) > 1:
            self.parted_by = setup.name
        self.stock = out_of(setup, stock)

    def _taken(self, feature: Feature, setup: Setup, stock: Manifold) -> Manifold:
        finish = self.finishes[feature.name]
        if isinstance(feature, Slot):
            return taken(feature, setup, finish, "drawn", runs=runs_of(feature, stock))
        return taken(feature, setup, finish, "drawn")

    def _freed(
        self, batch: list[Feature], setup: Setup, held: Grips, stock: Manifold
    ) -> Iterator[Fault]:
        """A warning for the pieces that features leave with nothing to hold them."""
        feature = batch[-1]
        kerf = self.finishes[feature.name].diameter

        def is_part(piece: Manifold) -> bool:
            return any(_is_part(piece, f, kerf) for f in batch)

        for plate, body in plates_of(setup, stock):
            free: dict[str, list[Manifold]] = {}
            pieces = [p for p in pieces_of(body) if not self._scrap(p, feature, kerf)]
            rim = [p for p in pieces if not inside(p, self.begun)]
            rim = [p for p in rim if not is_part(p)]
            if len(pieces) == 1 and (rim or isinstance(feature, Edge | Face | Sector)):
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

    def _scrap(self, piece: Manifold, feature: Feature, kerf: float) -> bool:
        """Whether a piece is a corner of waste that a profile leaves at the stock's side, no wider
        than two of its cutters. Common practice, no source."""
        x0, y0, _, x1, y1, _ = piece.bounding_box()
        return (
            isinstance(feature, Profile)
            and not inside(piece, self.begun)
            and max(x1 - x0, y1 - y0) < 2 * kerf
        )

    def _known(self, piece: Manifold) -> bool:
        """Whether a piece, or what it is left of, is known to have come free."""
        half = piece.volume() / 2
        return any(float((piece ^ other).volume()) > half for other in self.free)

    def _tabs_in_air(self, feature: Feature, setup: Setup, stock: Manifold) -> Iterator[Fault]:
        """Tabs and skins that stand where earlier cuts left no stock."""
        if not isinstance(feature, Profile):
            return
        finish, raw = self.finishes[feature.name], raw_solid(setup)
        if feature.skin is not None and in_air(skin_body(feature, setup, finish), raw, stock):
            yield Fault(
                feature.place.at(f"{feature.place.key}.skin"),
                f"{feature.name}: the onion skin lies where earlier cuts left no stock",
                "cut it from the other side, or hold the part with clamps",
            )
        if feature.tabs is None:
            return
        bodies = ((t, tab_body(feature, t, setup, finish)) for t in finish.tabs)
        air = [t.point for t, body in bodies if in_air(body, raw, stock)]
        if air:
            places = ", ".join(format_point(*_short(p), self.job.units) for p in air)
            yield Fault(
                feature.place.at(f"{feature.place.key}.tabs"),
                f"{feature.name}: earlier cuts left no stock for the tabs at {places}",
                "name places on stock with at = [[x, y], ...], or cut this profile first",
            )

    def _other_pieces(self, setup: Setup, stock: Manifold) -> Iterator[Fault]:
        """An error where a set-up cuts in more than one of the pieces that an earlier one parted,
        or takes its limits from all of them."""
        pieces = pieces_of(stock)
        if len(pieces) < 2:
            return
        bodies = [self._taken(f, setup, stock) for f in setup.features]
        cut = [p for p in pieces if any((b ^ p).volume() > CRUMB for b in bodies)]
        what = ""
        if len(cut) > 1:
            what = f"it would cut in {len(cut)} of them"
        elif cut and any(
            abs(a - b) > 0.01
            for a, b in zip(cut[0].bounding_box(), stock.bounding_box(), strict=True)
        ):
            what = "its zero and limits would be those of all of them together"
        if what:
            yield Fault(
                setup.place,
                f"{setup.name}: {self.parted_by} has parted the stock into {len(pieces)} pieces; "
                + what,
                "do this set-up's work before the stock is parted, or write a job of its own for "
                "each piece",
            )


def _together(feature: Feature) -> str:
    """Holes and bores part nothing by themselves: they are taken together, and so are copies."""
    return "" if isinstance(feature, Hole | Bore) else feature.copy_of or feature.name


def _apart(batch: list[Feature], setup: Setup) -> bool:
    """Whether features are holes and bores with metal all round each: that leaves a block whole,
    where nothing else has been cut."""
    if setup.raw.shape != "block" or setup.raw.plates > 1:
        return False
    (x0, y0, _), (x1, y1, _) = setup.raw.low, setup.raw.high
    count, areas = 0, []
    for feature in batch:
        if not isinstance(feature, Hole | Bore):
            return False
        wide = feature.widest if isinstance(feature, Hole) else feature.diameter
        areas.append(planar.discs(feature.places, wide / 2 + FEEL))
        count += len(set(feature.places))
    area = planar.union(areas)
    return len(area.decompose()) == count and (area - planar.box(x0, y0, x1, y1)).is_empty()


def _on_air(setup: Setup, stage: int, held: Grips, stock: Manifold) -> Iterator[Fault]:
    place = setup.stops[stage - 1].place if stage else setup.place
    key = f"{place.key}.hold" if place.key else "hold"
    names = list(held.on_air(stock))
    jaws = [n for n in names if "jaw" in n]
    if jaws:
        yield Fault(
            place.at(key),
            f"{setup.name}: {' and '.join(jaws)} would close on nothing: there is no stock there",
            "move the vise's centre, turn it, or change grip so that the jaws meet stock",
        )
    for name in names:
        if name not in jaws:
            yield Fault(
                place.at(key),
                f"{setup.name}: {name} presses on nothing: there is no stock just below it",
                "move it to where there is stock",
            )


def _name(piece: Manifold, feature: Feature, begun: Manifold) -> str:
    """What a piece that comes free is called."""
    parted = feature.depth.cut_to < begun.bounding_box()[2] + FEEL
    return "a slug" if parted and inside(piece, begun) else "a piece"


def _is_part(piece: Manifold, feature: Feature, kerf: float) -> bool:
    """Whether a piece is what an outside profile or a boss is drawn round, with nothing beyond the
    kerf: stubs of tabs that end in air are part of it."""
    if isinstance(feature, Boss):
        region = feature.kept
    elif isinstance(feature, Profile) and feature.outline is not None and feature.side != "inside":
        region = feature.outline
    else:
        return False
    around = planar.grown(planar.area_of(region), FEEL + kerf)
    return float((piece.project() - around).area()) < FEEL


def _free(feature: Feature, what: str, plate: int, freed: list[Manifold], job: Job) -> Fault:
    at = format_point(*_short(middle_of(freed[0])), job.units)
    more = f" and {len(freed) - 1} more" if len(freed) > 1 else ""
    of_plate = f" of plate {plate} (from below)" if plate else ""
    text = f"{what}{of_plate} comes free at {at}{more} with nothing to hold it"
    return Fault(feature.place, text, _remedy(feature, plate, job), "warning")


def _remedy(feature: Feature, plate: int, job: Job) -> str:
    if plate and isinstance(feature, Profile) and feature.tabs is not None:
        height = format_length(feature.tabs.height, job.units)
        return f"its tabs are {height} high: make them high enough to reach into every plate"
    if isinstance(feature, Profile) and feature.tabs is not None:
        return "its tabs meet no stock beyond the kerf: use larger stock, or a clamp on it"
    if isinstance(feature, Boss):
        return "give a clamp on it"
    if isinstance(feature, Profile):
        return "give tabs, or a clamp on it"
    if not feature.depth.through:
        return "put a clamp on it, or cut this while tabs or solid stock still hold it"
    return "put a clamp on it, or cut round it with a profile that has tabs"


def _short(point: tuple[float, float]) -> tuple[float, float]:
    return (round(point[0], 2) + 0.0, round(point[1], 2) + 0.0)
