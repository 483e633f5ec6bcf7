"""Lengths, feeds and cutting speeds as a table shows them: in mm, or in inch where asked."""

from __future__ import annotations

from dataclasses import dataclass

from gcodekit.units import MM_PER_INCH, Units

MM_PER_FOOT = 12 * MM_PER_INCH


@dataclass(frozen=True, slots=True)
class Amounts:
    """Figures with their unit, all of one kind with the same number of decimals."""

    units: Units

    @property
    def length_unit(self) -> str:
        """The unit of lengths."""
        return "in" if self.units == "inch" else "mm"

    def length(self, mm: float) -> str:
        """The depth or width of a cut."""
        return f"{mm / MM_PER_INCH:.4f} in" if self.units == "inch" else f"{mm:.2f} mm"

    def fine(self, mm: float) -> str:
        """A chip or a deflection."""
        return f"{mm / MM_PER_INCH:.5f} in" if self.units == "inch" else f"{mm:.4f} mm"

    def size(self, mm: float) -> str:
        """A size of a cutter, without idle zeros."""
        value = f"{mm / MM_PER_INCH:.4f}" if self.units == "inch" else f"{mm:.3f}"
        return f"{value.rstrip('0').rstrip('.')} {self.length_unit}"

    def feed(self, feed: float) -> str:
        """A feed, given in mm/min."""
        return f"{feed / MM_PER_INCH:.2f} in/min" if self.units == "inch" else f"{feed:.1f} mm/min"

    def surface(self, surface: float) -> str:
        """A cutting speed, given in m/min."""
        if self.units == "inch":
            return f"{1000 * surface / MM_PER_FOOT:.0f} ft/min"
        return f"{surface:.1f} m/min"
