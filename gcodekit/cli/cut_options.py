"""Options of `gcodekit speeds`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

from gcodekit.cli.options import number, whole_number

Length = str | None
MOST_FLUTES = 20


Typed = Annotated[
    list[str],
    typer.Argument(metavar="MATERIAL", help="Material; gcodekit materials lists them."),
]
Diameter = Annotated[
    str, typer.Option("--cutter", metavar="DIAMETER", help="Cutter diameter, mm, or 1/4in.")
]
Kind = Annotated[
    Literal[
        "end mill",
        "drill",
        "spot drill",
        "reamer",
        "tap",
        "boring head",
        "chamfer mill",
        "engraving cutter",
        "slitting saw",
    ],
    typer.Option(
        "--kind",
        metavar="KIND",
        help="Kind of cutter: end mill, drill, spot drill, reamer, tap, boring head, chamfer mill, "
        "engraving cutter or slitting saw.",
    ),
]
Flutes = Annotated[
    int | None,
    typer.Option(
        "--flutes",
        metavar="N",
        parser=whole_number(1, MOST_FLUTES),
        help="Number of teeth, 1 to 20; default: 2 for an end mill, else usual for the kind.",
    ),
]
MadeOf = Annotated[
    Literal["hss", "carbide"],
    typer.Option("--cutter-material", metavar="NAME", help="Cutter material, hss or carbide."),
]
Stickout = Annotated[
    Length,
    typer.Option(
        "--stickout",
        metavar="L",
        help="Stick-out from holder to tip, mm; default: as in the rack, else 4 diameters.",
    ),
]
Width = Annotated[
    Length,
    typer.Option(
        "--width", metavar="W", help="Width of cut, or leg of a chamfer, mm; default: worked out."
    ),
]
Depth = Annotated[
    Length,
    typer.Option(
        "--depth", metavar="D", help="Depth of cut, hole, line or slit, mm; default: worked out."
    ),
]
InsideRound = Annotated[
    Length,
    typer.Option(
        "--round",
        metavar="R",
        help="Radius of an inside corner, mm: show the feed of the cutter's centre in it.",
    ),
]
Angle = Annotated[
    float | None,
    typer.Option(
        "--angle",
        metavar="DEGREES",
        parser=number(1, 179),
        help="Full point angle, 1 to 179 degrees; default: usual for the kind.",
    ),
]
Pitch = Annotated[
    Length, typer.Option("--pitch", metavar="P", help="Pitch of a tap, mm; required for a tap.")
]
Thickness = Annotated[
    Length,
    typer.Option(
        "--thickness", metavar="T", help="Thickness of a slitting saw, mm; required for a saw."
    ),
]
JobFile = Annotated[
    Path | None,
    typer.Option("--job", metavar="JOB", help="Job file whose machine and cutters to use."),
]
