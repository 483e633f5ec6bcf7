"""The diameter of round holes: as given, by a thread, or by a bush that is pressed in: its outside
and how tight it is to be give the limits."""

from __future__ import annotations

from dataclasses import replace

from gcodekit.job.band import Band, Bush
from gcodekit.job.document.wording import quoted
from gcodekit.job.features.sizes import NARROWEST_BAND, of_class, of_limits, read_band
from gcodekit.job.keys.keys import Key, KeyTable
from gcodekit.job.keys.reading import Table
from gcodekit.trade.size_limits import Deviations
from gcodekit.trade.threads import Thread, find_thread

# The bore of a bush whose own class or limits are given. Common practice, no source.
USUAL_BORE = "H7"
# An interference of this little less than none is none, mm: the classes p6 and H7 may just meet.
_NONE = 1e-6
# More interference than this share of the diameter was never meant: the usual is about a
# thousandth. Common practice, no source.
MOST_TIGHT = 0.02

BUSH = KeyTable(
    "bush",
    (
        Key(
            name="diameter",
            kind="length",
            over=0,
            required=True,
            meaning="outside diameter, nominal or as measured",
        ),
        Key(name="fit", kind="text", meaning="tolerance class of the outside, such as r6"),
        Key(
            name="limits",
            kind="lengths",
            figures=2,
            meaning="deviations of the outside from the diameter, signed: [lower, upper]",
        ),
        Key(
            name="interference",
            kind="lengths",
            figures=2,
            meaning="interference in the bore: [least, greatest]",
        ),
    ),
    "[[setup.feature]]",
)
BUSH_KEY = Key(name="bush", kind="table", meaning="bush to be pressed in, instead of diameter")


def read_bush(table: Table) -> Band | None:
    """The bore's limits; None where something is at fault, which is noted."""
    for key in table.given("diameter", "thread"):
        table.error(key, "the bush already gives the diameter of the bore", f"remove {key} or bush")
    bush = table.table("bush", BUSH)
    size = bush.length("diameter") if bush else None
    if bush is None or size is None or table.given("diameter", "thread"):
        return None
    outside = _outside(bush, size)
    if outside is None:
        return None
    if bush.has("interference"):
        band = _by_interference(table, bush, size, outside)
    else:
        band = _by_class(table, bush, size)
    if band is None:
        return None
    made = Bush(least=size + outside.lower, most=size + outside.upper)
    return _checked(table, bush, replace(band, bush=made))


def _outside(bush: Table, size: float) -> Deviations | None:
    """Find how far the bush is off its diameter; not at all where that is measured."""
    if bush.has("fit") and bush.has("limits"):
        bush.error("limits", "fit and limits are both given", "remove one of them")
        return None
    if not bush.has("fit") and not bush.has("limits"):
        return Deviations(0.0, 0.0)
    text = bush.text("fit") if bush.has("fit") else None
    if bush.has("limits"):
        band = of_limits(bush, (size,))
    else:
        band = of_class(bush, text, (size,), hole=False) if text else None
    return Deviations(band.lower, band.upper) if band else None


def _by_interference(table: Table, bush: Table, size: float, outside: Deviations) -> Band | None:
    """The largest bush must go into the smallest bore, and the smallest hold in the largest."""
    found, say = bush.lengths("interference", 2), table.source.say
    for key in table.given("fit", "limits"):
        table.error(key, "the interference of the bush already gives the limits", f"remove {key}")
    if found is None or table.given("fit", "limits"):
        return None
    least, most = found
    lower, upper = outside.upper - most, outside.lower - least
    if least < 0 or most <= least:
        bush.error(
            "interference",
            f"{say(least)} to {say(most)} is not an interference",
            "give the least first, then the greatest, such as [0.01, 0.03]",
        )
    elif most > MOST_TIGHT * size:
        bush.error(
            "interference",
            f"{say(most)} is too much interference for {say(size)}",
            f"give at most {say(MOST_TIGHT * size)}; a thousandth of the diameter is usual",
        )
    elif upper - lower < NARROWEST_BAND:
        wide = outside.upper - outside.lower
        bush.error(
            "interference",
            f"{say(least)} to {say(most)} is too narrow: the bush itself varies by {say(wide)}",
            f"give a greatest of {say(least + wide + NARROWEST_BAND)} or more",
        )
    else:
        return Band(lower=lower, upper=upper, sizes=(size,))
    return None


def _by_class(table: Table, bush: Table, size: float) -> Band | None:
    """Find what the feature itself says, else the usual bore."""
    if not bush.given("fit", "limits"):
        if bush.misspelt("fit", "limits", "interference"):
            return None
        bush.error(
            "",
            "its interference is not given",
            "give interference = [least, greatest] for a bush as measured, or the bush's own fit "
            "or limits",
        )
        return None
    if table.has("limits") and table.has("fit"):
        table.error("limits", "fit and limits are both given", "remove one of them")
        return None
    if table.has("limits"):
        return of_limits(table, (size,))
    text = table.text("fit") if table.has("fit") else USUAL_BORE
    return of_class(table, text, (size,), hole=True) if text else None


def _checked(table: Table, bush: Table, band: Band) -> Band | None:
    """Refuse a bush that would not hold."""
    least, most = band.tight or (0.0, 0.0)
    if least >= -_NONE:
        return band
    say = table.source.say
    how = (
        f"{say(-least)} loose to {say(most)} tight"
        if most > 0
        else (f"{say(max(-most, 0.0))} to {say(-least)} loose")
    )
    bush.error(
        "fit" if bush.has("fit") else "limits",
        f"not a press fit: {how} in a bore of {say(band.least)} to {say(band.most)}",
        "use a bush of r6 or s6 in H7, or give interference = [least, greatest]",
    )
    return None


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
    raw = table.raw("diameter")
    meant = find_thread(raw) if isinstance(raw, str) and raw.strip()[:1].isalpha() else None
    if meant is not None and raw not in table.source.names:
        table.error(
            "diameter",
            f"{quoted(raw)} is a thread, {table.source.say(meant.major)} in diameter",
            f'write thread = "{meant.name}" for a tapped hole, or the diameter of a plain one',
        )
        return None
    diameter = table.length("diameter")
    if thread is None:
        known = table.given("diameter", "thread") or table.misspelt("diameter", "thread", "bush")
        if not known and not table.refused:
            table.error("diameter", "is missing", "add it: finished diameter")
        return diameter
    if diameter is None or abs(diameter - thread.major) <= _NAMES_THREAD:
        return None if diameter is None and table.has("diameter") else thread.tap_drill
    if not thread.minor - _UNDER_MINOR <= diameter < thread.major:
        say = table.source.say
        table.error(
            "diameter",
            f"{say(diameter)} is not a tapping drill for {thread.name}",
            f"remove it for the standard {say(thread.tap_drill)}, or give "
            f"{say(thread.minor)} or more, less than {say(thread.major)}",
        )
        return None
    return diameter
