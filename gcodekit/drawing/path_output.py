"""A drawing's rings and lines as `[outlines]` of a job file, to be pasted."""

from __future__ import annotations

import re
from collections.abc import Iterator

from gcodekit.drawing.drawing_model import printable
from gcodekit.drawing.listing import Listed, Listing
from gcodekit.geometry.chain import Arc, Chain, Point
from gcodekit.geometry.region import Part

# Decimals of a job's figures: a hundredth of a micrometre, so that areas agree.
JOB_DECIMALS = {"mm": 5, "inch": 7}


def toml_of(listing: Listing) -> Iterator[str]:
    """The lines of TOML. A drawing's name is kept as far as the name of an outline may be so."""
    yield f"# {printable(listing.file)}"
    units = listing.units
    yield f'# units = "{units}"' if units else "# the drawing has no units: those of the job apply"
    if units is None:
        yield "# curves are approximated as if in mm"
    taken: set[str] = set()
    writer = _Writer(listing.mm, JOB_DECIMALS[units or "mm"], taken)
    for entry in listing.entries:
        yield from writer.entry(entry)


class _Writer:
    def __init__(self, mm: float, decimals: int, taken: set[str]) -> None:
        self.mm, self.decimals, self.taken = mm, decimals, taken

    def entry(self, entry: Listed) -> Iterator[str]:
        """One name: its rings, how they go together, and its open lines."""
        name = self._name(entry.name or "outline")
        region = entry.found.region
        open_lines = [x.chain for x in entry.found.loose]
        if region is not None and len(region.rings) == 1:
            yield from self._chain(name, region.rings[0])
        elif region is not None and region.rings:
            yield from self._parts(name, region.parts)
        else:
            open_lines = [*entry.found.rings, *open_lines]
        for i, chain in enumerate(open_lines, 1):
            own = name if len(open_lines) == 1 else self._name(f"{name}_{i}")
            yield from self._chain(own, chain)

    def _parts(self, name: str, parts: tuple[Part, ...]) -> Iterator[str]:
        """Rings one by one, then each part less its holes, and all parts together."""
        wholes: list[str] = []
        for i, part in enumerate(parts, 1):
            own = name if len(parts) == 1 else self._name(f"{name}_{i}")
            if not part.holes:
                yield from self._chain(own, part.outer)
                wholes.append(f'"{own}"')
                continue
            rings = [self._name(f"{own}_rim")]
            yield from self._chain(rings[0], part.outer)
            for k, hole in enumerate(part.holes, 1):
                rings.append(self._name(f"{own}_hole_{k}"))
                yield from self._chain(rings[-1], hole)
            less = ", ".join(f'"{r}"' for r in rings)
            yield from ("", f"[outlines.{own}]", f"minus = [{less}]")
            wholes.append(f'"{own}"')
        if len(parts) > 1:
            yield from ("", f"[outlines.{name}]", f"union = [{', '.join(wholes)}]")

    def _name(self, name: str) -> str:
        """A name that a table of a job file may have, not yet taken."""
        plain = re.sub(r"[^A-Za-z0-9_-]", "_", name)
        found, n = plain, 2
        while found in self.taken:
            found, n = f"{plain}_{n}", n + 1
        self.taken.add(found)
        return found

    def _chain(self, name: str, chain: Chain) -> Iterator[str]:
        yield from ("", f"[outlines.{name}]", "path = [")
        yield f"  {self._point(chain.start)},"
        last = len(chain) - 1
        for i, segment in enumerate(chain):
            to = self._point(segment.end)
            if isinstance(segment, Arc):
                turn = "ccw" if segment.ccw else "cw"
                yield f'  {{ to = {to}, centre = {self._point(segment.centre)}, turn = "{turn}" }},'
            elif i < last or not chain.closed:
                yield f"  {to},"
        yield "]"
        if not chain.closed:
            yield "closed = false"

    def _point(self, p: Point) -> str:
        x, y = (self._number(c) for c in p)
        return f"[{x}, {y}]"

    def _number(self, mm: float) -> str:
        text = f"{mm / self.mm:.{self.decimals}f}".rstrip("0").rstrip(".")
        return "0" if text == "-0" else text
