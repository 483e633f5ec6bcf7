"""One feature of a set-up: its kind's own keys, its depth, its cutting."""

from __future__ import annotations

from gcodekit.job.feature import Feature
from gcodekit.job.features.depths import read_depth
from gcodekit.job.features.how_cut import read_cutting
from gcodekit.job.features.kind import Base, Surroundings
from gcodekit.job.keys.kind_tables import kind_names, kind_tables
from gcodekit.job.keys.reading import Table
from gcodekit.job.kinds import kinds


def kind_of(table: Table) -> str | None:
    """The feature's kind, its table checked against that kind's keys; None where unknown."""
    if not table.has("kind"):
        table.error("kind", "is missing", f"add kind = one of {', '.join(kind_names())}")
        return None
    kind = table.source.choose(table.below("kind"), table.raw("kind"), kind_names())
    if kind is not None:
        table.as_kind(kind_tables()[kind]).checked(kind=kind)
    return kind


def read_feature(table: Table, name: str, around: Surroundings) -> Feature | None:
    """A feature of a kind that cuts; None where it is at fault."""
    called = str(table.raw("kind"))
    kind = kinds()[called]
    assert kind.read is not None  # a stop is read with its set-up
    depth = read_depth(table, around.metal, kind)
    cutting = read_cutting(table, around.workshop, kind.noun or called, kind)
    build = kind.read(table, around)
    if depth is None or build is None or table.refused:
        return None
    return build(
        Base(
            name=name,
            place=table.source.place(table.path),
            depth=depth,
            cutting=cutting,
            after=table.text("after"),
        )
    )
