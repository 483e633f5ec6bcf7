"""The signs of a sheet, with what they mean: samples for the key."""

from __future__ import annotations

from collections.abc import Callable

from gcodekit.plot.break_lines import zigzag
from gcodekit.plot.line_types import BLANK, CENTRE, CLEARANCE, HIDDEN, NARROW, PATH, RAPID, WIDE
from gcodekit.plot.marks import zero_mark
from gcodekit.plot.paper import (
    BODY,
    INK,
    METAL,
    SOFT,
    SWEPT,
    PaperBox,
    line,
    number,
    rectangle,
    tag,
)
from gcodekit.plot.tab_marks import diamond, tab_sign

# A sample's width, mm.
SAMPLE = 8.5

# Draws one with its left end at a place.
Sample = Callable[[float, float], str]


def stroke(ink: str, width: float, dash: str = "none") -> Sample:
    """A line of this ink, width and dash."""

    def sample(x: float, y: float) -> str:
        ends = (x, y, x + SAMPLE, y)
        return line(*ends, stroke=ink, stroke_width=width, stroke_dasharray=dash)

    return sample


def _swatch(**ink: str | float) -> Sample:
    def sample(x: float, y: float) -> str:
        return rectangle(PaperBox(x, y - 1.3, x + SAMPLE, y + 1.3), **ink)

    return sample


def signs_of(
    *,
    drawn: bool,
    metal: str,
    blank: bool,
    held: str,
    tabs: bool,
    touches: bool,
    clearance: bool,
    rounds: bool,
    left_out: str = "",
) -> list[tuple[Sample, str]]:
    """The signs that a sheet has, with what they mean."""
    x_mid = SAMPLE / 2
    edge: dict[str, str | float] = {"stroke": INK, "stroke_width": NARROW}
    edge |= {"stroke_dasharray": BLANK} if blank else {"stroke_width": WIDE}
    found: list[tuple[Sample, str] | None] = [
        (stroke(INK, WIDE), "edge of the part") if drawn else None,
        (stroke(INK, NARROW, HIDDEN), "hidden edge") if drawn else None,
        (stroke(INK, NARROW, CENTRE), "centre line") if rounds else None,
        (_swatch(fill=METAL, **edge), metal) if metal else None,
        (_swatch(fill=BODY, stroke=SOFT, stroke_width=NARROW), held) if held else None,
        (_break, left_out) if left_out else None,
        (_swatch(fill=SWEPT), "swept by cutter"),
        (stroke(SOFT, PATH, RAPID), "rapid move"),
        (stroke(SOFT, NARROW, CLEARANCE), "clearance") if metal and clearance else None,
        (lambda x, y: zero_mark(x + x_mid, y, 1.6), "program zero"),
        (_plunge, "plunge or hole"),
        (_tab, "tab") if tabs else None,
        (lambda x, y: diamond(x + x_mid, y, 1.6), "touch off") if touches else None,
    ]
    return [sign for sign in found if sign is not None]


def _plunge(x: float, y: float) -> str:
    data = f"M{number(x + SAMPLE / 2 - 0.9)} {number(y)}h1.8m-.9-.9v1.8"
    return tag("path", d=data, stroke=INK, stroke_width=0.3)


def _break(x: float, y: float) -> str:
    points = zigzag((x, y), (x + SAMPLE, y))
    data = "M" + "L".join(f"{number(u)} {number(v)}" for u, v in points)
    return tag("path", d=data, stroke=INK, stroke_width=NARROW)


def _tab(x: float, y: float) -> str:
    return tab_sign(f"M{number(x + SAMPLE / 2 - 2.2)} {number(y - 1.3)}h4.4v2.6h-4.4Z")
