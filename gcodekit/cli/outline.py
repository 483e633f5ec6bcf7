"""`gcodekit outline FILE`: the outlines in a DXF or SVG."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NamedTuple

import typer

from gcodekit.cli import console
from gcodekit.cli.options import Json

if TYPE_CHECKING:
    from gcodekit.drawing.listing import Box, Listed, Listing
    from gcodekit.geometry.chain import Chain


def outline(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Drawing, .dxf or .svg.")],
    as_json: Json = False,
    as_path: Annotated[
        bool, typer.Option("--as-path", help="Print as [outlines] for a job file.")
    ] = False,
) -> None:
    """List the outlines in a DXF or SVG drawing.

    One row for each layer or id, with size, area, length and open ends.
    """
    if as_json and as_path:
        raise typer.BadParameter("use --json or --as-path, not both")
    from gcodekit.drawing import read_drawing
    from gcodekit.drawing.listing import listed
    from gcodekit.drawing.path_output import toml_of

    found = listed(read_drawing(file, str(file)))
    wrong = console.faults(found.faults)
    if as_path:
        for line in toml_of(found):
            console.result(line)
    elif as_json:
        console.document(
            {"units": found.units, "layers": [_document(e, found) for e in found.entries]}
        )
    else:
        _table(found)
    if wrong:
        raise typer.Exit(1)


def _table(found: Listing) -> None:
    if not found.entries:
        console.result("no outlines found")
        return
    rows = [row for entry in found.entries for row in _rows(entry, found)]
    words, sizes = [row.words for row in rows], zip(*(row.sizes for row in rows), strict=True)
    unit = {"inch": "in", "mm": "mm"}.get(found.units or "", "")
    placed = ("x", "y", "width", "height", "area", "length")
    heads = ("name", "lines", "segments", "open ends", *placed)
    console.result(f"units: {found.units or 'not stated'}")
    console.table(
        heads,
        (
            (*w, *s)
            for w, s in zip(words, zip(*map(console.column, sizes), strict=True), strict=True)
        ),
        units=("",) * 4 + (unit, unit, unit, unit, unit and f"{unit}2", unit),
    )


class _Row(NamedTuple):
    """Name, lines, segments and open ends; lower left corner, width, height, area and length,
    None where unknown."""

    words: tuple[str, str, str, str]
    sizes: tuple[float | None, ...]


def _rows(entry: Listed, found: Listing) -> list[_Row]:
    """The name with its whole size, then its closed and open lines."""
    from gcodekit.drawing.drawing_model import printable
    from gcodekit.drawing.listing import box_of

    mm = found.mm
    region, chains = entry.found.region, _chains(entry)
    area = region.area / mm**2 if region else None
    name, ends = printable(entry.name) or "(all)", str(2 * len(entry.found.loose))
    words = (name, "all", str(sum(len(c) for c in chains)), ends)
    rows = [_Row(words, (*_placed(entry.box, mm), area, sum(c.length for c in chains) / mm))]
    for chain in chains if len(chains) > 1 else ():
        area = abs(chain.area) / mm**2 if chain.closed else None
        words = ("", _called(chain, found), str(len(chain)), "0" if chain.closed else "2")
        rows.append(_Row(words, (*_placed(box_of([chain]), mm), area, chain.length / mm)))
    return rows


def _placed(box: Box | None, mm: float) -> tuple[float | None, ...]:
    """Lower left corner, width and height in units of `mm`."""
    if box is None:
        return (None,) * 4
    (x0, y0), (x1, y1) = box
    return x0 / mm, y0 / mm, (x1 - x0) / mm, (y1 - y0) / mm


def _called(chain: Chain, found: Listing) -> str:
    """A line in words; a circle with its centre and diameter, as a hole is dimensioned."""
    from gcodekit.drawing.listing import as_circle

    circle = as_circle(chain)
    if circle is None:
        return "closed" if chain.closed else "open"
    (x, y), diameter = circle
    centre = f"[{console.number(x / found.mm)}, {console.number(y / found.mm)}]"
    return f"circle {console.number(diameter / found.mm)} at {centre}"


def _box(box: Box | None, found: Listing) -> list[list[float]] | None:
    """Lower left and upper right corner in the drawing's units."""
    return None if box is None else [[c / found.mm for c in corner] for corner in box]


def _circle(chain: Chain, found: Listing) -> dict[str, Any] | None:
    from gcodekit.drawing.listing import as_circle

    circle = as_circle(chain)
    if circle is None:
        return None
    centre, diameter = circle
    return {"centre": [c / found.mm for c in centre], "diameter": diameter / found.mm}


def _chains(entry: Listed) -> list[Chain]:
    return [*entry.found.rings, *(x.chain for x in entry.found.loose)]


def _document(entry: Listed, found: Listing) -> dict[str, Any]:
    from gcodekit.drawing.listing import box_of

    rings = [
        {
            "area": abs(c.area) / found.mm**2 if c.closed else None,
            "length": c.length / found.mm,
            "closed": c.closed,
            "box": _box(box_of([c]), found),
            "circle": _circle(c, found),
        }
        for c in _chains(entry)
    ]
    size = [c / found.mm for c in entry.size] if entry.size else None
    ends = [p for x in entry.found.loose for p in (x.chain.start, x.chain.end)]
    return {
        "name": entry.name,
        "size": size,
        "box": _box(entry.box, found),
        "rings": rings,
        "open_ends": len(ends),
        "open_at": [[c / found.mm for c in p] for p in ends],
    }
