"""Lettering on random sheets: no text over another, none outside its frame, every feature named."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from random_sheets import FRAMES, Lettering, Sheet, letterings

from gcodekit.plot.letters import plain
from gcodekit.plot.paper import FRAME

SHEETS, AT_ONCE = 300, 25


def overlapping(found: list[Lettering]) -> Iterator[tuple[str, str]]:
    """Pairs of texts that have room in common, by their left edges."""
    found = sorted(found, key=lambda t: t.box.left)
    for n, one in enumerate(found):
        for other in found[n + 1 :]:
            if other.box.left >= one.box.right:
                break
            if one.box.meets(other.box):
                yield one.text, other.text


@pytest.mark.parametrize("long", [False, True])
@pytest.mark.parametrize("first", range(0, SHEETS, AT_ONCE))
def test_lettering_is_apart_and_in_its_frame(first: int, long: bool) -> None:
    for number in range(first, first + (AT_ONCE // 5 if long else AT_ONCE)):
        sheet = Sheet(number, long=long)
        found = letterings(sheet.svg)
        assert len(found) == sheet.svg.count("<text "), number
        assert not list(overlapping(found)), number
        for text in found:
            assert FRAME.holds(text.box), (number, text)
            assert FRAMES[text.frame].holds(text.box), (number, text)
        named = [t.text for t in found]
        for feature in sheet.features:
            # cut off where it is long, perhaps, but never so that another one might be meant
            head = plain(feature.name)
            assert any((t.rstrip("…") and head.startswith(t.rstrip("…"))) or t.startswith(head)
                       for t in named), (number, head)  # fmt: skip
