"""Warnings of a job's own speeds, feeds and depths: at the key's own line, with what would do."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from gcodekit.job.load import load_job
from gcodekit.making.check import check_job
from gcodekit.planning.plan import plan_setup

HEAD = """\
units = "UNITS"
material = "mild steel"
workshop = "shop.toml"
[stock]
block = BLOCK
[[setup]]
zero = { x = "left", y = "front", z = "top" }
[setup.hold]
board = "12 mm"
[[setup.feature]]
"""
SHOP = """\
units = "mm"
[machine]
spindle = { SPINDLE, power = POWER, reverse = true }
feed_max = 600
[[cutter]]
number = 1
kind = "end mill"
diameter = 6
flutes = 2
flute_length = 19
stickout = 24
centre_cutting = true
[[cutter]]
number = 2
kind = "drill"
diameter = 5
[[cutter]]
number = 3
kind = "reamer"
diameter = 6
fit = "H7"
[[cutter]]
number = 4
kind = "drill"
diameter = 5.8
[[cutter]]
number = 5
kind = "tap"
diameter = 6
pitch = 1
[[cutter]]
number = 6
kind = "boring head"
diameter = 20
range = [14, 40]
flute_length = 40
[[cutter]]
number = 7
kind = "spot drill"
diameter = 10
"""
POCKET = 'kind = "pocket"\noutline = { rectangle = [40, 30], centre = [40, 30], round = 5 }\n'
EDGE = 'kind = "edge"\nside = "right"\nat = 78\ndepth = 8\n'
HOLE = 'kind = "hole"\nat = [20, 20]\ndiameter = 5\nthrough = true\n'
REAMED = HOLE.replace("diameter = 5", "diameter = 6\nream = true")
TAPPED = HOLE.replace("diameter = 5", 'thread = "M6"\ntapping = "machine"')
BORED = 'kind = "bore"\nat = [30, 30]\ndiameter = 20\nthrough = true\nfinish_with = "boring head"\n'
DEEP, LIGHT = "depth = 6\n", "depth = 0.5\n"
BELT = "speeds = [200, 500, 1200, 2500]"


@pytest.fixture
def warned(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., list[str]]:
    monkeypatch.chdir(tmp_path)

    def said(
        feature: str,
        *,
        units: str = "mm",
        block: str = "[80, 60, 10]",
        spindle: str = "min = 100, max = 2500",
        power: int = 350,
        material: str = "mild steel",
    ) -> list[str]:
        shop = SHOP.replace("SPINDLE", spindle).replace("POWER", str(power))
        Path("shop.toml").write_text(shop, encoding="utf-8")
        text = HEAD.replace("UNITS", units).replace("BLOCK", block) + feature
        text = text.replace("mild steel", material)
        Path("job.toml").write_text(text, encoding="utf-8")
        found = check_job(Path("job.toml"))
        assert all(f.severity == "warning" for f in found), [str(f) for f in found]
        job = load_job(Path("job.toml"))
        assert set(plan_setup(job, job.setups[0]).feature_warnings) == set(found)
        return [str(f) for f in found]

    return said


@pytest.mark.parametrize(
    ("feature", "key", "words"),
    [
        pytest.param(POCKET + DEEP + "speed = 1300\nfeed = 70\nstepdown = 1\n", "", "", id="sound"),
        pytest.param(
            POCKET + DEEP + "speed = 2500\nfeed = 200\nstepdown = 0.5\n",
            "",
            "",
            id="just under twice our speed, as books differ",
        ),
        pytest.param(
            POCKET + DEEP + "feed = 10\n",
            "feed",
            "a chip of 0.00377 mm per tooth rubs; it takes at least 0.012 mm to cut, "
            "use at least 31.9 mm/min",
            id="rubbing",
        ),
        pytest.param(
            POCKET + DEEP + "feed = 300\n",
            "feed",
            "a chip of 0.113 mm per tooth is too thick: the teeth take at most 0.06 mm, "
            "use at most 159 mm/min",
            id="chips too thick",
        ),
        pytest.param(
            POCKET + DEEP + "stepdown = 3\n",
            "stepdown",
            "3 mm deep at full width is too deep (limited by machine rigidity: 0.2 diameters "
            "deep in "
            "a full-width cut on a light machine), use at most 1.2 mm",
            id="too deep for the machine",
        ),
        pytest.param(
            EDGE + "stepdown = 8\nstepover = 1\n",
            "stepdown",
            "8 mm deep 1 mm wide is too deep (limited by cutter deflection: 0.129 mm at the full "
            "cut, 0.1 mm allowed; machine rigidity: 0.2 diameters deep in a full-width cut on a "
            "light "
            "machine), use at most 2.52 mm",
            id="narrow and deep",
        ),
        pytest.param(EDGE + "stepdown = 4\nstepover = 0.5\n", "", "", id="narrower may be deeper"),
        pytest.param(
            POCKET + DEEP + "plunge_feed = 200\n",
            "plunge_feed",
            "faster than the feed for milling, though a plunging cutter cuts with its end only, "
            "use at most 79.5 mm/min",
            id="plunged like sideways",
        ),
        pytest.param(
            POCKET + DEEP + "stepover = 6\n",
            "stepover",
            "passes 6 mm wide leave ridges between them, use at most 5.7 mm",
            id="no overlap",
        ),
        pytest.param(
            HOLE + "feed = 590\n",
            "feed",
            "0.371 mm per turn is more than twice the usual 0.07 mm, use at most 222 mm/min",
            id="drill pushed",
        ),
        pytest.param(
            HOLE + "plunge_feed = 5\n",
            "plunge_feed",
            "0.00314 mm per turn rubs; 0.07 mm is usual, use at least 27.9 mm/min",
            id="drill rubbing",
        ),
        pytest.param(
            REAMED + "speed = 2000\n",
            "speed",
            "37.7 m/min is more than twice the usual 12 m/min for hss in mild steel, "
            "use at most 1270 rev/min",
            id="reamer too fast",
        ),
        pytest.param(
            TAPPED + "speed = 1500\n",
            "speed",
            "28.3 m/min is more than twice the usual 6 m/min for hss in mild steel, "
            "use at most 636 rev/min",
            id="tap too fast",
        ),
        pytest.param(
            HOLE + "peck = 9\n",
            "peck",
            "chips pack: a peck of 9 mm is more than twice the usual 3.5 mm in mild steel, "
            "use at most 7 mm",
            id="long pecks",
        ),
        pytest.param(
            HOLE + "peck = 0.1\n",
            "peck",
            "a peck of 0.1 mm rubs more than it drills, use at least 0.5 mm",
            id="short pecks",
        ),
        pytest.param(HOLE + "peck = false\n", "", "", id="no pecks"),
        pytest.param(HOLE + "peck = 2\n", "", "", id="fine pecks"),
        pytest.param(
            TAPPED + "speed = 300\nfeed = 100\n",
            "feed",
            "not used: a tap feeds its pitch per turn, here at 300 rev/min, use 300 mm/min",
            id="tap's feed",
        ),
        pytest.param(TAPPED + "speed = 300\nfeed = 300\n", "", "", id="tap's feed, its own"),
        pytest.param(
            BORED + "feed = 300\n",
            "feed",
            "0.942 mm per turn is more than twice the usual 0.05 mm, use at most 31.8 mm/min",
            id="boring head pushed",
        ),
    ],
)
def test_what_asks_too_much(
    warned: Callable[..., list[str]], feature: str, key: str, words: str
) -> None:
    said = warned(feature)
    if not key:
        assert said == []
        return
    line = (
        (HEAD + feature)
        .split("\n")
        .index(next(row for row in feature.split("\n") if row.startswith(f"{key} =")))
    )
    (only,) = said
    assert only.startswith(f"job.toml:{line + 1}: warning: setup 1.feature 1.{key}: {words}")


@pytest.mark.parametrize(
    ("feature", "more", "words"),
    [
        pytest.param(
            POCKET + DEEP + "feed = 150\n",
            {"power": 40},
            "feed: a cut 0.857 mm deep takes 35 W, but only 24 W reach the cutter, "
            "use at most 93.4 mm/min",
            id="weak motor",
        ),
        pytest.param(
            HOLE + "feed = 100\n",
            {"power": 100},
            "feed: it takes 94 W, but only 60 W reach the cutter, use at most 56.3 mm/min",
            id="weak motor, drill",
        ),
        pytest.param(
            POCKET + DEEP + "speed = 1000\n",
            {"spindle": BELT},
            "speed: the spindle has no speed of 1000 rev/min, use 1200 rev/min",
            id="belt head",
        ),
        pytest.param(
            REAMED + "speed = 2500\n",
            {"spindle": BELT},
            "speed: 47.1 m/min is more than twice the usual 12 m/min for hss in mild steel, "
            "use 1200 rev/min",
            id="too fast on a belt head",
        ),
        pytest.param(
            POCKET + "depth = 0.1\nfeed = 0.2\n",
            {"units": "inch", "block": "[4, 3, 0.5]"},
            "feed: a chip of 0.0000754 in per tooth rubs",
            id="inch",
        ),
    ],
)
def test_other_machines(
    warned: Callable[..., list[str]], feature: str, more: dict[str, str], words: str
) -> None:
    if more.get("units") == "inch":
        feature = feature.replace("[40, 30], centre = [40, 30], round = 5", "[2, 1], round = 0.3")
        feature = feature.replace("rectangle = [2, 1]", "rectangle = [2, 1], centre = [2, 1.5]")
    (said,) = warned(feature, **more)
    assert words in said


def test_a_speed_alone_that_makes_the_teeth_rub_asks_for_a_feed(
    warned: Callable[..., list[str]],
) -> None:
    # the feed goes no higher with a speed of one's own: 0.0035 of the diameter a tooth, halved
    feature = POCKET + DEEP + "speed = 1270\ncutter = 1\n"
    (said,) = warned(feature, material="tool steel")
    assert said.startswith("job.toml:14: warning: setup 1.feature 1.speed: ")
    assert "mm per tooth rubs; it takes at least 0.012 mm to cut, set feed = 30.5" in said


CASES = [
    POCKET + DEEP + "feed = 10\n",
    POCKET + DEEP + "feed = 300\n",
    POCKET + DEEP + "stepdown = 3\n",
    EDGE + "stepdown = 8\nstepover = 1\n",
    POCKET + DEEP + "plunge_feed = 200\n",
    POCKET + DEEP + "stepover = 6\n",
    POCKET + DEEP + "speed = 2500\nfeed = 590\nplunge_feed = 500\nstepdown = 5\n",
    HOLE + "feed = 590\n",
    HOLE + "speed = 2500\nplunge_feed = 5\n",
    REAMED + "speed = 2000\nfeed = 20\n",
    BORED + "speed = 2000\nfeed = 300\nstepdown = 7\n",
]


@pytest.mark.parametrize("power", [60, 350])
@pytest.mark.parametrize("feature", CASES)
def test_what_would_do_does(warned: Callable[..., list[str]], feature: str, power: int) -> None:
    """Put in what each warning says, and nothing is left to warn of."""
    said = warned(feature, power=power)
    for _ in range(5):
        if not said:
            return
        for line in said:
            match = re.search(r"1\.(\w+): .*, use (?:at \w+ )?([\d.]+) (?:rev/min|mm)\b", line)
            match = match or re.search(r", set (\w+) = ([\d.]+)$", line)
            assert match, line
            key, value = match.groups()
            feature, count = re.subn(rf"(?m)^{key} = .*$", f"{key} = {value}", feature)
            feature += "" if count else f"{key} = {value}\n"
        said = warned(feature, power=power)
    assert said == []
