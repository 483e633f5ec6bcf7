"""Screw threads by name: what a tap and its drill measure."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from gcodekit.expr import nearest
from gcodekit.trade.cutter import Cutter
from gcodekit.units import MM_PER_INCH

# A tap of this diameter, mm, and pitch is for the thread: taps are written down by their nominal
# size, in mm or in decimals of an inch. No two threads of one size are within 1 % in pitch.
SAME_MAJOR = 0.06
SAME_PITCH = 0.004
_IN_WORDS = {"UN": "unified", "BA": "British Association", "ME": "Model Engineer"}
_METRIC = re.compile(r"m(\d+(?:\.\d+)?)(x.*)?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """One thread of the table, mm.

    `minor` is the internal thread's minor diameter, `tap_drill` the usual tapping drill, `depth`
    what one pitch takes off the diameter down to the minor one; `effective` is where thread and
    gap are equally wide, `core` the diameter at the bottom of the screw's thread. `unit` is what
    the series is measured in.
    """

    name: str
    series: str
    major: float
    pitch: float
    minor: float
    tap_drill: float
    depth: float
    effective: float
    core: float
    unit: Literal["mm", "inch"]

    @property
    def series_in_words(self) -> str:
        """The series as a sentence names it."""
        return _IN_WORDS.get(self.series, self.series)

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
        effective=major - series["effective"] * pitch,
        core=major - series["core"] * pitch,
        unit=series["unit"],
    )


def find_thread(name: str) -> Thread | None:
    """The thread of this name. Capitals, spaces and `#` do not count; a coarse metric thread may
    name its pitch, a unified one leave out its series or its threads per inch.

    Examples
    --------
    >>> [t.name for n in ("m4 x 0.7", "2 ba", "1/4-20", "1/4 UNC") if (t := find_thread(n))]
    ['M4', '2BA', '1/4-20 UNC', '1/4-20 UNC']
    """
    return _by_word().get(_plain(name))


def near_threads(name: str) -> str:
    """Return the nearest threads to an unknown name, as a hint.

    Examples
    --------
    >>> near_threads("M9"), near_threads("M4x0.6"), near_threads("1/4 UND")
    ('the nearest are M8 and M10', 'the nearest are M4 and M4x0.5', 'did you mean 1/4-28 UNF?')
    """
    metric = _METRIC.fullmatch(_plain(name))
    if metric:
        *others, last = _near_metric(float(metric[1]), fine=metric[2] is not None)
        return (
            f"the nearest are {', '.join(others)} and {last}"
            if others
            else f"the nearest is {last}"
        )
    close = nearest(_plain(name), _by_word())
    if close:
        return f"did you mean {_by_word()[close].name}?"
    return "it has M1.6 to M20, 0BA to 10BA, #2 to 1/2 UNC and UNF, 1/8 to 1/2 x 40 and x 32"


def _near_metric(size: float, *, fine: bool) -> list[str]:
    """The metric threads next below and above a size, mm, the fine ones only where asked for."""
    metric = [t for t in threads() if t.name.startswith("M")]
    majors = {t.major for t in metric}
    ends = {
        max((m for m in majors if m <= size), default=min(majors)),
        min((m for m in majors if m >= size), default=max(majors)),
    }
    return [t.name for t in metric if t.major in ends and (fine or t.series == "metric coarse")]


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
    """Tell whether a cutter is a tap for this thread."""
    return (
        cutter.kind == "tap"
        and cutter.pitch is not None
        and abs(cutter.diameter - thread.major) <= SAME_MAJOR
        and abs(cutter.pitch - thread.pitch) <= SAME_PITCH * thread.pitch
    )


def _plain(word: str) -> str:
    return "".join(c for c in word.lower().replace("×", "x").replace("*", "x") if c not in " #_")
