"""The diameter of round holes, how true it has to be, and what is pressed in."""

from __future__ import annotations

from gcodekit.job.band import Band
from gcodekit.job.features.bushes import read_bush
from gcodekit.job.features.sizes import read_band
from gcodekit.job.keys.reading import Table
from gcodekit.trade.threads import Thread

# A diameter this near a thread's own, mm, names the thread, not its drill.
_NAMES_THREAD = 0.01
# A tapping drill may be this much under the minor diameter, mm: what a tap still takes out.
_UNDER_MINOR = 0.1


def read_diameter(table: Table, thread: Thread | None = None) -> tuple[float | None, Band | None]:
    """The diameter to aim at, and the limits that it has."""
    if table.has("bush"):
        band = read_bush(table)
        return (band.middle, band) if band else (None, None)
    diameter = _diameter(table, thread)
    band = read_band(table, diameter) if thread is None else None
    return (band.middle if band else diameter), band


def _diameter(table: Table, thread: Thread | None) -> float | None:
    """The finished diameter; a threaded hole has its tapping drill's unless it says another."""
    diameter = table.length("diameter")
    if thread is None:
        known = table.given("diameter", "thread") or table.misspelt("diameter", "thread", "bush")
        if not known and not table.refused:
            table.error("diameter", "is missing", "it gives the finished diameter")
        return diameter
    if diameter is None or abs(diameter - thread.major) <= _NAMES_THREAD:
        return None if diameter is None and table.has("diameter") else thread.tap_drill
    if not thread.minor - _UNDER_MINOR <= diameter < thread.major:
        say = table.source.say
        table.error(
            "diameter",
            f"{say(diameter)} is no tapping drill for {thread.name}",
            f"leave it out for the usual {say(thread.tap_drill)}, or give one from "
            f"{say(thread.minor)} to under {say(thread.major)}",
        )
        return None
    return diameter
