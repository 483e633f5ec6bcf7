"""The features of a set-up, and the stops between them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import partial

from gcodekit.errors import Place
from gcodekit.job.broken_edges import BrokenEdges
from gcodekit.job.document.wording import quoted
from gcodekit.job.feature import Feature
from gcodekit.job.features.cutter_checks import check_cutters
from gcodekit.job.features.depths import MetalHeights
from gcodekit.job.features.kind import Surroundings
from gcodekit.job.keys import job_keys
from gcodekit.job.keys.feature_keys import FEATURE
from gcodekit.job.keys.kind_tables import kind_tables
from gcodekit.job.keys.reading import Table
from gcodekit.job.kinds import kinds
from gcodekit.job.model import Setup, Stop
from gcodekit.job.outlines.copies import (
    all_copied,
    read_copies,
    setup_copies,
    too_many,
    with_copies,
)
from gcodekit.job.outlines.outlines import Outlines
from gcodekit.job.raw_stock import RawStock
from gcodekit.job.read_feature import kind_of, read_feature
from gcodekit.job.stock.breaking_in import broken_into
from gcodekit.job.stock.earlier_work import EarlierWork
from gcodekit.job.stock.frames import Box3, Frame
from gcodekit.job.stock.hold import read_hold
from gcodekit.job.stock.removed_stock import Slab
from gcodekit.job.workshop.machine import Workshop


@dataclass(frozen=True, slots=True)
class SetupDone:
    """A set-up that was read: the stock it began with, as what was gone and its limits, and what it
    takes; `pieces`: by the set-up that parted the stock, which piece of it this one took."""

    setup: Setup
    begun: tuple[tuple[Frame, tuple[Slab, ...]], ...]
    limits: Box3
    taken: tuple[Slab, ...]
    pieces: Mapping[str, int]


@dataclass(slots=True, kw_only=True)
class EarlierSetups:
    """What the set-ups read so far have used and done."""

    names: dict[str, int] = field(default_factory=dict)
    setup_names: dict[str, int] = field(default_factory=dict)
    kinds: Counter[str] = field(default_factory=Counter)
    freed_by: str = ""
    emptied_by: str = ""
    work: EarlierWork = field(default_factory=EarlierWork)
    cut: list[tuple[Frame, tuple[Slab, ...]]] = field(default_factory=list)
    # what falls away from the part once it is broken out
    offcuts: list[tuple[Frame, tuple[Slab, ...]]] = field(default_factory=list)
    # the box of the metal left, in the stock's frame
    limits: Box3
    after: dict[str, Place] = field(default_factory=dict)
    done: dict[str, SetupDone] = field(default_factory=dict)


@dataclass(slots=True)
class FeaturesReader:
    """Reads a set-up's features in the order written. `metal` is as the features so far leave it,
    `raw` the least block or bar round it as the set-up begins."""

    table: Table
    before: EarlierSetups
    workshop: Workshop
    outlines: Outlines
    raw: RawStock
    frame: Frame
    stand_in: bool
    metal: MetalHeights
    found: list[Feature] = field(default_factory=list)
    stops: list[Stop] = field(default_factory=list)

    def read(self) -> tuple[tuple[Feature, ...], tuple[Stop, ...]]:
        """Find what is cut, stage by stage, and the stops between the stages."""
        tables = self.table.tables("feature", FEATURE)
        if self.table.raw("feature") == []:
            self.table.error("feature", "there is nothing to cut", "add a [[setup.feature]]")
        for entry in tables:
            kind = kind_of(entry)
            if kind is None:
                continue
            table = entry.as_kind(kind_tables()[kind])
            name = self._name(table, kind)
            if not kinds()[kind].cuts:
                self._stop(table, name, first=entry is tables[0], last=entry is tables[-1])
            else:
                self._feature(table, name)
        # copies of a whole set-up are cut in the stage of what they are copies of
        whole = sorted(self._copied(), key=lambda f: f.stage)
        edges = BrokenEdges(self.table, self.workshop, self.raw, self.before.names, len(self.stops))
        return tuple(edges.added_to(whole)), tuple(self.stops)

    def _stop(self, table: Table, name: str, *, first: bool, last: bool) -> None:
        """A stop, with the holding from there on; where none is given it stays as it is."""
        if first:
            table.error(
                "",
                "a stop must follow another feature",
                "give the first work-holding in [setup.hold]",
            )
        if last:
            table.error(
                "",
                "a stop must be followed by another feature",
                "delete it; a program ends by itself",
            )
        hold = self.metal.hold
        if table.has("hold"):
            bolted = partial(self.before.work.bolts, mine=self.frame, own=tuple(self.found))
            hold = read_hold(table, self.raw, bolted)
        place, text = table.source.place(table.path), table.text("text") or ""
        self.stops.append(Stop(name=name, place=place, text=text, hold=hold))
        self.metal = replace(self.metal, hold=hold)

    def _feature(self, table: Table, name: str) -> None:
        """A feature and its copies; none of them where something is at fault."""
        around = Surroundings(self.workshop, self.outlines, self.metal)
        if table.has("after"):
            self.before.after[name] = table.source.place(table.below("after"))
        feature = read_feature(table, name, around)
        copies = read_copies(table, "copies", job_keys.COPY)
        if feature is None or too_many(table, "copies", [feature], len(copies) + 1):
            return
        feature = replace(feature, stage=len(self.stops))
        siblings = self._placed(table, with_copies(feature, copies))
        if siblings is None:
            return
        self.found += self._checked(table, siblings)
        if feature.clears_top(self.raw):
            self.metal = self.metal.after_face(feature.name, feature.depth.floor)

    def _placed(self, table: Table, siblings: list[Feature]) -> list[Feature] | None:
        """Find where an earlier set-up's coordinates put them, and as deep as its cuts do."""
        work = self.before.work
        if table.has("from_setup"):
            shift = work.shift(table, "from_setup", self.frame)
            if shift is None:
                return None
            siblings = [f.moved(shift) for f in siblings]
        if table.has("until") and kinds()[siblings[0].kind].until:
            into = partial(
                broken_into,
                earlier=work,
                frame=self.frame,
                workshop=self.workshop,
                bottom=self.metal.bottom,
                breakthrough=self.metal.breakthrough,
            )
            deep = [into(table, f) for f in siblings]
            siblings = [f for f in deep if f is not None]
            return siblings if len(siblings) == len(deep) else None
        return siblings

    def _checked(
        self,
        table: Table,
        siblings: list[Feature],
    ) -> list[Feature]:
        """A feature and its copies, held against rack and metal."""
        feature = siblings[0]
        if table.has("copies") and feature.whole_top:
            table.error("copies", "the whole top is faced twice", "give this face an outline")
        check_cutters(table, feature, self.metal, tuple(self.found))
        feature.check_depths(table, self.metal.bottom)
        if not self.stand_in:
            for copy in siblings:
                copy.check_in_metal(table, self.raw, "")
        return siblings

    def _copied(self) -> tuple[Feature, ...]:
        """The features and the copies of all of them, each of its own name."""
        shifts = setup_copies(self.table)
        key = "copy" if shifts else "feature"
        if too_many(self.table, key, self.found, len(shifts) + 1):
            return ()
        whole = all_copied(self.found, shifts)
        if not self.stand_in:
            for copy in whole[len(self.found) :]:
                copy.check_in_metal(self.table, self.raw, "copy")
        for feature in whole:
            self._note_copy(feature)
        return tuple(whole)

    def _note_copy(self, feature: Feature) -> None:
        """Refuse a copy's name that another feature was given."""
        known = self.before.names.setdefault(feature.name, feature.place.line)
        if known != feature.place.line:
            self.table.source.faults.error(
                feature.place.at(f"{feature.place.key}.copies"),
                f"the copy {quoted(feature.name)} has the same name as line {known}",
                "rename that feature",
            )

    def _name(self, table: Table, kind: str) -> str:
        """The feature's name, unique in the job; by default its kind and a running number."""
        self.before.kinds[kind] += 1
        names, line = self.before.names, table.source.place(table.path).line
        name = table.text("name")
        if name is not None and name in names:
            text = f"{quoted(name)} is already used on line {names[name]}"
            table.error("name", text, "rename one of them")
            name = None  # one fault is enough: it goes on under a name of its own
        if name is None:
            number = self.before.kinds[kind]
            while f"{kind} {number}" in names:
                number += 1
            name = f"{kind} {number}"
        names.setdefault(name, line)
        return name
