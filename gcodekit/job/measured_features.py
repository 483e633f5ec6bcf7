"""[measured]: what was measured of features after a finishing pass, read and held against the
drawing. Stock can be cut away and not put back: a size past the one aimed at is refused."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from gcodekit.expr import nearest
from gcodekit.job.document.wording import listed, quoted
from gcodekit.job.feature import Feature
from gcodekit.job.keys import job_keys
from gcodekit.job.keys.reading import Table
from gcodekit.job.measured import Gauged, Measured, SizeAcross
from gcodekit.job.model import Setup

# A size that is farther off than this, mm, is another size, or read wrongly: no cutter wears and
# no cutter bends as much. Common practice, no source.
MOST_OFF = 1.0
# What is given to three decimals is off its size by less than this, mm.
ROUNDED = 0.002
# A size that is past another by less than this, mm, is not: what adding up leaves.
SAME_SIZE = 1e-6


def with_measured(top: Table, setups: tuple[Setup, ...]) -> tuple[Setup, ...]:
    """The set-ups with what was measured of their features. What is said of a feature with copies
    is said of those as well that have no entry of their own."""
    raw = top.raw("measured")
    if raw is None:
        return setups
    if not isinstance(raw, dict):
        hint = 'write [measured], and "feature name" = { nominal = 20, measured = 19.94 } below it'
        top.error("measured", "is not a table", hint)
        return setups
    whole = not top.source.faults.errors  # else features may be missing that the file has
    known = {f.name: f for setup in setups for f in setup.features}
    found: dict[str, Measured] = {}
    for name, value in raw.items():
        table = top.entry(("measured", name), value, job_keys.MEASURED)
        if name not in known and whole:
            top.error(
                ("measured", name), f"no feature is called {quoted(name)}", _near(name, known)
            )
        if table is not None and name in known:
            found[name] = _Readings(table, known[name]).read()
    return tuple(replace(s, features=tuple(_noted(s.features, found))) for s in setups)


def _near(name: str, known: Iterable[str]) -> str:
    close = nearest(name, known)
    if close:
        return f"did you mean {quoted(close)}?"
    return f"choose from {', '.join(map(quoted, known))}"


def _noted(features: tuple[Feature, ...], found: dict[str, Measured]) -> Iterator[Feature]:
    for feature in features:
        measured = found.get(feature.name) or found.get(feature.copy_of)
        yield replace(feature, measured=measured) if measured is not None else feature


@dataclass(frozen=True, slots=True)
class _Readings:
    """The entry of one feature."""

    table: Table
    feature: Feature

    def read(self) -> Measured:
        """What was measured, without what is at fault."""
        if not self.table.given(*job_keys.MEASURED.names) and not self.table.source.faults.errors:
            self.table.error(
                "",
                "nothing is measured",
                "give nominal and measured, or depth_nominal and depth_measured",
            )
        size, depth = (
            self._pair("nominal", "measured"),
            self._pair("depth_nominal", "depth_measured"),
        )
        return Measured(
            size=size if size and self._is_of_size(size) else None,
            depth=depth if depth and self._is_of_depth(depth) else None,
            place=self.table.source.place(self.table.path),
        )

    def _pair(self, aimed: str, found: str) -> Gauged | None:
        given = self.table.given(aimed, found)
        if len(given) == 1:
            other = found if given[0] == aimed else aimed
            if self.table.misspelt(other):
                return None
            self.table.error(given[0], f"{other} is missing beside it", f"give {other} as well")
        lengths = [self.table.length(name) for name in (aimed, found)]
        return None if None in lengths else Gauged(lengths[0] or 0.0, lengths[1] or 0.0)

    def _say(self, mm: float) -> str:
        return self.table.source.say(mm)

    # -- the size across ---------------------------------------------------------------------

    def _is_of_size(self, size: Gauged) -> bool:
        """Tell whether it can be made up for; what is wrong is noted."""
        across = self.feature.across()
        if not isinstance(across, SizeAcross):
            self.table.error("nominal", *across)
            return False
        if why := self.feature.in_one_pass():
            self.table.error("nominal", why, "remove this entry, or that key of the feature")
            return False
        drawn = self._size_meant(size.aimed, across)
        if drawn is None:
            return False
        if self._is_past(size, drawn, inside=across.inside):
            return False
        short = size.aimed - size.found if across.inside else size.found - size.aimed
        return self._is_believed("measured", short, size)

    def _size_meant(self, aimed: float, across: SizeAcross) -> float | None:
        """The size of the drawing that is meant, the one aimed at where the drawing has none."""
        if not across.sizes:
            return aimed
        drawn = min(across.sizes, key=lambda s: abs(s - aimed))
        if abs(drawn - aimed) > MOST_OFF:
            sizes = listed([self._say(s) for s in across.sizes])
            text = f"{self._say(aimed)} is not a size of {self.feature.name}"
            self.table.error("nominal", text, f"give the size that was measured: {sizes}")
            return None
        less = drawn - aimed if across.inside else aimed - drawn
        if less > ROUNDED:
            self.table.warn(
                "nominal",
                f"a program of this drawing aims at {self._say(drawn)}, not {self._say(aimed)}",
                f"write nominal = {self._say(drawn).split()[0]}, unless the last one did otherwise",
            )
            return aimed
        return drawn

    def _is_past(self, size: Gauged, drawn: float, *, inside: bool) -> bool:
        """Tell whether it is past what is aimed at; then that is noted."""
        furthest = min(size.aimed, drawn) if inside else max(size.aimed, drawn)
        past = size.found - furthest if inside else furthest - size.found
        if past <= SAME_SIZE:
            return False
        band = self.feature.band
        limits = [(s + band.lower, s + band.upper) for s in band.sizes] if band else []
        for least, most in limits:
            if least - SAME_SIZE <= size.found <= most + SAME_SIZE:
                text = f"{self._say(size.found)} is within its limits"
                hint = f"they are {self._say(least)} to {self._say(most)}: delete this entry"
                self.table.error("measured", text, hint)
                return True
        large = "large" if inside else "small"
        self.table.error(
            "measured",
            f"{self.feature.name} is already {self._say(past)} too {large}: "
            f"{self._say(size.found)} is past {self._say(furthest)}",
            "no pass can put stock back: delete this entry, and for the next part give the "
            "cutter's diameter as measured",
        )
        return True

    # -- the depth ---------------------------------------------------------------------------

    def _is_of_depth(self, depth: Gauged) -> bool:
        """Tell whether it can be made up for; what is wrong is noted."""
        feature = self.feature
        if why := feature.no_floor():
            self.table.error("depth_nominal", why, "remove it")
            return False
        drawn = feature.depth.top - feature.depth.floor
        if abs(depth.aimed - drawn) > MOST_OFF:
            text = f"{self._say(depth.aimed)} is not the depth of {feature.name}"
            self.table.error("depth_nominal", text, f"it is {self._say(drawn)}")
            return False
        past = depth.found - min(depth.aimed, drawn)
        if past > SAME_SIZE:
            self.table.error(
                "depth_measured",
                f"{feature.name} is already {self._say(past)} too deep: {self._say(depth.found)} "
                f"is past {self._say(min(depth.aimed, drawn))}",
                "no pass can put stock back: delete this entry, and set the height of the cutter "
                "again",
            )
            return False
        return self._is_believed("depth_measured", depth.aimed - depth.found, depth)

    def _is_believed(self, key: str, short: float, found: Gauged) -> bool:
        """Tell whether a cutter can have left so much; then that is noted."""
        if short <= MOST_OFF:
            return True
        self.table.error(
            key,
            f"{self._say(found.found)} is {self._say(short)} off {self._say(found.aimed)}: no "
            "finishing pass takes as much",
            f"check the reading; at most {self._say(MOST_OFF)} can be made up for",
        )
        return False
