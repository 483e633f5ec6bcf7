"""Pictures that cannot be drawn: a warning each, for the programs they show are proved all the
same."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TypeVar

from gcodekit.errors import Fault, GcodekitError, Place

T = TypeVar("T")
# Of what went wrong no more letters are shown than these: it may quote a whole picture.
LONGEST_REASON = 200


@dataclass(slots=True)
class Pictures:
    """Draws pictures for a run; `warnings`: one for each that could not be drawn."""

    warnings: list[Fault] = field(default_factory=list)

    def drawn(self, what: str, place: Place, draw: Callable[[], T]) -> T | None:
        """Return what `draw` does; None where that fails, which is warned of at `place`."""
        try:
            return draw()
        except GcodekitError as error:
            reason = "; ".join(f.message for f in error.faults)
        except Exception as error:  # whatever it is, it must not cost the programs
            reason = f"{type(error).__name__}: {error}" if str(error) else type(error).__name__
        reason = " ".join(reason.split())[:LONGEST_REASON]
        message = f"the picture of {what} could not be drawn: {reason}"
        self.warnings.append(Fault(place, message, "the programs are not affected", "warning"))
        return None
