"""What the set-ups before have cut: the metal that the one at hand begins with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from gcodekit.job.model import Setup
from gcodekit.job.removed import Removed, Slab
from gcodekit.part.asked import Asked
from gcodekit.part.elsewhere import Elsewhere, removed, surely_gone


@dataclass(frozen=True, slots=True)
class Done:
    """A set-up, what its features ask and what is sure to be gone when it is done. Of one that
    cannot be planned only that is known, as the drawing alone says it."""

    setup: Setup
    asked: tuple[Asked, ...]
    gone: tuple[Slab, ...]

    def seen_from(self, setup: Setup) -> Elsewhere:
        """All it takes or may take, as a later set-up sees it."""
        return Elsewhere(self.setup, self.asked, setup)


def cut_by(setup: Setup, asked: tuple[Asked, ...]) -> Done:
    """A set-up as those after it find it cut."""
    return Done(setup, asked, surely_gone(setup, asked))


def begun(setup: Setup, earlier: Sequence[Done]) -> Setup:
    """The set-up with the metal that those before it, all that there are, have left."""
    gone: tuple[Removed, ...] = tuple(removed(e.setup, e.gone, setup) for e in earlier)
    return replace(setup, gone=gone) if gone else setup
