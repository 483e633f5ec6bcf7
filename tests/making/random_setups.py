"""Jobs of two and three set-ups as a strategy: any face up, turned, on whatever stock there is."""

from __future__ import annotations

from dataclasses import dataclass

from hypothesis import strategies as st
from random_jobs import MATERIALS, MM_PER_INCH, Bench, Holding, features, tenths, whole_face
from random_racks import racks, workshop_text

FACES = ("top", "bottom", "front", "back", "left", "right")
POSTS = ("rs274_full", "iso6983", "motion_only")
# Which of the stock's own sizes lie along x, y and z with a face up.
SEEN = {"top": (0, 1, 2), "bottom": (0, 1, 2), "front": (0, 2, 1), "back": (0, 2, 1),
        "left": (2, 1, 0), "right": (2, 1, 0)}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Rack:
    """Diameters of the cutters at hand, mm."""

    mills: tuple[float, ...]
    drills: tuple[float, ...]
    reamers: tuple[float, ...]


@st.composite
def solid_stocks(draw: st.DrawFn, inch: bool) -> tuple[str, tuple[float, float, float]]:
    """The `[stock]` table and the size over all, mm: block, bar, tube."""
    per = MM_PER_INCH if inch else 1.0
    shape = draw(st.sampled_from(("block",) * 6 + ("bar", "tube")))
    if shape == "block":
        width, length = draw(tenths(20, 60)), draw(tenths(20, 45))
        height = draw(tenths(8, 35))
        block = ", ".join(f"{v / per:.5g}" for v in (width, length, height))
        return f"block = [{block}]", (width, length, height)
    axis = draw(st.sampled_from(("x", "y", "z")))
    diameter, length = draw(tenths(18, 40)), draw(tenths(15, 50))
    sizes = f"diameter = {diameter / per:.5g}, length = {length / per:.5g}"
    bore = f", bore = {diameter / 3 / per:.4g}" if shape == "tube" else ""
    kind = "tube" if shape == "tube" else "round"
    over_all = [diameter] * 3
    over_all["xyz".index(axis)] = length
    text = f'{kind} = {{ {sizes}{bore}, axis = "{axis}" }}'
    return text, (over_all[0], over_all[1], over_all[2])


@st.composite
def one_setup(
    draw: st.DrawFn,
    size: tuple[float, float, float],
    rack: Rack,
    *,
    inch: bool,
    number: int,
    up: str,
) -> str:
    """One `[[setup]]` with one to three features; places go by the raw stock's corner."""
    turn = draw(st.sampled_from((0, 0, 0, 90, 180, 270)))
    width, length, height = (size[i] for i in SEEN[up])
    if turn in (90, 270):
        width, length = length, width
    hold = draw(held(height, inch))
    bench = Bench(
        inch=inch,
        width=width,
        length=length,
        height=min(height - hold.grip, 12.0),
        through=hold.through and height < 12.0,
        holes_through=hold.holes_through and height < 25.0,
        hemmed=False,
        mills=rack.mills,
        drills=rack.drills,
        reamers=rack.reamers,
    )
    found = draw(st.lists(features(bench), min_size=1, max_size=3, unique_by=_one_face))
    named = [f.replace("\n", f'\nname = "f{number}{n}"\n', 1) for n, f in enumerate(found, 1)]
    return (
        f'[[setup]]\nname = "set-up {number}"\nup = "{up}"\nturn = {turn}\n'
        f'zero = {{ x = "raw_left", y = "raw_front", z = "top" }}\n{hold.text}{"".join(named)}'
    )


def _one_face(feature: str) -> str:
    return "whole face" if whole_face(feature.splitlines()[1:]) else feature


@st.composite
def held(draw: st.DrawFn, height: float, inch: bool) -> Holding:
    """Board or vise."""
    per = MM_PER_INCH if inch else 1.0
    if draw(st.booleans()):
        return Holding(f"[setup.hold]\nboard = {15 / per:.5g}\n")
    grip = draw(st.sampled_from((0.2, 0.35))) * height
    text = (
        f"[setup.hold]\nvise = {{ grip = {grip / per:.5g}, jaw_width = {100 / per:.5g}, "
        f"jaw_depth = {25 / per:.5g}, parallels = {15 / per:.5g} }}\n"
    )
    return Holding(text, 0.0, grip, through=False)


@st.composite
def jobs_of_several(draw: st.DrawFn) -> tuple[str, str]:
    """The text of a job file and of its workshop file."""
    inch = draw(st.integers(0, 3)) == 0
    stock, size = draw(solid_stocks(inch))
    rack = Rack(*draw(racks()))
    count = draw(st.sampled_from((2, 2, 3)))
    ups = draw(st.permutations(FACES))[:count]
    if draw(st.integers(0, 5)) == 0:
        ups[1] = ups[0]
    setups = [
        draw(one_setup(size, rack, inch=inch, number=n, up=up)) for n, up in enumerate(ups, 1)
    ]
    text = (
        f'name = "Random"\nunits = "{"inch" if inch else "mm"}"\nworkshop = "workshop.toml"\n'
        f'post = "{draw(st.sampled_from(POSTS))}"\n'
        f'material = "{draw(st.sampled_from(MATERIALS))}"\n[stock]\n{stock}\n{"".join(setups)}'
    )
    return text, workshop_text(rack.mills, rack.drills, rack.reamers, draw(st.booleans()))
