"""`gcodekit materials`: what a job may be made of."""

from __future__ import annotations

from gcodekit.cli import say
from gcodekit.cli.options import Json, WorkshopFile


def materials(workshop: WorkshopFile = None, as_json: Json = False) -> None:
    """List the materials a job may name, a workshop's own among them, and their cutting speeds."""
    from gcodekit.job.workshop.workshop import load_workshop
    from gcodekit.trade.materials import materials as table

    own = load_workshop(workshop).materials if workshop is not None else ()
    known = (*own, *table())
    if as_json:
        say.document(
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
    rows = [(n, *(say.number(f) for f in fs), ", ".join(a)) for n, fs, a in figures]
    say.table(heads, rows)
    say.result("")
    say.result("Cutting speeds in m/min.")
