"""Every figure of a set-up sheet against the program's own text, the drawing and the workshop."""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from dataclasses import dataclass
from functools import cache
from html.parser import HTMLParser
from itertools import groupby
from pathlib import Path

import pytest
from pdf_text import text_of
from sheet_tables import WIDTH, PageText, ProgramWords, pages_of_text, program_words

from gcodekit.making.check import sound_job
from gcodekit.making.proved_job import ProvedJob, proved_job
from gcodekit.making.report import finder_row
from gcodekit.making.setup_sheets import bench_sheet
from gcodekit.post.find import find_post
from gcodekit.sheet.blocks import BenchSheet
from gcodekit.sheet.sheet_html import to_html
from gcodekit.sheet.sheet_pdf import to_pdf
from gcodekit.sheet.sheet_text import to_text
from gcodekit.units import mm_per

ROOT = Path(__file__).parents[2]
SHIPPED = sorted(p for p in ROOT.glob("jobs/*.toml") if p.stem != "workshop")
# In inch; with limits, bushes and a boring head; held in a chuck, by bolts, by clamps that are
# moved; a lying bar; zero on a feature.
OWN = [
    ROOT / "tests" / "making" / folder / f"{name}.toml"
    for folder, name in (
        ("kind_jobs", "worm-carrier-inch"),
        ("kind_jobs", "tapped-foot-inch"),
        ("kind_jobs", "worm-saddle"),
        ("kind_jobs", "bearing-cap"),
        ("kind_jobs", "dial-ring"),
        ("small_jobs", "polar-flange-own-bolts"),
        ("small_jobs", "focuser-knob-round-bar"),
        ("small_jobs", "clamp-bar-on-board"),
        ("mutant_jobs", "pier-clip"),
    )
]


@dataclass
class Made:
    """A job proved, its sheet, the sheet's pages read again, and its programs read by hand."""

    done: ProvedJob
    sheet: BenchSheet
    cover: PageText | None
    pages: list[PageText]
    programs: list[ProgramWords]

    @property
    def unit(self) -> float:
        return mm_per(self.done.job.units)


@cache
def made(path: Path) -> Made:
    job = sound_job(path)
    post = find_post(job.post)
    done = proved_job(job, post, unproven=False, date="", progress=lambda _: None)
    assert all(p.findings.passed for p in done.setups)
    sheet = bench_sheet(done)
    pages = pages_of_text(to_text(sheet, WIDTH))
    cover = pages.pop(0) if len(done.setups) > 1 else None
    names = {f.name for p in done.setups for f in p.setup.features}
    programs = [program_words("\n".join(f.text for f in p.files), names) for p in done.setups]
    return Made(done, sheet, cover, pages, programs)


def near(text: str, value: float, last: int | None = None) -> bool:
    """Tell whether a figure is a value rounded to the figure's own decimals."""
    decimals = len(text.partition(".")[2])
    return abs(float(text) - value) <= 0.5 * 10.0**-decimals + 1e-6 + (last or 0)


def check_operations(made: Made, page: PageText, program: ProgramWords, n: int) -> None:
    """Names, cutters and lowest z as the program has them; depth and width as planned."""
    rows = page.tables["OPERATIONS"]
    assert [r["operation"] for r in rows] == [o.name for o in program.operations]
    planned = made.done.setups[n].plan.program.operations
    for row, own, plan in zip(rows, program.operations, planned, strict=True):
        assert int(row["T"]) == own.cutter
        (low,) = (v for k, v in row.items() if k.startswith("lowest Z"))
        assert near(low, own.lowest), (row, own)
        assert plan.load is not None
        width = plan.load.width if plan.load.stepover is None else plan.load.stepover
        (deep,) = (v for k, v in row.items() if k.startswith("cut depth"))
        (wide,) = (v for k, v in row.items() if k.startswith("cut width"))
        assert near(deep, plan.load.depth / made.unit)
        assert near(wide, width / made.unit)


def check_times(made: Made, page: PageText, n: int) -> None:
    """All operations together take less than the program, and most of it."""
    clocks = [r["time min:s"].split(":") for r in page.tables["OPERATIONS"]]
    seconds = sum(60 * int(m) + int(s) for m, s in clocks)
    whole = sum(f.way.time_s for f in made.done.setups[n].files)
    assert 0.6 * whole - len(clocks) <= seconds <= whole + len(clocks)
    said = page.facts["time"].partition(",")[0]
    minutes = sum(
        int(k) * per
        for per, unit in ((3600, "h"), (60, "min"), (1, "s"))
        for k in re.findall(rf"(\d+) {unit}\b", said)
    )
    assert abs(minutes - whole) <= (30 if " h " in said else 0.5)


def check_cutters(made: Made, page: PageText, program: ProgramWords) -> None:
    """Order, speeds, feeds and stick-out of each cutter, and where it is touched off."""
    job = made.done.job
    rows = page.tables["CUTTERS IN RUNNING ORDER"]
    visits = [list(v) for _, v in groupby(program.operations, lambda o: o.cutter)]
    assert [int(r["T"]) for r in rows] == program.loaded == [v[0].cutter for v in visits]
    rack = {c.number: c for c in job.workshop.cutters}
    safe = float(page.facts["safe height"].removeprefix("Z "))
    for row, visit, loads in zip(rows, visits, _loads(program), strict=True):
        cutter = rack[visit[0].cutter]
        cells = {k.split()[0]: v for k, v in row.items() if k}
        assert cells["cutter"] == cutter.name
        if cutter.kind != "boring head":
            assert near(cells["Ø"], cutter.diameter / made.unit)
        speeds = {s for o in visit for s in o.speeds}
        assert [float(s) for s in cells["speed"].split("–")] == sorted({min(speeds), max(speeds)})
        feeds = [f for o in visit for f in o.feeds]
        shown = cells["feed"].split("–")
        assert near(shown[0], min(feeds))
        assert near(shown[-1], max(feeds))
        outs = [float(v) for v in cells["stick-out"].split("–")]
        needed = max(safe - min(o.lowest for o in visit), cutter.flute_length / made.unit)
        assert outs[-1] == pytest.approx(cutter.stickout / made.unit, abs=0.06)
        assert outs[0] >= min(needed, cutter.stickout / made.unit) - 1e-6 - 0.06 * (len(outs) == 1)
        assert outs[0] <= needed + 1.01
        said = f"load cutter {cutter.number}: {cutter.name}"
        if "touch" in cells:
            how = "" if cells["touch"].startswith("bring") else "touch "
            said += f", then {how}{cells['touch']} and set Z to {cells['set']}"
        assert said == SET_TO.sub("", loads)
        if told := SET_TO.search(loads):
            assert float(told[1]) in visit[0].speeds


# In a program the speed to set is told with the cutter; on the sheet it has a column.
SET_TO = re.compile(r", set the spindle to (\d+) rev/min")


def test_what_to_mind_with_a_saw_is_on_its_page_alone() -> None:
    text = to_text(made(ROOT / "jobs" / "dovetail-clamps.toml").sheet, WIDTH)
    assert text.count("Slitting saw T15: guard on, teeth leading clockwise") == 1
    assert text.index("Slitting saw T15: guard on") < text.index("\nLeft clamp (set-up 2")


def _loads(program: ProgramWords) -> list[str]:
    return [m for m in program.messages if m.startswith("load cutter")]


def check_stops(page: PageText, program: ProgramWords) -> None:
    said = next(s for s in page.lines["CUTTERS IN RUNNING ORDER"] if "stops" in s)
    times = {"once": 1, "twice": 2}
    (count,) = re.findall(r"stops (once|twice|\d+)", said)
    assert times.get(count) or int(count) == program.stops
    others = [m for m in program.messages if not m.startswith(("load cutter", "set the spindle"))]
    steps = page.lines.get("OTHER STOPS, IN RUNNING ORDER", [])
    assert [re.sub(r"^\[ \] ", "", s).rpartition(": ")[2] for s in steps] == [
        m.rpartition(": ")[2] for m in others
    ]


def check_zero(made: Made, page: PageText, n: int) -> None:
    """Every reading of the edge finder is the one of the report."""
    job, setup = made.done.job, made.done.setups[n].setup
    row = finder_row(job, setup)
    for step in page.lines["PROGRAM ZERO"]:
        for side in ("left", "right", "front", "back"):
            found = re.search(
                rf"the {side} side.*?[XY] (?:to|should read) (-?[\d.]+?)\.(?: |$)", step
            )
            if found and row is not None and side in row:
                assert near(found[1], row[side] / made.unit), step
    assert setup.zero_text == page.facts["program zero"]


def check_facts(made: Made, page: PageText, program: ProgramWords, n: int) -> None:
    proved = made.done.setups[n]
    header = "\n".join(program.header)
    assert f"safe height: Z{page.facts['safe height'].removeprefix('Z ')}," in header
    assert f"work offset: {page.facts['work offset']}" in header
    assert f"material: {page.facts['material']}" in header
    names = page.facts.get("program") or page.facts["programs"]
    assert names == ", ".join(f.file for f in proved.files)
    left = proved.setup.left
    size = [h - low for low, h in zip(left.low, left.high, strict=True)]
    shown = re.findall(r"[\d.]+", page.facts.get("stock") or page.facts["stock left"])
    if left.shape == "block":
        assert all(near(t, s / made.unit) for t, s in zip(shown, size, strict=True))


@pytest.mark.parametrize("path", [*SHIPPED, *OWN], ids=lambda p: p.stem)
def test_every_figure_is_the_programs_or_the_drawings(path: Path) -> None:
    job = made(path)
    assert len(job.pages) == len(job.programs)
    for n, (page, program) in enumerate(zip(job.pages, job.programs, strict=True)):
        check_facts(job, page, program, n)
        check_zero(job, page, n)
        check_cutters(job, page, program)
        check_stops(page, program)
        check_operations(job, page, program, n)
        check_times(job, page, n)
    check_formats(job.sheet)


class Words(HTMLParser):
    """The words of a page, but for what is in its head."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.text = ""
        self.feed(html[html.index("<body>") :])

    def handle_data(self, data: str) -> None:
        self.text += f" {data}"


_FIGURE = re.compile(r"(?<![\w.-])-?\d+(?:\.\d+)?(?![\w-])")


def check_formats(sheet: BenchSheet) -> None:
    """The same figures in each; of a PDF those of the pictures come on top."""
    text = Counter(_FIGURE.findall(re.sub(r"\[ \] \d+\.", "", to_text(sheet, WIDTH))))
    html = Counter(_FIGURE.findall(Words(to_html(sheet)).text))
    pdf = Counter(_FIGURE.findall(text_of(to_pdf(sheet))))
    del_page_numbers = {n: c for n, c in text.items() if html[n] < c}
    assert not del_page_numbers
    assert not {n: c for n, c in text.items() if pdf[n] < c}


# -- single things -------------------------------------------------------------------------------


def sizes(path: Path, page: int = 0) -> list[tuple[str, str]]:
    rows = made(path).pages[page].tables["SIZES TO CHECK"]
    return [(r["size"], r["nominal mm"]) for r in rows]


def test_sizes_are_the_drawings() -> None:
    assert sizes(ROOT / "jobs" / "eyepiece-plate.toml") == [
        ("tray: depth", "4"),
        ("eyepiece bore: diameter", "20"),
        ("right clamp slot: width", "5"),
        ("left clamp slot: width", "5"),
        ("corner screws, 4 times: diameter", "5"),
        ("dowels, 2 times: diameter", "6"),
        ("dowels: over pins in the two farthest apart", "66"),
        ("rim: along X", "128"),
        ("rim: along Y", "80"),
    ]


def test_cover_lists_set_ups_cutters_and_stock() -> None:
    path = ROOT / "jobs" / "worm-block-squared.toml"
    job = made(path)
    assert job.cover is not None
    drawn = tomllib.loads(path.read_text(encoding="utf-8"))
    order = job.cover.tables["SET-UPS, IN THIS ORDER"]
    assert [r["set-up"] for r in order] == [s["name"] for s in drawn["setup"]]
    assert [r["face up"] for r in order] == [s["up"] for s in drawn["setup"]]
    assert [r["against the fixed jaw"] for r in order] == [s["against"] for s in drawn["setup"]]
    used = {t: [n for n, p in enumerate(job.programs, 1) if t in p.loaded] for t in range(1, 20)}
    cutters = job.cover.tables["CUTTERS TO LAY OUT"]
    assert {int(r["T"]): r["set-ups"] for r in cutters} == {
        t: ", ".join(map(str, n)) for t, n in used.items() if n
    }
    long, wide, high = drawn["stock"]["block"]
    assert job.cover.facts["stock to cut"] == (
        f"block {long} × {wide} × {high} mm, any side up to {drawn['stock']['oversize']} mm "
        "further out"
    )
    whole = sum(f.way.time_s for p in job.done.setups for f in p.files)
    minutes, seconds = re.findall(r"\d+", job.cover.facts["total time"])[:2]
    assert 60 * int(minutes) + int(seconds) == pytest.approx(whole, abs=0.5)


def test_limits_are_the_drawings() -> None:
    """As the job file has them: 3/4 +0.0008/0 and 7/16 +-0.0005."""
    path = ROOT / "tests" / "making" / "kind_jobs" / "worm-carrier-inch.toml"
    rows = {r["size"]: r for r in made(path).pages[0].tables["SIZES TO CHECK"]}
    bearing, bore = rows["bearing: diameter"], rows["worm bore: diameter"]
    assert (bearing["nominal in"], bearing["limits in"]) == ("0.7500", "0.7500–0.7508")
    assert (bore["nominal in"], bore["limits in"]) == ("0.4375", "0.4370–0.4380")
    assert rows["oil way: width"]["limits in"] == "none"
