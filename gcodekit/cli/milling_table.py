"""The table of a milling cut that `gcodekit speeds` prints."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gcodekit.cli import console
from gcodekit.cli.amounts import Amounts

if TYPE_CHECKING:
    from gcodekit.job.workshop.machine import Workshop
    from gcodekit.trade.cutter import Cutter
    from gcodekit.trade.milling_force import MillingCut
    from gcodekit.trade.rates import Rates


def table(
    rates: Rates, cut: MillingCut, shop: Workshop, amounts: Amounts, *, full_width: bool
) -> None:
    """Print the figures to set, the loads, and every limit that held the cut back; `full_width`:
    the cut was judged at full width."""
    console.result(_heading(cut.cutter, cut.material.name, amounts))
    console.result("")
    _print_figures(rates, cut, amounts)
    console.result("")
    _print_loads(cut, shop, amounts, full_width=full_width)
    console.result("")
    console.result(f"limited by: {rates.limited_by}")
    for ruling in rates.rulings:
        less = (
            f" (reduced to {100 * ruling.share:.0f} %)" if ruling.met and ruling.share < 1 else ""
        )
        console.result(f"  {ruling.limit}: {ruling.text(amounts.units)}{less}")


def _heading(mill: Cutter, metal: str, amounts: Amounts) -> str:
    what = f"{metal}, {amounts.size(mill.diameter)} {mill.material} cutter, {mill.flutes} flutes"
    sizes = f"stick-out {amounts.size(mill.stickout)}, flutes {amounts.size(mill.flute_length)}"
    if mill.number:
        return f"{what}: T{mill.number} {mill.name}, {sizes}"
    return f"{what}: {sizes} assumed"


def _print_figures(rates: Rates, cut: MillingCut, amounts: Amounts) -> None:
    from gcodekit.trade.milling_force import surface_speed, thinning

    d = cut.cutter.diameter
    thin = thinning(cut.width, d)
    chips = f", {amounts.fine(cut.chip_load * thin)} at the thickest" if thin < 1 else ""
    turning = amounts.surface(surface_speed(cut.speed, d))
    console.table(
        ("set", "", ""),
        [
            ("speed", f"{cut.speed:.0f} rev/min", turning),
            ("feed", amounts.feed(cut.feed), f"{amounts.fine(cut.chip_load)} per tooth{chips}"),
            ("plunge feed", amounts.feed(rates.plunge_feed), ""),
            ("depth", amounts.length(cut.depth), f"{cut.depth / d:.2f} diameters"),
            ("width", amounts.length(cut.width), f"{cut.width / d:.2f} diameters"),
        ],
    )


def _print_loads(cut: MillingCut, shop: Workshop, amounts: Amounts, *, full_width: bool) -> None:
    """Print the loads on cutter and spindle, at full width too where it was judged so."""
    from dataclasses import replace

    from gcodekit.trade.milling_force import most_bend
    from gcodekit.trade.rates import MOTOR_SHARE

    heads = ("load", "power", "torque", "force", "deflection")
    cuts = [("at this width", cut)]
    if full_width:
        cuts.append(("at full width", replace(cut, width=cut.cutter.diameter)))
    console.table(heads, [(name, *_loads(c, amounts)) for name, c in cuts])
    power = shop.machine.spindle.power
    if power is not None:
        console.result(
            f"power at the cutter: {power * MOTOR_SHARE:.0f} W of the motor's {power:g} W"
        )
    console.result(
        f"deflection allowed in roughing: {amounts.fine(most_bend(cut.cutter.diameter))}"
    )


def _loads(cut: MillingCut, amounts: Amounts) -> tuple[str, ...]:
    return (
        f"{cut.power:.0f} W",
        f"{cut.torque:.2f} N m",
        f"{cut.force:.0f} N",
        amounts.fine(cut.bend),
    )
