"""What a set-up takes over from those before it: the axis of a feature for zero, and places in
another set-up's coordinates."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from gcodekit.expr import nearest
from gcodekit.geometry.region import Shift
from gcodekit.job.document.wording import quoted
from gcodekit.job.feature import Feature, Round
from gcodekit.job.holdings import Bolts
from gcodekit.job.keys.reading import Table
from gcodekit.job.model import Setup
from gcodekit.job.stock.frames import Frame, FrameView, StockPlacement, Vector, along, seen_from


@dataclass(slots=True)
class EarlierWork:
    """The set-ups read so far: their coordinates by their names, and their features, each with its
    coordinates and its set-up."""

    frames: dict[str, Frame] = field(default_factory=dict)
    features: dict[str, tuple[Frame, Feature]] = field(default_factory=dict)
    setups: dict[str, Setup] = field(default_factory=dict)

    def add(self, setup: Setup) -> None:
        """Take in a set-up."""
        frame = Frame.of(setup)
        self.frames[setup.name] = frame
        self.features |= {f.name: (frame, f) for f in setup.features}
        self.setups |= dict.fromkeys((f.name for f in setup.features), setup)

    def axis(self, table: Table, key: str, sitting: StockPlacement) -> Vector | None:
        """Find where the axis of the feature that a key names stands, from the raw stock's left
        front bottom corner as it sits; None where there is none, which is noted."""
        name = table.text(key)
        if name is None:
            return None
        if name not in self.features:
            table.error(key, f"no earlier set-up cuts {quoted(name)}", self._other(name))
            return None
        frame, feature = self.features[name]
        centre = feature.axis
        if centre is None:
            hint = "name a bore, a hole, an arc or a round outline of one place"
            table.error(key, f"{quoted(name)} has no single axis", hint)
            return None
        if along(frame.axes[2], sitting.axes[2]) == 0:
            hint = "name one cut with the same face up, or the opposite one"
            table.error(key, f"the axis of {quoted(name)} lies across the spindle here", hint)
            return None
        corner = Frame(sitting.axes, sitting.in_stock((0.0, 0.0, 0.0)))
        return seen_from(frame, corner).point((*centre, 0.0))

    def shift(self, table: Table, key: str, mine: Frame) -> Shift | None:
        """Find how what is drawn in the coordinates of the set-up that a key names is moved into
        those at hand; None where that cannot be, which is noted."""
        name = table.text(key)
        if name is None:
            return None
        if name not in self.frames:
            known = ", ".join(quoted(n) for n in self.frames)
            hint = f"choose from {known}" if known else "this is the first set-up"
            table.error(key, f"no such earlier set-up: {quoted(name)}", hint)
            return None
        seen = seen_from(self.frames[name], mine)
        if not seen.upright:
            hint = (
                "give the place in this set-up, or name one with the same or the opposite face up"
            )
            table.error(key, f"{quoted(name)} sees the work from another side", hint)
            return None
        return _shift(seen)

    def bolts(
        self, table: Table, key: str, *, mine: Frame, own: Sequence[Feature] = ()
    ) -> Bolts | None:
        """The through holes that a key names, in the coordinates at hand, `mine`: of an earlier
        set-up, or of this one's features before, `own`; None where bolts cannot go through, which
        is noted."""
        name = table.text(key)
        if name is None:
            return None
        known = self.features | {f.name: (mine, f) for f in own}
        if name not in known:
            close = nearest(name, list(known))
            hint = f"did you mean {quoted(close)}?" if close else "name holes that are cut earlier"
            table.error(key, f"no such earlier feature: {quoted(name)}", hint)
            return None
        frame, feature = known[name]
        if not isinstance(feature, Round) or not feature.depth.through:
            hint = "name a hole or bore with through = true"
            table.error(key, f"{quoted(name)} does not go right through, so it takes no bolt", hint)
            return None
        seen = seen_from(frame, mine)
        if not seen.upright:
            table.error(key, f"{quoted(name)} lies across the spindle here", "name upright holes")
            return None
        places = tuple(seen.point((*p, 0.0))[:2] for p in feature.places)
        return Bolts(feature=name, places=places, diameter=feature.diameter)

    def _other(self, name: str) -> str:
        close = nearest(name, list(self.features))
        return f"did you mean {quoted(close)}?" if close else "name a feature of an earlier set-up"


def _shift(seen: FrameView) -> Shift:
    """The same as a copy: mirrored where the opposite face is up, turned, moved."""
    (a, _, _), (d, _, _) = seen.turned[:2]
    mirror = "x" if seen.turned[2][2] < 0 else None
    return Shift(mirror=mirror, angle=math.atan2(d, a) % math.tau, move=seen.shift[:2])
