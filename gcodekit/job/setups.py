"""The set-ups of a job: where zero is, how the work is held, and the features cut there."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import partial
from typing import Any, Literal, cast

from gcodekit.job.begun_stock import BegunStock, taken_piece
from gcodekit.job.document.wording import quoted
from gcodekit.job.feature import Feature
from gcodekit.job.features.depths import MetalHeights
from gcodekit.job.hold_checks import frees_part, warn_of_grip, warn_of_lost_zero
from gcodekit.job.keys import job_keys
from gcodekit.job.keys.reading import Table
from gcodekit.job.model import Setup, Stop
from gcodekit.job.order import put_after
from gcodekit.job.outlines.outlines import Outlines
from gcodekit.job.raw_stock import RawStock, Stock
from gcodekit.job.setup_features import EarlierSetups, FeaturesReader, SetupDone
from gcodekit.job.stock.drawn_removal import offcuts, taken_by
from gcodekit.job.stock.frames import Frame, StockPlacement, grown
from gcodekit.job.stock.hold import read_hold
from gcodekit.job.stock.hollow_stock import lacking
from gcodekit.job.stock.limits_left import limits_left
from gcodekit.job.stock.removed_stock import removed_by
from gcodekit.job.workshop.machine import Workshop
from gcodekit.job.zero import read_zero, refuse_raw_sides


def read_setups(
    top: Table, stock: Stock, workshop: Workshop, outlines: Outlines, stand_in: bool
) -> tuple[Setup, ...]:
    """Every set-up. `stand_in`: the stock is none of the job's, so nothing is held against it."""
    tables = top.tables("setup", job_keys.SETUP)
    if top.raw("setup") == []:
        top.error("setup", "there is no set-up", "add a [[setup]]")
    before = EarlierSetups(limits=grown(stock), cut=lacking(stock))
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
    before: EarlierSetups
    stand_in: bool

    def read(self) -> Setup:
        """The set-up; where something is at fault its default stands in."""
        table = self.table
        name, begun = self._begun()
        up, turn = table.choice("up"), self._quarter_turns()
        sitting = StockPlacement.of(self.stock, up or "top", turn)
        faults = table.source.faults
        before = len(faults.errors)
        limits = begun.limits
        found = read_zero(table, sitting, limits, self.before.work)
        zero, over = found.at, sitting.spare(limits, found.touched)
        refuse_raw_sides(table, sitting, limits, found)
        # where zero is at fault nobody knows which features lie in the metal
        reader = self if len(faults.errors) == before else replace(self, stand_in=True)
        raw, left = sitting.raw(zero, over), sitting.metal_left(zero, limits, over)
        drawn = sitting.metal_left(zero, limits)
        frame = Frame(sitting.axes, sitting.in_stock(zero))
        hold = read_hold(table, drawn, partial(self.before.work.bolts, mine=frame))
        breakthrough = table.length("breakthrough") or 0.0
        metal = MetalHeights(
            top=drawn.high[2],
            bottom=drawn.low[2],
            highest=left.high[2],
            raw_top=sitting.size[2] - zero[2],
            raw_bottom=-zero[2],
            loose_bottom=sitting.raw_bottom(limits, found.touched),
            breakthrough=breakthrough,
            hold=hold,
        )
        found_features, stops = reader._features(metal, drawn, frame)
        holds = (hold, *(stop.hold for stop in stops))
        features = tuple(f.among(found_features, metal.bottom, holds) for f in found_features)
        setup = Setup(
            name=name,
            place=table.source.place(table.path),
            raw=raw,
            zero_text=found.text,
            zero_touched=found.touched,
            zero_on=found.on,
            clearance=table.length("clearance") or 5.0,
            breakthrough=breakthrough,
            work_offset=table.count("work_offset") or 1,
            hold=hold,
            features=features,
            stops=stops,
            up=up or "top",
            turn=turn * math.pi / 2,
            order=cast("Literal['planned', 'as written']", table.choice("order") or "planned"),
            origin=frame.origin,
            gone=removed_by(begun.cut, frame),
            missing=removed_by(lacking(self.stock), frame),
            cut_down=left if left != raw else None,
            as_drawn=drawn if drawn != left else None,
            oversize=over,
            loose=table.flag("loose"),
            piece=begun.piece,
            strangers=begun.strangers,
            **self._sides(),
        )
        warn_of_lost_zero(setup, table, self.workshop)
        warn_of_grip(setup, table)
        self._remember(setup, frame, begun)
        return setup

    def _begun(self) -> tuple[str, BegunStock]:
        """Find what earlier set-ups have left, found; and the name."""
        taken = taken_piece(self.table, self.stock, self.before)
        if taken is None:
            self._take_out()
            self._limit()
        name, emptied_by = self._name(), self.before.emptied_by
        if emptied_by:
            self.table.error("", f"{emptied_by} leaves no stock", "check its depths")
        return name, taken or BegunStock(cut=tuple(self.before.cut), limits=self.before.limits)

    def _take_out(self) -> None:
        """The part out of its frame, where this set-up says that it is loose."""
        before, table = self.before, self.table
        if not table.flag("loose"):
            if before.freed_by:
                table.error(
                    "",
                    f"{before.freed_by} has cut the part free",
                    "write loose = true, or hold it by tabs",
                )
            return
        if not before.offcuts:
            table.error("loose", "no earlier set-up cuts the part out", "delete loose = true")
            return
        before.cut, before.offcuts, before.freed_by = [*before.cut, *before.offcuts], [], ""

    def _limit(self) -> None:
        """Find the limits of what earlier set-ups have left."""
        if self.number == 1 or self.before.emptied_by:
            return
        limits = limits_left(self.stock, self.before.cut, self.before.limits)
        if limits is None:
            self.before.emptied_by = next(reversed(self.before.setup_names))
        else:
            self.before.limits = limits

    def _sides(self) -> dict[str, Any]:
        return {"against": self.table.text("against"), "down": self.table.text("down")}

    def _name(self) -> str:
        name = self.table.text("name") or f"set-up {self.number}"
        known = self.before.setup_names
        if name in known:
            self.table.error(
                "name",
                f"set-up {known[name]} has the same name, {quoted(name)}",
                "rename one of them",
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

    def _features(
        self, metal: MetalHeights, raw: RawStock, frame: Frame
    ) -> tuple[tuple[Feature, ...], tuple[Stop, ...]]:
        """Find what is cut, stage by stage, and the stops between the stages."""
        reader = FeaturesReader(
            self.table,
            self.before,
            self.workshop,
            self.outlines,
            raw=raw,
            frame=frame,
            stand_in=self.stand_in,
            metal=metal,
        )
        return reader.read()

    def _remember(self, setup: Setup, frame: Frame, begun: BegunStock) -> None:
        """Find what this set-up leaves for those after it."""
        taken = taken_by(setup, self.workshop)
        self.before.done[setup.name] = SetupDone(
            setup, begun.cut, begun.limits, taken, begun.pieces
        )
        for feature in setup.features:
            if frees_part(feature):
                self.before.freed_by = f"{feature.name} of {setup.name}"
        self.before.work.add(setup)
        self.before.cut.append((frame, taken))
        if free := offcuts(setup):
            self.before.offcuts.append((frame, free))
