"""`gcodekit materials`, `cutters` and `posts`: what a job may be made of, with and written for."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import typer

from gcodekit.cli import console
from gcodekit.cli.options import Json, Posts, WorkshopFile, posts_environment

if TYPE_CHECKING:
    from gcodekit.post.contract import Post
    from gcodekit.post.find import FoundPost
    from gcodekit.trade.cutter import Cutter


def materials(workshop: WorkshopFile = None, as_json: Json = False) -> None:
    """List the materials a job may name, a workshop's own among them, and their cutting speeds."""
    from gcodekit.job.workshop.workshop import load_workshop
    from gcodekit.trade.materials import materials as table

    own = load_workshop(workshop).materials if workshop is not None else ()
    known = (*own, *table())
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
    heads = ("material", "mill, hss", "carbide", "drill, hss", "ream, hss", "kg/m3", "also called")
    figures = (
        (m.name, (m.mill.hss, m.mill.carbide, m.drill.hss, m.ream.hss, m.density), m.aliases)
        for m in known
    )
    rows = [(n, *(console.number(f) for f in fs), ", ".join(a)) for n, fs, a in figures]
    console.table(heads, rows)
    console.result("")
    console.result("Cutting speeds in m/min.")


def cutters(workshop: WorkshopFile = None, as_json: Json = False) -> None:
    """List the cutters of a workshop file, or of the built-in bench mill."""
    from gcodekit.job.workshop.workshop import bench_mill, load_workshop

    rack = (load_workshop(workshop) if workshop else bench_mill()).cutters
    ordered = sorted(rack, key=lambda c: c.number)
    if as_json:
        console.document([_cutter_document(c) for c in ordered])
        return
    heads = ("T", "name", "kind", "diameter", "flutes", "of", "flute length", "stickout")
    console.table(heads, [_cutter_row(c) for c in ordered])
    console.result("")
    console.result("Lengths in mm.")


def _cutter_row(cutter: Cutter) -> tuple[str, ...]:
    lengths = (cutter.flute_length, cutter.stickout)
    return (
        str(cutter.number),
        cutter.name,
        cutter.kind,
        console.number(cutter.diameter),
        str(cutter.flutes),
        cutter.material,
        *(console.number(v) for v in lengths),
    )


def _cutter_document(cutter: Cutter) -> dict[str, Any]:
    """Lengths in mm, the tip angle in degrees; what does not apply is null."""
    from dataclasses import asdict

    pointed = cutter.tip_angle < math.pi
    angle = round(math.degrees(cutter.tip_angle), 6) if pointed else None
    return {**asdict(cutter), "tip_angle": angle}


def posts(posts: Posts = None, as_json: Json = False) -> None:
    """List the posts, what each writes as it is, and where they were found."""
    from gcodekit.post.find import all_posts

    found, faults = all_posts(posts=posts, environment=posts_environment())
    wrong = console.faults(faults)
    if as_json:
        console.document([_post_document(f) for f in found])
    else:
        heads = ("name", "description", "units", "moves", "cycles", "cutters", "found in")
        console.table(heads, [_post_row(f) for f in found])
    if wrong:
        raise typer.Exit(1)


def _post_row(found: FoundPost) -> tuple[str, ...]:
    post = found.post
    cutters = "one a file" if post.one_cutter_a_file else "any number"
    cycles = " ".join(post.cycles) or "none"
    units, moves = post.units, ", ".join(_moves(post))
    return (post.name, post.description, units, moves, cycles, cutters, found.source)


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
