"""Every table with the names of its keys, on one page."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from gcodekit.job.keys import feature_keys, outline_keys
from gcodekit.job.keys.keys import Key
from gcodekit.job.keys.kind_tables import kind_names
from gcodekit.job.keys.tables import own_keys, standing
from gcodekit.job.reference.long_texts import notes

Row = tuple[str, str]


@dataclass(frozen=True, slots=True)
class TableRows:
    """Rows under a heading: a table's or kind's name, the names of its keys."""

    heading: str
    rows: tuple[Row, ...]


def overview() -> tuple[TableRows, ...]:
    """The job file, its features, its places and outlines, the workshop file, the subjects."""
    return (
        TableRows(
            "The job file",
            (
                _row(
                    "job",
                    "top of the file",
                    besides=("dimensions", "stock", "outlines", "measured", "setup"),
                ),
                ("[dimensions]", "named sizes, for use in quoted numbers"),
                _row("stock", "[stock]"),
                ("[outlines]", "named outlines"),
                _row("measured", "[measured]"),
                _row("setup", "[[setup]]", besides=("hold", "feature", "copy")),
                _row("setup.hold", "[setup.hold]"),
                _row("setup.copy", "[[setup.copy]]"),
            ),
        ),
        TableRows("[[setup.feature]], by kind", tuple(_features())),
        TableRows("Outlines and positions", tuple(_shapes())),
        TableRows(
            "The workshop file",
            (
                _row("machine", "[machine]"),
                _row("cutter", "[[cutter]]"),
                _row("material", "[[material]]"),
            ),
        ),
        TableRows("Subjects", (("", ", ".join(notes().topics)),)),
    )


def _row(address: str, name: str, *, besides: tuple[str, ...] = ()) -> Row:
    keys = standing(address).table.keys
    return name, _names(k for k in keys if k.name not in besides)


def _names(keys: Iterable[Key]) -> str:
    return " ".join(f"{k.name}*" if k.required else k.name for k in keys)


def _features() -> Iterable[Row]:
    for kind in kind_names():
        yield kind, _names(own_keys(kind))
    cutting = feature_keys.CUTTING_KEYS
    yield (
        "all: general",
        _names(
            k for k in feature_keys.FEATURE.keys if k not in (*cutting, *feature_keys.DEPTH_KEYS)
        ),
    )
    yield "all: depth", _names(feature_keys.DEPTH_KEYS)
    yield "all: cutting", _names(cutting)


def _shapes() -> Iterable[Row]:
    placing = tuple(k.name for k in outline_keys.PLACING)
    for shape in outline_keys.SHAPES:
        others = outline_keys.SHAPE_KEYS[shape]
        yield shape, " ".join(others) if others else "a list of outlines"
    yield "any outline", " ".join(placing)
    yield _row("path", "path entry")
    for name in ("row", "grid", "pitch_circle", "polar"):
        yield _row(f"setup.feature.{name}", name)
