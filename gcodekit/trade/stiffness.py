"""How heavy a cut a machine stands: in a word, or as the depth that it takes."""

from __future__ import annotations

from typing import Literal

# A word, or the depth in mm that the machine takes with a 10 mm end mill at full width in mild
# steel.
Rigidity = Literal["light", "medium", "heavy"] | float

# How much of a light machine's depth each machine stands, and how wide a clearing pass it takes, in
# diameters: common practice, no source.
STIFFNESS: dict[Rigidity, float] = {"light": 1.0, "medium": 1.6, "heavy": 2.5}
STEPOVER: dict[Rigidity, float] = {"light": 0.4, "medium": 0.45, "heavy": 0.5}
# What a light machine takes with a 10 mm end mill at full width in mild steel, mm: a rigidity said
# as a depth is measured by it.
LIGHT_DEPTH = 2.0


def stiffness(rigidity: Rigidity) -> float:
    """How much of a light machine's depth a machine stands.

    A depth, mm, is what it takes with a 10 mm end mill at full width in mild steel.

    Examples
    --------
    >>> stiffness("medium"), stiffness(2.0)
    (1.6, 1.0)
    """
    return rigidity / LIGHT_DEPTH if isinstance(rigidity, float) else STIFFNESS[rigidity]


def widest_pass(rigidity: Rigidity) -> float:
    """Width of a clearing pass, in diameters; of a depth, that of the word next below it."""
    if not isinstance(rigidity, float):
        return STEPOVER[rigidity]
    words = [word for word, share in STIFFNESS.items() if share <= stiffness(rigidity) + 1e-9]
    return STEPOVER[words[-1] if words else "light"]


def called(rigidity: Rigidity) -> str:
    """The machine in words."""
    return "this machine" if isinstance(rigidity, float) else f"a {rigidity} machine"
