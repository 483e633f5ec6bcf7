"""The table of single-stroke letters: what is in it, its heights, and the acknowledgement that has
to go with it."""

from __future__ import annotations

import string
from importlib.resources import files

import pytest

from gcodekit.drawing.single_stroke import CAPITALS, letter, letters, spelt, unknown_sign

# What a workshop writes: A to Z, digits and the signs of drawings.
WORKSHOP = string.ascii_letters + string.digits + "Ø±°\"'/%.,:;-+=()#&×µ"
# Capitals that go below the line they stand on.
TAILED = "Q"


def test_it_has_what_a_workshop_writes() -> None:
    assert unknown_sign(WORKSHOP) is None
    assert all(letter(sign) and letter(sign).strokes for sign in WORKSHOP)  # type: ignore[union-attr]  # not None by what stands before


@pytest.mark.parametrize("sign", string.ascii_uppercase + string.digits)
def test_capitals_and_figures_are_as_high_as_one_another(sign: str) -> None:
    """The simplex roman's capitals are 21 units high (NBS Special Publication 424)."""
    found = letter(sign)
    assert found is not None
    ys = [y for stroke in found.strokes for _, y in stroke]
    assert max(ys) == CAPITALS == 21
    assert min(ys) == (-2 if sign in TAILED else 0)


@pytest.mark.parametrize("sign", [s for s in letters() if s.isprintable() and letter(s)])
def test_no_stroke_leaves_its_letters_width(sign: str) -> None:
    found = letter(sign)
    assert found is not None
    assert all(0 <= x <= found.width for stroke in found.strokes for x, _ in stroke)
    assert all(len(stroke) > 1 for stroke in found.strokes)


@pytest.mark.parametrize(
    ("sign", "strokes", "top"),
    [("é", 2, 21), ("É", 5, 28), ("ü", 4, 19), ("Å", 4, 28), ("ç", 2, 14), ("í", 2, 21)],
)
def test_accents_stand_over_their_letters(sign: str, strokes: int, top: float) -> None:
    """A dot gives way to the accent; a cedilla hangs below."""
    found = letter(sign)
    assert found is not None
    assert (len(found.strokes), found.top) == (strokes, top)


@pytest.mark.parametrize(
    ("text", "unknown"),
    [
        ("No 7", None),
        ("e\N{COMBINING ACUTE ACCENT}", None),
        ("5 Ω", ("Ω", 3)),
        ("a{n}", ("{", 2)),
        ("\N{COMBINING ACUTE ACCENT}e", ("\N{COMBINING ACUTE ACCENT}", 1)),
    ],
)
def test_an_unknown_sign_is_found_with_its_place(text: str, unknown: tuple[str, int]) -> None:
    assert unknown_sign(text) == unknown


def test_a_text_is_spelt_letter_by_letter() -> None:
    assert [found.width for found in spelt("I 1")] == [8, 16, 20]


def test_the_acknowledgement_is_with_the_letters() -> None:
    text = files("gcodekit.drawing").joinpath("data/simplex_letters.txt").read_text("utf-8")
    plain = " ".join(text.replace("//", " ").split())
    assert (
        "The Hershey Fonts were originally created by Dr. A. V. Hershey while working at the U. S. "
        "National Bureau of Standards."
    ) in plain
    assert "originally created by James Hurt, Cognition, Inc." in plain
    assert "must be distributed with the letters" in plain
