"""`gcodekit speeds MATERIAL`: speed, feed, depth and width of a milling cut, and why."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from gcodekit.cli import console, milling_table, other_cuts
from gcodekit.cli.options import Json, WorkshopFile, in_inches, length, refused

if TYPE_CHECKING:
    from gcodekit.job.workshop.machine import Workshop
    from gcodekit.trade.cutter import Cutter
    from gcodekit.trade.materials import Material
    from gcodekit.trade.milling_force import MillingCut
    from gcodekit.trade.rates import Rates

Length = str | None
MOST_FLUTES = 20
LEAST_SIZE, MOST_SIZE = 0.001, 1000.0  # mm


Typed = Annotated[
    list[str], typer.Argument(metavar="MATERIAL", help='"mild steel"; see gcodekit materials.')
]
Diameter = Annotated[
    str, typer.Option("--cutter", metavar="DIAMETER", help="Of the cutter, mm or 1/4in.")
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
    typer.Option("--kind", help="What the cutter is."),
]
Flutes = Annotated[
    int | None,
    typer.Option(
        "--flutes",
        metavar="N",
        min=1,
        max=MOST_FLUTES,
        help="Its teeth; left out: 2 of an end mill, else as usual.",
    ),
]
MadeOf = Annotated[
    Literal["hss", "carbide"], typer.Option("--cutter-material", help="What it is made of.")
]
Stickout = Annotated[
    Length, typer.Option("--stickout", metavar="L", help="From the holder's face to its tip.")
]
Width = Annotated[
    Length,
    typer.Option("--width", metavar="W", help="Width of the cut asked for; a chamfer's leg."),
]
Depth = Annotated[
    Length, typer.Option("--depth", metavar="D", help="Depth of the cut, hole, line or slit.")
]
InsideRound = Annotated[
    Length,
    typer.Option("--round", metavar="R", help="An inside round: how to feed along its wall."),
]
Angle = Annotated[
    float | None,
    typer.Option("--angle", metavar="DEGREES", min=1, max=179, help="Of a point, full."),
]
Pitch = Annotated[Length, typer.Option("--pitch", metavar="P", help="Of a tap.")]
Thickness = Annotated[Length, typer.Option("--thickness", metavar="T", help="Of a slitting saw.")]
JobFile = Annotated[
    Path | None,
    typer.Option("--job", metavar="JOB", help="The job whose machine and rack are meant."),
]


def speeds(
    material: Typed,
    cutter: Diameter,
    kind: Kind = "end mill",
    flutes: Flutes = None,
    cutter_material: MadeOf = "hss",
    stickout: Stickout = None,
    width: Width = None,
    depth: Depth = None,
    inside: InsideRound = None,
    angle: Angle = None,
    pitch: Pitch = None,
    thickness: Thickness = None,
    workshop: WorkshopFile = None,
    job: JobFile = None,
    as_json: Json = False,
) -> None:
    """Say speed, feed, depth and width of a cut, and the limit that ruled."""
    diameter, out = _size(cutter, of="--cutter"), _asked(stickout, of="--stickout")
    across, down = _asked(width, of="--width"), _asked(depth, of="--depth")
    if kind != "end mill":
        shop = _shop(workshop, job)
        other_cuts.answer(
            _metal(" ".join(material), shop),
            other_cuts.cutter_meant(
                shop,
                kind,
                diameter,
                flutes=flutes,
                material=cutter_material,
                stickout=out,
                angle=angle,
                pitch=_asked(pitch, of="--pitch"),
                thickness=_asked(thickness, of="--thickness"),
            ),
            shop,
            depth=down,
            width=across,
            inch=in_inches(cutter, pitch),
            as_json=as_json,
        )
        return
    if across is not None and across > diameter:
        raise typer.BadParameter(f"--width: {width} is wider than the cutter, {cutter}")
    wall = _asked(inside, of="--round")
    if wall is not None and wall < diameter / 2:
        raise typer.BadParameter(f"--round: {inside} is tighter than the cutter's own radius")
    shop = _shop(workshop, job)
    mill = _mill(shop, diameter, flutes or 2, cutter_material, stickout=out)
    _milled(_metal(" ".join(material), shop), mill, shop, (across, down), wall, as_json=as_json)


def _milled(
    metal: Material,
    mill: Cutter,
    shop: Workshop,
    asked: tuple[float | None, float | None],
    wall: float | None,
    *,
    as_json: bool,
) -> None:
    """The answer for an end mill; `asked`: width and depth of the cut, mm, where given; `wall`:
    radius of an inside round."""
    from gcodekit.trade.cut_load import milled

    width, depth = asked
    rates, cut = _cut(metal, mill, shop, width=width, depth=depth)
    _warn(rates, mill)
    if as_json:
        load = milled(cut, rates, allowed=None)
        console.document(other_cuts.document(load) | _in_round(cut, wall))
        return
    milling_table.table(rates, cut, shop, in_slot=width is None and depth is None)
    if wall is not None:
        feed = _in_round(cut, wall)["round_feed"]
        console.result(f"in an inside round of {wall:g} mm: {feed:.0f} mm/min, as it is programmed")


def _in_round(cut: MillingCut, wall: float | None) -> dict[str, float]:
    """The feed of the cutter's centre that makes its edge go as fast along a round as straight."""
    from gcodekit.trade.finishing import centre_feed

    if wall is None:
        return {}
    radius = cut.cutter.radius
    return {"round_feed": centre_feed(cut.feed, wall=wall, cutter=radius, side="inside")}


def _metal(typed: str, shop: Workshop) -> Material:
    from gcodekit.trade.materials import find_material, near_materials

    metal = find_material(typed, shop.materials)
    if metal is None:
        near = near_materials(typed, shop.materials)
        raise refused(typed, f"is no material of the table, {near}")
    return metal


def _cut(
    metal: Material, mill: Cutter, shop: Workshop, *, width: float | None, depth: float | None
) -> tuple[Rates, MillingCut]:
    """The rates that `make` would use, and the cut they make."""
    from gcodekit.trade.milling import milling
    from gcodekit.trade.milling_force import MillingCut

    rates = milling(metal, mill, shop.machine.cutting_limits, width=width, depth=depth)
    cut = MillingCut(
        material=metal,
        cutter=mill,
        width=rates.stepover,
        depth=rates.stepdown,
        speed=rates.speed,
        feed=rates.feed,
    )
    return rates, cut


def _size(text: str, *, of: str) -> float:
    """A length that a cutter or cut may have, mm."""
    value = length(text, of=of)
    if not LEAST_SIZE <= value <= MOST_SIZE:
        raise typer.BadParameter(f"{of}: {text} is not between {LEAST_SIZE:g} and {MOST_SIZE:g} mm")
    return value


def _asked(text: str | None, *, of: str) -> float | None:
    return None if text is None else _size(text, of=of)


def _shop(workshop: Path | None, job: Path | None) -> Workshop:
    """The workshop named, or else the job's, or else the built-in one."""
    from gcodekit.job.workshop.workshop import bench_mill, load_workshop

    if workshop is not None:
        return load_workshop(workshop)
    if job is not None:
        from gcodekit.job.workshop.named_workshop import workshop_of

        return workshop_of(job)
    return bench_mill()


def _mill(
    shop: Workshop,
    diameter: float,
    flutes: int,
    material: Literal["hss", "carbide"],
    *,
    stickout: float | None,
) -> Cutter:
    """The mill of the rack that is meant, the shortest of several; without one, or with a
    stick-out of its own, a usual one."""
    from gcodekit.trade.cutter import FLAT_MILLS, usual_end_mill

    meant = [
        c
        for c in shop.cutters
        if c.kind in FLAT_MILLS
        and abs(c.diameter - diameter) <= other_cuts.SAME_DIAMETER
        and (c.flutes, c.material) == (flutes, material)
    ]
    if stickout is not None or not meant:
        return usual_end_mill(diameter, flutes, material, stickout=stickout)
    return min(meant, key=lambda c: c.stickout)


def _warn(rates: Rates, cutter: Cutter) -> None:
    """Say where what was asked for is more than can be brought inside a limit."""
    for ruling in rates.rulings:
        if not ruling.met:
            less = "a smaller cutter" if ruling.limit == "spindle range" else "less depth or width"
            console.message(f"-: warning: {ruling.limit}: {ruling.text}, take {less}")
    if rates.stepdown > cutter.flute_length + 1e-9:
        text = f"{rates.stepdown:g} mm is deeper than its flutes, {cutter.flute_length:g} mm"
        console.message(f"-: warning: flute length: {text}")
