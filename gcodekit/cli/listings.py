"""The lists `gcodekit materials`, `cutters` and `posts`."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import typer

from gcodekit.cli import console
from gcodekit.cli.amounts import MM_PER_FOOT, Amounts
from gcodekit.cli.options import Json, Posts, WorkshopFile, posts_environment
from gcodekit.units import mm_per

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from gcodekit.post.contract import Post
    from gcodekit.post.find import FoundPost
    from gcodekit.trade.cutter import Cutter
    from gcodekit.trade.materials import Material
    from gcodekit.units import Units


def materials(workshop: WorkshopFile = None, as_json: Json = False) -> None:
    """List materials and their cutting speeds.

    A workshop's own materials come first.
    """
    from gcodekit.job.workshop.workshop import load_workshop
    from gcodekit.trade.materials import materials as table

    shop = load_workshop(workshop) if workshop is not None else None
    known = (*(shop.materials if shop else ()), *table())
    if as_json:
        console.document(
            [
                {
                    "name": m.name,
                    "aliases": list(m.aliases),
                    "density": m.density,
                    "mill": {"hss": m.mill.hss, "carbide": m.mill.carbide},
                    "drill": {"hss": m.drill.hss, "carbide": m.drill.carbide},
                    "ream": {"hss": m.ream.hss, "carbide": m.ream.carbide},
                }
                for m in known
            ]
        )
        return
    _print_materials(known, "inch" if shop is not None and shop.units == "inch" else "mm")


def _print_materials(known: Sequence[Material], units: Units) -> None:
    """Print cutting speeds and densities, and below them the other names of each material."""
    heads = ("material", "mill, hss", "mill, carbide", "drill, hss", "ream, hss", "density")
    speed, metre = ("ft/min", 1000 / MM_PER_FOOT) if units == "inch" else ("m/min", 1.0)
    speeds = [(m.mill.hss, m.mill.carbide, m.drill.hss, m.ream.hss) for m in known]
    columns = (
        console.column((s * metre for s in c), most=1 if metre == 1 else 0)
        for c in zip(*speeds, strict=True)
    )
    rows = zip((m.name for m in known), *columns, (f"{m.density:g}" for m in known), strict=True)
    console.table(heads, rows, units=("", speed, speed, speed, speed, "kg/m3"))
    console.result("")
    console.result("Other names that a job may use:")
    for m in known:
        if m.aliases:
            console.result(f"{m.name}: {', '.join(m.aliases)}")


def cutters(workshop: WorkshopFile = None, as_json: Json = False) -> None:
    """List the cutters of a workshop.

    Without --workshop: those of the built-in bench mill.
    """
    from gcodekit.job.workshop.workshop import bench_mill, load_workshop

    shop = load_workshop(workshop) if workshop else bench_mill()
    ordered = sorted(shop.cutters, key=lambda c: c.number)
    if as_json:
        console.document([_cutter_document(c) for c in ordered])
        return
    _print_cutters(ordered, shop.units)


def _print_cutters(rack: Sequence[Cutter], units: Units) -> None:
    """Print the cutters with their lengths in the workshop's units."""
    heads = ("T", "name", "kind", "diameter", "flutes", "of", "flute length", "stick-out")
    unit = Amounts(units).length_unit
    decimals = 4 if units == "inch" else 3

    def lengths(mm: Iterable[float]) -> list[str]:
        return console.column((v / mm_per(units) for v in mm), most=decimals)

    rows = zip(
        (str(c.number) for c in rack),
        (c.name for c in rack),
        (c.kind for c in rack),
        lengths(c.diameter for c in rack),
        (str(c.flutes) for c in rack),
        (c.material for c in rack),
        lengths(c.flute_length for c in rack),
        lengths(c.stickout for c in rack),
        strict=True,
    )
    console.table(heads, rows, units=("", "", "", unit, "", "", unit, unit))


def _cutter_document(cutter: Cutter) -> dict[str, Any]:
    """The cutter with lengths in mm and the tip angle in degrees; null where one does not apply."""
    from dataclasses import asdict

    pointed = cutter.tip_angle < math.pi
    angle = round(math.degrees(cutter.tip_angle), 6) if pointed else None
    return {**asdict(cutter), "tip_angle": angle}


def posts(posts: Posts = None, as_json: Json = False) -> None:
    """List the posts and what each can write."""
    from gcodekit.post.find import all_posts

    found, faults = all_posts(posts=posts, environment=posts_environment())
    wrong = console.faults(faults)
    if as_json:
        console.document([_post_document(f) for f in found])
    else:
        for each in found:
            _print_post(each)
    if wrong:
        raise typer.Exit(1)


def _print_post(found: FoundPost) -> None:
    """Print a post's name with its description, and below it what it writes."""
    post = found.post
    units = "units as in the job" if post.units == "by job" else f"units {post.units}"
    cycles = f"cycles {' '.join(post.cycles)}" if post.cycles else "no cycles"
    cutters = "one cutter per file" if post.one_cutter_a_file else "several cutters per file"
    console.result(f"{post.name}: {post.description}")
    console.result(f"  {', '.join(_moves(post))}; {cycles}")
    console.result(f"  {units}; {cutters}")
    console.result(f"  {found.source}")


def _moves(post: Post) -> list[str]:
    return ["lines", *(["arcs"] * post.arcs), *(["helices"] * (post.arcs and post.helices))]


def _post_document(found: FoundPost) -> dict[str, Any]:
    post = found.post
    return {
        "name": post.name,
        "description": post.description,
        "units": post.units,
        "moves": _moves(post),
        "cycles": list(post.cycles),
        "one_cutter_a_file": post.one_cutter_a_file,
        "file_ending": post.file_ending,
        "source": found.source,
    }
