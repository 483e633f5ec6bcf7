"""How a feature is to be cut: its cutters, passes, speeds and direction."""

from __future__ import annotations

from typing import Protocol, cast

from gcodekit.expr import nearest
from gcodekit.job.document.wording import one, shown
from gcodekit.job.feature import Cutting, Direction, RoughWay
from gcodekit.job.keys import feature_keys
from gcodekit.job.keys.former_words import FORMER_VALUES
from gcodekit.job.keys.reading import Table
from gcodekit.job.workshop.machine import Workshop
from gcodekit.trade.cutter import Cutter

# What a feature may say of its own rates.
FIGURES = ("speed", "feed", "plunge_feed", "stepdown", "stepover")
# Lost motion up to which a screw lets the cutter climb: more, and the cutter pulls the table.
CLIMB_BACKLASH = 0.02
# All ways of roughing.
EVERY_WAY: tuple[RoughWay, ...] = ("constant engagement", "contour parallel", "zigzag")


class CuttingRules(Protocol):
    """What a kind of feature says of its cutting."""

    @property
    def ways(self) -> tuple[RoughWay, ...]:
        """How it may be roughed."""

    @property
    def meaningless(self) -> tuple[str, ...]:
        """Keys of every feature that mean nothing to it."""

    @property
    def barred(self) -> tuple[str, ...]:
        """Those, and what is refused in it for its depth."""


def usual_direction(workshop: Workshop) -> Direction:
    """Climb where the machine is known to have little lost motion."""
    backlash = workshop.machine.backlash
    return "climb" if backlash and max(backlash) <= CLIMB_BACKLASH + 1e-9 else "conventional"


def read_cutting(table: Table, workshop: Workshop, name: str, kind: CuttingRules) -> Cutting:
    """Everything a feature of a kind says of its cutting."""
    for key in kind.barred:
        if table.has(key):
            hint = "remove it" if key in kind.meaningless else "give a depth"
            table.error(key, f"does not apply to {one(name)}", hint)
    allowance = table.table("allowance", feature_keys.ALLOWANCE)
    (rough, way), finish = _rough(table, name, kind.ways), table.flag("finish")
    if not rough and not finish:
        table.error(
            "finish",
            "roughing and finishing are both off",
            "turn one of them on, or delete the feature",
        )
    cut = cast("Direction | None", table.choice("cut"))
    cutting = Cutting(
        cutter=_cutter(table, "cutter", workshop),
        rough_with=_cutter(table, "rough_with", workshop),
        rough=rough,
        way=way,
        finish=finish,
        wall_allowance=allowance.length("wall") if allowance is not None else None,
        floor_allowance=allowance.length("floor") if allowance is not None else None,
        spring_passes=table.count("spring_passes") or 0,
        direction=cut or usual_direction(workshop),
        speed=_speed(table, workshop),
        feed=_feed(table, "feed", workshop),
        plunge_feed=_feed(table, "plunge_feed", workshop),
        stepdown=table.length("stepdown"),
        stepover=table.length("stepover"),
        places={key: table.source.place(table.below(key)) for key in table.given(*FIGURES, "peck")},
    )
    _check_stepover(table, cutting)
    return cutting


def _rough(table: Table, name: str, ways: tuple[RoughWay, ...]) -> tuple[bool, RoughWay | None]:
    """Tell whether it is roughed, and how where the job says so."""
    value = table.raw("rough")
    if value is None or isinstance(value, bool):
        return value is not False, None
    *others, last = ("true", "false", *(f'"{way}"' for way in ways))
    hint = f"use {', '.join(others)} or {last}"
    if isinstance(value, str) and (new := FORMER_VALUES.get(value)) in ways:
        table.error("rough", f'"{value}" is now called "{new}"', f'write "{new}"')
    elif value not in EVERY_WAY:
        table.error("rough", f"{shown(value)} is not a method of roughing", hint)
    elif value not in ways:
        table.error("rough", f'{one(name)} cannot be roughed with "{value}"', hint)
    else:
        return True, cast("RoughWay", value)
    return True, None


def _cutter(table: Table, key: str, workshop: Workshop) -> Cutter | None:
    """The cutter that a number or a name stands for."""
    value = table.raw(key)
    if value is None:
        return None
    by_name = {c.name: c for c in workshop.cutters}
    by_number = {c.number: c for c in workshop.cutters}
    if isinstance(value, str) and value in by_name:
        return by_name[value]
    if isinstance(value, int) and not isinstance(value, bool) and value in by_number:
        return by_number[value]
    if isinstance(value, bool) or not isinstance(value, int | str):
        table.error(key, f"{shown(value)} is not a cutter", "give the number or name of a cutter")
        return None
    what = shown(value) if isinstance(value, str) else f"cutter {shown(value)}"
    table.error(key, f"{what} is not in {workshop.file}", _rack_hint(value, by_name, by_number))
    return None


def _rack_hint(value: int | str, by_name: dict[str, Cutter], by_number: dict[int, Cutter]) -> str:
    close = nearest(value, by_name) if isinstance(value, str) else None
    if close:
        return f'did you mean "{close}", number {by_name[close].number}?'
    return f"choose from {_runs(sorted(by_number))}"


def _runs(numbers: list[int]) -> str:
    """1, 2, 3, 7 as "1 to 3, 7"."""
    runs: list[list[int]] = []
    for n in numbers:
        if runs and n == runs[-1][1] + 1:
            runs[-1][1] = n
        else:
            runs.append([n, n])
    return ", ".join(f"{a} to {b}" if b > a else f"{a}" for a, b in runs) or "none"


def _speed(table: Table, workshop: Workshop) -> float | None:
    speed, spindle = table.speed("speed"), workshop.machine.spindle
    if speed is not None and not spindle.slowest <= speed <= spindle.fastest:
        table.error(
            "speed",
            f"{speed:g} rev/min is not in the spindle's range",
            f"{spindle.slowest:g} to {spindle.fastest:g}",
        )
    return speed


def _feed(table: Table, key: str, workshop: Workshop) -> float | None:
    feed, most = table.feed(key), workshop.machine.feed_max
    if feed is not None and feed > most:
        say = table.source.say
        table.error(
            key,
            f"{say(feed)}/min is faster than the machine can feed",
            f"use at most {say(most)}/min",
        )
    return feed


def _check_stepover(table: Table, cutting: Cutting) -> None:
    cutters = [c for c in (cutting.rough_with, cutting.cutter) if c is not None]
    if cutting.stepover is None or not cutters:
        return
    widest = max(c.diameter for c in cutters)
    if cutting.stepover > widest:
        say = table.source.say
        table.error(
            "stepover",
            f"{say(cutting.stepover)} is wider than the cutter",
            f"use at most {say(widest)}",
        )
