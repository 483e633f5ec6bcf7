"""What every sheet warns of: the README says the same."""

from __future__ import annotations

from gcodekit.planning.program import Program
from gcodekit.post.header import FIRST_RUN

CAUTIONS = (
    "Wear eye protection. Swarf, broken cutters and loose work fly.",
    "Hold the work so that it cannot move; the proof does not know how strong your clamping is.",
    f"Before cutting: {FIRST_RUN}.",
    "The machine's manual, workshop rules, local codes and licensed practice come before this "
    "sheet.",
)


def cautions_of(program: Program) -> tuple[str, ...]:
    """Those of a program's own cutters, as sentences, then what every sheet warns of."""
    own = (f"{text[:1].upper()}{text[1:]}." for text in program.cautions)
    return (*own, *CAUTIONS)
