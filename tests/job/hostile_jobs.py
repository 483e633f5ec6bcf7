"""Hostile jobs and workshops: how each is made, and what must be said of it.

Used by the tests, and by tests/benchmarks/bounds.py, which measures time and memory.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterable
from typing import NamedTuple

POCKET = 'kind = "pocket"\noutline = { rectangle = [30, 20] }\ndepth = 3'
PROFILE = 'kind = "profile"\noutline = { rectangle = [40, 30] }\nside = "outside"\nthrough = true'
TABS = "tabs = { count = 4, width = 5, height = 1 }"
HOLE = 'kind = "hole"\ndiameter = 4\nthrough = true'
MACHINE = """units = "mm"
[machine]
spindle = {{ min = 100, max = 2500, power = 350 }}
{machine}
[[cutter]]
number = 1
kind = "end mill"
diameter = 6
flutes = 2
flute_length = 13
{cutter}
"""


class Hostile(NamedTuple):
    """A job's text, that of its workshop, and a part of what is said: "" where it is lawful."""

    make: Callable[[], str]
    said: str = ""
    workshop: str = ""


def job(
    *features: str,
    top: str = "",
    stock: str = "block = [60, 50, 6]",
    setup: str = "",
    outlines: str = "",
    dimensions: str = "",
    hold: str = "board = 12",
    workshop: str = "",
    material: str = "brass",
) -> str:
    """A job of one set-up on a spoil board."""
    lines = ['units = "mm"', f'material = "{material}"']
    lines += ['workshop = "shop.toml"'] if workshop else []
    lines += [top] if top else []
    lines += ["[dimensions]", dimensions] if dimensions else []
    lines += ["[stock]", stock]
    lines += ["[outlines]", outlines] if outlines else []
    lines += ["[[setup]]", 'zero = { x = "centre", y = "centre", z = "top" }']
    lines += [setup] if setup else []
    lines += ["[setup.hold]", hold]
    for feature in features:
        lines += ["[[setup.feature]]", feature]
    return "\n".join(lines) + "\n"


def plain(*features: str, said: str = "", **rest: str) -> Hostile:
    """The job that is short to write."""
    return Hostile(lambda: job(*features, **rest), said)


def shop(said: str = "", *, machine: str = "", cutter: str = "", **rest: str) -> Hostile:
    """A pocket in a workshop of so much more."""
    text = MACHINE.format(machine=machine, cutter=cutter)
    return Hostile(lambda: job(POCKET, workshop="shop.toml", **rest), said, text)


# -- outlines -----------------------------------------------------------------------------------


def points(places: Iterable[tuple[float, float]]) -> str:
    """A closed path through places."""
    return "{ path = [" + ", ".join(f"[{x:.4f}, {y:.4f}]" for x, y in places) + "] }"


def star(n: int, outer: float = 24.0, inner: float = 12.0) -> str:
    """A star of so many points: teeth far finer than any cutter."""
    turns = (math.pi * i / n for i in range(2 * n))
    return points(
        ((inner if i % 2 else outer) * math.cos(a), (inner if i % 2 else outer) * math.sin(a))
        for i, a in enumerate(turns)
    )


def comb(n: int) -> str:
    """Teeth side by side."""
    step = 50.0 / n
    teeth = [(-25 + i * step / 2, 15.0 if i % 2 else -10.0) for i in range(2 * n)]
    return points([(-25.0, -20.0), *teeth, (25.0, -20.0)])


def wave(n: int) -> str:
    """A smooth line of many short pieces."""
    turns = (math.tau * i / n for i in range(n))
    return points(
        ((20 + 3 * math.cos(9 * a)) * math.cos(a), (20 + 3 * math.cos(9 * a)) * math.sin(a))
        for a in turns
    )


def scribble(n: int) -> str:
    """A line that crosses itself all over."""
    pick = random.Random(7)
    return points((pick.uniform(-25, 25), pick.uniform(-20, 20)) for _ in range(n))


def nested(depth: int, word: str = "minus") -> str:
    """An outline of outlines, one in the other."""
    inside = "{ circle = 20 }"
    for _ in range(depth):
        inside = f"{{ {word} = [{inside}, {{ circle = 2, centre = [3, 0] }}] }}"
    return inside


def chained(depth: int) -> str:
    """Outlines by name, each the last one twice."""
    found = ["o0 = { circle = 10 }"]
    found += [f'o{i} = {{ union = ["o{i - 1}", "o{i - 1}"] }}' for i in range(1, depth)]
    return "\n".join(found)


def outlined(kind: str, outline: str) -> str:
    """A feature of an outline."""
    if kind == "profile":
        return f'kind = "profile"\noutline = {outline}\nside = "outside"\nthrough = true\n{TABS}'
    return f'kind = "{kind}"\noutline = {outline}\ndepth = 2'


def grown(depth: int) -> str:
    """Dimensions, each the last one added to itself."""
    names = ["a0 = 1"]
    names += [f'a{i} = "a{i - 1} + a{i - 1}"' for i in range(1, depth)]
    return "\n".join(names)


# -- features and set-ups -----------------------------------------------------------------------


def holes(across: int, up: int, pitch: float = 4.0, more: str = "") -> str:
    """A plate with a grid of holes."""
    size = f"block = [{across * pitch + 10:g}, {up * pitch + 10:g}, 6]"
    x, y = -(across - 1) / 2 * pitch, -(up - 1) / 2 * pitch
    grid = f"grid = {{ start = [{x}, {y}], pitch = [{pitch}, {pitch}], count = [{across}, {up}] }}"
    return job(f'kind = "hole"\ndiameter = 2\nthrough = true\n{grid}\n{more}', stock=size)


def bores(across: int, up: int) -> str:
    """A plate with a grid of milled bores."""
    size = f"block = [{across * 10 + 10:g}, {up * 10 + 10:g}, 6]"
    x, y = -(across - 1) / 2 * 10, -(up - 1) / 2 * 10
    grid = f"grid = {{ start = [{x}, {y}], pitch = [10, 10], count = [{across}, {up}] }}"
    return job(f'kind = "bore"\ndiameter = 8\nthrough = true\n{grid}', stock=size)


def many(n: int, kind: str = "hole") -> str:
    """So many features, each written out, side by side."""
    across = math.ceil(math.sqrt(n))
    size = f"block = [{across * 6 + 10}, {across * 6 + 10}, 6]"
    made = []
    for i in range(n):
        x, y = (i % across - across / 2) * 6 + 3, (i // across - across / 2) * 6 + 3
        if kind == "hole":
            made.append(f'kind = "hole"\ndiameter = 2\nthrough = true\nat = [{x}, {y}]')
        else:
            rim = f"{{ rectangle = [4.5, 4.5], centre = [{x}, {y}], round = 2 }}"
            made.append(f'kind = "pocket"\noutline = {rim}\ndepth = 1')
    return job(*made, stock=size)


def copies(n: int, feature: str) -> str:
    """So many copies of a feature in a row."""
    step = 200.0 / n
    more = f"copies = {{ count = {n}, move = [{step:.6f}, 0] }}"
    return job(f"{feature}\n{more}", stock="block = [260, 60, 6]")


def setups(n: int) -> str:
    """So many set-ups, each drilling a hole."""
    lines = ['units = "mm"', 'material = "brass"', "[stock]", "block = [60, 50, 6]"]
    for i in range(n):
        lines += ["[[setup]]", "[setup.hold]", "board = 12", "[[setup.feature]]"]
        lines += [f"kind = 'hole'\ndiameter = 2\ndepth = 1\nat = [{i % 50 + 4}, {i // 50 + 4}]"]
    return "\n".join(lines)


def outlines(n: int) -> str:
    """So many named outlines."""
    names = "\n".join(f"o{i} = {{ circle = {i % 20 + 5} }}" for i in range(n))
    return job('kind = "pocket"\noutline = "o7"\ndepth = 2', outlines=names)


# -- all of them --------------------------------------------------------------------------------

HOSTILE: dict[str, Hostile] = {
    # cuts finer or coarser than anything
    **{
        f"{key} {value:g} of a {word}": plain(f"{feature}\n{key} = {value}")
        for word, feature in (("pocket", POCKET), ("profile", f"{PROFILE}\n{TABS}"))
        for key, values in (
            ("stepdown", (1e-9, 0.001, 0.01, 0.05)),
            ("stepover", (1e-9, 0.001, 0.01, 0.05)),
            ("feed", (1e-9, 0.001, 1.0, 1e5)),
            ("plunge_feed", (1e-9, 1.0)),
            ("speed", (1e-9, 1.0, 1e12)),
            ("spring_passes", (20, 100_000)),
        )
        for value in values
    },
    "stepdown 0.01 of a slot": plain(
        'kind = "slot"\nfrom = [-20, 0]\nto = [20, 0]\nwidth = 6\nthrough = true\nstepdown = 0.01'
    ),
    "stepdown 0.01 of a bore": plain(
        'kind = "bore"\ndiameter = 20\nat = [0, 0]\nthrough = true\nstepdown = 0.01'
    ),
    "stepdown 0.01 of a face": plain('kind = "face"\ndepth = 1\nstepdown = 0.01'),
    "stepover 0.01 of a face": plain('kind = "face"\ndepth = 1\nstepover = 0.01'),
    "stepdown 0.01 of an edge": plain(
        'kind = "edge"\nside = "left"\nat = -25\nthrough = true\nstepdown = 0.01'
    ),
    "stepdown 0.01 of a boss": plain(
        'kind = "boss"\noutline = { circle = 20 }\ndepth = 5\nstepdown = 0.01'
    ),
    "both 0.05 of a large pocket": plain(
        'kind = "pocket"\noutline = { rectangle = [290, 190] }\ndepth = 39\n'
        "stepdown = 0.05\nstepover = 0.05",
        stock="block = [300, 200, 40]",
    ),
    **{
        f"rough {way} at 0.02": plain(f'{POCKET}\nrough = "{way}"\nstepover = 0.02')
        for way in ("constant engagement", "contour parallel", "zigzag")
    },
    "peck 1e-9": plain(f"{HOLE}\nat = [0, 0]\npeck = 1e-9"),
    "peck 0.001": plain(f"{HOLE}\nat = [0, 0]\npeck = 0.001"),
    "peck 0.01": plain(f"{HOLE}\nat = [0, 0]\npeck = 0.01"),
    "peck 0.01 of a deep hole": plain(
        f"{HOLE}\ngrid = {{ start = [-20, -20], pitch = [10, 10], count = [5, 5] }}\npeck = 0.01",
        stock="block = [60, 50, 30]",
    ),
    "pilot 1e-9": plain(f"{HOLE}\nat = [0, 0]\npilot = 1e-9"),
    "allowance 1e-9": plain(f"{POCKET}\nallowance = {{ wall = 1e-9, floor = 1e-9 }}"),
    "allowance 10": plain(f"{POCKET}\nallowance = {{ wall = 10, floor = 10 }}"),
    "allowance 1e6": plain(f"{POCKET}\nallowance = {{ wall = 1e6 }}", said="is more than 10000 mm"),
    "tabs 200": plain(f"{PROFILE}\ntabs = {{ count = 200, width = 0.01, height = 1 }}"),
    "tabs 1e9": plain(
        f"{PROFILE}\ntabs = {{ count = 1000000000, width = 5, height = 1 }}", said="at most 200"
    ),
    "tabs at 20,000 places": Hostile(
        lambda: job(
            f"{PROFILE}\ntabs = {{ width = 1, height = 1, at = ["
            + ", ".join(f"[20, {i / 1000 - 10}]" for i in range(20_000))
            + "] }"
        )
    ),
    "tabs 1e-9 wide": plain(f"{PROFILE}\ntabs = {{ count = 4, width = 1e-9, height = 1 }}"),
    "tabs 1e-9 high": plain(f"{PROFILE}\ntabs = {{ count = 4, width = 5, height = 1e-9 }}"),
    "skin 1e-9": plain(f"{PROFILE}\nskin = 1e-9", said="must be at least 0.05 mm"),
    "corner 1e-9": plain(f"{POCKET}\ncorner = 1e-9"),
    "round 1e-9": plain(
        'kind = "pocket"\noutline = { rectangle = [30, 20], round = 1e-9 }\ndepth = 3'
    ),
    "tolerance 1e-9": plain(POCKET, top="tolerance = 1e-9"),
    "tolerance 1e-4": plain(POCKET, top="tolerance = 1e-4"),
    "tolerance 0.001 of a ring": plain(
        f"{outlined('pocket', '{ circle = 45 }')}", top="tolerance = 0.001"
    ),
    "tolerance 1e6": plain(POCKET, top="tolerance = 1e6", said="over 10 m"),
    "clearance 1e6": plain(POCKET, setup="clearance = 1e6", said="over 10 m"),
    "clearance 1e-9": plain(POCKET, setup="clearance = 1e-9"),
    "clearance 500": plain(POCKET, setup="clearance = 500"),
    "breakthrough 1e6": plain(POCKET, setup="breakthrough = 1e6", said="over 10 m"),
    "depth 1e-9": plain('kind = "pocket"\noutline = { circle = 20 }\ndepth = 1e-9'),
    "depth 9000": plain('kind = "pocket"\noutline = { circle = 20 }\ndepth = 9000'),
    # numbers
    "1e300": plain(POCKET, dimensions="a = 1e300\nb = 'a * a'\nc = '1 / b'"),
    "inf": plain(POCKET, dimensions="a = inf\nb = nan\nc = '1e308 * 10'"),
    "a power tower": plain(POCKET, dimensions="a = '9 ** 9 ** 9 ** 9'"),
    "500 brackets": plain(POCKET, dimensions=f"a = '{'(' * 249}1{')' * 249}'"),
    "60 minuses": plain(POCKET, dimensions=f"a = '{'-' * 400}1'"),
    "1,000 doublings": plain(POCKET, dimensions=grown(1000)),
    "dimensions round in a ring": plain(POCKET, dimensions="a = 'b'\nb = 'c'\nc = 'a'"),
    "10,000 dimensions in a chain": Hostile(
        lambda: job(POCKET, dimensions="\n".join(f"a{i} = 'a{i + 1} + 0'" for i in range(10_000)))
    ),
    # stock
    "stock 1e6": plain(POCKET, stock="block = [1e6, 1e6, 1e6]", said="over 10 m"),
    "stock 1e-6": plain(POCKET, stock="block = [1e-6, 1e-6, 1e-6]"),
    "stock 10 m": plain(POCKET, stock="block = [9999, 9999, 9999]"),
    "stock 10 m faced": plain('kind = "face"\ndepth = 1', stock="block = [9999, 9999, 50]"),
    "stock 10 m pocketed": plain(
        'kind = "pocket"\noutline = { rectangle = [9900, 9900] }\ndepth = 20',
        stock="block = [9999, 9999, 50]",
    ),
    "stock 2 m pocketed": plain(
        'kind = "pocket"\noutline = { rectangle = [1900, 900] }\ndepth = 20',
        stock="block = [2000, 1000, 50]",
    ),
    "stock 9 m deep": plain(
        'kind = "pocket"\noutline = { rectangle = [20, 20] }\ndepth = 8000',
        stock="block = [60, 50, 9000]",
    ),
    "stock thin as foil": plain(PROFILE, stock="block = [60, 50, 1e-6]"),
    # places and copies
    "row of 100,000": plain(f"{HOLE}\nrow = {{ start = [0, 0], pitch = 0.0001, count = 100000 }}"),
    "row of 1e9": plain(
        f"{HOLE}\nrow = {{ start = [0, 0], pitch = 4, count = 1000000000 }}", said="too large"
    ),
    "grid of 1e12": plain(
        f"{HOLE}\ngrid = {{ start = [0, 0], pitch = [4, 4], count = [1000000, 1000000] }}",
        said="at most",
    ),
    "pitch circle of 1e9": plain(
        f"{HOLE}\npitch_circle = {{ diameter = 40, count = 1000000000 }}", said="too large"
    ),
    "pitch circle of 5,000": plain(f"{HOLE}\npitch_circle = {{ diameter = 40, count = 5000 }}"),
    "60 by 40 holes": Hostile(lambda: holes(60, 40)),
    "60 by 40 tapped": Hostile(
        lambda: holes(60, 40, 6.0, "").replace("diameter = 2", 'thread = "M3"')
    ),
    "30 by 20 bores": Hostile(lambda: bores(30, 20)),
    "60 by 40 bores": Hostile(lambda: bores(60, 40)),
    "200 by 100 holes": Hostile(lambda: holes(200, 100)),
    "skip of 40,000": Hostile(
        lambda: job(
            f"{HOLE}\nrow = {{ start = [-20, 0], pitch = 10, count = 40001, skip = ["
            + ", ".join(str(i) for i in range(2, 40_002))
            + "] }"
        )
    ),
    "10,000 copies of a hole": Hostile(lambda: copies(10_000, f"{HOLE}\nat = [-110, 0]")),
    "1e9 copies": plain(
        f"{HOLE}\nat = [0, 0]\ncopies = {{ count = 1000000000, move = [1, 0] }}", said="too large"
    ),
    "10,000 copies of a pocket": Hostile(
        lambda: copies(
            10_000,
            'kind = "pocket"\noutline = { rectangle = [8, 8], centre = [-110, 0] }\ndepth = 1',
        )
    ),
    "500 copies of a pocket": Hostile(
        lambda: copies(
            500, 'kind = "pocket"\noutline = { rectangle = [8, 8], centre = [-110, 0] }\ndepth = 1'
        )
    ),
    "copies of copies": plain(
        f"{HOLE}\nat = [0, 0]\ncopies = [{', '.join(['{ count = 9000, move = [1, 0] }'] * 50)}]",
        said="at most",
    ),
    "500 holes written out": Hostile(lambda: many(500)),
    "3,000 holes written out": Hostile(lambda: many(3000)),
    "200 pockets written out": Hostile(lambda: many(200, "pocket")),
    "3,000 pockets written out": Hostile(lambda: many(3000, "pocket")),
    "20 set-ups": Hostile(lambda: setups(20)),
    "1,000 set-ups": Hostile(lambda: setups(1000)),
    "10,000 named outlines": Hostile(lambda: outlines(10_000)),
    # outlines
    **{
        f"star of {n} as a {kind}": Hostile(lambda kind=kind, n=n: job(outlined(kind, star(n))))
        for kind in ("pocket", "profile", "boss")
        for n in (12, 100, 2000)
    },
    "comb of 2,000 as a pocket": Hostile(lambda: job(outlined("pocket", comb(1000)))),
    "wave of 2,000 as a pocket": Hostile(lambda: job(outlined("pocket", wave(2000)))),
    "wave of 10,000 as a profile": Hostile(lambda: job(outlined("profile", wave(10_000)))),
    "wave of 2,000 as a boss": Hostile(lambda: job(outlined("boss", wave(2000)))),
    "scribble of 2,000": Hostile(lambda: job(outlined("pocket", scribble(2000)))),
    "polygon of 10^6 sides": plain(
        outlined("pocket", "{ polygon = 1000000, across_flats = 20 }"), said="at most 360"
    ),
    "polygon of 360 sides": plain(outlined("profile", "{ polygon = 360, across_flats = 20 }")),
    "no length": plain(outlined("pocket", "{ path = [[0, 0], [0, 0], [0, 0]] }")),
    "touching itself": plain(
        outlined("pocket", "{ path = [[0, 0], [10, 0], [10, 10], [0, 0], [-10, 0], [-10, -10]] }")
    ),
    "arc of radius 9000": plain(
        outlined(
            "pocket",
            '{ path = [[-10, 0], { to = [10, 0], radius = 9000, turn = "ccw" },'
            " [10, 9], [-10, 9]] }",
        )
    ),
    "arc of radius 1e9": plain(
        outlined(
            "pocket",
            '{ path = [[-10, 0], { to = [10, 0], radius = 1e9, turn = "ccw" },'
            " [10, 9], [-10, 9]] }",
        ),
        said="over 10 m",
    ),
    "a circle 1e-9 wide": plain(outlined("pocket", "{ circle = 1e-9 }")),
    "a circle 9 m wide": plain(outlined("pocket", "{ circle = 9000 }")),
    "100 outlines nested": plain(outlined("pocket", nested(100))),
    "400 unions nested": plain(outlined("pocket", nested(400, "union"))),
    "60 doublings": plain(outlined("pocket", '"o59"'), outlines=chained(60)),
    "10,000 doublings": Hostile(
        lambda: job(outlined("pocket", '"o9999"'), outlines=chained(10_000))
    ),
    "2,000 islands": Hostile(
        lambda: job(
            'kind = "pocket"\noutline = { rectangle = [280, 180] }\ndepth = 1\nislands = ['
            + ", ".join(
                f"{{ circle = 1, centre = [{i % 50 * 5.2 - 130:.1f}, {i // 50 * 4.2 - 80:.1f}] }}"
                for i in range(2000)
            )
            + "]",
            stock="block = [300, 200, 6]",
        )
    ),
    "grown by 9 m": plain(outlined("pocket", "{ circle = 20, grow = 9000 }")),
    # workshop
    "cutter 1e-6 wide": shop(cutter="", machine="").__class__(
        lambda: job(POCKET, workshop="shop.toml"),
        "",
        MACHINE.format(machine="", cutter="").replace("diameter = 6", "diameter = 1e-6"),
    ),
    "cutter 0.05 wide": Hostile(
        lambda: job(POCKET, workshop="shop.toml"),
        "",
        MACHINE.format(machine="", cutter="").replace("diameter = 6", "diameter = 0.05"),
    ),
    "cutter 1e6 wide": Hostile(
        lambda: job(POCKET, workshop="shop.toml"),
        "over 10 m",
        MACHINE.format(machine="", cutter="").replace("diameter = 6", "diameter = 1e6"),
    ),
    "1e9 flutes": Hostile(
        lambda: job(POCKET, workshop="shop.toml"),
        "at most 40",
        MACHINE.format(machine="", cutter="").replace("flutes = 2", "flutes = 1000000000"),
    ),
    "flutes 1e-9 long": Hostile(
        lambda: job(POCKET, workshop="shop.toml"),
        "",
        MACHINE.format(machine="", cutter="").replace("flute_length = 13", "flute_length = 1e-9"),
    ),
    "flutes 0.05 long": Hostile(
        lambda: job(POCKET, workshop="shop.toml"),
        "",
        MACHINE.format(machine="", cutter="").replace("flute_length = 13", "flute_length = 0.05"),
    ),
    "travel 1e9": shop("over 10 m", machine="travel = { x = 1e9, y = 1e9, z = 1e9 }"),
    "travel 9 m": shop(machine="travel = { x = 9000, y = 9000, z = 9000 }"),
    "travel 1e-9": shop(machine="travel = { x = 1e-9, y = 1e-9, z = 1e-9 }"),
    "acceleration 1e-9": shop(machine="acceleration = 1e-9"),
    "rapid 1e-9": shop(machine="rapid = 1e-9"),
    "feed_max 1e-9": shop(machine="feed_max = 1e-9"),
    "rigidity 0.1": shop(machine="rigidity = 0.1"),
    "power 1e-9": Hostile(
        lambda: job(POCKET, workshop="shop.toml"),
        "",
        MACHINE.format(machine="", cutter="").replace("power = 350", "power = 1e-9"),
    ),
    "spindle 1e-9": Hostile(
        lambda: job(POCKET, workshop="shop.toml"),
        "",
        MACHINE.format(machine="", cutter="").replace(
            "min = 100, max = 2500", "min = 1e-9, max = 1e-8"
        ),
    ),
    "spindle 1e300": Hostile(
        lambda: job(POCKET, workshop="shop.toml"),
        "",
        MACHINE.format(machine="", cutter="").replace("max = 2500", "max = 1e300"),
    ),
    "stickout 500, shank 0.001": shop(cutter="stickout = 500\nshank = 0.001"),
    "10,000 cutters": Hostile(
        lambda: job(POCKET, workshop="shop.toml"),
        "",
        MACHINE.format(machine="", cutter="")
        + "".join(
            f'[[cutter]]\nnumber = {n}\nkind = "end mill"\ndiameter = {2 + n / 1000}\n'
            "flutes = 2\nflute_length = 13\n"
            for n in range(2, 10_000)
        ),
    ),
    "pitch 1e-9": Hostile(
        lambda: job(
            'kind = "hole"\nthread = "M4"\nat = [0, 0]\nthrough = true', workshop="shop.toml"
        ),
        "",
        MACHINE.format(machine="", cutter="")
        + '[[cutter]]\nnumber = 2\nkind = "tap"\ndiameter = 4\npitch = 1e-9\n',
    ),
    "thread M4x0.0001": plain('kind = "hole"\nthread = "M4x0.0001"\nat = [0, 0]\nthrough = true'),
    "thread M99999999": plain('kind = "hole"\nthread = "M99999999"\nat = [0, 0]\nthrough = true'),
    "pitch of a row 1e-9": plain(f"{HOLE}\nrow = {{ start = [0, 0], pitch = 1e-9, count = 50 }}"),
    "clamps 10,000": Hostile(
        lambda: job(
            POCKET,
            hold="board = 12\nclamps = ["
            + ", ".join(["{ at = [28, 20], size = [5, 5], height = 9 }"] * 10_000)
            + "]",
        )
    ),
    "stacked 100": plain(PROFILE, stock="block = [60, 50, 6]\nstacked = 100"),
    "slot path of 5,000": Hostile(
        lambda: job(
            'kind = "slot"\nwidth = 4\ndepth = 1\npath = ['
            + ", ".join(f"[{-20 + i / 125:.3f}, {10 * math.sin(i / 40):.4f}]" for i in range(5000))
            + "]"
        )
    ),
    "slot path of 20,000 back and forth": Hostile(
        lambda: job(
            'kind = "slot"\nwidth = 4\ndepth = 1\npath = ['
            + ", ".join(f"[{20 if i % 2 else -20}, {i / 1000:.3f}]" for i in range(15_000))
            + "]"
        )
    ),
}
