"""Screw threads by name: what a tap and its drill measure."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from gcodekit.trade.cutter import Cutter

MM_PER_INCH = 25.4
# A tap of this diameter, mm, and pitch is for the thread: taps are written down by their nominal
# size, in mm or in decimals of an inch. No two threads of one size are within 1 % in pitch.
SAME_MAJOR = 0.06
SAME_PITCH = 0.004


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """One thread of the table, mm.

    `minor` is the internal thread's minor diameter, `tap_drill` the usual tapping drill, `depth`
    what one pitch takes off the diameter down to the minor one.
    """

    name: str
    series: str
    major: float
    pitch: float
    minor: float
    tap_drill: float
    depth: float

    def engagement(self, drill: float) -> float:
        """Percent of the basic height that a hole of this diameter leaves.

        Examples
        --------
        >>> thread = find_thread("M4")
        >>> thread and round(thread.engagement(3.3), 1)
        92.4
        """
        return 100 * (self.major - drill) / (self.depth * self.pitch)

    def drill_for(self, engagement: float) -> float:
        """Diameter of the hole that leaves this percentage of the basic height, mm."""
        return self.major - engagement / 100 * self.depth * self.pitch


@cache
def threads() -> tuple[Thread, ...]:
    """Every thread of the table."""
    text = files("gcodekit.trade").joinpath("data/threads.toml").read_text(encoding="utf-8")
    return tuple(
        _thread(series, row)
        for series in tomllib.loads(text)["series"]
        for row in series["threads"]
    )


def _thread(series: dict[str, Any], row: list[Any]) -> Thread:
    name, major, pitch, minor, drill = row
    if series["unit"] == "inch":
        major, pitch = major * MM_PER_INCH, MM_PER_INCH / pitch
    return Thread(
        name=name,
        series=series["name"],
        major=float(major),
        pitch=float(pitch),
        minor=float(minor),
        tap_drill=float(drill),
        depth=series["depth"],
    )


def thread_names() -> tuple[str, ...]:
    """The names of the table."""
    return tuple(thread.name for thread in threads())


def find_thread(name: str) -> Thread | None:
    """The thread of this name. Capitals, spaces and `#` do not count; a coarse metric thread may
    name its pitch, a unified one leave out its series or its threads per inch.

    Examples
    --------
    >>> [t.name for n in ("m4 x 0.7", "2 ba", "1/4-20", "1/4 UNC") if (t := find_thread(n))]
    ['M4', '2BA', '1/4-20 UNC', '1/4-20 UNC']
    """
    return _by_word().get(_plain(name))


@cache
def _by_word() -> dict[str, Thread]:
    known: dict[str, Thread] = {}
    for thread in threads():
        for word in _words(thread):
            known.setdefault(_plain(word), thread)
    return known


def _words(thread: Thread) -> tuple[str, ...]:
    name = thread.name
    if thread.series == "metric coarse":
        return name, f"{name}x{thread.pitch:g}"
    if thread.series == "UN":
        size, _, rest = name.partition("-")
        tpi, _, kind = rest.partition(" ")
        return name, f"{size}-{tpi}", f"{size} {kind}"
    if thread.series == "ME":
        size, _, tpi = name.partition(" x ")
        return name, f"{size} x {tpi} ME", f"{size}-{tpi} ME"
    return (name,)


def cuts_thread(cutter: Cutter, thread: Thread) -> bool:
    """Whether a cutter is a tap for this thread."""
    return (
        cutter.kind == "tap"
        and cutter.pitch is not None
        and abs(cutter.diameter - thread.major) <= SAME_MAJOR
        and abs(cutter.pitch - thread.pitch) <= SAME_PITCH * thread.pitch
    )


def _plain(word: str) -> str:
    return "".join(c for c in word.lower().replace("×", "x").replace("*", "x") if c not in " #_")
