"""What `gcodekit speeds` says of a milling cut, as a table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gcodekit.cli import console

if TYPE_CHECKING:
    from gcodekit.job.workshop.machine import Workshop
    from gcodekit.trade.cutter import Cutter
    from gcodekit.trade.milling_force import MillingCut
    from gcodekit.trade.rates import Rates


def table(rates: Rates, cut: MillingCut, shop: Workshop, *, in_slot: bool) -> None:
    """Figures, loads, and every limit that had a say."""
    console.result(_heading(cut.cutter, cut.material.name))
    console.result("")
    _print_figures(rates, cut)
    console.result("")
    _print_loads(cut, shop, in_slot=in_slot)
    console.result("")
    console.result(f"limited by: {rates.limited_by}")
    for ruling in rates.rulings:
        left = f" ({100 * ruling.share:.0f} % left)" if ruling.met and ruling.share < 1 else ""
        console.result(f"  {ruling.limit}: {ruling.text}{left}")


def _heading(mill: Cutter, metal: str) -> str:
    what = f"{metal}, {mill.diameter:g} mm {mill.material} cutter, {mill.flutes} flutes"
    sizes = f"{mill.stickout:g} mm out, flutes {mill.flute_length:g} mm long"
    if mill.number:
        return f"{what}: T{mill.number} {mill.name}, {sizes}"
    return f"{what}: taken to stand {sizes}"


def _print_figures(rates: Rates, cut: MillingCut) -> None:
    from gcodekit.trade.milling_force import surface_speed, thinning

    d = cut.cutter.diameter
    thin = thinning(cut.width, d)
    chips = f", chips {cut.chip_load * thin:.3f} mm at their thickest" if thin < 1 else ""
    console.table(
        ("set", "", ""),
        [
            ("speed", f"{cut.speed:.0f} rev/min", f"{surface_speed(cut.speed, d):.1f} m/min"),
            ("feed", f"{cut.feed:.0f} mm/min", f"{cut.chip_load:.4f} mm a tooth{chips}"),
            ("plunge", f"{rates.plunge_feed:.0f} mm/min", ""),
            ("depth", f"{cut.depth:.2f} mm", f"{cut.depth / d:.2f} diameters"),
            ("width", f"{cut.width:.2f} mm", f"{cut.width / d:.2f} diameters"),
        ],
    )


def _print_loads(cut: MillingCut, shop: Workshop, *, in_slot: bool) -> None:
    """Find what the cut asks of cutter and spindle; `in_slot`: at full width too, for which it was
    judged."""
    from dataclasses import replace

    from gcodekit.trade.milling_force import most_bend
    from gcodekit.trade.rates import MOTOR_SHARE

    heads = ("in the cut", "power", "torque", "force", "bends the cutter")
    cuts = [("this wide", cut)]
    if in_slot:
        cuts.append(("in a slot", replace(cut, width=cut.cutter.diameter)))
    console.table(heads, [(name, *_loads(c)) for name, c in cuts])
    power = shop.machine.spindle.power
    if power is not None:
        console.result(f"{power * MOTOR_SHARE:.0f} of the motor's {power:g} W reach the cutter")
    console.result(f"roughing may bend it {most_bend(cut.cutter.diameter):.3g} mm")


def _loads(cut: MillingCut) -> tuple[str, ...]:
    return f"{cut.power:.0f} W", f"{cut.torque:.2f} N m", f"{cut.force:.0f} N", f"{cut.bend:.3f} mm"
