"""`gcodekit fits SIZE FIT`: limits of size, and what they leave between hole and shaft."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from gcodekit.cli import say
from gcodekit.cli.options import Json, in_inches, length, refused
from gcodekit.units import MM_PER_INCH

if TYPE_CHECKING:
    from gcodekit.trade.fits import Fit, FitPart

_NONE = 1e-6  # mm: less is size to size
DECIMALS = 6  # of a result in mm: what is left of adding up is not part of the answer


def fits(
    size: Annotated[str, typer.Argument(metavar="SIZE", help='The nominal size, mm, or "3/8 in".')],
    fit: Annotated[
        str,
        typer.Argument(metavar="FIT", help="Hole and shaft, H7/p6; or one of them alone, H7."),
    ],
    as_json: Json = False,
) -> None:
    """Say the limits of a hole and its shaft, the clearance between them, and what it is for."""
    from gcodekit.trade.fits import Fit
    from gcodekit.trade.fits import fit as fitted
    from gcodekit.trade.size_limits import UnknownFitError

    nominal = length(size, of="SIZE")
    try:
        found = fitted(nominal, fit)
    except UnknownFitError as error:
        raise refused(f"{size} {fit}", f"{error}, {error.hint}") from error
    parts = [found.hole, found.shaft] if isinstance(found, Fit) else [found]
    if as_json:
        say.document(_document(nominal, parts, found))
        return
    _print_limits(parts, inches=in_inches(size))
    if isinstance(found, Fit):
        say.result("")
        say.result(f"{found.sort} fit: {_meaning(found)}")
        if use := _use(found):
            say.result(use)


def _document(nominal: float, parts: list[FitPart], found: Fit | FitPart) -> dict[str, Any]:
    from gcodekit.trade.fits import Fit

    document: dict[str, Any] = {"size": _tidy(nominal)}
    for part in parts:
        off = part.deviations
        document[_role(part)] = {"lower": _tidy(off.lower), "upper": _tidy(off.upper)}
    if isinstance(found, Fit):
        document["clearance"] = {"least": _tidy(found.least), "greatest": _tidy(found.greatest)}
    return document


def _print_limits(parts: list[FitPart], *, inches: bool) -> None:
    heads = ["mm", "", "lower", "upper", "least", "greatest"] + [
        "least, in",
        "greatest, in",
    ] * inches
    rows = []
    for part in parts:
        off, limits = part.deviations, (part.least, part.greatest)
        row = [_role(part), part.name, f"{off.lower:+.4f}", f"{off.upper:+.4f}"]
        row += [f"{limit:.4f}" for limit in limits]
        row += [f"{limit / MM_PER_INCH:.5f}" for limit in limits if inches]
        rows.append(row)
    say.table(heads, rows)


def _meaning(found: Fit) -> str:
    loose, tight = f"{abs(found.greatest):.4f}", f"{abs(found.least):.4f}"
    if found.sort == "clearance":
        return f"the shaft always goes in, with {tight} to {loose} mm to spare"
    if found.sort == "transition":
        return f"from {tight} mm tight to {loose} mm loose, as the two parts happen to come out"
    by = f"by {loose} to {tight} mm" if found.greatest < -_NONE else f"by {tight} mm or less"
    return f"the shaft is always the bigger, {by}: press it, or warm the hole"


def _use(found: Fit) -> str:
    from gcodekit.trade.fits import use_of

    known = use_of(found)
    if known is None:
        return ""
    use, exact = known
    return use.purpose if exact else f"not a usual pair; {use.pair} is: {use.purpose}"


def _role(part: FitPart) -> str:
    from gcodekit.trade.size_limits import is_hole

    return "hole" if is_hole(part.name) else "shaft"


def _tidy(value: float) -> float:
    return round(value, DECIMALS) + 0.0
