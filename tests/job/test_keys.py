"""The declared keys: whole, told apart from those not yet supported, each with its meaning."""

from __future__ import annotations

import pytest

from gcodekit.job.keys import feature_keys, job_keys, outline_keys, workshop_keys
from gcodekit.job.keys.keys import KeyTable
from gcodekit.job.keys.kind_tables import inner_tables, kind_names, kind_tables
from gcodekit.job.keys.not_yet import KEYS

TABLES: list[KeyTable] = [
    value
    for module in (job_keys, outline_keys, workshop_keys, feature_keys)
    for value in vars(module).values()
    if isinstance(value, KeyTable)
]
TABLES += [*inner_tables(), *kind_tables().values()]


@pytest.mark.parametrize("table", TABLES, ids=lambda t: t.header)
def test_every_key_says_what_it_means_once(table: KeyTable) -> None:
    assert len(set(table.names)) == len(table.names)
    for key in table.keys:
        assert key.meaning
        assert not (key.required and key.default is not None)
        # the kinds are found, not declared
        if key.kind == "choice" and key.name != "kind":
            assert key.choices
            assert key.default is None or key.default in key.choices


def test_a_key_is_either_read_or_not_yet() -> None:
    # a kind may read what the rest of the features do not yet: its own keys say so
    kinds = kind_tables().values()
    for table in (t for t in TABLES if t not in kinds):
        assert not set(table.names) & set(KEYS.get(table.header, ())), table.header
    for kind, table in kind_tables().items():
        assert not set(table.names) & set(KEYS.get(kind, ())), kind


def test_what_is_not_yet_stands_in_a_known_table() -> None:
    headers = {t.header for t in TABLES} | set(kind_names())
    assert set(KEYS) <= headers


# Every key the contract's page gives a feature, by kind, besides the common ones.
@pytest.mark.parametrize(
    ("kind", "own"),
    [
        ("face", "outline leave"),
        ("pocket", "outline islands corner fit limits"),
        ("slot", "from to width path ends fit limits"),
        ("profile", "outline path side tabs skin fit limits"),
        ("boss", "outline outlines within fit limits"),
        ("bore", "diameter fit limits bush finish_with at row grid pitch_circle polar"),
        (
            "hole",
            "diameter fit limits bush spot pilot peck ream thread drill_depth tapping counterbore "
            "countersink",
        ),
    ],
)
def test_a_kind_has_its_keys(kind: str, own: str) -> None:
    common = (
        "name kind depth floor through until top cutter rough_with rough finish allowance "
        "spring_passes cut speed feed plunge_feed stepdown stepover after copies "
        "from_setup"
    )
    known = {*kind_tables()[kind].names, *KEYS.get(kind, ())}
    assert {*own.split(), *common.split()} <= known
