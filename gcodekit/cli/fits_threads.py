"""`gcodekit fits SIZE FIT` and `thread NAME`: limits of size and clearance between hole and shaft;
a thread's sizes and its tapping drill."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from gcodekit.cli import console
from gcodekit.cli.options import Json, in_inches, length, number, refused
from gcodekit.units import MM_PER_INCH

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gcodekit.trade.cutter import Cutter
    from gcodekit.trade.fits import Fit, FitPart
    from gcodekit.trade.threads import Thread

_NONE = 1e-6  # mm: less is size to size
RESULT_DECIMALS = 6  # of a result in mm: what is left of adding up is not part of the answer
# Below this percentage a thread strips before its screw breaks; above the whole of it the tap has
# to cut more than its thread, and breaks. Common practice, no source.
LEAST_THREAD, MOST_THREAD = 50.0, 100.0
DRILL_STEP = 0.1  # mm, of the drills of a common set


def fits(
    size: Annotated[str, typer.Argument(metavar="SIZE", help="Nominal size, mm, or 3/8in.")],
    fit: Annotated[
        str,
        typer.Argument(metavar="FIT", help="Hole and shaft, H7/p6, or one of them, H7."),
    ],
    as_json: Json = False,
) -> None:
    """Show limits of size and clearance of a fit."""
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
        console.document(_fit_document(nominal, parts, found))
        return
    inches = in_inches(size)
    _print_limits(parts, inches=inches)
    if isinstance(found, Fit):
        console.result("")
        console.result(f"{found.sort} fit, {_meaning(found, inches=inches)}")
        if use := _use(found):
            console.result(use)


def _fit_document(nominal: float, parts: list[FitPart], found: Fit | FitPart) -> dict[str, Any]:
    from gcodekit.trade.fits import Fit

    document: dict[str, Any] = {"size": _tidy(nominal)}
    for part in parts:
        off = part.deviations
        document[_role(part)] = {"lower": _tidy(off.lower), "upper": _tidy(off.upper)}
    if isinstance(found, Fit):
        document["clearance"] = {"least": _tidy(found.least), "greatest": _tidy(found.greatest)}
    return document


def _print_limits(parts: list[FitPart], *, inches: bool) -> None:
    heads = ["", "", "lower", "upper", "min", "max", *["min", "max"] * inches]
    units = ["", "", *["mm"] * 4, *["in"] * 2 * inches]
    rows = []
    for part in parts:
        off, limits = part.deviations, (part.least, part.greatest)
        row = [_role(part), part.name, *(f"{d:+.4f}" for d in (off.lower, off.upper))]
        row += [f"{limit:.4f}" for limit in limits]
        row += [f"{limit / MM_PER_INCH:.5f}" for limit in limits if inches]
        rows.append(row)
    console.table(heads, rows, units=units)


def _meaning(found: Fit, *, inches: bool) -> str:
    """The clearance or interference of a fit in words, in the units that its size was typed in."""

    def say(mm: float) -> str:
        return f"{abs(mm) / MM_PER_INCH:.5f}" if inches else f"{abs(mm):.4f}"

    least, greatest, unit = say(found.least), say(found.greatest), "in" if inches else "mm"
    if found.sort == "clearance":
        return f"{least} to {greatest} {unit}"
    if found.sort == "transition":
        return f"up to {least} {unit} interference or {greatest} {unit} clearance"
    some = f"{greatest} to {least} {unit}" if found.greatest < -_NONE else f"up to {least} {unit}"
    return f"{some}: press the shaft in, or warm the part with the hole"


def _use(found: Fit) -> str:
    from gcodekit.trade.fits import use_of

    known = use_of(found)
    if known is None:
        return ""
    use, exact = known
    return (
        use.purpose
        if exact
        else f"not a usual fit; the nearest usual one is {use.pair}: {use.purpose}"
    )


def _role(part: FitPart) -> str:
    from gcodekit.trade.size_limits import is_hole

    return "hole" if is_hole(part.name) else "shaft"


def _tidy(value: float) -> float:
    return round(value, RESULT_DECIMALS) + 0.0


def thread(
    name: Annotated[
        list[str],
        typer.Argument(
            metavar="NAME", help="Thread, such as M4, M8x1, 2BA, 1/4 x 40, 1/4-20 or #8 UNF."
        ),
    ],
    engagement: Annotated[
        float | None,
        typer.Option(
            "--engagement",
            metavar="PERCENT",
            parser=number(1, 100),
            help="Thread height, 1 to 100 % of the full one; default: the standard's drill.",
        ),
    ] = None,
    workshop: Annotated[
        Path | None,
        typer.Option(
            "--workshop", metavar="FILE", help="Workshop file, to show its nearest drill."
        ),
    ] = None,
    as_json: Json = False,
) -> None:
    """Show a thread's sizes and tapping drill."""
    from gcodekit.trade.threads import find_thread, near_threads

    typed = " ".join(name)
    found = find_thread(typed)
    if found is None:
        raise refused(typed, f"no such thread, {near_threads(typed)}")
    drill = found.tap_drill if engagement is None else found.drill_for(engagement)
    near = _of_rack(workshop, found, drill)
    if as_json:
        console.document(_thread_document(found, drill, near))
        return
    console.result(f"{found.name}, {found.series_in_words}")
    console.result("")
    _print_sizes(found)
    console.result("")
    for row in _drill_rows(found, drill, asked=engagement is not None):
        console.result(row)
    if workshop is not None:
        console.result(_rack_row(found, near, workshop))


def _of_rack(workshop: Path | None, found: Thread, drill: float) -> Cutter | None:
    """The drill of the rack whose diameter is nearest; one that leaves a sound thread, if any."""
    if workshop is None:
        return None
    from gcodekit.job.workshop.workshop import load_workshop

    drills = [c for c in load_workshop(workshop).cutters if c.kind == "drill"]
    sound = [c for c in drills if LEAST_THREAD <= found.engagement(c.diameter) <= MOST_THREAD]
    return min(sound or drills, key=lambda c: abs(c.diameter - drill), default=None)


def _thread_document(found: Thread, drill: float, near: Cutter | None) -> dict[str, Any]:
    document: dict[str, Any] = {
        "name": found.name,
        "major": round(found.major, 6),
        "pitch": round(found.pitch, 6),
        "minor": found.minor,
        "tap_drill": round(drill, 4),
        "engagement": round(found.engagement(drill), 2),
    }
    if near is not None:
        document["rack_drill"] = {
            "number": near.number,
            "name": near.name,
            "diameter": near.diameter,
            "engagement": round(found.engagement(near.diameter), 2),
        }
    return document


def _print_sizes(found: Thread) -> None:
    inches = found.unit == "inch"
    sizes = (
        ("major diameter", found.major),
        ("pitch", found.pitch),
        ("pitch diameter", found.effective),
        ("minor diameter, nut", found.minor),
        ("minor diameter, screw", found.core),
    )
    heads = ("", "mm", *["in"] * inches)
    rows = ((n, f"{v:.3f}", *[f"{v / MM_PER_INCH:.4f}"] * inches) for n, v in sizes)
    console.table(heads, rows)
    if inches:
        console.result(f"{MM_PER_INCH / found.pitch:g} threads per inch")


def _drill_rows(found: Thread, drill: float, *, asked: bool) -> Iterator[str]:
    inches = f" ({drill / MM_PER_INCH:.4f} in)" if found.unit == "inch" else ""
    percent = found.engagement(drill)
    why = "as asked" if asked else "the standard's drill"
    yield f"tapping drill: {console.number(drill)} mm{inches}, {percent:.0f} % thread, {why}"
    if asked:
        whole = round(drill / DRILL_STEP) * DRILL_STEP
        percent = found.engagement(whole)
        yield f"nearest size in {DRILL_STEP:g} mm steps: {whole:.1f} mm, {percent:.0f} % thread"


def _rack_row(found: Thread, near: Cutter | None, workshop: Path) -> str:
    if near is None:
        return f"{workshop}: no drill in the rack"
    percent = found.engagement(near.diameter)
    row = f"nearest in the rack: T{near.number} {near.name}, {console.number(near.diameter)} mm, "
    if percent > MOST_THREAD:
        return f"{row}{percent:.0f} % thread: too small, the tap would break"
    if percent < LEAST_THREAD:
        return f"{row}{max(percent, 0):.0f} % thread: too large, the thread would strip"
    return f"{row}{percent:.0f} % thread"
