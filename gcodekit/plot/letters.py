"""How wide lettering is on the paper, and text made to fit: reckoned with the widest of the faces
that the sheet asks for, so that what fits here fits whatever face is found."""

from __future__ import annotations

import re

# What XML 1.0 does not allow in a document (section 2.2, Char).
_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
# Advance widths in type sizes of the widest face asked for, DejaVu Sans, as its own table has them.
_WIDTHS = {
    0.30: "'ijlIJ",
    0.34: " ,./:;\\|",
    0.40: "f-()[]t!r",
    0.52: '"*_`°–sz',
    0.60: "?cLFkvxyP",
    0.64: "TYaoeESbdghnpqu$0123456789{}",
    0.70: "KAVBRXZC",
    0.80: "UHNDG&OQØw",
    0.87: "#+<=>^~×−M",
    1.00: "%mW@…",
}
_WIDTH = {letter: width for width, letters in _WIDTHS.items() for letter in letters}
# A letter that is not in the table, and how much wider bold lettering is: the most of any letter
# but `i`, `j` and `l`, which are seldom alone.
_OTHER, _BOLD = 1.0, 1.16


def plain(text: str) -> str:
    """Text of unknown origin on one line, without what XML cannot hold."""
    return " ".join(_NOT_XML.sub("\ufffd", text).split())


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """The width of a line of text, mm."""
    wide = sum(_WIDTH.get(letter, _OTHER) for letter in plain(text))
    return wide * size * (_BOLD if bold else 1.0)


def fitted(text: str, width: float, size: float, *, bold: bool = False) -> str:
    """Text cut off with an ellipsis where it would be wider than `width`."""
    text = plain(text)
    room = width / (size * (_BOLD if bold else 1.0))
    used = 0.0
    for at, letter in enumerate(text):
        used += _WIDTH.get(letter, _OTHER)
        if used > room:
            return _cut_off(text[:at], room)
    return text


def _cut_off(text: str, room: float) -> str:
    """Its beginning, as much as leaves room for the ellipsis."""
    while text and sum(_WIDTH.get(c, _OTHER) for c in text) + _WIDTH["…"] > room:
        text = text[:-1]
    return text.rstrip() + "…"


def wrapped(text: str, width: float, size: float, *, lines: int, indent: float = 0.0) -> list[str]:
    """Text broken between words into at most so many lines, the first of them narrower by
    `indent`."""
    out = [""]
    for word in plain(text).split():
        longer = f"{out[-1]} {word}".strip()
        room = width - (indent if len(out) == 1 else 0.0)
        if text_width(longer, size) <= room or (not out[-1] and len(out) > 1):
            out[-1] = longer
        else:
            out.append(word)
    if len(out) > lines:
        out[lines - 1] += " " + " ".join(out[lines:])
    return [fitted(t, width - (0.0 if n else indent), size) for n, t in enumerate(out[:lines])]
