"""What is wrong with a cutter that a feature names, as far as no geometry is needed to tell."""

from __future__ import annotations

from collections.abc import Sequence

from gcodekit.geometry.chain import SAME_POINT
from gcodekit.job.document.wording import one
from gcodekit.job.features.depths import Metal
from gcodekit.job.keys.reading import Table
from gcodekit.job.model import (
    Bore,
    Boss,
    Edge,
    Face,
    Feature,
    Hole,
    Pocket,
    Profile,
    Sector,
    Slot,
)
from gcodekit.trade.cutter import FLAT_MILLS, SIDE_MILLS, Cutter
from gcodekit.trade.threads import Thread, cuts_thread

# Kinds that leave a floor for others to start from.
_SINKING = (Pocket, Face, Bore, Profile, Slot, Edge, Boss, Sector)
# How far a drill or reamer may be from the hole it is named for: reground, but the same size.
SAME_SIZE = 0.1


def check_cutters(table: Table, feature: Feature, metal: Metal, earlier: Sequence[Feature]) -> None:
    """Note what is wrong with the feature's `cutter` and `rough_with`."""
    cutting = feature.cutting
    for key, cutter in (("cutter", cutting.cutter), ("rough_with", cutting.rough_with)):
        if cutter is None:
            continue
        bad = _bad_kind(feature, cutter, key) or _bad_size(table, feature, cutter, key)
        if bad:
            table.error(key, f"{_called(cutter)} {bad[0]}", bad[1])
        else:
            _check_flutes(table, feature, cutter, key, metal, earlier)


def _called(cutter: Cutter) -> str:
    return f"cutter {cutter.number}, {cutter.name},"


def _bad_kind(feature: Feature, cutter: Cutter, key: str) -> tuple[str, str] | None:
    """A kind of cutter that cannot do this kind of work."""
    if isinstance(feature, Hole):
        return _bad_for_hole(feature, cutter, key)
    if isinstance(feature, Bore) and key == "cutter" and feature.finish_with != "end mill":
        wanted = feature.finish_with
        return None if cutter.kind == wanted else (f"is no {wanted}", "finish_with asks for one")
    if cutter.kind in ("drill", "spot drill"):
        return "is a drill and cannot mill", "name an end mill"
    if cutter.kind not in SIDE_MILLS:
        return f"is {one(cutter.kind)} and cannot mill {one(feature.kind)}", "name an end mill"
    if cutter.kind == "fly cutter" and not isinstance(feature, Face):
        return f"cannot mill {one(feature.kind)}", "a fly cutter only faces"
    flat = key == "cutter" and feature.cutting.finish
    if cutter.kind == "ball end mill" and flat:
        return "leaves no flat floor", "finish with a flat end mill"
    return None


def _bad_for_hole(feature: Hole, cutter: Cutter, key: str) -> tuple[str, str] | None:
    if cutter.kind in FLAT_MILLS:
        return "is no drill", 'a hole that is milled is kind = "bore"'
    if not feature.drilled and feature.countersink:
        ok = cutter.kind in ("spot drill", "chamfer mill")
        return None if ok else ("cannot countersink", "name a chamfer mill or a spot drill")
    if not feature.drilled:
        ok = cutter.kind in ("spot drill", "drill")
        return None if ok else ("cannot spot", "name a spot drill")
    if key == "cutter" and feature.thread is not None and feature.tapping == "machine":
        return None if cutter.kind == "tap" else ("is no tap", 'tapping = "machine" asks for one')
    if cutter.kind == "spot drill":
        return "only spots", "name a drill"
    if key == "cutter" and feature.ream:
        return (
            None
            if cutter.kind == "reamer"
            else ("is no reamer", f"{_reamed_by(feature)} asks for one")
        )
    return None if cutter.kind == "drill" else ("is no drill", "name a drill")


def _reamed_by(hole: Hole) -> str:
    if hole.band is None:
        return "ream = true"
    return "fit" if hole.band.fit else "limits"


def _bad_size(table: Table, feature: Feature, cutter: Cutter, key: str) -> tuple[str, str] | None:
    """A cutter too wide for what it shall cut, or a drill of another size."""
    say = table.source.say
    if isinstance(feature, Slot) and cutter.diameter > feature.width + SAME_POINT:
        return f"is wider than the slot, {say(feature.width)}", "name a narrower one"
    if isinstance(feature, Bore):
        return _bad_for_bore(table, feature, cutter, key)
    if not isinstance(feature, Hole) or not feature.drilled:
        return None
    if cutter.kind == "tap" and feature.thread is not None:
        return _bad_tap(table, feature.thread, cutter)
    if key == "cutter" and abs(cutter.diameter - feature.diameter) > SAME_SIZE:
        return f"is {say(cutter.diameter)}", f"the hole is {say(feature.diameter)}"
    if key == "rough_with" and feature.ream and cutter.diameter >= feature.diameter:
        return f"is {say(cutter.diameter)}", "a drill before a reamer is smaller than the hole"
    return None


def _bad_tap(table: Table, thread: Thread, cutter: Cutter) -> tuple[str, str] | None:
    if cuts_thread(cutter, thread):
        return None
    say = table.source.say
    has = f"{say(cutter.diameter)} of pitch {say(cutter.pitch or 0.0)}"
    return f"is {has}", f"{thread.name} is {say(thread.major)} of pitch {say(thread.pitch)}"


def _bad_for_bore(table: Table, feature: Bore, cutter: Cutter, key: str) -> tuple[str, str] | None:
    say = table.source.say
    if cutter.kind == "reamer":
        if abs(cutter.diameter - feature.diameter) > SAME_SIZE:
            return f"is {say(cutter.diameter)}", f"the bore is {say(feature.diameter)}"
        return None
    if cutter.kind == "boring head":
        return None if cutter.bores(feature.diameter) else _out_of_range(table, feature, cutter)
    if cutter.diameter > feature.diameter + SAME_POINT:
        return f"is wider than the bore, {say(feature.diameter)}", "name a smaller one"
    if cutter.diameter > feature.diameter - SAME_POINT and key == "cutter":
        return "is as wide as the bore", "name a smaller one, or drill and ream a hole"
    return None


def _out_of_range(table: Table, feature: Bore, cutter: Cutter) -> tuple[str, str]:
    say, (least, most) = table.source.say, cutter.range or (0.0, 0.0)
    return f"bores {say(least)} to {say(most)}", f"the bore is {say(feature.diameter)}"


def _check_flutes(
    table: Table,
    feature: Feature,
    cutter: Cutter,
    key: str,
    metal: Metal,
    earlier: Sequence[Feature],
) -> None:
    """Flutes, or a relieved shank, must reach from the metal's top to the cut's bottom; of what
    follows a hole a slimmer shank may."""
    if isinstance(feature, Hole) and not feature.drilled:
        return
    top = _starts_at(table, feature, metal, earlier)
    deep = top - feature.depth.cut_to
    reach = max(cutter.flute_length, cutter.reach or 0.0)
    if cutter.kind in ("reamer", "tap") and isinstance(feature, Hole | Bore):
        reach = cutter.follows(feature.diameter)
    if deep > reach + 1e-6:
        say = table.source.say
        table.error(
            key,
            f"{_called(cutter)} has flutes of {say(cutter.flute_length)}, the cut is {say(deep)} "
            "deep from the metal's top",
            "name a longer one",
        )


def check_drill_depth(table: Table, hole: Hole, metal: Metal) -> None:
    """A reamed or tapped hole is drilled at least as deep, and not through unasked."""
    if hole.drill_depth is None:
        return
    say, bottom = table.source.say, hole.depth.top - hole.drill_depth
    if bottom > hole.depth.floor + SAME_POINT:
        deep, last = say(hole.depth.top - hole.depth.floor), "thread" if hole.thread else "reamer"
        table.error("drill_depth", f"{say(hole.drill_depth)} is not as deep as the {last}", deep)
    elif bottom < metal.bottom - SAME_POINT and not hole.depth.through:
        table.error(
            "drill_depth",
            f"to z {say(bottom)} is below the metal's bottom at z {say(metal.bottom)}",
            "to go through write through = true",
        )


def _starts_at(table: Table, feature: Feature, metal: Metal, earlier: Sequence[Feature]) -> float:
    """Where the metal starts: lower than its top if the job says so below an earlier floor."""
    top = feature.depth.top
    sunk = table.has("top") and any(
        e.depth.floor <= top + SAME_POINT and isinstance(e, _SINKING) for e in earlier
    )
    return min(metal.now, top) if sunk else metal.now
