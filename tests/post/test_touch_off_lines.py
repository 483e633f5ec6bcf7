"""Touch-off messages on controls that read short lines."""

from __future__ import annotations

import pytest

from gcodekit.post.comments import messages

WORDS = "cutter 4: 10 mm spot drill; touch the raw top at X-60.0 Y-40.0 and set Z to -1.250"


@pytest.mark.parametrize("room", [20, 34, 60, 90])
def test_no_number_is_broken(room: int) -> None:
    lines = messages(WORDS, room)
    assert all(len(line) <= room for line in lines)
    words = " ".join(lines).split()
    assert {"X-60.0", "Y-40.0", "-1.250"} <= set(words)
