"""What comes free, and what grips or presses on nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from gcodekit.making.check import check_job
from gcodekit.making.make import make

HEAD = """\
name = "Counterweight parts"
units = "mm"
material = "aluminium"
[stock]
block = [70, 50, 8]
"""
BOARD = "board = 12"


def setup(up: str, *features: str, hold: str = BOARD, more: str = "") -> str:
    said = "".join(f"[[setup.feature]]\n{f}\n" for f in features)
    zero = 'zero = { x = "raw_centre", y = "raw_centre", z = "top" }'
    return f'[[setup]]\nname = "{up} up"\nup = "{up}"\n{zero}\n{more}\n[setup.hold]\n{hold}\n{said}'


def rim(more: str, size: str = "[40, 20]") -> str:
    return (
        f'kind = "profile"\nside = "outside"\n'
        f"outline = {{ rectangle = {size}, centre = [0, 0], round = 5 }}\n{more}"
    )


def slot(more: str) -> str:
    way = "from = [10, -20]\nto = [10, 20]\nwidth = 8"
    return f'kind = "slot"\n{way}\nends = "open"\n{more}'


def pocket(size: str, depth: float) -> str:
    outline = f"{{ rectangle = {size}, centre = [0, 0], round = 4 }}"
    return f'kind = "pocket"\noutline = {outline}\ndepth = {depth}'


TABS = "through = true\ntabs = { count = 4, width = 5, height = 1 }"
CLAMP = "clamps = [{ at = [%s, 0], size = [10, 10], height = 14 }]"
ON_BOARD = BOARD + "\n"

FREE = {
    "a part cut round from both sides": (
        [setup("top", rim("depth = 5")), setup("bottom", rim("depth = 4"))],
        "the part comes loose at [0, 0]",
    ),
    "a ring faced through from the other side": (
        [setup("top", rim(TABS)), setup("bottom", 'kind = "face"\ndepth = 2')],
        "a piece comes loose at [0, 0]",
    ),
    "tabs cut off by a pocket from the other side": (
        [setup("top", rim(TABS)), setup("bottom", pocket("[64, 44]", 1.5))],
        "a piece comes loose at [0, 0]",
    ),
    "a blank parted by a slot": (
        [setup("top", slot("through = true"))],
        "a piece comes loose at [24.5, 0]",
    ),
    "a blank parted by slots from both sides": (
        [setup("top", slot("depth = 5")), setup("bottom", slot("depth = 4"))],
        "a piece comes loose at [24.5, 0]",
    ),
    "the upper plate of a stack": (
        [setup("top", rim(TABS)).replace("height = 1 ", "height = 1.2 ")],
        "the part of plate 2 (from below) comes loose at [0, 0]",
    ),
    "tabs that end in air": (
        [setup("top", rim(TABS, "[62, 42]"))],
        "the part comes loose at [0, 0]",
    ),
}
STACKED = HEAD.replace("[70, 50, 8]", "[70, 50, 4]\nstacked = 2")
HELD = {
    "tabs": [setup("top", rim(TABS))],
    "a skin": [setup("top", rim("through = true\nskin = 0.2"))],
    "clamps on part and frame": [
        setup(
            "top",
            rim("through = true"),
            hold=ON_BOARD + "clamps = [{ at = [-8, 0], size = [10, 10], height = 14 }, "
            "{ at = [-31, 0], size = [6, 10], height = 14 }]",
        )
    ],
    "both halves clamped": [
        setup(
            "top",
            slot("through = true"),
            hold=ON_BOARD + "clamps = [{ at = [-20, 0], size = [10, 10], height = 14 }, "
            "{ at = [25, 0], size = [10, 10], height = 14 }]",
        )
    ],
    "a vise across the slot": [
        setup("top", slot("depth = 5"), hold="vise = { grip = 2, jaw_width = 100, jaw_depth = 25 }")
    ],
    "tabs through both plates": [setup("top", rim(TABS.replace("height = 1", "height = 5")))],
    "a step the jaws close on": [
        setup(
            "top",
            'kind = "edge"\nside = "back"\nat = 15\ndepth = 5',
            'kind = "edge"\nside = "front"\nat = -15\ndepth = 5',
        ),
        setup(
            "bottom",
            pocket("[30, 20]", 2),
            hold="vise = { grip = 4, jaw_width = 100, jaw_depth = 25, parallels = 10 }",
        ),
    ],
}
REFUSED = {
    "a clamp over a step": (
        [
            setup("top", 'kind = "edge"\nside = "left"\nat = -20\ndepth = 5'),
            setup("top", pocket("[20, 20]", 2), hold=ON_BOARD + CLAMP % "-28").replace(
                "top up", "again"
            ),
        ],
        "again: no stock under clamp 1",
    ),
    "jaws where a recess runs out": (
        [
            setup("top", pocket("[60, 60]", 4)),
            setup(
                "bottom",
                pocket("[20, 10]", 2),
                hold="vise = { grip = 3, jaw_width = 40, jaw_depth = 25, parallels = 10 }",
            ),
        ],
        "the front jaw and the back jaw grip nothing",
    ),
    "tabs over a recess": (
        [setup("top", pocket("[60, 40]", 3)), setup("bottom", rim(TABS))],
        "no stock left by earlier cuts for the tabs at",
    ),
    "a skin over a recess": (
        [setup("top", pocket("[60, 40]", 3)), setup("bottom", rim("through = true\nskin = 0.5"))],
        "no stock left by earlier cuts for the onion skin",
    ),
    "a set-up on both halves": (
        [
            setup(
                "top",
                slot("through = true"),
                hold=ON_BOARD + "clamps = [{ at = [-20, 0], size = [10, 10], height = 14 }, "
                "{ at = [25, 0], size = [10, 10], height = 14 }]",
            ),
            setup("bottom", 'kind = "face"\ndepth = 1'),
        ],
        "top up parts the stock into 2 pieces, this set-up cuts 2 of them",
    ),
    "a set-up on one half": (
        [
            setup(
                "top",
                slot("through = true"),
                hold=ON_BOARD + "clamps = [{ at = [-20, 0], size = [10, 10], height = 14 }, "
                "{ at = [25, 0], size = [10, 10], height = 14 }]",
            ),
            setup("top", 'kind = "hole"\nat = [-20, 0]\ndiameter = 4\ndepth = 3').replace(
                "top up", "again"
            ),
        ],
        "zero and limits of this set-up are those of all of them together",
    ),
}


def said(folder: Path, setups: list[str], head: str = HEAD) -> list[tuple[str, str]]:
    path = folder / "parts.toml"
    path.write_text(head + "".join(setups), encoding="utf-8")
    return [(f.severity, f.message) for f in check_job(path)]


@pytest.mark.parametrize("name", FREE)
def test_what_comes_free_is_warned_of(tmp_path: Path, name: str) -> None:
    setups, text = FREE[name]
    found = said(tmp_path, setups, STACKED if "plate" in name else HEAD)
    free = [(severity, message) for severity, message in found if "comes loose" in message]
    assert [(severity, message[: len(text)]) for severity, message in free] == [("warning", text)]


@pytest.mark.parametrize("name", HELD)
def test_what_is_held_is_not_warned_of(tmp_path: Path, name: str) -> None:
    found = said(tmp_path, HELD[name], STACKED if "plates" in name else HEAD)
    assert not [m for _, m in found if "comes loose" in m or "nothing" in m]


@pytest.mark.parametrize("name", REFUSED)
def test_holding_on_air_is_refused(tmp_path: Path, name: str) -> None:
    setups, text = REFUSED[name]
    found = said(tmp_path, setups)
    assert any(severity == "error" and text in message for severity, message in found), found
    outcome = make(tmp_path / "parts.toml", tmp_path / "out")
    assert outcome.verdict == "fail"
    assert any(text in f.message for f in outcome.faults)
    assert not list(tmp_path.glob("out/*.nc"))


def test_a_slug_that_has_dropped_out_is_no_piece_of_its_own(tmp_path: Path) -> None:
    """A face over where a window's slug was cuts air: nothing to refuse."""
    window = rim("through = true").replace('"outside"', '"inside"')
    found = said(tmp_path, [setup("top", window), setup("bottom", 'kind = "face"\ndepth = 1')])
    assert [s for s, _ in found] == ["warning"]
