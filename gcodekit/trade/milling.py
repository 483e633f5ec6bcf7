"""Speed, feed, depth and width of a milling cut on a small mill, and the limit that held them.

The cutting speed of the material comes first, then, in this order: what the spindle can turn, the
chip below which teeth rub, the power that reaches the cutter, how far the cutter may bend, what
the machine can feed, and how stiff it is. The planner and `gcodekit speeds` use the same figures.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from gcodekit.trade.cutter import Cutter
from gcodekit.trade.materials import Material
from gcodekit.trade.milling_force import MillingCut, feed_share, mean_chip, most_bend, thinning
from gcodekit.trade.rates import (
    MOTOR_SHARE,
    CuttingLimits,
    Rates,
    Rigidity,
    SpindleLimits,
    called,
    machine_feed,
    spindle_speed,
    stiffness,
    turned,
    widest_pass,
)
from gcodekit.trade.rulings import Ruling

THINNEST_CUT = 0.05  # of the diameter: below it a mill rubs; never stepped down less
FINEST_CHIP = 0.002  # of the diameter, and
COARSEST_CHIP = 0.010  # the range that tool makers print for end mills
TOOTH_LIMIT = 16.0  # mm: above it the tables flatten; the machine, not the tooth, is the limit
# Thin chips are made up for by feed, but no more than this: common practice, no source.
MOST_THINNED = 1 / 3


@lru_cache(maxsize=2048)
def milling(
    material: Material,
    cutter: Cutter,
    limits: CuttingLimits,
    *,
    width: float | None = None,
    depth: float | None = None,
) -> Rates:
    """Rates of a roughing cut.

    Parameters
    ----------
    width, depth : of the cut that is asked for, mm. Left out: a cut at full width, for what the
        cutter stands in a slot it stands anywhere; `stepover` is then the width a clearing pass
        should take. A narrower cut than that may be deeper, and a deeper one must be narrower.
    """
    shape = _shape(material, cutter, limits.rigidity, width=width, depth=depth)
    thin = _thinned(shape.width, cutter)
    speed, feed, rulings = _speed_and_feed(material, cutter, limits, thin)
    cut = MillingCut(
        material=material,
        cutter=cutter,
        width=shape.width,
        depth=shape.depth,
        speed=speed,
        feed=feed,
    )
    finest = finest_chip(cutter) / thin * cutter.flutes * speed
    if shape.overload > 1:
        cut = _slowed(cut, 1 / shape.overload, finest)
    deep = depth is not None
    cut = _within_power(cut, limits.spindle, rulings, finest=finest, deep=deep)
    cut = _within_bend(cut, rulings, finest=finest, deep=deep)
    # Straight down there are no thin chips to make up for.
    plunged = min(cut.feed, chip_load(material, cutter) * cutter.flutes * speed)
    return Rates(
        speed=speed,
        feed=cut.feed,
        plunge_feed=plunged * plunge_share(cutter),
        stepdown=cut.depth,
        stepover=shape.stepover,
        engaged=cut.width,
        rulings=(*rulings, *shape.rulings),
    )


def chip_load(material: Material, cutter: Cutter) -> float:
    """Feed per tooth of a full-width cut, mm."""
    share = min(max(material.chip, FINEST_CHIP), COARSEST_CHIP)
    return share * min(cutter.diameter, TOOTH_LIMIT)


def finest_chip(cutter: Cutter) -> float:
    """Feed per tooth below which the teeth rub, mm."""
    return FINEST_CHIP * min(cutter.diameter, TOOTH_LIMIT)


def _thinned(width: float, cutter: Cutter) -> float:
    """The factor by which the feed per tooth is divided to make up for thin chips."""
    return max(thinning(width, cutter.diameter), MOST_THINNED)


def _speed_and_feed(
    material: Material, cutter: Cutter, limits: CuttingLimits, thin: float
) -> tuple[float, float, list[Ruling]]:
    """rev/min and mm/min inside what the machine turns and feeds."""
    spindle, feed_max = limits.spindle, limits.feed_max
    speed, rulings = spindle_speed(material.mill.of(cutter.material), cutter.diameter, spindle)
    finest = finest_chip(cutter) / thin * cutter.flutes
    if finest * speed > feed_max:
        # A feed this slow would let the teeth rub: turn slower, and they cut.
        slower = min(speed, turned(feed_max / finest, spindle))
        text = "a chip under {0} per tooth rubs; the speed is lowered to suit the highest feed"
        chip = (finest / cutter.flutes,)
        rulings.append(Ruling("minimum chip load", text, slower / speed, lengths=chip))
        speed = slower
    feed = chip_load(material, cutter) / thin * cutter.flutes * speed
    return speed, machine_feed(feed, feed_max, rulings), rulings


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shape:
    """The width and depth of the cut that the forces are judged at, mm, and the width of a clearing
    pass; `overload`: how many times the machine's limit, where both were asked for."""

    width: float
    depth: float
    stepover: float
    rulings: tuple[Ruling, ...]
    overload: float = 1.0


def _shape(
    material: Material,
    cutter: Cutter,
    rigidity: Rigidity,
    *,
    width: float | None,
    depth: float | None,
) -> _Shape:
    stands, rulings = _slot_depth(material, cutter, rigidity)
    usual, full = _stepover(cutter, rigidity), cutter.diameter
    slot = _load(material, cutter, full) * stands
    if width is None and depth is None:
        return _Shape(width=full, depth=stands, stepover=usual, rulings=tuple(rulings))
    if depth is None:
        across = min(width or full, full)
        deepest = min(full, cutter.flute_length)
        down = min(slot / _load(material, cutter, across), deepest)
        return _Shape(width=across, depth=down, stepover=across, rulings=tuple(rulings))
    if width is not None:
        across = min(width, full)
        over = _load(material, cutter, across) * depth / slot
        met = finest_chip(cutter) <= chip_load(material, cutter) * feed_share(material, 1 / over)
        rulings = [_too_much(stands, depth, across, 1 / over, met=met)] if over > 1 else []
        return _Shape(
            width=across, depth=depth, stepover=across, rulings=tuple(rulings), overload=over
        )
    if depth <= stands:
        return _Shape(width=full, depth=depth, stepover=usual, rulings=())
    across = _narrowed(material, cutter, usual, slot / depth)
    rulings = [_too_much(stands, depth, usual, across / usual)] if across < usual else []
    return _Shape(width=across, depth=depth, stepover=across, rulings=tuple(rulings))


def _too_much(
    stands: float, depth: float, width: float, share: float, *, met: bool = True
) -> Ruling:
    text = "{0} deep and {1} wide is more than the limit, {2} deep in a full-width cut"
    figures = (depth, width, stands)
    return Ruling("machine rigidity", text, share, met=met, lengths=figures)


def _slot_depth(
    material: Material, cutter: Cutter, rigidity: Rigidity
) -> tuple[float, list[Ruling]]:
    """The depth of a full-width cut that the machine and the cutter's stick-out allow, mm."""
    share, over = stiffness(rigidity) * material.slot, _overhang(cutter)
    stands = share * over * min(cutter.diameter, TOOTH_LIMIT)
    rulings = []
    if over < 1:
        ratio = cutter.stickout / cutter.diameter
        rulings.append(Ruling("cutter deflection", f"stick-out of {ratio:.1f} diameters", over))
    text = f"{share:.2g} diameters deep in a full-width cut on {called(rigidity)}"
    rulings.append(Ruling("machine rigidity", text, 1.0))
    depth = min(stands, cutter.diameter, cutter.flute_length)
    if cutter.flute_length < min(stands, cutter.diameter):
        flutes = (cutter.flute_length,)
        rulings.append(Ruling("flute length", "flutes {0} long", depth / stands, lengths=flutes))
    return depth, rulings


def _overhang(cutter: Cutter) -> float:
    """The share of the depth left for a cutter with a long stick-out: full up to 4 diameters, a
    quarter from 8.

    Deflection goes with the cube of the overhang, but the rest of the machine gives as well;
    common practice, no source.
    """
    ratio = cutter.stickout / cutter.diameter
    return min(1.0, max(0.25, (4.0 / ratio) ** 2)) if ratio > 0 else 1.0


def _stepover(cutter: Cutter, rigidity: Rigidity) -> float:
    """Width of a clearing pass, of what is flat at the end of the cutter."""
    if cutter.kind == "ball-nose end mill":
        return 0.1 * cutter.diameter
    return widest_pass(rigidity) * cutter.diameter


def plunge_share(cutter: Cutter) -> float:
    """The share of the feed for plunging: a third; a quarter with more than two teeth."""
    return 1 / 3 if cutter.flutes <= 2 else 1 / 4


def _load(material: Material, cutter: Cutter, width: float) -> float:
    """The force over a turn for each mm of depth, in any unit: the load on the machine.

    ae fz kc, the feed per tooth made up for thin chips.
    """
    chip = chip_load(material, cutter) / _thinned(width, cutter)
    return width * chip * material.specific_force(mean_chip(chip, width, cutter.diameter))


def _narrowed(material: Material, cutter: Cutter, widest: float, wanted: float) -> float:
    """The width, up to `widest`, at which a mm of depth loads the machine no more than wanted."""
    if _load(material, cutter, widest) <= wanted:
        return widest
    low, high = 1e-3 * cutter.diameter, widest
    for _ in range(40):
        middle = (low + high) / 2
        if _load(material, cutter, middle) <= wanted:
            low = middle
        else:
            high = middle
    return low


def _within_power(
    cut: MillingCut, spindle: SpindleLimits, rulings: list[Ruling], *, finest: float, deep: bool
) -> MillingCut:
    """The cut with its depth, then its feed brought down until the motor can drive it.

    `deep`: the depth was asked for and stays; `finest` is the feed below which the teeth rub.
    """
    if spindle.power is None:
        return cut
    available, wanted = spindle.power * MOTOR_SHARE, cut.power
    if wanted <= available:
        return cut
    if not deep:
        cut = _thinner(cut, available / wanted)
    if cut.power > available * (1 + 1e-9):
        cut = _slowed(cut, available / cut.power, finest)
    if not deep:
        cut = replace(cut, depth=min(cut.depth, cut.depth * available / cut.power))
    met = cut.power <= available * (1 + 1e-6)
    text = f"{spindle.power:g} W"
    rulings.append(Ruling("spindle power", text, available / wanted, met=met))
    return cut


def _within_bend(
    cut: MillingCut, rulings: list[Ruling], *, finest: float, deep: bool
) -> MillingCut:
    """The cut with its depth, then its feed brought down until the deflection is no more than a
    finishing pass makes good."""
    most, bent = most_bend(cut.cutter.diameter), cut.bend
    if bent <= most:
        return cut
    if not deep:
        cut = bent_less(cut, most)
    cut = _slowed(cut, min(1.0, most / cut.bend), finest)
    met = cut.bend <= most * (1 + 1e-6)
    text, figures = "{0} at the full cut, {1} allowed", (bent, most)
    rulings.append(Ruling("cutter deflection", text, most / bent, met=met, lengths=figures))
    return cut


def bent_less(cut: MillingCut, most: float) -> MillingCut:
    """The cut with its depth brought down until the deflection is at most this, mm, or as thin as
    it can be cut. With a helix the force falls less than the depth, so this goes in steps."""
    thinnest = THINNEST_CUT * cut.cutter.diameter
    for _ in range(60):
        bent = cut.bend
        if bent <= most * (1 + 1e-7) or cut.depth <= thinnest:
            break
        cut = _thinner(cut, most / bent)
    return cut


def _thinner(cut: MillingCut, share: float) -> MillingCut:
    """The cut at this share of its depth, but no thinner than it can be cut."""
    thinnest = min(cut.depth, THINNEST_CUT * cut.cutter.diameter)
    return replace(cut, depth=max(cut.depth * share, thinnest))


def _slowed(cut: MillingCut, share: float, finest: float) -> MillingCut:
    """The cut fed so that its force is this share."""
    slower = cut.feed * feed_share(cut.material, share)
    return replace(cut, feed=max(slower, min(cut.feed, finest)))
