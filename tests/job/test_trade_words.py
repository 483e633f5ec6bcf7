"""Trade words: what people ask for leads to a page, or is said plainly not to exist."""

from __future__ import annotations

from collections import Counter

import pytest

from gcodekit.job.reference.look_up import look_up, nearest_word
from gcodekit.job.reference.trade_words import declared_words, spelling, trade_words


def test_every_word_is_declared_once() -> None:
    counted = Counter(spelling(word) for entry in declared_words() for word in entry.words)
    assert [word for word, times in counted.items() if times > 1] == []
    assert len(counted) >= 60


def test_every_word_says_something_and_leads_on() -> None:
    for entry in declared_words():
        assert entry.text or entry.pages, entry.words
        assert entry.pages or entry.see, entry.words
        for page in (*entry.pages, *entry.see):
            assert any(e.sort in ("subject", "kind", "table", "key") for e in look_up(page)), page


@pytest.mark.parametrize(
    ("asked", "first"),
    [
        ("backlash", "machine.backlash"), ("lost motion", "machine.backlash"),
        ("origin", "setup.zero"), ("datum", "setup.zero"), ("doc", "stepdown"), ("WOC", "stepover"),
        ("depth of cut", "stepdown"), ("gouge", "proof"), ("dry run", "proof"),
        ("dryrun", "proof"), ("offsets", "offsets"), ("tool length", "tool_length"),
        ("lead in", "entry"), ("ramp", "entry"), ("Helix", "entry"), ("helical", "entry"),
        ("plunge", "entry"), ("surface speed", "speeds"), ("climb", "direction"),
        ("up-milling", "direction"), ("stepover", "stepover"), ("roughing", "roughing"),
        ("finishing", "finish"), ("chip_load", "chip_load"), ("csk", "setup.feature.countersink"),
        ("workholding", "setup.hold"), ("vice", "setup.hold.vise"), ("clamp", "setup.hold.clamps"),
        ("bridges", "setup.feature.tabs"), ("array", "places"), ("feed-max", "feed_max"),
        ("bolt circle", "setup.feature.pitch_circle"), ("jaw width", "jaw_width"),
        ("imperial", "numbers"), ("edge finder", "edge_finder"), ("rapids", "rapid"),
        ("DRO", "handwheel"),
    ],
)  # fmt: skip
def test_a_word_brings_its_page(asked: str, first: str) -> None:
    pages = [e.name for e in look_up(asked) if e.sort != "trade word"]
    assert pages[0] == first


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("G41", "never written"), ("cutter comp", "compensated path"), ("onion skin", "`skin`"),
        ("tram", "square to the table"), ("probing", "never written"),
        ("undo", "never changes"), ("G54", "`work_offset`"),
        ("STEP", "not read"), ("bench mill", "built-in"),
    ],
)  # fmt: skip
def test_what_does_not_exist_is_said(asked: str, said: str) -> None:
    (text,) = [e.text for e in look_up(asked) if e.sort == "trade word"]
    assert said in text


def test_the_pages_of_a_word_come_once_and_with_its_key() -> None:
    names = [(e.sort, e.title) for e in look_up("ramp")]
    assert len(names) == len(set(names))
    assert ("key", "ramp") in names


@pytest.mark.parametrize("asked", ["tramp", "doge", "gcodes please", "wcz", "dor"])
def test_what_is_only_spelt_a_little_alike_is_not_guessed(asked: str) -> None:
    assert look_up(asked) == ()
    close = nearest_word(asked)
    assert close is None or close in trade_words()


def test_capitals_hyphens_and_underscores_do_not_count() -> None:
    assert look_up("Tool-Length Offset") == look_up("tool length_offset") != ()
