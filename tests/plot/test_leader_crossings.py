"""Labels whose leaders cross are laid anew: fewer cross then, and nothing else is worse."""

from __future__ import annotations

import random
from itertools import combinations

import pytest
import shapely
from random_sheets import Sheet

from gcodekit.plot.label_places import Label, LabelPlaces
from gcodekit.plot.paper import PaperBox

ROOM = PaperBox(0, 0, 120, 100)


def crossings(labels: list[Label]) -> int:
    """Pairs of leaders that cross, by another geometry than the one that lays them."""
    lines = [shapely.LineString([label.leader[:2], label.leader[2:]]) for label in labels]
    return sum(a.crosses(b) for a, b in combinations(lines, 2))


def crowded(number: int) -> LabelPlaces:
    """Labels of points close together, in no sequence, that have to go far."""
    r = random.Random(number)
    places = LabelPlaces(ROOM)
    places.take(PaperBox(35, 30, 85, 70))
    for _ in range(24):
        tip = (r.uniform(40, 80), r.uniform(35, 65))
        places.place(r.uniform(8, 24), r.choice((4.0, 7.0)), [tip])
    return places


@pytest.mark.parametrize("number", range(6))
def test_fewer_leaders_cross(number: int) -> None:
    places = crowded(number)
    before, texts = crossings(places.labels), len(places.labels)
    sizes = sorted((label.width, label.height) for label in places.labels)
    places.untangle()
    assert crossings(places.labels) < before / 2
    assert len(places.labels) == texts
    assert sorted((label.width, label.height) for label in places.labels) == sizes
    for label in places.labels:
        assert (label.box.width, label.box.height) == pytest.approx((label.width, label.height))
    blocked = PaperBox(35, 30, 85, 70)
    for one, other in combinations(places.labels, 2):
        assert not one.box.meets(other.box)
    for label in places.labels:
        assert ROOM.holds(label.box)
        assert not label.box.meets(blocked)
        assert label.tip in label.near
        # its room is taken, once
        assert not places.free(label.box)


def test_room_that_labels_left_is_free_again() -> None:
    places = crowded(3)
    places.untangle()
    left = LabelPlaces(ROOM)
    left.take(PaperBox(35, 30, 85, 70))
    for label in places.labels:
        left.take(label.box)
    cells = [PaperBox(x, y, x + 1, y + 1) for x in range(120) for y in range(100)]
    assert [places.free(c) for c in cells] == [left.free(c) for c in cells]


def test_few_leaders_cross_on_random_sheets(monkeypatch: pytest.MonkeyPatch) -> None:
    before, after = [], []
    untangle = LabelPlaces.untangle

    def counted(places: LabelPlaces) -> None:
        before.append(crossings(places.labels))
        untangle(places)
        after.append(crossings(places.labels))

    monkeypatch.setattr(LabelPlaces, "untangle", counted)
    for number in range(40):
        Sheet(number)
    assert sum(before) > 60  # the sheets are crowded
    assert sum(after) < sum(before) / 4
    assert sum(bool(n) for n in after) < sum(bool(n) for n in before) / 2
