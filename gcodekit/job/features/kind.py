"""What a kind of feature has in a job file: its keys, how they go together, and its reader."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal, TypedDict

from gcodekit.errors import Place
from gcodekit.job.feature import Cutting, Depth, Feature, RoughWay, Wrong
from gcodekit.job.features.depths import MetalHeights
from gcodekit.job.features.how_cut import EVERY_WAY
from gcodekit.job.keys.keys import Key, KeyTable
from gcodekit.job.keys.reading import Table
from gcodekit.job.workshop.machine import Workshop

if TYPE_CHECKING:
    from gcodekit.job.outlines.outlines import Outlines

# What can be roughed how: an area in any way, along a line there is but one unless said otherwise.
AREA = EVERY_WAY
ROUND_WAYS: tuple[RoughWay, ...] = ("constant engagement", "contour parallel")
ALONG_LINE: tuple[RoughWay, ...] = ("contour parallel",)

# Ways of saying one thing: each a set of keys.
KeyWays = tuple[tuple[str, ...], ...]
DEPTH_WAYS: KeyWays = (("depth",), ("floor",), ("through",), ("until",))
SIZE_WAYS: KeyWays = (("fit",), ("limits",))


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What a feature stands in."""

    workshop: Workshop
    outlines: Outlines
    metal: MetalHeights


class Base(TypedDict):
    """What every feature has."""

    name: str
    place: Place
    depth: Depth
    cutting: Cutting
    after: str | None


# Keys of every feature that mean nothing to a kind that clears no area.
NO_CLEARING = ("rough", "rough_with", "finish", "allowance", "stepover")

Build = Callable[[Base], Feature]
Reader = Callable[[Table, Surroundings], Build | None]


def _fine(_: Table) -> Wrong | None:
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A kind of feature.

    Parameters
    ----------
    rank : where it stands in lists of kinds
    noun : what one is called in a sentence, where that is not its name
    keys : its own, besides those of every feature
    tables : what stands in tables of its own
    text, example, see : what the reference says of it
    read : from its table; None for what cuts nothing
    ways : how it may be roughed
    meaningless : keys of every feature that mean nothing to it
    without_depth : what is left out where no depth is given: it is at fault, goes right through,
        has none, or has heights of its own instead
    until : whether it may stop at what an earlier set-up has cut
    through_fault : why it cannot go right through
    one_of, not_both : of each group of ways exactly one, or at most one, is taken
    words_with : words of a key that go with another key
    """

    rank: int
    noun: str = ""
    keys: tuple[Key, ...]
    tables: tuple[KeyTable, ...] = ()
    text: str
    example: str
    see: tuple[str, ...]
    read: Reader | None
    ways: tuple[RoughWay, ...] = ALONG_LINE
    meaningless: tuple[str, ...] = ()
    without_depth: Literal["fault", "through", "none", "own"] = "fault"
    until: bool = False
    through_fault: Callable[[Table], Wrong | None] = _fine
    one_of: tuple[KeyWays, ...] = ()
    not_both: tuple[KeyWays, ...] = ()
    words_with: Mapping[str, tuple[str, tuple[str, ...]]] = field(default_factory=dict)

    @property
    def cuts(self) -> bool:
        """Whether it cuts anything."""
        return self.read is not None

    @property
    def barred(self) -> tuple[str, ...]:
        """Keys of every feature that are refused in it."""
        until = () if self.until else ("until",)
        return tuple(dict.fromkeys((*self.meaningless, *until)))
