"""Feed of a finishing pass: fine for the surface, and no more than a slim cutter stands upright;
and of the cutter's centre where its edge goes round a wall."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from gcodekit.trade.cutter import Cutter
from gcodekit.trade.materials import Material
from gcodekit.trade.milling import chip_load, finest_chip
from gcodekit.trade.milling_force import MillingCut, feed_share
from gcodekit.trade.rates import CuttingLimits, Rates, machine_feed
from gcodekit.trade.rulings import Ruling

FINISHING_SHARE = 0.7  # of the roughing feed per tooth, for the surface
# A finishing pass may bend its cutter by this, mm: what it bends, the wall is out. Common practice,
# no source.
FINISHING_BEND = 0.02

Side = Literal["inside", "outside"]


def finishing(
    material: Material,
    cutter: Cutter,
    limits: CuttingLimits,
    *,
    speed: float,
    width: float,
    depth: float,
) -> Rates:
    """Rates of a pass along a wall at a speed already chosen; `width`: what is left on it, `depth`:
    the deepest that a pass may be, mm."""
    rulings: list[Ruling] = []
    finest = finest_chip(cutter) * cutter.flutes * speed
    wanted = chip_load(material, cutter) * FINISHING_SHARE * cutter.flutes * speed
    feed = machine_feed(max(wanted, finest), limits.feed_max, rulings)
    cut = MillingCut(
        material=material,
        cutter=cutter,
        width=min(width, cutter.diameter),
        depth=depth,
        speed=speed,
        feed=feed,
    )
    feed = _upright(cut, finest, rulings).feed if width > 0 else feed
    return Rates(
        speed=speed,
        feed=feed,
        plunge_feed=feed,
        stepdown=cut.depth,
        stepover=cut.width,
        engaged=cut.width,
        rulings=tuple(rulings),
    )


def _upright(cut: MillingCut, finest: float, rulings: list[Ruling]) -> MillingCut:
    """The cut fed so that it bends the cutter no further than the wall may be out."""
    bent = cut.bend
    if bent <= FINISHING_BEND:
        return cut
    slower = cut.feed * feed_share(cut.material, FINISHING_BEND / bent)
    cut = replace(cut, feed=max(slower, min(cut.feed, finest)))
    left = cut.bend
    met = left <= FINISHING_BEND * (1 + 1e-6)
    text = "{0} along the wall at the full feed, {1} allowed"
    if not met:
        text += "; slower would rub, so {2} is left for spring passes"
    figures = (bent, FINISHING_BEND, left)
    share = FINISHING_BEND / bent
    rulings.append(Ruling("cutter deflection", text, share, met=met, lengths=figures))
    return cut


def centre_feed(edge: float, *, wall: float, cutter: float, side: Side) -> float:
    """The feed of the cutter's centre while its edge moves at `edge` along a wall of radius `wall`,
    in any one unit of feed and of length; `cutter` is its radius.

    Source: vf (R - r) / R inside, vf (R + r) / R outside, from memory of machining textbooks.

    Examples
    --------
    >>> centre_feed(200, wall=10, cutter=5, side="inside")
    100.0
    """
    centre = wall - cutter if side == "inside" else wall + cutter
    return edge * max(centre, 0.0) / wall
