"""The contract of a post: what it states about its control; the writer does the rest.

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
_LINE = re.compile(r"[!-~]([ -~]*[!-~])?")
# The drilling and boring cycles that the planner has a use for (NISTIR 6556, 3.5.16).
HOLE_CYCLES = ("G81", "G82", "G83", "G84", "G85", "G89")
_FIELDS = re.compile(r"\{(units|work_offset)\}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Post:
    """One dialect: what a control understands and how it likes its numbers.

    Parameters
    ----------
    arcs, helices : without them arcs are cut as chords no further than `chord_error` mm off
    full_circles : an arc may end where it starts; without them a full turn is two arcs
    cycles : those of `HOLE_CYCLES` the control has; holes are plain moves without
    return_levels : G98 and G99; without them every cycle starts from its own R level
    dwells : G4 with P in seconds; without it the cutter rises a little, that slowly
    tool_change : T and M6
    one_cutter_a_file : each cutter's work is a program of its own
    length_offsets : G43 H from the control's table
    units : "by job", or the one unit the control reads
    decimals_mm, decimals_inch : of coordinates; `feed_decimals` follow in the same order
    decimal_point : write whole numbers as ``10.`` for controls that read ``10`` as increments
    arc_rule : by how much an arc's two radii may differ on this control, (mm, inch)
    line_numbers : step between N words, 0 for none
    two_digits : G01 and M03 for G1 and M3
    longest_line : characters, line number included
    comments : "brackets" is ``(text)``, "semicolon" is ``; text``
    messages : whether ``(MSG, text)`` shows the text to the operator
    file_ending : of the program's file
    lead : lines before the header, such as ``%``
    start : blocks after the header; ``{units}`` and ``{work_offset}`` are filled in. What they
        do not say (units, G90, G17, ...) the header asks the operator to set
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
    full_circles: bool = True
    cycles: tuple[str, ...] = HOLE_CYCLES
    return_levels: bool = True
    dwells: bool = True
    tool_change: bool = True
    one_cutter_a_file: bool = False
    length_offsets: bool = True
    units: UnitsHabit = "by job"
    decimals_mm: int = 4
    decimals_inch: int = 5
    feed_decimals: tuple[int, int] = (1, 2)
    decimal_point: bool = False
    arc_rule: tuple[float, float] = (0.002, 0.0002)
    chord_error: float = 0.002
    line_numbers: int = 0
    two_digits: bool = False
    longest_line: int = 256
    comments: CommentStyle = "brackets"
    messages: bool = True
    file_ending: str = ".nc"
    lead: tuple[str, ...] = ()
    start: tuple[str, ...] = ("G17 {units} G90 G94 G40 G49 G80", "{work_offset} G61")
    end: tuple[str, ...] = ("M2",)

    def __post_init__(self) -> None:
        """Refuse what the writer could not honour."""
        for good, text in (
            (
                POST_NAME.fullmatch(self.name),
                f"name {self.name!r} must be one word of letters, digits, _ and -",
            ),
            (
                _ENDING.fullmatch(self.file_ending),
                f"file_ending {self.file_ending!r} is not a file ending",
            ),
            (
                self.comments in ("brackets", "semicolon", "none"),
                f"comments {self.comments!r}: must be brackets, semicolon or none",
            ),
            (
                self.units in ("by job", "mm", "inch"),
                f"units {self.units!r}: must be by job, mm or inch",
            ),
            (2 <= self.decimals_mm <= 6, f"decimals_mm {self.decimals_mm}: must be 2 to 6"),
            (3 <= self.decimals_inch <= 7, f"decimals_inch {self.decimals_inch}: must be 3 to 7"),
            (
                60 <= self.longest_line <= 256,
                f"longest_line {self.longest_line}: must be 60 to 256",
            ),
            (
                0 <= self.line_numbers <= 1000,
                f"line_numbers {self.line_numbers}: must be 0 to 1000",
            ),
            (
                min(self.arc_rule) > 0 < self.chord_error,
                "arc_rule and chord_error must be greater than 0",
            ),
            (all(0 <= d <= 4 for d in self.feed_decimals), "feed_decimals must be 0 to 4"),
            (
                # ("M2") is no tuple and would be written letter by letter
                all(isinstance(v, tuple) for v in (self.lead, self.start, self.end, self.cycles)),
                'lead, start, end and cycles must be tuples, even of one: ("M2",)',
            ),
            (
                set(self.cycles) <= set(HOLE_CYCLES),
                f"cycles {self.cycles!r}: choose from {HOLE_CYCLES}",
            ),
            (
                # nothing else in the text would tell one cutter's cuts from the next one's
                self.tool_change or self.one_cutter_a_file,
                "tool_change=False needs one_cutter_a_file=True",
            ),
            *(
                (
                    _LINE.fullmatch(line) and len(line) <= self.longest_line,
                    f"line {line!r} is too long or not plain ASCII",
                )
                for line in self.own_lines
            ),
        ):
            if not good:
                raise ValueError(text)

    @property
    def own_lines(self) -> tuple[str, ...]:
        """All lines that are the post's own words."""
        return (*self.lead, *self.start, *self.end)

    def says(self, word: str) -> bool:
        """Tell whether the start blocks hold a word, such as "G90"."""
        return any(word in block.split() for block in self.start)

    def start_blocks(self, *, units: str, work_offset: str) -> tuple[str, ...]:
        """The start blocks with this program's units and work offset put in.

        Examples
        --------
        >>> Post(name="p", description="").start_blocks(units="G21", work_offset="G54")[1]
        'G54 G61'
        """
        words = {"units": units, "work_offset": work_offset}
        return tuple(_FIELDS.sub(lambda m: words[m[1]], block) for block in self.start)
