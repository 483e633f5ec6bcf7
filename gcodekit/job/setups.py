"""The set-ups of a job: where zero is, how the work is held, and the features cut there."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, field, replace
from typing import Any, Literal, cast

from gcodekit.errors import Place
from gcodekit.job import feature_keys, job_keys
from gcodekit.job.breaking_in import broken_into
from gcodekit.job.copies import all_copied, copied, read_copies, setup_copies, too_many, with_copies
from gcodekit.job.cutter_checks import check_cutters, check_drill_depth
from gcodekit.job.depths import Metal
from gcodekit.job.features import Around, kind_of, read_feature
from gcodekit.job.frames import Box3, Frame, Sitting, grown, seen_from
from gcodekit.job.from_earlier import EarlierWork
from gcodekit.job.hold import read_hold
from gcodekit.job.holes import check_hole
from gcodekit.job.loose_checks import frees_part, warn_of_lost_zero
from gcodekit.job.metal_checks import check_in_metal, clears_top
from gcodekit.job.model import Face, Feature, Hole, RawStock, Setup, Stock, Workshop
from gcodekit.job.order import put_after
from gcodekit.job.outlines import Outlines
from gcodekit.job.reading import Table
from gcodekit.job.removed import Removed, Slab, limits_left
from gcodekit.job.slugs import warn_of_slugs
from gcodekit.job.taken import offcuts, taken_by
from gcodekit.job.wording import quoted
from gcodekit.job.zero import read_zero, refuse_raw_sides


@dataclass(slots=True, kw_only=True)
class _Before:
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


def read_setups(
    top: Table, stock: Stock, workshop: Workshop, outlines: Outlines, stand_in: bool
) -> tuple[Setup, ...]:
    """Every set-up. `stand_in`: the stock is none of the job's, so nothing is held against it."""
    tables = top.tables("setup", job_keys.SETUP)
    if isinstance(top.raw("setup"), list) and not tables:
        top.error("setup", "there is no set-up", "write [[setup]]")
    before = _Before(limits=grown(stock))
    found = []
    for n, table in enumerate(tables, 1):
        reader = _SetupReader(table.checked(), n, stock, workshop, outlines, before, stand_in)
        found.append(reader.read())
    return put_after(found, places=before.after, names=before.names, faults=top.source.faults)


@dataclass(frozen=True, slots=True)
class _SetupReader:
    table: Table
    number: int
    stock: Stock
    workshop: Workshop
    outlines: Outlines
    before: _Before
    stand_in: bool

    def read(self) -> Setup:
        """The set-up; where something is at fault its default stands in."""
        table = self.table
        name = self._name()
        self._take_out()
        if self.before.emptied_by:
            table.error("", f"{self.before.emptied_by} leaves no metal", "look at its depths")
        up, turn = table.choice("up"), self._quarter_turns()
        sitting = Sitting.of(self.stock, up or "top", turn)
        faults = table.source.faults
        before = len(faults.errors)
        limits = self.before.limits
        found = read_zero(table, sitting, limits, self.before.work)
        zero, over = found.at, sitting.spare(limits, found.touched)
        refuse_raw_sides(table, sitting, limits, found)
        # where zero is at fault nobody knows which features lie in the metal
        reader = self if len(faults.errors) == before else replace(self, stand_in=True)
        raw, left = sitting.raw(zero, over), sitting.metal_left(zero, limits, over)
        drawn = sitting.metal_left(zero, limits)
        hold = read_hold(table, drawn)
        breakthrough = table.length("breakthrough") or 0.0
        metal = Metal(
            top=drawn.high[2],
            bottom=drawn.low[2],
            highest=left.high[2],
            raw_top=sitting.size[2] - zero[2],
            raw_bottom=-zero[2],
            loose_bottom=sitting.raw_bottom(limits, found.touched),
            breakthrough=breakthrough,
            hold=hold,
        )
        frame = Frame(sitting.axes, sitting.in_stock(zero))
        setup = Setup(
            name=name,
            place=table.source.place(table.path),
            raw=raw,
            zero_text=found.text,
            clearance=table.length("clearance") or 5.0,
            breakthrough=breakthrough,
            work_offset=table.count("work_offset") or 1,
            hold=hold,
            features=reader._features(metal, drawn, frame),
            up=up or "top",
            turn=turn * math.pi / 2,
            order=cast("Literal['planned', 'as written']", table.choice("order") or "planned"),
            origin=frame.origin,
            gone=tuple(Removed(slabs, seen_from(other, frame)) for other, slabs in self.before.cut),
            cut_down=left if left != raw else None,
            as_drawn=drawn if drawn != left else None,
            oversize=over,
            loose=table.flag("loose"),
            **self._sides(),
        )
        if not reader.stand_in:
            warn_of_slugs(setup, table, self.workshop)
        warn_of_lost_zero(setup, table, self.workshop)
        self._remember(setup, frame)
        return setup

    def _take_out(self) -> None:
        """The part out of its frame, where this set-up says that it is loose."""
        before, table = self.before, self.table
        if not table.flag("loose"):
            if before.freed_by:
                table.error(
                    "",
                    f"{before.freed_by} has cut the part free",
                    "write loose = true, or leave it on tabs",
                )
            return
        if not before.offcuts:
            table.error("loose", "no set-up before it cuts the part out", "leave it out")
            return
        before.cut, before.offcuts, before.freed_by = [*before.cut, *before.offcuts], [], ""
        self._limit()

    def _limit(self) -> None:
        """Find the limits of what is left."""
        limits = limits_left(self.stock, self.before.cut, self.before.limits)
        if limits is None:
            self.before.emptied_by = self.table.text("name") or f"set-up {self.number}"
        else:
            self.before.limits = limits

    def _sides(self) -> dict[str, Any]:
        return {"against": self.table.text("against"), "down": self.table.text("down")}

    def _name(self) -> str:
        name = self.table.text("name") or f"set-up {self.number}"
        known = self.before.setup_names
        if name in known:
            self.table.error(
                "name", f"set-up {known[name]} is called {quoted(name)} too", "rename one"
            )
        known.setdefault(name, self.number)
        return name

    def _quarter_turns(self) -> int:
        angle = self.table.angle("turn")
        if angle is None:
            return 0
        quarters = round(angle / (math.pi / 2))
        if abs(angle - quarters * math.pi / 2) > 1e-9 or not 0 <= quarters <= 3:
            self.table.error(
                "turn", f"{math.degrees(angle):g} is no quarter turn", "0, 90, 180 or 270 is"
            )
            return 0
        return quarters

    def _features(self, metal: Metal, raw: RawStock, frame: Frame) -> tuple[Feature, ...]:
        tables = self.table.tables("feature", feature_keys.FEATURE)
        if isinstance(self.table.raw("feature"), list) and not tables:
            self.table.error("feature", "there is nothing to cut", "write [[setup.feature]]")
        found: list[Feature] = []
        for entry in tables:
            kind = kind_of(entry)
            if kind is None:
                continue
            table = entry.as_kind(feature_keys.FEATURES[kind])
            name = self._feature_name(table, kind)
            around = Around(self.workshop, self.outlines, metal)
            if table.has("after"):
                self.before.after[name] = table.source.place(table.below("after"))
            feature = read_feature(table, name, around)
            copies = read_copies(table, "copies", job_keys.COPY)
            if feature is None:
                continue
            if too_many(table, "copies", [feature], len(copies) + 1):
                continue
            earlier = tuple(found)
            siblings = with_copies(feature, copies)
            if table.has("from_setup"):
                shift = self.before.work.shift(table, "from_setup", frame)
                if shift is None:
                    continue
                siblings = [copied(f, shift, f.name) for f in siblings]
            if table.has("until"):
                deep = [
                    broken_into(table, f, self.before.work, frame, self.workshop) for f in siblings
                ]
                siblings = [f for f in deep if f is not None]
                if len(siblings) < len(deep):
                    continue
            found += self._checked(table, siblings, metal, raw, earlier)
            if isinstance(feature, Face) and clears_top(feature, raw):
                metal = metal.after_face(feature.name, feature.depth.floor)
        return self._copied(found, raw)

    def _checked(
        self,
        table: Table,
        siblings: list[Feature],
        metal: Metal,
        raw: RawStock,
        earlier: tuple[Feature, ...],
    ) -> list[Feature]:
        """A feature and its copies, held against rack and metal."""
        feature = siblings[0]
        if table.has("copies") and isinstance(feature, Face) and feature.outline is None:
            table.error("copies", "the whole top is faced once", "give the face an outline")
        check_cutters(table, feature, metal, earlier)
        if isinstance(feature, Hole):
            check_drill_depth(table, feature, metal)
            check_hole(table, feature, bottom=metal.bottom)
        if not self.stand_in:
            for copy in siblings:
                check_in_metal(table, copy, raw)
        return siblings

    def _copied(self, features: list[Feature], raw: RawStock) -> tuple[Feature, ...]:
        """The features and the copies of all of them, each of its own name."""
        shifts = setup_copies(self.table)
        key = "copy" if shifts else "feature"
        if too_many(self.table, key, features, len(shifts) + 1):
            return ()
        whole = all_copied(features, shifts)
        if not self.stand_in:
            for copy in whole[len(features) :]:
                check_in_metal(self.table, copy, raw, key="copy")
        for feature in whole:
            self._note_copy(feature)
        return tuple(whole)

    def _note_copy(self, feature: Feature) -> None:
        """Refuse a copy's name that another feature was given."""
        known = self.before.names.setdefault(feature.name, feature.place.line)
        if known != feature.place.line:
            self.table.source.faults.error(
                feature.place.at(f"{feature.place.key}.copies"),
                f"the copy {quoted(feature.name)} has the name used on line {known}",
                "rename that one",
            )

    def _feature_name(self, table: Table, kind: str) -> str:
        """The feature's name, unique in the job; by default its kind and a running number."""
        self.before.kinds[kind] += 1
        names, line = self.before.names, table.source.place(table.path).line
        name = table.text("name")
        if name is not None:
            if name in names:
                table.error(
                    "name", f"{quoted(name)} is used on line {names[name]} too", "rename one"
                )
        else:
            number = self.before.kinds[kind]
            while f"{kind} {number}" in names:
                number += 1
            name = f"{kind} {number}"
        names.setdefault(name, line)
        return name

    def _remember(self, setup: Setup, frame: Frame) -> None:
        """What this set-up leaves for those after it."""
        for feature in setup.features:
            if frees_part(feature):
                self.before.freed_by = f"{feature.name} of {setup.name}"
        self.before.work.add(setup)
        self.before.cut.append((frame, taken_by(setup, self.workshop)))
        if free := offcuts(setup):
            self.before.offcuts.append((frame, free))
        self._limit()
