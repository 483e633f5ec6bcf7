"""How true a size must be: `fit` and `limits`."""

from __future__ import annotations

from gcodekit.job.hole_shapes import Band
from gcodekit.job.reading import Table
from gcodekit.trade.fits import HOLES, UnknownFitError, deviations, plain_class

# A band narrower than this, mm, cannot be told from its middle: what the proof may be off by
# counts on both sides of the diameter.
NARROWEST = 0.004


def read_band(table: Table, diameter: float | None) -> Band | None:
    """The limits of a hole's or bore's diameter; None where they are not given or at fault."""
    if table.has("fit") and table.has("limits"):
        table.error("limits", "fit and limits are both given", "one of them says how true it is")
        return None
    if table.has("fit"):
        return _of_class(table, diameter)
    return _of_limits(table, diameter) if table.has("limits") else None


def _of_class(table: Table, diameter: float | None) -> Band | None:
    text = table.text("fit")
    if text is None or diameter is None:
        return None
    name = plain_class(text)
    if "/" in text:
        table.error("fit", f'"{text}" is a fit of hole and shaft', 'give the hole\'s class, "H7"')
        return None
    if name.rstrip("0123456789") not in HOLES and name[:1].islower():
        table.error(
            "fit", f'"{text}" is a shaft\'s class', f'a hole has capitals: "{name.upper()}"'
        )
        return None
    try:
        off = deviations(diameter, name)
    except UnknownFitError as error:
        table.error("fit", str(error), error.hint)
        return None
    least, most = diameter + off.lower, diameter + off.upper
    return Band(nominal=diameter, least=least, most=most, fit=name)


def _of_limits(table: Table, diameter: float | None) -> Band | None:
    found, say = table.lengths("limits", 2), table.source.say
    if found is None or diameter is None:
        return None
    low, high = found
    if low >= high:
        table.error(
            "limits",
            f"{say(low)} is not below {say(high)}",
            "the lower one first, both signed: [0, 0.02], [-0.01, 0.01]",
        )
    elif high - low < NARROWEST:
        table.error(
            "limits",
            f"{say(high - low)} apart is finer than a program can be proved",
            f"at least {say(NARROWEST)}",
        )
    elif diameter + low <= 0:
        table.error("limits", f"{say(low)} leaves nothing of {say(diameter)}", "a smaller one")
    else:
        return Band(nominal=diameter, least=diameter + low, most=diameter + high)
    return None
