"""What a cut asks of cutter and machine, beside what they stand, and which limit ruled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gcodekit.trade.materials import Material
from gcodekit.trade.milling_force import MillingCut, most_bend, surface_speed
from gcodekit.trade.rates import Rates

# What rules where the job says a figure itself.
ASKED = "job file"


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """A cut as it is taken: rev/min, mm/min, mm, W, N; None where a figure does not apply.

    `width` is the widest that the cutter takes, `stepover` that of a clearing pass; `engagement` is
    the most of its leading half that is in metal, degrees; `power` is at
    the cutter; `deflection_allowed` is what the kind of pass may bend it. `asked` are the figures
    that the job says itself, `why` is the limit that ruled, in words.
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


def milled(
    cut: MillingCut, rates: Rates, *, allowed: float | None, asked: Sequence[str] = ()
) -> Load:
    """The load of a cut sideways; `allowed`: what a finishing pass may bend its cutter, mm; None:
    it is a roughing one."""
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
        why=reason(rates, cut.material, cut.cutter.material, cut.cutter.diameter, asked),
    )


def reason(
    rates: Rates,
    material: Material,
    tool: str,
    diameter: float,
    asked: Sequence[str] = (),
) -> str:
    """Find what ruled, in words: what held the figures back, or else the cutting speed."""
    said = [f"{' and '.join(asked)} as the job says"] if asked else []
    ruled = [r for r in rates.rulings if r.share < 1 or r.limit == rates.limited_by]
    said += [f"{r.limit}: {r.text}" for r in ruled]
    if not said:
        turned = surface_speed(rates.speed, diameter)
        said = [f"cutting speed: {turned:.3g} m/min for {tool} in {material.name}"]
    return "; ".join(said)
