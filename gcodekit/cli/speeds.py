"""`gcodekit speeds MATERIAL`: speed, feed, depth and width of a milling cut, and why."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

import typer

from gcodekit.cli import console, milling_table, other_cuts
from gcodekit.cli.amounts import Amounts
from gcodekit.cli.cut_options import (
    Angle,
    Depth,
    Diameter,
    Flutes,
    InsideRound,
    JobFile,
    Kind,
    MadeOf,
    Pitch,
    Stickout,
    Thickness,
    Typed,
    Width,
)
from gcodekit.cli.options import Json, WorkshopFile, in_inches, length, refused

if TYPE_CHECKING:
    from gcodekit.job.workshop.machine import Workshop
    from gcodekit.trade.cutter import Cutter
    from gcodekit.trade.materials import Material
    from gcodekit.trade.milling_force import MillingCut
    from gcodekit.trade.rates import Rates
    from gcodekit.units import Units

LEAST_SIZE, MOST_SIZE = 0.001, 1000.0  # mm


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
    """Show speed, feed, depth and width for a cut."""
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
            units=_units(shop, cutter, pitch, width, depth),
            as_json=as_json,
        )
        return
    if across is not None and across > diameter:
        raise typer.BadParameter(f"--width: {width} is wider than the cutter, at most {cutter}")
    wall = _asked(inside, of="--round")
    if wall is not None and wall < diameter / 2:
        raise typer.BadParameter(
            f"--round: {inside} is smaller than the cutter's radius, use a smaller cutter"
        )
    shop = _shop(workshop, job)
    mill = _mill(shop, diameter, flutes or 2, cutter_material, stickout=out)
    amounts = Amounts(_units(shop, cutter, width, depth, inside))
    metal = _metal(" ".join(material), shop)
    _milled(metal, mill, shop, (across, down), wall, amounts, as_json=as_json)


def _milled(
    metal: Material,
    mill: Cutter,
    shop: Workshop,
    asked: tuple[float | None, float | None],
    wall: float | None,
    amounts: Amounts,
    *,
    as_json: bool,
) -> None:
    """Print the figures of an end mill; `asked`: width and depth of the cut, mm, where given;
    `wall`: radius of an inside round."""
    from gcodekit.trade.cut_load import milled

    width, depth = asked
    rates, cut = _cut(metal, mill, shop, width=width, depth=depth)
    _warn(rates, mill, amounts)
    if as_json:
        load = milled(cut, rates, allowed=None, units=amounts.units)
        console.document(other_cuts.document(load) | _in_round(cut, wall))
        return
    full_width = width is None and depth is None
    milling_table.table(rates, cut, shop, amounts, full_width=full_width)
    if wall is not None:
        feed = amounts.feed(_in_round(cut, wall)["round_feed"])
        console.result(
            f"feed of the cutter's centre in an inside corner R {amounts.size(wall)}: {feed}"
        )


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
        raise refused(typed, f"no such material, {near}")
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
        raise typer.BadParameter(
            f"{of}: {text} is out of range, {LEAST_SIZE:g} to {MOST_SIZE:g} mm"
        )
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


def _warn(rates: Rates, cutter: Cutter, amounts: Amounts) -> None:
    """Warn where the cut asked for cannot be brought inside a limit."""
    for ruling in rates.rulings:
        if not ruling.met:
            less = "a smaller cutter" if ruling.limit == "spindle range" else "less depth or width"
            text = ruling.text(amounts.units)
            console.message(f"-: warning: {ruling.limit}: {text}, use {less}")
    if rates.stepdown > cutter.flute_length + 1e-9:
        deep, flutes = amounts.size(rates.stepdown), amounts.size(cutter.flute_length)
        text = f"{deep} deep, but the flutes are {flutes} long, use less depth"
        console.message(f"-: warning: flute length: {text}")


def _units(shop: Workshop, *typed: str | None) -> Units:
    """The units to answer in: inch where the workshop is in inch, or a length was typed so."""
    return "inch" if shop.units == "inch" or in_inches(*typed) else "mm"
