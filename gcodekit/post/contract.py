"""What a post must state about its control; the writer does the rest.

A post is a Python file that binds the name `post`::

    from gcodekit.post.contract import Post

    post = Post(name="my_mill", description="The mill in the shed", helices=False)

Whatever the control cannot do is worked out in plain moves.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

CommentStyle = Literal["brackets", "semicolon", "none"]
UnitsHabit = Literal["by job", "mm", "inch"]

POST_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,63}")
_ENDING = re.compile(r"\.[A-Za-z0-9]{1,8}")
_FIELDS = re.compile(r"\{(units|work_offset)\}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Post:
    """One dialect: what a control understands and how it likes its numbers.

    Parameters
    ----------
    arcs, helices : without them arcs are cut as chords no further than `chord_error` mm off
    cycles : drilling cycles G81 to G89; without them plain moves
    tool_change : T and M6; without them a change is a message and a stop
    length_offsets : G43 H from the control's table
    one_cutter_a_file : every cutter change begins a file of its own, whatever the machine says
    units : "by job", or the one unit the control reads
    decimals_mm, decimals_inch : of coordinates; `feed_decimals` follow in the same order
    decimal_point : write whole numbers as ``10.`` for controls that read ``10`` as increments
    arc_rule : by how much an arc's two radii may differ on this control, (mm, inch)
    line_numbers : step between N words, 0 for none
    longest_line : characters, line number included
    comments : "brackets" is ``(text)``, "semicolon" is ``; text``
    messages : whether ``(MSG, text)`` shows the text to the operator
    file_ending : of the program's file
    start : blocks after the header; ``{units}`` and ``{work_offset}`` are filled in
    end : the last blocks, after Z up, coolant off, spindle off and parking

    Raises
    ------
    ValueError
        When a value makes no sense; the text says which.
    """

    name: str
    description: str
    arcs: bool = True
    helices: bool = True
    cycles: bool = True
    tool_change: bool = True
    length_offsets: bool = True
    one_cutter_a_file: bool = False
    units: UnitsHabit = "by job"
    decimals_mm: int = 4
    decimals_inch: int = 5
    feed_decimals: tuple[int, int] = (1, 2)
    decimal_point: bool = False
    arc_rule: tuple[float, float] = (0.002, 0.0002)
    chord_error: float = 0.002
    line_numbers: int = 0
    longest_line: int = 256
    comments: CommentStyle = "brackets"
    messages: bool = True
    file_ending: str = ".nc"
    start: tuple[str, ...] = ("G17 {units} G90 G94 G40 G49 G80", "{work_offset} G61")
    end: tuple[str, ...] = ("M2",)

    def __post_init__(self) -> None:
        """Refuse what the writer could not honour."""
        for good, text in (
            (POST_NAME.fullmatch(self.name), f"name {self.name!r} is not one plain word"),
            (_ENDING.fullmatch(self.file_ending), f"file_ending {self.file_ending!r}"),
            (self.comments in ("brackets", "semicolon", "none"), f"comments {self.comments!r}"),
            (self.units in ("by job", "mm", "inch"), f"units {self.units!r}"),
            (2 <= self.decimals_mm <= 6, f"decimals_mm {self.decimals_mm}, 2 to 6"),
            (3 <= self.decimals_inch <= 7, f"decimals_inch {self.decimals_inch}, 3 to 7"),
            (60 <= self.longest_line <= 256, f"longest_line {self.longest_line}, 60 to 256"),
            (0 <= self.line_numbers <= 1000, f"line_numbers {self.line_numbers}, 0 to 1000"),
            (min(self.arc_rule) > 0 < self.chord_error, "arc_rule and chord_error above 0"),
            (all(0 <= d <= 4 for d in self.feed_decimals), "feed_decimals, 0 to 4"),
        ):
            if not good:
                raise ValueError(text)

    def start_blocks(self, *, units: str, work_offset: str) -> tuple[str, ...]:
        """The start blocks with this program's units and work offset put in.

        Examples
        --------
        >>> Post(name="p", description="").start_blocks(units="G21", work_offset="G54")[1]
        'G54 G61'
        """
        words = {"units": units, "work_offset": work_offset}
        return tuple(_FIELDS.sub(lambda m: words[m[1]], block) for block in self.start)
