"""What a job takes from other files: one hole pattern, one outline, shared by several jobs."""

from __future__ import annotations

from pathlib import Path

import pytest

from gcodekit.errors import JobError
from gcodekit.job.kinds.hole import Hole
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.load import load_job

FRAME = """\
units = "mm"
[dimensions]
pitch = 20
[outlines]
pad = { rectangle = [20, 10], corner = [0, 0] }
twice = { union = ["pad", { use = "pad", move = ["pitch", 4] }] }
[places]
bolts = { grid = { start = [10, 10], pitch = ["pitch", 40], count = [4, 2] } }
"""
JOB = """\
include = ["parts/frame.toml"]
units = "mm"
material = "aluminium"
[stock]
block = [80, 60, 8]
[places]
lone = { at = [40, 30] }
[[setup]]
zero = { x = "left", y = "front", z = "top" }
[setup.hold]
board = 12
[[setup.feature]]
kind = "hole"
diameter = 3
through = true
places = ["bolts", "lone"]
[[setup.feature]]
kind = "pocket"
outline = { use = "pad", mirror = "y", move = [65, 25] }
depth = 2
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    (tmp_path / "parts").mkdir()
    (tmp_path / "parts" / "frame.toml").write_text(FRAME, encoding="utf-8")
    path = tmp_path / "job.toml"
    path.write_text(JOB, encoding="utf-8")
    return path


def refused(path: Path) -> list[str]:
    with pytest.raises(JobError) as caught:
        load_job(path)
    return [str(f).removeprefix(f"{path.parent}/") for f in caught.value.faults]


def test_places_and_outlines_are_shared(job: Path) -> None:
    hole, pocket = load_job(job).setups[0].features
    assert isinstance(hole, Hole)
    assert isinstance(pocket, Pocket)
    grid = [(10.0 + 20 * i, 10.0 + 40 * j) for j in range(2) for i in range(4)]
    for place, wanted in zip(hole.places, [*grid, (40.0, 30.0)], strict=True):
        assert place == pytest.approx(wanted)
    xs, ys = zip(*(s.start for s in pocket.area.rings[0]), strict=True)
    # mirrored in the y axis it runs from -20 to 0, then moved
    assert (min(xs), max(xs), min(ys), max(ys)) == pytest.approx((45, 65, 25, 35))


def test_a_dimension_of_an_included_file_may_be_set(job: Path) -> None:
    hole = load_job(job, dimensions={"pitch": 15}).setups[0].features[0]
    assert isinstance(hole, Hole)
    assert hole.places[3] == pytest.approx((55.0, 10.0))


def test_a_fault_has_its_place_in_the_file_it_stands_in(job: Path) -> None:
    frame = job.parent / "parts" / "frame.toml"
    frame.write_text(FRAME.replace("pitch = 20", 'pitch = "20 +"').replace("[20, 10]", "[20, 0]"))
    faults = refused(job)
    assert any(f.startswith("parts/frame.toml:3: dimensions.pitch: ") for f in faults), faults
    assert any(f.startswith("parts/frame.toml:5: outlines.pad.rectangle") for f in faults), faults


def test_drawings_are_looked_for_beside_the_included_file(job: Path) -> None:
    frame = job.parent / "parts" / "frame.toml"
    frame.write_text(f'{FRAME}\n[outlines.rim]\nsvg = "rim.svg"\n', encoding="utf-8")
    drawing = frame.parent / "rim.svg"
    drawing.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9">'
        '<circle cx="4" cy="4" r="3"/></svg>'
    )
    before = load_job(job).fingerprint
    drawing.write_text(drawing.read_text().replace('r="3"', 'r="2"'))
    changed = load_job(job).fingerprint
    assert changed != before  # it is part of the job's state
    frame.write_text(frame.read_text().replace("pitch = 20", "pitch = 20.0"))
    assert load_job(job).fingerprint not in (before, changed)


@pytest.mark.parametrize(
    ("frame", "include", "said"),
    [
        pytest.param(
            FRAME,
            '["frame.toml"]',
            'job.toml:1: include 1: "frame.toml": no such file',
            id="not there",
        ),
        pytest.param(
            FRAME,
            '["parts/frame.toml", "parts/../parts/frame.toml"]',
            'job.toml:1: include 2: "parts/../parts/frame.toml" is included twice',
            id="twice",
        ),
        pytest.param(FRAME, '"parts/frame.toml"', "job.toml:1: include: ", id="no list"),
        pytest.param(
            FRAME + "lone = { at = [1, 1] }\n",
            '["parts/frame.toml"]',
            "parts/frame.toml:9: places.lone: line 7 of {folder}/job.toml has the same name, "
            "rename one of them",
            id="a name of the job's",
        ),
        pytest.param(
            'material = "brass"\n' + FRAME,
            '["parts/frame.toml"]',
            "parts/frame.toml:1: material: is not read in an included file, move it to the job: "
            "only [dimensions], [outlines], [places] are read here",
            id="a key of a job",
        ),
        pytest.param(
            FRAME + "[stock]\nblock = [9, 9, 9]\n",
            '["parts/frame.toml"]',
            "parts/frame.toml:9: stock: is not read in an included file",
            id="a table of a job",
        ),
        pytest.param(
            FRAME.replace('"mm"', '"inch"'),
            '["parts/frame.toml"]',
            "parts/frame.toml:1: units: are not those of the job",
            id="other units",
        ),
        pytest.param(
            'pich = 3\n[dimensions]\n"a b" = 3\n' + FRAME.replace("[dimensions]", "", 1),
            '["parts/frame.toml"]',
            "parts/frame.toml:1: pich: is not a key of an included file",
            id="unknown key",
        ),
        pytest.param(
            'include = ["x.toml"]\n' + FRAME,
            '["parts/frame.toml"]',
            "parts/frame.toml:1: include: is not read in an included file",
            id="in one another",
        ),
        pytest.param(
            FRAME + "lonely = [1, 2",
            '["parts/frame.toml"]',
            "parts/frame.toml:9: ",
            id="not TOML",
        ),
        pytest.param(
            FRAME + "empty = { row = { start = [0, 0], count = 3 } }\n",
            '["parts/frame.toml"]',
            "parts/frame.toml:9: places.empty.row.pitch: is missing",
            id="places that nothing uses",
        ),
    ],
)
def test_what_is_refused(job: Path, frame: str, include: str, said: str) -> None:
    (job.parent / "parts" / "frame.toml").write_text(frame, encoding="utf-8")
    job.write_text(JOB.replace('["parts/frame.toml"]', include), encoding="utf-8")
    faults = refused(job)
    assert any(f.startswith(said.format(folder=job.parent)) for f in faults), faults


def test_two_included_files_with_one_name(job: Path) -> None:
    other = job.parent / "more.toml"
    other.write_text('units = "mm"\n\n[places]\nbolts = { at = [1, 2] }\n', encoding="utf-8")
    job.write_text(JOB.replace('frame.toml"]', 'frame.toml", "more.toml"]'), encoding="utf-8")
    first = job.parent / "parts" / "frame.toml"
    assert refused(job) == [
        f"more.toml:4: places.bolts: line 8 of {first} has the same name, rename one of them"
    ]


def test_another_job_may_be_included(job: Path) -> None:
    """What it says of itself is its own: material, stock and set-ups are not this job's."""
    other = JOB.replace("include", "# include").replace("aluminium", "brass")
    other = other.replace("lone = { at = [40, 30] }", "others = { at = [44, 30] }")
    (job.parent / "other.toml").write_text(other, encoding="utf-8")
    mine = JOB.replace('frame.toml"]', 'frame.toml", "other.toml"]').replace('"lone"]', '"others"]')
    job.write_text(mine, encoding="utf-8")
    loaded = load_job(job)
    assert loaded.material.name == "aluminium"
    (hole, _) = loaded.setups[0].features
    assert isinstance(hole, Hole)
    assert hole.places[-1] == (44.0, 30.0)


@pytest.mark.parametrize(
    ("instead", "said"),
    [
        ('places = ["bolts", "lonely"]', '16: setup 1.feature 1.places 2: "lonely" is not in'),
        ('places = "bolt"', '16: setup 1.feature 1.places: "bolt" is not in [places], did you'),
        ("places = 3", "16: setup 1.feature 1.places: 3 is not a list of words"),
        (
            'places = "lone"\nat = [1, 1]',
            "16: setup 1.feature 1.places: at and places are both given",
        ),
    ],
)
def test_named_places_that_are_not_there(job: Path, instead: str, said: str) -> None:
    text = JOB.replace('places = ["bolts", "lone"]', instead)
    job.write_text(text, encoding="utf-8")
    faults = refused(job)
    assert any(said in f for f in faults), faults


def test_an_outline_used_in_itself(job: Path) -> None:
    frame = job.parent / "parts" / "frame.toml"
    frame.write_text(FRAME.replace("rectangle = [20, 10], corner = [0, 0]", 'use = "twice"'))
    assert any("refers back to itself" in f for f in refused(job))
