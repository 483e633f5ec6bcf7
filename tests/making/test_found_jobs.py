"""Jobs that random trials once broke: each is proved now, or refused with its line."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from gcodekit.job.kinds.boss import Boss
from gcodekit.job.load import load_job
from gcodekit.making.make import make
from gcodekit.operations import spot_room
from gcodekit.part.planned_target import FeatureContext

HEAD = """\
name = "Trial"
units = "mm"
material = "aluminium"
[stock]
block = [60, 50, 6]
[[setup]]
zero = { x = "centre", y = "centre", z = "top" }
  [setup.hold]
  board = 12
"""


def feature(text: str) -> str:
    return f"  [[setup.feature]]\n{text}\n"


DISC = 'kind = "pocket"\noutline = { circle = 16, centre = [0, 0] }\n'

PROVED = {
    # a skin thinner than what roughing would leave on the floor is all there is to rough
    "a bore that goes little deeper than the pocket over it": feature(
        'kind = "pocket"\noutline = { circle = 20, centre = [0, 0] }\ndepth = 1.9'
    )
    + feature(
        'kind = "bore"\ndiameter = 12\nat = [0, 0]\ndepth = 2\n'
        "allowance = { wall = 0.3, floor = 0.2 }"
    ),
    # run out over the edge it takes none of the metal beside its mouth
    "a pocket whose end just breaks out beside a corner": feature(
        'kind = "pocket"\noutline = { obround = [10.8, 5.002], centre = [24.999, -21], angle = 30 }'
        '\ndepth = 4\nfit = "H7"\nrough = "contour parallel"'
    ),
    # the way of the cutter's centre turns by next to nothing in its corners
    "rounds a hair tighter than the cutter": feature(
        'kind = "profile"\noutline = { rectangle = [8.2, 26.5], centre = [0.12, 0.3], '
        'round = 2.99974 }\nside = "inside"\ndepth = 5\ncut = "conventional"\n'
        'rough = "contour parallel"\ncutter = 3'
    ),
    # a side that lies 0.0034 mm inside the metal's edge leaves a foil, within the tolerance
    "a boss that all but meets the metal's edge": feature(
        'kind = "boss"\noutline = { rectangle = [20, 20], centre = [0, -14.9891] }\ndepth = 2\n'
        "limits = [0, 0.03]"
    ),
    "a spot in a groove": feature(
        'kind = "profile"\npath = [[-20, 0], [20, 0]]\nside = "on"\ndepth = 1'
    )
    + feature('kind = "hole"\ndiameter = 1.6\nat = [0, 0]'),
    # over the metal's edge there is nothing that the step would have to clear
    "a spot on a step at the metal's edge": feature(
        'kind = "edge"\nside = "right"\ndepth = 3\nat = 15'
    )
    + feature('kind = "hole"\ndiameter = 7.8\nat = [27, 0]'),
    # half as wide as far round the tight bend as back beside its own beginning
    "a wide slot that comes back past its own end": feature(
        'kind = "slot"\nwidth = 13.9\ndepth = 1.9\npath = [[-4, 5], { to = [-2.5, 7.8], '
        'radius = 1.757, turn = "cw" }, { to = [-0.7, -12.7], round = 2 }, [7, -20]]'
    ),
    # a corner of its end goes on past the metal until the whole width is clear
    "an open slot that runs off aslant": feature(
        'kind = "slot"\nfrom = [26, -20]\nto = [5, 0]\nwidth = 8\ndepth = 2\ncutter = 1\n'
        'ends = "open"'
    ),
    # its corners keep the cutter's radius, and the allowance besides
    "a pocket left to be finished": feature(
        'kind = "pocket"\noutline = { rectangle = [24, 18], centre = [0, 0] }\ndepth = 2\n'
        "finish = false"
    ),
    "a window left to be finished": feature(
        'kind = "profile"\noutline = { rectangle = [24, 18], centre = [0, 0] }\ndepth = 2\n'
        'side = "inside"\nfinish = false'
    ),
    "a round as tight as the cutter, left to be finished": feature(
        'kind = "pocket"\noutline = { rectangle = [24, 18], centre = [0, 0], round = 5 }\n'
        "depth = 2\nfinish = false"
    ),
    "bores that overlap, left to be finished": feature(
        'kind = "bore"\ndiameter = 12\nat = [[0, 0], [7, 2]]\ndepth = 2\nfinish = false'
    ),
    # roughing leaves the tabs that finishing and the drawing mean
    "tabs with a smaller roughing cutter": feature(
        'kind = "profile"\noutline = { obround = [36, 20], centre = [0, 0] }\nthrough = true\n'
        'side = "outside"\nrough_with = 1\ntabs = { count = 3, width = 5, height = 1 }'
    ),
    # that only holds the part: the point may go through it
    "a drill's point through another's skin": feature(
        'kind = "hole"\ndiameter = 8.5\nat = [-22, 0]\ndepth = 5'
    )
    + feature(
        'kind = "profile"\noutline = { rectangle = [40, 30], centre = [0, 0], round = 4 }\n'
        'through = true\nside = "outside"\nskin = 0.1'
    ),
    "a tab opposite a near wall": feature(
        'kind = "profile"\noutline = { rectangle = [22, 12], centre = [0, 0] }\nthrough = true\n'
        'side = "on"\ntabs = { count = 1, width = 5, height = 1 }'
    ),
    "a face with tight rounds": feature(
        'kind = "face"\noutline = { rectangle = [30, 24], centre = [-12, 8], round = 4.5 }\n'
        "depth = 1"
    ),
    "a spot on the floor of a bore": feature('kind = "bore"\ndiameter = 12\nat = [0, 0]\ndepth = 3')
    + feature('kind = "hole"\ndiameter = 3.3\nat = [0, 0]'),
    # it stays beside the metal, and the finishing cutter finds all of it standing
    "a roughing cutter too big to come in": feature(
        'kind = "pocket"\noutline = { polygon = 5, across_flats = 11.5, centre = [0, 19.9] }\n'
        "depth = 2.4\nrough_with = 7"
    ),
    "copies of copies": feature(
        f"{DISC}depth = 2\ncopies = {{ count = 2, move = [17, 0] }}"
    ).replace("[0, 0]", "[-20, -10]")
    + "  [[setup.copy]]\n  move = [2, 18]\n",
}

# spotted alone, and deeper than the plate is thick there
PROVED["a spot through another's skin"] = feature(
    'kind = "profile"\noutline = { rectangle = [30, 20], centre = [0, 0] }\nthrough = true\n'
    'side = "outside"\nskin = 3'
) + feature('kind = "hole"\ndiameter = 9.6\nat = [18, 0]')
# one of its places lies half in what each of two others clear
PROVED["spots over what two others have cleared"] = (
    feature(
        'kind = "boss"\noutline = { rectangle = [30, 50], centre = [-15, 0] }\ndepth = 1\n'
        "within = { rectangle = [40, 50], centre = [-10, 0] }"
    )
    + feature('kind = "pocket"\noutline = { rectangle = [24, 50], centre = [22, 0] }\ndepth = 1')
    + feature('kind = "hole"\ndiameter = 4\nat = [[7, 0], [9.9, 8]]')
)
# no room for an allowance: nothing but the corners is left to be finished
PROVED["a pocket hardly wider than its roughing cutter"] = feature(
    'kind = "pocket"\noutline = { rectangle = [8.7, 8.1], centre = [0, 0] }\nthrough = true\n'
    "rough_with = 4\ncutter = 3"
)
PROVED["open ends of an arc and of its copy"] = feature(
    'kind = "arc"\ncentre = [-30, -24]\nradius = 4\nstart = 0\nend = 45\nside = "outside"\n'
    'depth = 1\nends = "open"\ncopies = [{ move = [7.5, 3] }]'
)
PROVED["a slot bent tighter than it is wide"] = feature(
    'kind = "slot"\nwidth = 11.9\ndepth = 2\npath = [[-7, 17], [-5, -6.3], '
    '{ to = [-4.9, -4], radius = 1.852, turn = "ccw" }, [24, 14.4]]'
)
# between the tabs at either end the cutter has a way 0.4 mm long, along their flanks
PROVED["tabs across a narrow window"] = feature(
    'kind = "profile"\noutline = { rectangle = [28.5, 12.4], centre = [0, 0] }\nside = "inside"\n'
    "through = true\ntabs = { count = 4, width = 3, height = 1 }"
)
# the tab is as long as what the cutter takes, which stays off the wall
PROVED["a tab left to be finished"] = feature(
    'kind = "profile"\noutline = { rectangle = [18.7, 18], centre = [18, 10], angle = 15 }\n'
    'side = "inside"\nthrough = true\nfinish = false\n'
    "tabs = { at = [[28, 0]], width = 2, height = 1 }"
)
# open ends in what an earlier feature has cut through, and in what it keeps
PROVED["an arc of which nothing is left but its open ends"] = feature(
    'kind = "arc"\ncentre = [-6.2, 9.2]\nradius = 4\nstart = 90\nend = 290\nside = "outside"\n'
    'through = true\nfrom_radius = 11\nends = "open"\nafter = "arc 2"'
) + feature(
    'kind = "arc"\ncentre = [2.7, 13.5]\nradius = 9.3\nstart = 45\nend = 405\nside = "outside"\n'
    "through = true"
)
# its last straight is shorter than the cutter is wide: no metal is asked for straight past it
PROVED["a path with a bend near its end"] = feature(
    'kind = "profile"\npath = [[-10, 20], [-4, 8.2], [0, 12.2]]\nside = "right"\ndepth = 4.8'
)
PROVED["half a disc beside a pocket"] = feature(
    'kind = "arc"\ncentre = [0, 0]\nradius = 6\nstart = 15\nend = 195\nside = "inside"\ndepth = 3'
) + feature('kind = "pocket"\noutline = { circle = 16.8, centre = [3, 12.5] }\ndepth = 3')
# roughing keeps its allowance off the metal beside its open side too
PROVED["a wedge open to the edge, left to be finished"] = feature(
    'kind = "pocket"\noutline = { rectangle = [17, 18], centre = [-9.3, -20.5] }\nthrough = true\n'
    "islands = [{ obround = [20, 19], centre = [-22.3, -15.3], angle = -20 }]\nfinish = false"
)
# a cutter that gets into one of them only through the other is too big for both
PROVED["arcs that open into one another"] = feature(
    'kind = "arc"\ncentre = [-30, -16.8]\nradius = 11.5\nstart = -35\nend = 55\nside = "inside"\n'
    'through = true\ncopies = [{ mirror = "x", about = [-20, -15] }]'
)

REFUSED = {
    "a floor that is to be left as thick as the metal": (
        feature('kind = "pocket"\noutline = { circle = 20, centre = [0, 0] }\ndepth = 1.9')
        + feature(
            'kind = "bore"\ndiameter = 12\nat = [0, 0]\ndepth = 2\nfinish = false\n'
            "allowance = { floor = 0.2 }"
        ),
        "leaves all the stock above the floor uncut",
    ),
    "a face beside a round bar's metal": (
        feature('kind = "face"\noutline = { circle = 4, centre = [-31.9, -26.9] }\ndepth = 1'),
        "beside the stock",
    ),
    "a spot asked for near a wall": (
        feature('kind = "bore"\ndiameter = 5\nat = [0, 0]\ndepth = 1')
        + feature('kind = "hole"\ndiameter = 4.2\nat = [0, 0]\ndepth = 5\nspot = true'),
        "would cut into the wall beside the hole",
    ),
    "a spot on a floor near a wall": (
        feature('kind = "bore"\ndiameter = 5\nat = [0, 0]\ndepth = 1')
        + feature('kind = "hole"\ndiameter = 4\nat = [0, 0]'),
        "would cut into the wall beside the hole",
    ),
    "a path all over its tab": (
        feature(
            'kind = "profile"\npath = [[0, 0], [8, 0]]\nside = "left"\nthrough = true\n'
            "tabs = { at = [[4, 0]], width = 5, height = 1 }"
        ),
        "no room to go down",
    ),
    "an arc narrower than any cutter of the rack": (
        feature(
            'kind = "arc"\ncentre = [0, 0]\nradius = 8\nstart = 0\nend = 90\nside = "outside"\n'
            "depth = 1\nfrom_radius = 9"
        ),
        "is too wide for the 1 mm between the radii",
    ),
    # two bosses a thousandth of a millimetre nearer than the cutter is wide
    "a gap that the cutter only just does not fit into": (
        feature(
            'kind = "boss"\noutlines = [{ rectangle = [20, 10], centre = [0, 8] }, '
            "{ rectangle = [20, 10], centre = [0, -4.9992] }]\ndepth = 1\ncutter = 1"
        ),
        "is slightly too large",
    ),
    "tabs that leave no way down between them": (
        feature(
            'kind = "profile"\noutline = { rectangle = [11.1, 13.7], centre = [0, 0] }\n'
            'side = "inside"\nthrough = true\ntabs = { count = 4, width = 2, height = 1 }'
        ),
        "no room to go down",
    ),
    "tabs that leave no way down between them, at the metal's edge": (
        feature(
            'kind = "profile"\noutline = { rectangle = [11.1, 13.7], centre = [-20, -21.1], '
            'angle = 45 }\nside = "inside"\nthrough = true\n'
            "tabs = { count = 4, width = 2, height = 1 }"
        ),
        "no room to go down",
    ),
    "the same metal twice": (
        feature(f"{DISC}depth = 3") + feature(f"{DISC}depth = 2"),
        "the features listed before it cut all of its stock",
    ),
    "a spot in a hole": (
        feature(f"{DISC}through = true") + feature('kind = "hole"\ndiameter = 3\nat = [0, 0]'),
        "the features listed before it cut all of its stock",
    ),
    "a profile beside the metal": (
        feature('kind = "profile"\npath = [[30, -25], [30, 25]]\nside = "right"\ndepth = 2'),
        "cuts nothing",
    ),
    "a cutter too big beside a path": (
        feature(
            'kind = "profile"\npath = [[-6, 20], [-6, 0], [6, 0], [6, 20]]\nside = "left"\n'
            "depth = 2\nrough_with = 7"
        ),
        "does not fit beside the path",
    ),
    "neighbours too near": (
        feature(
            'kind = "profile"\noutline = { circle = 20, centre = [-12, 0] }\nside = "outside"\n'
            "depth = 2\ncopies = [{ move = [23, 0] }]"
        ),
        "would cut into",
    ),
    "a kerf through another's tab": (
        feature(
            'kind = "profile"\noutline = { obround = [24, 10], centre = [-6, 0] }\nside = "on"\n'
            "through = true\ntabs = { count = 4, width = 3, height = 1 }\n"
            "copies = [{ move = [7.5, 3] }]"
        ),
        "cuts through its tab",
    ),
    # the way on past the end of the arc goes through it
    "an arc's open end through another's tab": (
        feature(
            'kind = "arc"\ncentre = [0, 0]\nradius = 20\nstart = 180\nend = 270\n'
            'side = "outside"\nthrough = true\nfrom_radius = 24\nends = "open"'
        )
        + feature(
            'kind = "profile"\noutline = { circle = 12, centre = [12, -20] }\nside = "outside"\n'
            "through = true\ntabs = { at = [[6, -20]], width = 4, height = 1 }"
        ),
        "arc 1 cuts through its tab",
    ),
    "a path's roughing through a window's skin": (
        feature(
            'kind = "profile"\noutline = { circle = 16, centre = [4, 4] }\nside = "inside"\n'
            "through = true\nskin = 0.2"
        )
        + feature(
            'kind = "profile"\npath = [[-25, 4], [0, 4], [0, -22]]\nside = "left"\nthrough = true'
        ),
        "would cut through the onion skin of profile 1",
    ),
    # 0.2 mm past the kerf that it is left with
    "a kerf left to be finished beside another's boss": (
        feature(
            'kind = "profile"\noutline = { circle = 24, centre = [-9, -3] }\nside = "outside"\n'
            "depth = 1\nfinish = false"
        )
        + feature('kind = "boss"\noutline = { obround = [24, 10], centre = [0.5, 0] }\ndepth = 1'),
        "its roughing",
    ),
    "a path, not roughed, that ends in what another keeps": (
        feature(
            'kind = "profile"\npath = [[-20, 15], [0, 15]]\nside = "right"\ndepth = 2\n'
            "rough = false"
        )
        + feature(
            'kind = "profile"\noutline = { rectangle = [30, 40], centre = [16, 0] }\n'
            'side = "outside"\ndepth = 2'
        ),
        "its cutter",
    ),
    "a tab that the cutter never gets off": (
        feature(
            'kind = "profile"\noutline = { polygon = 6, across_corners = 9, centre = [0, 0] }\n'
            'side = "on"\nthrough = true\ncutter = 4\n'
            "tabs = { at = [[0, 4]], width = 6, height = 1 }"
        ),
        "no room to go down",
    ),
    "an open slot end across a narrow gap": (
        feature('kind = "slot"\nfrom = [0, -15]\nto = [0, 15]\nwidth = 4\ndepth = 2')
        + feature(
            'kind = "slot"\nfrom = [1, 0]\nto = [20, 0]\nwidth = 10\ndepth = 2\n'
            'ends = { start = "open" }'
        ),
        "too narrow for the cutter",
    ),
    "a path's end in the narrow of a corner": (
        feature('kind = "profile"\npath = [[-3, 3], [0, 0], [1, 12]]\nside = "left"\ndepth = 2\n'),
        "too narrow for the cutter at its end",
    ),
    # only the finished kerf may cut into an island, not the allowance beyond it
    "roughing beside another's island": (
        feature(
            'kind = "pocket"\noutline = { rectangle = [24, 30], centre = [10, 0] }\ndepth = 4\n'
            "islands = [{ circle = 8, centre = [8, 0] }]"
        )
        + feature(
            'kind = "profile"\noutline = { rectangle = [14, 20], centre = [-9, 0] }\ndepth = 2\n'
            'side = "outside"'
        ),
        "cuts into what another feature keeps",
    ),
    "drawn far out": (
        feature('kind = "slot"\nfrom = [-9999, 0]\nto = [9999, 0]\nwidth = 5\ndepth = 1'),
        "from zero",
    ),
    "grown far out": (
        feature('kind = "pocket"\noutline = { circle = 10, grow = 9999 }\ndepth = 1'),
        "from zero",
    ),
    "an arc the long way round": (
        feature(
            'kind = "slot"\npath = [[0, 0], { to = [20, 0], radius = 9999, turn = "cw", '
            "large = true }]\nwidth = 5\ndepth = 1"
        ),
        "from zero",
    ),
    "copied far out": (
        feature(f"{DISC}depth = 1\ncopies = [{{ angle = 180, about = [9999, 9999] }}]"),
        "from zero",
    ),
    "a bore wider than the machine": (
        feature('kind = "bore"\ndiameter = 9999\nat = [0, 0]\ndepth = 1'),
        "far wider than the stock",
    ),
}

# The cutter turns in a corner near the metal's edge, and says what it leaves there.
CORNERS_LEFT = {
    "a path's corner just off the metal": feature(
        'kind = "profile"\npath = [[-31.1, -16], [-30, 12], { to = [-28.3, -2], round = 2.5 }, '
        '[-10, -11]]\nside = "right"\ndepth = 4'
    ),
    "a window with a side along the metal's edge": feature(
        'kind = "profile"\noutline = { rectangle = [6, 5], centre = [27, -10] }\n'
        'side = "inside"\ndepth = 2.1\nrough = false'
    ),
    "a window's corner just off the metal, over a tab": feature(
        'kind = "profile"\noutline = { polygon = 6, across_corners = 16, '
        'centre = [-23.5, -20.1], angle = 30 }\nside = "inside"\nthrough = true\n'
        "tabs = { at = [[-31.3, -28]], width = 3, height = 1 }"
    ),
    "a window's corner just off the metal": feature(
        'kind = "profile"\noutline = { rectangle = [20, 20], centre = [16.2, 0], angle = 45 }\n'
        'depth = 2\nside = "inside"'
    ),
}


def job(folder: Path, text: str) -> Path:
    path = folder / "job.toml"
    path.write_text(HEAD + text)
    return path


@pytest.mark.parametrize("name", PROVED)
def test_proved(name: str, tmp_path: Path) -> None:
    outcome = make(job(tmp_path, PROVED[name]), tmp_path / "out")
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]


@pytest.mark.parametrize("name", CORNERS_LEFT)
def test_a_corner_left_near_the_metals_edge_is_a_warning(name: str, tmp_path: Path) -> None:
    outcome = make(job(tmp_path, CORNERS_LEFT[name]), tmp_path / "out")
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]
    assert any("left in a corner near the edge of the stock" in f.message for f in outcome.faults)


def test_where_a_spot_has_no_room_the_hole_is_drilled_without(tmp_path: Path) -> None:
    text = feature('kind = "bore"\ndiameter = 5\nat = [0, 0]\ndepth = 1') + feature(
        'kind = "hole"\ndiameter = 4.2\nat = [0, 0]\ndepth = 5'
    )
    outcome = make(job(tmp_path, text), tmp_path / "out")
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]
    (said,) = (f for f in outcome.faults if "drilled without a spot" in f.message)
    assert said.place.key == "setup 1.feature 2.spot"
    (program,) = (tmp_path / "out").glob("*.nc")
    assert "spot drill" not in program.read_text()


@pytest.mark.parametrize("name", REFUSED)
def test_refused(name: str, tmp_path: Path) -> None:
    text, said = REFUSED[name]
    outcome = make(job(tmp_path, text), tmp_path / "out")
    errors = [f for f in outcome.faults if f.severity == "error"]
    assert outcome.verdict == "fail"
    assert [f.name for f in outcome.files] == ["report.json"]
    assert any(said in f.message for f in errors), [str(f) for f in errors]
    assert all(f.place.file.endswith("job.toml") and f.place.line for f in errors)


def test_every_copy_has_its_own_name(tmp_path: Path) -> None:
    features = load_job(job(tmp_path, PROVED["copies of copies"])).setups[0].features
    assert len(features) == 4
    assert len({f.name for f in features}) == 4


def test_the_fixed_jaw_need_not_be_named(tmp_path: Path) -> None:
    text = HEAD.replace(
        "  board = 12\n",
        '  vise = { grip = 3, jaw_width = 90, jaw_depth = 25, along = "y" }\n  parallels = 3\n',
    )
    path = tmp_path / "job.toml"
    path.write_text(text + PROVED["a face with tight rounds"])
    vise = load_job(path).setups[0].hold.vise
    assert vise is not None
    assert vise.fixed == "left"


def test_a_face_with_a_corner_just_off_a_lying_bar(tmp_path: Path) -> None:
    """The bar is narrower further up, and its edge comes to the outline's corner on the way: the
    corner is as round there as at the floor."""
    path = tmp_path / "job.toml"
    path.write_text(
        'units = "mm"\nmaterial = "aluminium"\n'
        '[stock]\nround = { diameter = 20, length = 20, axis = "x" }\n'
        '[[setup]]\nzero = { x = "left", y = "front", z = "top" }\n'
        '[setup.hold]\nvise = { along = "y", fixed = "left", grip = 8, jaw_width = 100, '
        "jaw_depth = 25, parallels = 12 }\n"
        '[[setup.feature]]\nkind = "face"\ndepth = 1.5\ncutter = 1\n'
        "outline = { path = [[5.83, 4.83], [14.17, 4.83], [14.17, 13.17], [11.67, 13.17], "
        "[11.67, 10.67], [5.83, 10.67]] }\n"
    )
    outcome = make(path, tmp_path / "out")
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]


LYING = """\
units = "mm"
material = "aluminium"
[stock]
round = { diameter = 31, length = 20, axis = "x" }
[[setup]]
zero = { x = "left", y = "front", z = "top" }
[setup.hold]
board = 15
[[setup.feature]]
"""


def test_a_profile_with_a_corner_just_off_a_lying_bar(tmp_path: Path) -> None:
    """The bar's edge comes to the corner between the top and the floor."""
    path = tmp_path / "job.toml"
    path.write_text(
        f'{LYING}kind = "profile"\ndepth = 4\nside = "outside"\noutline = {{ path = [[2.4, 3.4], '
        "[13.5, 3.4], [13.5, 8.4], [8, 8.4], [8, 5.9], [2.4, 5.9]] }\n"
    )
    outcome = make(path, tmp_path / "out")
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]


def test_a_bore_above_a_lying_bars_flank_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(f'{LYING}kind = "bore"\ndiameter = 5\ndepth = 1\nat = [9.5, 3]\n')
    (fault,) = (f for f in make(path, tmp_path / "out").faults if f.severity == "error")
    assert fault.place.key == "setup 1.feature 1.kind"
    assert "cuts nothing" in fault.message


def test_a_crumb_in_the_mouth_of_a_corner_is_within_the_tolerance(tmp_path: Path) -> None:
    """The arc ends 0.08 mm off the bar: a cutter passing outside would take micrometres there."""
    path = tmp_path / "job.toml"
    path.write_text(
        'units = "mm"\nmaterial = "mild steel"\n'
        '[stock]\nround = { diameter = 31.5, length = 12.7, axis = "z" }\n'
        '[[setup]]\nzero = { x = "left", y = "front", z = "top" }\n[setup.hold]\nboard = 15\n'
        '[[setup.feature]]\nkind = "arc"\ncentre = [30, 12]\nradius = 21.2\nstart = 117\n'
        'end = 207\nside = "inside"\ndepth = 2.1\ncutter = 1\n'
    )
    assert make(path, tmp_path / "out").verdict == "pass"


def own_mill(folder: Path, diameter: float, more: str = "") -> str:
    """A workshop with one end mill, and the head of a job in it."""
    (folder / "workshop.toml").write_text(
        'units = "mm"\n[machine]\nbacklash = { x = 0.02, y = 0.02 }\n'
        "spindle = { min = 100, max = 3000 }\nfeed_max = 600\nrapid = 1500\n"
        f'[[cutter]]\nnumber = 1\nkind = "end mill"\ndiameter = {diameter}\n'
        f"flute_length = {3 * diameter}\nstickout = {4 * diameter}\nflutes = 2\n{more}\n"
    )
    return 'units = "mm"\nworkshop = "workshop.toml"\nmaterial = "brass"\n'


def test_a_slot_hardly_wider_than_its_cutter_keeps_one_width_to_be_finished(tmp_path: Path) -> None:
    """Where the path bends there is room for an allowance, on the straight there is none."""
    path = tmp_path / "job.toml"
    path.write_text(
        own_mill(tmp_path, 2.0, "centre_cutting = true") + "[stock]\nblock = [20, 20, 12.7]\n"
        '[[setup]]\nzero = { x = "left", y = "front", z = "top" }\n[setup.hold]\nboard = 12\n'
        '[[setup.feature]]\nkind = "slot"\nwidth = 2\nfloor = -0.2\nfit = "F8"\nfinish = false\n'
        'path = [[-1.5, 15.2], { to = [0, -1.9], radius = 13.743, turn = "cw" }, '
        '{ to = [7, -2], radius = 14.011, turn = "cw" }, [14.3, 13.6]]\n'
    )
    assert make(path, tmp_path / "out").verdict == "pass"


def test_at_an_even_load_a_cutter_comes_down_only_in_what_is_open(tmp_path: Path) -> None:
    """What another boss's roughing is to clear stands still; this mill cannot bore."""
    path = tmp_path / "job.toml"
    path.write_text(
        own_mill(tmp_path, 12.0, "centre_cutting = false") + "[stock]\nblock = [45.5, 32, 3]\n"
        '[[setup]]\nzero = { x = "left", y = "front", z = "top" }\norder = "as written"\n'
        '[setup.hold]\nboard = 15\n[[setup.feature]]\nkind = "boss"\nthrough = true\n'
        "outlines = [{ rectangle = [7, 20], centre = [26, 16.4], angle = 45 }, "
        "{ rectangle = [17, 21.9], centre = [23, 24.5] }]\nfinish = false\n"
        'copies = [{ mirror = "x", about = [22.75, 16] }]\nrough = "constant engagement"\n'
    )
    assert make(path, tmp_path / "out").verdict == "pass"


def test_an_even_load_does_not_go_round_for_ever_between_two_walls(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(
        own_mill(tmp_path, 2.0, "centre_cutting = true")
        + '[stock]\nround = { diameter = 20, length = 3, axis = "z" }\n'
        '[[setup]]\nzero = { x = "left", y = "front", z = "top" }\norder = "as written"\n'
        '[setup.hold]\nboard = 15\n[[setup.feature]]\nkind = "arc"\ncentre = [6, 5]\nradius = 4\n'
        'start = -49\nend = 151\nside = "outside"\ndepth = 0.5\nfrom_radius = 6.6\nends = "open"\n'
        'cut = "conventional"\nallowance = { wall = 0.3, floor = 0.2 }\n'
        'rough = "constant engagement"\n'
    )
    assert make(path, tmp_path / "out").verdict == "pass"


def test_past_a_round_wall_the_cutter_goes_on_off_the_metal(tmp_path: Path) -> None:
    """Straight on from the last that it touches it would cut 0.003 mm into the wall's own tip."""
    path = tmp_path / "job.toml"
    path.write_text(
        'units = "mm"\nmaterial = "brass"\n[stock]\nblock = [34.5, 27, 37]\n'
        '[[setup]]\nzero = { x = "raw_left", y = "raw_front", z = "top" }\n'
        '[setup.hold]\nboard = 15\n[[setup.feature]]\nkind = "boss"\ndepth = 1\n'
        "outline = { rectangle = [10.6, 7.42], centre = [12, 14] }\n"
        "within = { obround = [30.9, 26.9], centre = [12, 14] }\n"
        "copies = { count = 3, angle = 120, about = [17.25, 13.5] }\n"
        "cutter = 3\nlimits = [0, 0.03]\n"
    )
    outcome = make(path, tmp_path / "out")
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]


def test_what_is_left_in_a_corner_by_a_hair_may_stand_over_it_too(tmp_path: Path) -> None:
    """The corner opens to the bar's flank on the way up: more of it is in reach there, and stands
    on what the floor's tolerance leaves."""
    path = tmp_path / "job.toml"
    path.write_text(
        LYING.replace("diameter = 31", "diameter = 16")
        + 'kind = "pocket"\ndepth = 1.8\ncutter = 4\nrough = "zigzag"\n'
        "outline = { polygon = 7, across_corners = 12, centre = [3, 12.5] }\n"
    )
    outcome = make(path, tmp_path / "out")
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]


def test_an_open_end_ahead_of_metal_that_a_face_has_left_over_a_hollow(tmp_path: Path) -> None:
    """Just under the face the metal ahead is widest, and neither top nor middle of the bore."""
    path = tmp_path / "job.toml"
    path.write_text(
        """\
name = "Trial"
units = "mm"
material = "acetal"
[stock]
block = [32.4, 31, 9]
[[setup]]
up = "bottom"
zero = { x = "left", y = "front", z = "top" }
  [setup.hold]
  board = 12
  [[setup.feature]]
  kind = "bore"
  diameter = 13
  floor = -6
  pitch_circle = { centre = [16.2, 15.5], diameter = 17.2, count = 3, start = 45 }
[[setup]]
up = "back"
turn = 90
zero = { x = "left", y = "front", z = "top" }
  [setup.hold]
  vise = { grip = 10, jaw_width = 100, jaw_depth = 25, parallels = 15 }
  [[setup.feature]]
  kind = "face"
  depth = 1.2
  [[setup.feature]]
  kind = "slot"
  width = 5
  floor = -6
  from = [-1, 13.4]
  to = [2.4, 11]
  ends = { start = "open" }
""",
        encoding="utf-8",
    )
    outcome = make(path, tmp_path / "out")
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]


def test_a_hair_along_a_wall_is_not_metal_left(tmp_path: Path) -> None:
    """Of what the cutter reaches, a spike as thin as rounding lay along the pocket's wall."""
    path = tmp_path / "job.toml"
    path.write_text(
        """\
name = "Random"
units = "inch"
material = "aluminium"
[stock]
tube = { diameter = 0.70866, length = 0.80315, bore = 0.2362, axis = "z" }
[[setup]]
name = "set-up 1"
up = "right"
turn = 270
zero = { x = "raw_left", y = "raw_front", z = "top" }
[setup.hold]
board = 0.59055
[[setup.feature]]
name = "f11"
kind = "pocket"
outline = { polygon = 7, across_flats = 0.5157, centre = [0.4409, 0.6693], angle = 137 }
depth = 0.0787
[[setup.feature]]
name = "f12"
kind = "hole"
diameter = "4.0 mm"
grid = { start = [0.2047, 0.2165], pitch = [0.0984, 0.0984], count = [2, 2], angle = 90 }
depth = 0.0394
copies = [{ mirror = "x", about = [0.3543, 0.4016] }]
[[setup]]
name = "set-up 2"
up = "back"
turn = 0
zero = { x = "raw_left", y = "raw_front", z = "top" }
[setup.hold]
vise = { grip = 0.24803, jaw_width = 3.937, jaw_depth = 0.98425, parallels = 0.59055 }
[[setup.feature]]
name = "f21"
kind = "pocket"
outline = { polygon = 7, across_flats = 0.5157, centre = [0.4409, 0.6693], angle = 137 }
depth = 0.0787
[[setup.feature]]
name = "f22"
kind = "hole"
diameter = "4.0 mm"
grid = { start = [0.2047, 0.2165], pitch = [0.0984, 0.0984], count = [2, 2], angle = 90 }
depth = 0.0394
copies = [{ mirror = "x", about = [0.3543, 0.4016] }]
""",
        encoding="utf-8",
    )
    outcome = make(path, tmp_path / "out")
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]


FLANK = """\
name = "Random"
units = "mm"
material = "mild steel"
[stock]
round = { diameter = 35, length = 25, axis = "x" }
[[setup]]
name = "below"
up = "top"
zero = { x = "raw_left", y = "raw_front", z = "top" }
[setup.hold]
board = 15
[[setup.feature]]
kind = "pocket"
outline = { circle = 10, centre = [12, 17.5] }
depth = 4
[[setup]]
name = "flank"
up = "bottom"
zero = { x = "raw_left", y = "raw_front", z = "top" }
[setup.hold]
board = 15
[[setup.feature]]
name = "hole"
kind = "hole"
diameter = 2
at = [4.2, 22.4]
depth = 5
"""


@pytest.mark.usefixtures("undrawn")
def test_a_spot_on_a_flank_is_as_deep_as_the_flank_is_high(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A lying bar was believed as high as the level under its flank: spots went too deep, and the
    proof, which looked at levels alone, saw nothing of it."""
    path = tmp_path / "job.toml"
    path.write_text(FLANK, encoding="utf-8")
    outcome = make(path, tmp_path / "out")
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]
    text = (tmp_path / "out" / "2-flank.nc").read_text(encoding="utf-8")
    spotting = text.split("(hole: spot)")[1].split("M5")[0]
    spot = min(float(z) for z in re.findall(r"Z(-?[\d.]+)", spotting))
    # the highest of the flank within the hole, 3.9 mm off the crest, less 0.8 of the radius
    assert spot == pytest.approx(math.sqrt(17.5**2 - 3.9**2) - 17.5 - 0.8, abs=0.005)

    right = FeatureContext.top_over
    monkeypatch.setattr(FeatureContext, "top_over", lambda self, area: right(self, area) - 0.65)
    # the planner sees that for itself and leaves the spot out
    monkeypatch.setattr(spot_room, "_cut_into", lambda *_: None)
    outcome = make(path, tmp_path / "planted")
    assert outcome.verdict == "fail"
    assert any("gouge in hole" in str(f) for f in outcome.faults)


TWO_BOSSES = """\
name = "Random"
units = "mm"
material = "aluminium"
[stock]
block = [26.4, 24.4, 11.8]
[[setup]]
name = "bosses"
up = "front"
zero = { x = "raw_left", y = "raw_front", z = "top" }
[setup.hold]
vise = { grip = 4.88, jaw_width = 100, jaw_depth = 25, parallels = 15 }
[[setup.feature]]
kind = "boss"
floor = -1
outline = { circle = 9, centre = [4, 3] }
copies = [{ mirror = "y", about = [13.2, 5.9] }]
[[setup]]
name = "face of them"
up = "bottom"
zero = { x = "raw_left", y = "back", z = "top" }
[setup.hold]
vise = { grip = 5, jaw_width = 100, jaw_depth = 25, parallels = 15 }
[[setup.feature]]
kind = "hole"
at = [13, -10]
diameter = 4.2
depth = 3
"""


@pytest.mark.usefixtures("undrawn")
def test_bosses_that_spare_each_other_limit_the_next_set_ups_metal(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each was believed to clear the other away: the metal was thought 1 mm less, zero with it."""
    path = tmp_path / "job.toml"
    path.write_text(TWO_BOSSES, encoding="utf-8")
    outcome = make(path, tmp_path / "out")
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]

    monkeypatch.setattr(Boss, "spares", False)
    outcome = make(path, tmp_path / "planted")
    assert outcome.verdict == "fail"
    assert any("stock left by earlier set-ups" in str(f) for f in outcome.faults)


BOSS_BY_A_KERF = """\
units = "mm"
material = "aluminium"
[stock]
block = [60, 30, 12]
[[setup]]
zero = { x = "left", y = "front", z = "top" }
[setup.hold]
board = 12
[[setup.feature]]
name = "block"
kind = "profile"
depth = 2
outline = { rectangle = [10, 10], centre = [15, 15] }
side = "outside"
cutter = 2
rough_with = 2
allowance = { wall = 0.3 }
[[setup.feature]]
name = "post"
kind = "boss"
depth = 3
outline = { rectangle = [10, 10], centre = [CENTRE, 15], angle = 45 }
within = { rectangle = [20, 28], centre = [34.3, 15] }
cutter = 2
"""


@pytest.mark.parametrize(("into", "verdict"), [(0.03, "fail"), (-0.03, "pass")])
def test_a_sharp_corner_just_inside_a_wide_kerf(tmp_path: Path, into: float, verdict: str) -> None:
    """An area of 0.0009 mm2, but 0.03 mm deep: the planner took it for edges drawn to touch."""
    path = tmp_path / "job.toml"
    # the kerf is roughed 4.3 mm wide from x 20 on
    centre = 24.3 + 5 * math.sqrt(2) - into
    path.write_text(BOSS_BY_A_KERF.replace("CENTRE", f"{centre:.6f}"), encoding="utf-8")
    outcome = make(path, tmp_path / "out")
    faults = [str(f) for f in outcome.faults]
    assert outcome.verdict == verdict, faults
    assert any("cuts into what another feature keeps" in f for f in faults) == (verdict == "fail")


UNFINISHED_SLOT = """\
units = "mm"
material = "aluminium"
[stock]
block = [60, 30, 12]
[[setup]]
zero = { x = "left", y = "front", z = "top" }
[setup.hold]
board = 12
[[setup.feature]]
name = "channel"
kind = "slot"
width = 12
depth = 2
path = [[0, 15], [60, 15]]
ends = "open"
finish = false
[[setup.feature]]
name = "step"
kind = "pocket"
depth = DEPTH
outline = { rectangle = [20, 11.99], centre = [30, 15] }
"""


@pytest.mark.parametrize("depth", [2, 3])
def test_a_pocket_in_a_slot_left_unfinished(tmp_path: Path, depth: float) -> None:
    """What a slot without a finishing pass leaves on its walls is the next feature's to cut: the
    planner took the slot's whole width for open."""
    path = tmp_path / "job.toml"
    path.write_text(UNFINISHED_SLOT.replace("DEPTH", str(depth)), encoding="utf-8")
    outcome = make(path, tmp_path / "out")
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]
    text = (tmp_path / "out" / "1-set-up-1.nc").read_text(encoding="utf-8")
    assert "(step: " in text


PATH_BY_A_SKIN = """\
units = "mm"
material = "aluminium"
[stock]
block = [40, 30, 6]
[[setup]]
zero = { x = "left", y = "front", z = "top" }
[setup.hold]
board = 12
[[setup.feature]]
name = "window"
kind = "profile"
through = true
outline = { circle = 12, centre = [28, 15] }
side = "on"
skin = 0.3
cutter = 2
[[setup.feature]]
name = "kerf"
kind = "profile"
through = true
path = [[2, 18], [END, 18]]
side = "right"
cutter = 2
"""


@pytest.mark.parametrize(("end", "verdict"), [(17.8, "pass"), (19.5, "fail")])
def test_a_path_ends_beside_an_onion_skin(tmp_path: Path, end: float, verdict: str) -> None:
    """The cutter stands past a path's end by its own radius, in the skin of the window beside it:
    the planner looked at what it takes along the line alone."""
    path = tmp_path / "job.toml"
    path.write_text(PATH_BY_A_SKIN.replace("END", str(end)), encoding="utf-8")
    outcome = make(path, tmp_path / "out")
    faults = [str(f) for f in outcome.faults]
    assert outcome.verdict == verdict, faults
    assert any("onion skin of window" in f for f in faults) == (verdict == "fail")


BOSS_OVER_A_BAR = """\
units = "mm"
material = "cast iron"
[stock]
round = { diameter = 20, length = 20, axis = "x" }
[[setup]]
zero = { x = "left", y = "front", z = "top" }
[setup.hold]
vise = { grip = 6, jaw_width = 100, jaw_depth = 25 }
[[setup.feature]]
kind = "boss"
depth = 1
outline = { rectangle = [5, 5], centre = [9, 3] }
within = { rectangle = [5, 5], centre = [3, 3] }
"""


def test_a_boss_beside_a_bars_crest_cuts_nothing(tmp_path: Path) -> None:
    """The flank lies below its floor there: passes went through air, over the bar's plan."""
    path = tmp_path / "job.toml"
    path.write_text(BOSS_OVER_A_BAR, encoding="utf-8")
    outcome = make(path, tmp_path / "out")
    assert [f.message for f in outcome.faults] == ["boss 1 cuts nothing: it lies beside the stock"]
