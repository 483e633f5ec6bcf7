"""`gcodekit outline FILE`: what is in a DXF or SVG."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from gcodekit.cli import console
from gcodekit.cli.options import Json

if TYPE_CHECKING:
    from gcodekit.drawing.listing import Box, Listed, Listing
    from gcodekit.geometry.chain import Chain


_PLACED = ("x", "y", "width", "height")  # of the lower left corner, and over all


def outline(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A .dxf or .svg file.")],
    as_json: Json = False,
    as_path: Annotated[
        bool, typer.Option("--as-path", help="Print [outlines] to paste into a job file.")
    ] = False,
) -> None:
    """List the layers or ids of a drawing: rings, sizes, areas, lengths and open ends."""
    if as_json and as_path:
        raise typer.BadParameter("--json and --as-path go one at a time")
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
        console.result("nothing is drawn in it")
        return
    heads = ("name", "line", "segments", *_PLACED, "area", "length", "open ends")
    console.result(f"units: {found.units or 'not said'}")
    console.table(heads, (row for entry in found.entries for row in _rows(entry, found)))


def _rows(entry: Listed, found: Listing) -> list[tuple[str, ...]]:
    """The name with its whole size, then its closed and open lines."""
    from gcodekit.drawing.drawing_model import printable
    from gcodekit.drawing.listing import box_of

    region = entry.found.region
    area = console.number(region.area / found.mm**2) if region else ""
    name = printable(entry.name) or "(all)"
    ends = str(2 * len(entry.found.loose))
    chains = _chains(entry)
    whole = sum(c.length for c in chains)
    segments = str(sum(len(c) for c in chains))
    rows: list[tuple[str, ...]] = [
        (name, "all", segments, *_placed(entry.box, found), area, _length(whole, found), ends)
    ]
    for chain in chains if len(chains) > 1 else ():
        area = console.number(abs(chain.area) / found.mm**2) if chain.closed else ""
        placed, length = _placed(box_of([chain]), found), _length(chain.length, found)
        ends = "0" if chain.closed else "2"
        rows.append(("", _called(chain, found), str(len(chain)), *placed, area, length, ends))
    return rows


def _placed(box: Box | None, found: Listing) -> tuple[str, ...]:
    """Lower left corner, width and height."""
    if box is None:
        return ("",) * len(_PLACED)
    (x0, y0), (x1, y1) = box
    return tuple(_length(c, found) for c in (x0, y0, x1 - x0, y1 - y0))


def _called(chain: Chain, found: Listing) -> str:
    """A line in words; a circle with its centre and diameter, as a hole is dimensioned."""
    from gcodekit.drawing.listing import as_circle

    circle = as_circle(chain)
    if circle is None:
        return "closed" if chain.closed else "open"
    (x, y), diameter = circle
    centre = f"[{_length(x, found)}, {_length(y, found)}]"
    return f"circle {_length(diameter, found)} at {centre}"


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


def _length(mm: float, found: Listing) -> str:
    return console.number(mm / found.mm)


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
