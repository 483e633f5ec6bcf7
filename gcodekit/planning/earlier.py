"""What the set-ups before have cut: the metal that the one at hand begins with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from gcodekit.job.model import Setup
from gcodekit.job.stock.removed import Slab
from gcodekit.job.stock.taken import offcuts
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


def taken_out(setup: Setup, earlier: Sequence[Done]) -> Sequence[Done]:
    """The set-ups whose offcuts are no longer there: those before the last that is loose."""
    loose = [i for i, s in enumerate((*(e.setup for e in earlier), setup)) if s.loose]
    return earlier[: loose[-1]] if loose else ()


def begun(setup: Setup, earlier: Sequence[Done]) -> Setup:
    """The set-up with the metal that those before it, all that there are, have left."""
    gone = [*setup.missing, *(removed(e.setup, e.gone, setup) for e in earlier)]
    gone += [removed(e.setup, offcuts(e.setup), setup) for e in taken_out(setup, earlier)]
    return replace(setup, gone=tuple(gone)) if gone else setup
