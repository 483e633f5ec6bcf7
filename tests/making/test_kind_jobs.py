"""A job of any kind, typed from the job file's page, works the first time: in mm and in inch, with
every shipped post, and every program of it reads back to the same cut.

Each job is tried as it stands and once more as a file in the other unit, in which every bare length
has its own unit behind it ("12 mm" in a file in inch), so that both draw the same part.
"""

from __future__ import annotations

import json
import math
import re
import shutil
from collections.abc import Callable, Iterator
from importlib import import_module
from itertools import groupby, pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from gcodekit.job.keys.kind_tables import kind_names
from gcodekit.job.load import load_job
from gcodekit.job.model import Job, Setup
from gcodekit.job.workshop.machine import Units
from gcodekit.making.lost_pictures import Pictures
from gcodekit.making.make import make
from gcodekit.post.find import find_post
from gcodekit.rs274 import read_program
from gcodekit.rs274.program_read import Move
from gcodekit.units import MM_PER_INCH

Points = NDArray[np.float64]

Cut = list[tuple[str, int, Points]]
FOLDER = Path(__file__).parent / "kind_jobs"
JOBS = sorted(FOLDER.glob("*.toml"))
POSTS = ("rs274_full", "iso6983", "motion_only")
# These take long to prove: in the other unit only with the post farthest from the first.
LONG = {"dial-ring", "setting-circle", "tube-plate", "worm-carrier-inch"}
# What a control lacks, said by name: no chords stand for a spindle that turns back in step.
REFUSED = {
    ("tapped-foot-inch", "iso6983"): "post iso6983 has no tapping cycle (G84)",
    ("tapped-foot-inch", "motion_only"): "post motion_only has no tapping cycle (G84)",
}


# Keys whose numbers are no lengths: they stay as they are.
PLAIN = {"angle", "count", "skip", "sweep", "turn", "polygon", "stacked", "work_offset", "cutter",
         "rough_with", "spring_passes", "speed", "first",
         "divisions", "every", "step", "spacing_angle"}  # fmt: skip
FEEDS = {"feed", "plunge_feed"}
# Lengths of points, angles of arcs and pitch circles.
ENDS = {"start", "end"}
TOKEN = re.compile(
    r'(?P<word>"[^"\n]*"|\#[^\n]*|\[+[a-z_.]+\]+(?=\s*$))'
    r"|(?P<key>[A-Za-z_]\w*)\s*=(?P<opens>\s*\[)?"
    r"|(?P<closes>\})"
    r"|(?P<number>-?(?:\d+\.?\d*))",
    re.MULTILINE,
)


def in_other_unit(text: str) -> str:
    """The same job with `units` changed and every bare length given the unit it was in: "12 mm".
    Arithmetic in quotes says its units itself."""
    inch = 'units    = "inch"' in text
    unit = "in" if inch else "mm"
    key, opens, nth = "", False, 0

    def change(found: re.Match[str]) -> str:
        nonlocal key, opens, nth
        if found["key"]:
            key, opens, nth = found["key"], bool(found["opens"]), 0
        if found["closes"]:  # what follows belongs to the key that the brace was in: a length's
            key = ""
        if not found["number"]:
            return found[0]
        nth += 1
        plain = key in PLAIN or (key in ENDS and not opens) or (key == "points" and nth % 2 == 0)
        if plain:
            return found[0]
        if key in FEEDS:
            return repr(float(found[0]) * (MM_PER_INCH if inch else 1 / MM_PER_INCH))
        return f'"{found[0]} {unit}"'

    here, there = ('"inch"', '"mm"') if inch else ('"mm"', '"inch"')
    return TOKEN.sub(change, text).replace(f"units    = {here}", f"units    = {there}", 1)


def strokes(out: Path, units: Units) -> Iterator[tuple[str, int, Points]]:
    """Of each set-up and cutter in running order, what it feeds along: (n, 2, 3) mm, the ends of
    n straight strokes. Arcs are chords within 0.0003 mm. Straight up cuts nothing and is left out:
    a control that cannot dwell waits that way."""
    for setup, programs in groupby(_programs(out), key=lambda p: p["setup"]):
        moves: list[Move] = []
        for program in programs:
            text = (out / program["file"]).read_text(encoding="utf-8")
            cutter = program["cutters"][0]
            moves += read_program(text, program["file"], cutter=cutter, units=units).moves
        feeds = (m for m in moves if m.kind != "rapid")
        for number, own in groupby(feeds, key=lambda m: m.cutter):
            pieces = [p for m in own for p in pairwise(_chords(m)) if not _straight_up(*p)]
            if pieces:
                yield setup, number, np.array(pieces)


def _programs(out: Path) -> list[dict[str, Any]]:
    programs: list[dict[str, Any]] = json.loads((out / "report.json").read_text())["programs"]
    return programs


def _straight_up(a: Points, b: Points) -> bool:
    return bool(np.hypot(*(b - a)[:2]) < 1e-9 and b[2] >= a[2])


def _chords(move: Move) -> Points:
    start, end, curve = np.array(move.start), np.array(move.end), move.curve
    if curve is None:
        return np.array([start, end])
    assert curve.plane == 17
    count = max(1, int(np.ceil(abs(curve.sweep) / (2 * np.arccos(1 - 0.0003 / curve.radius)))))
    turned = np.linspace(0, curve.sweep, count + 1)
    x, y = start[:2] - np.array(curve.centre[:2])
    plan = np.array(
        [x * np.cos(turned) - y * np.sin(turned), x * np.sin(turned) + y * np.cos(turned)]
    )
    points = np.column_stack([plan.T + curve.centre[:2], np.linspace(start[2], end[2], count + 1)])
    points[-1] = end
    return points


def strays(path: Points, other: Points, within: float) -> Points | None:
    """The first end or middle of `path`'s strokes that is not within a distance of `other`'s,
    both walked forwards; None where there is none."""
    places = np.column_stack([path[:, 0], path.mean(axis=1), path[:, 1]]).reshape(-1, 3).tolist()
    segments = other.tolist()
    at = 0
    for place in places:
        while at < len(segments) and _gap(place, *segments[at]) > within:
            at += 1
        if at == len(segments):
            return np.array(place)
    return None


def _gap(p: list[float], a: list[float], b: list[float]) -> float:
    """From a point to a stroke."""
    # written out: asked hundreds of thousands of times
    x, y, z = b[0] - a[0], b[1] - a[1], b[2] - a[2]
    u, v, w = p[0] - a[0], p[1] - a[1], p[2] - a[2]
    long = x * x + y * y + z * z
    t = min(1.0, max(0.0, (x * u + y * v + z * w) / long)) if long else 0.0
    return math.hypot(u - t * x, v - t * y, w - t * z)


@pytest.fixture
def planned_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """No post has a say in the plan, in what the drawing asks, or in what the stock comes to be:
    what is found for one holds for all of them."""
    proved_job, programs = (
        import_module(f"gcodekit.making.{name}") for name in ("proved_job", "programs")
    )
    for module, name in (
        (proved_job, "plan_setups"),
        (proved_job, "followed_stock"),
        (programs, "build_target"),
    ):
        monkeypatch.setattr(module, name, _once(getattr(module, name)))


def _once(find: Callable[..., Any]) -> Callable[..., Any]:
    """The same, worked out once for each job and set-up."""
    found: dict[tuple[str, ...], Any] = {}

    def once(job: Job, *rest: Any, **more: Any) -> Any:
        key = (job.fingerprint, *(r.name for r in rest if isinstance(r, Setup)))
        if key not in found:
            found[key] = find(job, *rest, **more)
        return found[key]

    return once


@pytest.mark.usefixtures("planned_once")
@pytest.mark.parametrize("path", [pytest.param(p, id=p.stem) for p in JOBS])
def test_in_both_units_with_every_post(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Made and proved in each unit with each post. What the programs feed along, read back from
    their texts, is one path: every end and middle of every stroke of one program lies on the
    strokes of the other, within the posts' chord error and the rounding, in running order and
    with the same cutters, and the other way round."""
    shutil.copytree(FOLDER / "shop", tmp_path / "shop")
    text = path.read_text(encoding="utf-8")
    first: Cut = []
    for version in (text, in_other_unit(text)):
        job = tmp_path / path.name
        job.write_text(version, encoding="utf-8")
        units = load_job(job).units
        few = version != text and path.stem in LONG
        with monkeypatch.context() as patch:
            for post in POSTS[-1:] if few else POSTS:
                made = _made(job, tmp_path / f"{units} {post}", post, units)
                first = first or made
                _compare(made, first, find_post(post).chord_error, f"{units} {post}")
                # drawn with the first post of each unit: nothing here looks at the others'
                patch.setattr(Pictures, "drawn", _undrawn)


def _undrawn(*_: object) -> None:
    """No picture."""


def _made(job: Path, out: Path, post: str, units: Units) -> Cut:
    """What the job's programs cut; nothing where the post refuses it, which is asked for."""
    outcome = make(job, out, post=post)
    errors = [str(f) for f in outcome.faults if f.severity == "error"]
    refused = REFUSED.get((job.stem, post))
    if refused:
        assert len(errors) == 1
        assert refused in errors[0]
        return []
    assert (outcome.verdict, errors) == ("pass", []), f"{units} {post}"
    return list(strokes(out, units))


def _compare(
    made: Cut,
    first: Cut,
    chord_error: float,
    what: str,
) -> None:
    if not made:
        return
    assert [(setup, cutter) for setup, cutter, _ in made] == [(s, c) for s, c, _ in first], what
    within = chord_error + 0.001
    for (setup, cutter, own), (_, _, other) in zip(made, first, strict=True):
        where = f"{what}, {setup}, cutter {cutter}"
        assert strays(own, other, within) is None, where
        assert strays(other, own, within) is None, where


@pytest.mark.parametrize(
    ("changed", "found"),
    [
        pytest.param(lambda p: p + 0.001, False, id="within"),
        pytest.param(lambda p: p + np.array([0, 0.01, 0]), True, id="beside"),
        pytest.param(lambda p: np.concatenate([p, p]), True, id="twice round"),
        pytest.param(lambda p: p[:-1], True, id="one stroke short"),
        pytest.param(lambda p: p[::-1, ::-1], True, id="backwards"),
    ],
)
def test_the_comparison_finds(changed: Callable[[Points], Points], found: bool) -> None:
    corners = np.array([[0, 0, -1], [20, 0, -1], [20, 10, -1], [0, 10, -1], [0, 0, -1]], float)
    path = np.stack([corners[:-1], corners[1:]], axis=1)
    other = changed(path)
    assert (
        bool(strays(path, other, 0.003) is not None or strays(other, path, 0.003) is not None)
        == found
    )


def test_every_kind_is_among_them() -> None:
    kinds = {f.kind for p in JOBS for s in load_job(p).setups for f in s.features}
    assert kinds == set(kind_names()) - {"stop"}
