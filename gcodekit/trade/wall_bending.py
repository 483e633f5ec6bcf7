"""The deflection of a thin wall under the force of a cut.

Source: beams by their standard formulas, as in Roark's Formulas for Stress and Strain (cantilever
with a load between its ends, beam fixed at both ends with a load at its middle). How much of a long
wall takes part: a load P at the free edge of a long cantilever plate bends it by 0.168 P h^2 / D
there, D = E t^3 / (12 (1 - nu^2)), nu = 0.3 (Jaramillo 1950, in Timoshenko and Woinowsky-Krieger,
Theory of Plates and Shells); a strip that bends as far is 2.18 h wide. From memory of those books.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

# Of a wall's height: the strip of a long wall that bends as far as the whole.
STRIP = 2.18
# Of the way between a wall's two ends: how much of its height holds there, where its free edge is
# pushed. Common practice, no source.
EDGE_STRIP = 0.25
# Of the way round a ring: how long a beam fixed at both ends gives way as far.
RING_SPAN = 2.43 / (2 * math.pi)


@dataclass(frozen=True, slots=True)
class WallShape:
    """A wall of even thickness, mm. `rooted`: it stands on stock; `ends`: how many of its two ends
    run into something thick."""

    height: float
    thickness: float
    length: float
    rooted: bool = True
    ends: int = 0

    def deflection(self, force: float, at: float, modulus: float) -> float:
        """The deflection of its top, mm, under a force in N across it, `at` mm above its foot, with
        a modulus in N/mm2; 0 where neither a foot nor an end is known to hold it.

        Examples
        --------
        >>> round(WallShape(20.0, 1.0, 100.0).deflection(10.0, 20.0, 70_000.0), 3)
        0.105
        """
        upright = self._upright(force, min(at, self.height), modulus) if self.rooted else 0.0
        along = self._along(force, modulus)
        if upright and along and self.ends > 1:
            # foot and ends hold it together
            return 1 / (1 / upright + 1 / along)
        return upright or along

    def _upright(self, force: float, at: float, modulus: float) -> float:
        strip = min(self.length, STRIP * self.height)
        moment = strip * self.thickness**3 / 12
        return force * at**2 * (3 * self.height - at) / (6 * modulus * moment)

    def _along(self, force: float, modulus: float) -> float:
        """Between its ends, or out from the only one."""
        if not self.ends:
            return 0.0
        strip = self.height
        if self.rooted:
            strip = min(strip, EDGE_STRIP * self.length)
        moment = strip * self.thickness**3 / 12
        return force * self.length**3 / ((192 if self.ends > 1 else 3) * modulus * moment)


def ring_shape(height: float, thickness: float, round_: float, *, rooted: bool) -> WallShape:
    """A wall that closes on itself, `round_` mm along it: a ring pushed in from two opposite sides
    gives way on each by 0.0744 F R^3 / (E I) (Roark), as a beam fixed at both ends does that is
    2.43 R long."""
    return WallShape(height, thickness, RING_SPAN * round_, rooted, ends=2)


def thick_enough(thickness: float, deflection: float, allowed: float) -> float:
    """The thickness, mm, at which a wall gives way no more than allowed: it goes with 1 / t^3."""
    return float(thickness * (deflection / allowed) ** (1 / 3))
