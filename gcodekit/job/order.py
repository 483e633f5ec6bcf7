"""The order features are written in, with those that say `after` moved behind what they name."""

from __future__ import annotations

import heapq
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from gcodekit.errors import FaultList, Place
from gcodekit.expr import nearest
from gcodekit.job.document.wording import quoted
from gcodekit.job.feature import Feature
from gcodekit.job.model import Setup


def put_after(
    setups: Iterable[Setup],
    *,
    places: Mapping[str, Place],
    names: Iterable[str],
    faults: FaultList,
) -> tuple[Setup, ...]:
    """The set-ups with every feature behind the one it comes `after`, and that one's copies.

    Parameters
    ----------
    places : where `after` stands, by the feature's name
    names : of every feature of the job, those at fault too
    """
    reader = _After(list(setups), places, list(names), faults)
    return tuple(reader.put(n) for n in range(len(reader.setups)))


def families(features: Iterable[Feature]) -> dict[str, list[str]]:
    """By the name that an `after` may give: the features it stands for, a feature's copies too."""
    found: dict[str, list[str]] = {}
    for f in features:
        found.setdefault(f.name, []).append(f.name)
        if f.copy_of:
            found.setdefault(f.copy_of, []).append(f.name)
    return found


@dataclass(frozen=True, slots=True)
class _After:
    setups: list[Setup]
    places: Mapping[str, Place]
    names: list[str]
    faults: FaultList

    def put(self, n: int) -> Setup:
        """The n-th set-up with its features in order; as it was where that cannot be."""
        setup = self.setups[n]
        for feature in setup.features:
            if feature.after is not None and feature.name in self.places:
                self._check(feature, feature.after, n)
        done = _sorted(setup.features)
        if len(done) < len(setup.features):
            self._refuse_circles(setup.features, {f.name for f in done})
            return setup
        return replace(setup, features=tuple(done))

    def _check(self, feature: Feature, after: str, n: int) -> None:
        """Note an `after` that names no feature, or one of a later set-up."""
        place = self.places[feature.name]
        if after not in self.names:
            close = nearest(after, [name for name in self.names if name != feature.name])
            hint = f"did you mean {quoted(close)}?" if close else "give that feature a name"
            self.faults.error(place, f"no such feature: {quoted(after)}", hint)
        elif any(f.name == after and f.stage > feature.stage for f in self.setups[n].features):
            self.faults.error(
                place,
                f"{quoted(after)} comes after a stop, and this feature before it",
                "move this feature below that stop",
            )
        elif any(f.name == after for setup in self.setups[n + 1 :] for f in setup.features):
            self.faults.error(
                place,
                f"{quoted(after)} is cut in a later set-up",
                "name a feature of this set-up or of an earlier one",
            )

    def _refuse_circles(self, features: tuple[Feature, ...], done: set[str]) -> None:
        """Note every circle among the features that are not done."""
        by_name, whose = {f.name: f for f in features}, families(features)
        seen = set(done)
        for feature in features:
            at, way = feature, dict[str, None]()
            while at.name not in seen:
                seen.add(at.name)
                way[at.name] = None
                at = by_name[next(m for m in whose[at.after or ""] if m not in done)]
            if at.name in way:
                names = list(way)
                circle = names[names.index(at.name) :]
                self._refuse([f for f in features if f.name in circle], circle)

    def _refuse(self, features: list[Feature], circle: list[str]) -> None:
        first = features[0]
        place = self.places.get(first.name) or self.places.get(first.copy_of) or first.place
        if len(circle) == 1:
            self.faults.error(place, "names the feature itself", "name another one")
            return
        start = circle.index(first.name)
        chain = [*circle[start:], *circle[:start], first.name]
        words = " after ".join(quoted(name) for name in chain)
        self.faults.error(place, f"{words} refers back to itself", "remove one of them")


def _sorted(features: tuple[Feature, ...]) -> list[Feature]:
    """As written, but for features that wait for what they come after; those that wait for ever
    are left out."""
    left = Counter({name: len(members) for name, members in families(features).items()})
    waiting: dict[str, list[int]] = {}
    for i, f in enumerate(features):
        if f.after is not None and left[f.after]:
            waiting.setdefault(f.after, []).append(i)
    held = {i for group in waiting.values() for i in group}
    free = [i for i in range(len(features)) if i not in held]
    out: list[Feature] = []
    while free:
        feature = features[heapq.heappop(free)]
        out.append(feature)
        for name in {feature.name, feature.copy_of}:
            left[name] -= 1
            if left[name] == 0:
                for i in waiting.get(name, ()):
                    heapq.heappush(free, i)
    return out
