"""The load of a cut on cutter and machine, the loads allowed, and what limited its figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gcodekit.trade.materials import Material
from gcodekit.trade.milling_force import MillingCut, most_bend, surface_speed
from gcodekit.trade.rates import Rates
from gcodekit.trade.rulings import surface_text
from gcodekit.units import Units

# What rules where the job says a figure itself.
ASKED = "job file"


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """A cut as it is taken: rev/min, mm/min, mm, W, N; None where a figure does not apply.

    `width` is the widest cut the cutter takes, `stepover` the width of a clearing pass;
    `engagement` is the largest part of its leading half in metal, degrees; `power` is at the
    cutter; `deflection_allowed` is the limit for that kind of pass. `asked` are the figures that
    the job sets, `why` says in words what limited the others.
    """

    speed: float
    feed: float
    plunge_feed: float
    chip_load: float
    depth: float
    width: float
    stepover: float | None = None
    engagement: float | None = None
    peck: float | None = None
    power: float | None = None
    force: float | None = None
    deflection: float | None = None
    deflection_allowed: float | None = None
    asked: tuple[str, ...] = ()
    limited_by: str
    why: str

    @property
    def chip_per_turn(self) -> float:
        """Feed per turn, mm."""
        return self.feed / self.speed


def milled(
    cut: MillingCut,
    rates: Rates,
    *,
    allowed: float | None,
    units: Units,
    asked: Sequence[str] = (),
) -> Load:
    """The load of a milling cut; `allowed`: deflection allowed in a finishing pass, mm, None for a
    roughing one; `units`: those of the reader of `why`."""
    roughing = allowed is None
    return Load(
        speed=cut.speed,
        feed=cut.feed,
        plunge_feed=min(rates.plunge_feed, cut.feed),
        chip_load=cut.chip_load,
        depth=cut.depth,
        width=cut.width,
        stepover=min(rates.stepover, cut.width) if roughing else None,
        power=cut.power,
        force=cut.force,
        deflection=cut.bend,
        deflection_allowed=most_bend(cut.cutter.diameter) if allowed is None else allowed,
        asked=tuple(asked),
        limited_by=ASKED if asked else rates.limited_by,
        why=reason(rates, cut.material, cut.cutter.material, cut.cutter.diameter, units, asked),
    )


def reason(
    rates: Rates,
    material: Material,
    tool: str,
    diameter: float,
    units: Units,
    asked: Sequence[str] = (),
) -> str:
    """The reason for the figures in words: what limited them, or else the cutting speed."""
    said = [f"{' and '.join(asked)} set in the job"] if asked else []
    ruled = [r for r in rates.rulings if r.share < 1 or r.limit == rates.limited_by]
    if ruled:
        said.append("limited by " + "; ".join(r.named(units) for r in ruled))
    if not said:
        turned = surface_text(surface_speed(rates.speed, diameter), units)
        said = [f"limited by cutting speed: {turned} for {tool} in {material.name}"]
    return "; ".join(said)
