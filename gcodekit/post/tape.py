"""The program as it grows, line by line, and what the control knows at its end.

`at` is where the cutter is, in counts; `said` is what the control surely still holds, which is
less after a stop or a cutter change: the operator may have moved the axes.
"""

from __future__ import annotations

import re

from gcodekit.errors import Fault, Place, PostError
from gcodekit.post.comments import messages, remarks
from gcodekit.post.contract import Post
from gcodekit.post.hand_stops import HandWheels
from gcodekit.post.numbers import ControlGrid, seconds
from gcodekit.toolpath.moves import HoleCycle

Counts = tuple[int, int, int]
_LAST_LINE_NUMBER = 99999  # five digits at most: NISTIR 6556, 3.3.1
# Wider remarks do not fit the screens that programs are read on beside a machine.
_REMARK_ROOM = 90
# What is asked of a hand has to be read in one piece, on a control that shows one line.
_HAND_ROOM = 120
_ONE_DIGIT = re.compile(r"\b([GM])(\d)(?![\d.])")


class Tape:
    """Lines of text and modal state.

    Attributes
    ----------
    lines : the text so far
    at : x, y, z in counts, None before the axis was first moved
    true : the same in mm before rounding
    chord_error : how far chords may be off their arc in the operation being written, mm
    """

    def __init__(self, post: Post, grid: ControlGrid, hand: HandWheels | None = None) -> None:
        self.post = post
        self.grid = grid
        self.hand = hand or HandWheels((), grid)
        self.chord_error = post.chord_error
        self.lines: list[str] = []
        self.at: list[int | None] = [None, None, None]
        self.true: list[float] = [0.0, 0.0, 0.0]
        self._said: list[int | None] = [None, None, None]
        self._motion = ""
        self._cycle: tuple[str, ...] = ()
        self._feed = ""

    @property
    def next_line(self) -> int:
        """Number of the line that will be written next, from 1."""
        return len(self.lines) + 1

    @property
    def place(self) -> Counts:
        """The position of the cutter; every axis has been moved by now."""
        x, y, z = self.at
        if x is None or y is None or z is None:
            raise ValueError("a feed before every axis was moved to a known place")
        return x, y, z

    @property
    def placed(self) -> bool:
        """Tell whether the control surely is at a known X and Y."""
        return None not in self._said[:2]

    def comment(self, text: str) -> None:
        """Words for whoever reads the program."""
        if self.post.comments == "none":
            return
        room = min(self.post.longest_line - 8, _REMARK_ROOM)
        self.lines.extend(self._bracketed(piece) for piece in remarks(text, room) if piece)

    def message(self, text: str) -> None:
        """Words for whoever stands at the machine; a stop follows."""
        self.settle()
        if not self._shown:
            self.comment(text)
            return
        for piece in messages(text, min(self.post.longest_line - 16, _REMARK_ROOM)):
            self.lines.append(self._bracketed(f"MSG, {piece}"))

    def _bracketed(self, text: str) -> str:
        return f"({text})" if self.post.comments == "brackets" else f"; {text}"

    def block(self, *words: str) -> None:
        """One line of words that is no motion; empty words are left out.

        A cycle is ended first: a control may repeat it at any block.
        """
        self.leave_cycle()
        self._line(*words)

    def settle(self) -> None:
        """Stop for all that was asked of the hand."""
        for stop in self.hand.told(min(self.post.longest_line - 8, _HAND_ROOM)):
            for text in stop:
                self.lines.append(self._bracketed(f"MSG, {text}" if self._shown else text))
            self._line("M0")
            # so that the program can be taken up again from here
            self._motion = self._feed = ""

    @property
    def _shown(self) -> bool:
        """Tell whether messages are more than comments."""
        return self.post.messages and self.post.comments == "brackets"

    def _line(self, *words: str) -> None:
        self.settle()
        text = " ".join(w for w in words if w)
        if self.post.two_digits:
            text = _ONE_DIGIT.sub(r"\g<1>0\2", text)
        if self.post.line_numbers and not text.startswith(("%", "(", ";")):
            number = (self.next_line * self.post.line_numbers) % (_LAST_LINE_NUMBER + 1)
            text = f"N{number} {text}"
        if len(text) > self.post.longest_line:
            what = f"block of {len(text)} characters: the control reads {self.post.longest_line}"
            raise PostError([Fault(Place(self.post.name), what, "shorten the post's own blocks")])
        self.lines.append(text)

    def restate(self) -> None:
        """Say motion and feed anew: the program may be taken up again from here."""
        self.leave_cycle()
        self._motion = self._feed = ""

    def forget(self, *, hand: bool = False) -> None:
        """The operator or a changer has had the machine: nothing may be left out any more but
        where handwheels stand, which the hand knows, unless `hand` says that it does not."""
        self.restate()
        self._said = [
            s if i in self.hand.axes and not hand else None for i, s in enumerate(self._said)
        ]

    def resume(self) -> None:
        """Back to where the cutter was before a stop, Z first: it was up there."""
        self.forget()
        self._straight_rapid((2,))
        self._straight_rapid((0, 1))

    def rapid(self, x: float | None, y: float | None, z: float | None) -> None:
        """Z alone or X and Y alone; both given are two moves, up before and down after."""
        given = tuple(i for i, v in enumerate((x, y, z)) if v is not None)
        before = self._said[2]
        for i, v in enumerate((x, y, z)):
            if v is not None:
                self.true[i], self.at[i] = v, self.count(i, v)
        rises = before is None or (self.at[2] is not None and self.at[2] > before)
        for axes in ((2,), (0, 1)) if rises else ((0, 1), (2,)):
            self._straight_rapid(tuple(i for i in axes if i in given))

    def count(self, axis: int, mm: float) -> int:
        """A coordinate in counts, on a handwheel as fine as a hand is told."""
        return self.hand.count(mm) if axis in self.hand.axes else self.grid.count(mm)

    def _ask(self, axes: tuple[int, ...], *, cuts: bool) -> None:
        """Have the hand bring these axes to where they are to be."""
        for i in axes:
            place = self.at[i]
            if i in self.hand.axes and place is not None and place != self._said[i]:
                self.hand.ask(i, self._said[i], place, cuts=cuts)
                self._said[i] = place

    def _straight_rapid(self, axes: tuple[int, ...]) -> None:
        words = self._axis_words(tuple(i for i in axes if i not in self.hand.axes))
        if words:
            self._line(self._motion_word("G0"), *words)
        self._ask(axes, cuts=False)

    def feed(self, x: float, y: float, z: float, feed: float) -> None:
        """Straight at a feed; nothing where it rounds to nothing."""
        self.at = [self.count(i, v) for i, v in enumerate((x, y, z))]
        self.true = [x, y, z]
        asked = [i for i in self.hand.axes if self.at[i] != self._said[i]]
        words = self._axis_words(tuple(i for i in range(3) if i not in self.hand.axes))
        if words and asked:
            raise self.hand.at_once(self.post, asked)
        if words:
            self._line(self._motion_word("G1"), *words, self._feed_word(feed))
        self._ask((0, 1, 2), cuts=True)

    def drill(self, hole: HoleCycle) -> None:
        """Have the hand make a hole where the cutter is over it, and come out of it."""
        bottom, out = (self.hand.count(z) for z in (hole.bottom, hole.retract))
        self.hand.drill(bottom, out, hole)
        self.at[2], self._said[2], self.true[2] = out, out, hole.retract

    def dwell(self, time: float, *, rise: float) -> None:
        """Wait some seconds; without G4 rise `rise` mm in that time, or a little more. Where a hand
        is at Z it waits by itself."""
        if self.post.dwells:
            self.block("G4", f"P{seconds(time)}")
            return
        if 2 in self.hand.axes:
            return
        pace = self.grid.slow_feed(rise * 60 / time)
        self.true[2] += max(rise, pace * time / 60, 1 / self.grid.counts_per_mm)
        self.at[2] = self.grid.count(self.true[2])
        words = self._axis_words((2,))
        self._line(self._motion_word("G1"), *words, self._feed_word(pace))

    def arc(
        self, end: Counts, centre: tuple[int, int], *, ccw: bool, feed: float, z_moves: bool
    ) -> None:
        """An arc whose end and centre (from the start) are already on the grid."""
        asked = [i for i in self.hand.axes if i < 2 or z_moves]
        if asked:
            raise self.hand.at_once(self.post, asked)
        self.at = list(end)
        plane = [f"{a}{self.grid.text(c)}" for a, c in zip("XY", end, strict=False)]
        self._said[:2] = end[:2]
        rise = self._axis_words((2,)) if z_moves else []
        offsets = [f"{a}{self.grid.text(c)}" for a, c in zip("IJ", centre, strict=True)]
        motion = self._motion_word("G3" if ccw else "G2")
        self._line(motion, *plane, *rise, *offsets, self._feed_word(feed))

    def cycle(
        self, code: str, level: str, words: tuple[str, ...], place: Counts, up: int, feed: float
    ) -> None:
        """A drilling cycle at `place` (x, y, bottom) that ends at the height `up`.

        In a run of like holes only the places are written.
        """
        sticky = (level, code, *words, f"Z{self.grid.text(place[2])}")
        like = self._cycle == sticky and self.grid.feed(feed) == self._feed
        if not like:
            self.leave_cycle()
            self._said[:2] = [None, None]
        self.at = [place[0], place[1], up]
        xy = self._axis_words((0, 1)) or [f"X{self.grid.text(place[0])}"]
        if like:
            self._line(*xy)
        else:
            self._line(level, code, *xy, sticky[-1], *words, self._feed_word(feed))
        self._cycle, self._motion = sticky, code
        self._said[2] = up

    def leave_cycle(self) -> None:
        """End a run of drilling cycles, if there is one."""
        if self._cycle:
            self._line("G80")
            self._cycle, self._motion = (), ""

    def _motion_word(self, code: str) -> str:
        self.leave_cycle()
        self.settle()
        if code == self._motion:
            return ""
        self._motion = code
        return code

    def _axis_words(self, axes: tuple[int, ...]) -> list[str]:
        words = []
        for i in axes:
            count = self.at[i]
            if count is not None and count != self._said[i]:
                words.append(f"{'XYZ'[i]}{self.grid.text(count)}")
                self._said[i] = count
        return words

    def _feed_word(self, feed: float) -> str:
        text = self.grid.feed(feed)
        if text == self._feed:
            return ""
        self._feed = text
        return f"F{text}"
