"""What is wrong with a cutter that a feature names, as far as no geometry is needed to tell."""

from __future__ import annotations

from collections.abc import Sequence

from gcodekit.geometry.chain import SAME_POINT
from gcodekit.job.feature import CutterKey, Feature, Round
from gcodekit.job.features.depths import MetalHeights
from gcodekit.job.keys.reading import Table
from gcodekit.trade.cutter import Cutter

# How far a drill or reamer may be from the hole it is named for: reground, but the same size.
NAMED_FOR = 0.1


def check_cutters(
    table: Table, feature: Feature, metal: MetalHeights, earlier: Sequence[Feature]
) -> None:
    """Note what is wrong with the feature's `cutter` and `rough_with`."""
    cutting = feature.cutting
    named: tuple[tuple[CutterKey, Cutter | None], ...] = (
        ("cutter", cutting.cutter),
        ("rough_with", cutting.rough_with),
    )
    for key, cutter in named:
        if cutter is None:
            continue
        bad = feature.bad_cutter(cutter, key, table.source.say)
        if bad:
            table.error(key, f"{_called(cutter)} {bad[0]}", bad[1])
        else:
            _check_flutes(table, feature, cutter, key, metal, earlier)


def _called(cutter: Cutter) -> str:
    return f"cutter {cutter.number}, {cutter.name},"


def _check_flutes(
    table: Table,
    feature: Feature,
    cutter: Cutter,
    key: str,
    metal: MetalHeights,
    earlier: Sequence[Feature],
) -> None:
    """Flutes, or a relieved shank, must reach from the metal's top to the cut's bottom; of what
    follows a hole a slimmer shank may."""
    if not feature.has_depth:
        return
    top = _starts_at(table, feature, metal, earlier)
    deep = top - feature.depth.cut_to
    reach = max(cutter.flute_length, cutter.reach or 0.0)
    if cutter.kind in ("reamer", "tap") and isinstance(feature, Round):
        reach = cutter.follows(feature.diameter)
    if deep > reach + 1e-6:
        say = table.source.say
        table.error(
            key,
            f"{_called(cutter)} has flutes of {say(cutter.flute_length)}, but the cut is "
            f"{say(deep)} deep from the top of the stock",
            "name a longer cutter",
        )


def _starts_at(
    table: Table, feature: Feature, metal: MetalHeights, earlier: Sequence[Feature]
) -> float:
    """Find where the metal starts: lower than its top if the job says so below an earlier floor."""
    top = feature.depth.top
    sunk = table.has("top") and any(e.depth.floor <= top + SAME_POINT and e.milled for e in earlier)
    return min(metal.now, top) if sunk else metal.now
