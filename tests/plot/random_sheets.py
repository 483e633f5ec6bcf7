"""Random set-ups, programs and problems for the sheet, and the boxes of the text on it."""

from __future__ import annotations

import math
import random
import re
import xml.etree.ElementTree as ET
from dataclasses import dataclass
from typing import Any

from gcodekit.errors import Place
from gcodekit.geometry.chain import Chain
from gcodekit.geometry.region import Region
from gcodekit.job.band import Band
from gcodekit.job.feature import Cutting, Depth, Feature
from gcodekit.job.holdings import Clamp, Hold, Vise
from gcodekit.job.hole_shapes import Counterbore
from gcodekit.job.kinds.arc import Sector
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.boss import Boss
from gcodekit.job.kinds.edge import Edge
from gcodekit.job.kinds.face import Face
from gcodekit.job.kinds.hole import Hole
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.kinds.slot import Slot
from gcodekit.job.model import Setup
from gcodekit.job.raw_stock import RawStock
from gcodekit.plot.letters import text_width
from gcodekit.plot.paper import DRAWING, LEGEND, TITLE, PaperBox
from gcodekit.plot.plan_view import plan_view
from gcodekit.plot.sheet_facts import SheetFacts
from gcodekit.plot.verdict_stamp import STAMP
from gcodekit.rs274 import Problem, read_program
from gcodekit.trade.cutter import CUTTER_KINDS, Cutter

SVG = "{http://www.w3.org/2000/svg}"
FRAMES = {"drawing": DRAWING, "key": LEGEND, "stamp": STAMP, "title": TITLE}
WORDS = ("bore", "seat", "clamp slot", "left", "keyway for the worm", "WINDOW", "m", "dowels", "§ß")
# Of lettering: how far capitals and descenders go from the line it stands on, in type sizes.
ABOVE, BELOW = 0.73, 0.2


@dataclass(frozen=True)
class Lettering:
    """A text of the sheet, its box, and the part of the sheet it is in."""

    text: str
    frame: str
    box: PaperBox


def letterings(svg: str) -> list[Lettering]:
    """Every text of a sheet."""
    found = []
    for part in ET.fromstring(svg).iter(f"{SVG}g"):
        if part.get("id") in FRAMES:
            found += [
                Lettering(t.text or "", part.get("id", ""), _box(t))
                for t in part.iter(f"{SVG}text")
            ]
    return found


def _box(text: ET.Element) -> PaperBox:
    x, y, size = (float(text.get(k, "0")) for k in ("x", "y", "font-size"))
    words = text.text or ""
    wide = text_width(words, size, bold=text.get("font-weight") == "bold")
    wide += len(words) * float(text.get("letter-spacing", "0"))
    left = x - {"middle": wide / 2, "end": wide}.get(text.get("text-anchor", ""), 0.0)
    box = PaperBox(left, y - ABOVE * size, left + wide, y + BELOW * size)
    turn = re.fullmatch(r"rotate\(-90 (\S+) (\S+)\)", text.get("transform", ""))
    if turn is None:
        return box
    u, v = float(turn[1]), float(turn[2])
    # (x, y) goes to (u + y - v, v - x + u)
    return PaperBox(u + box.top - v, v - box.right + u, u + box.bottom - v, v - box.left + u)


class Sheet:
    """One random sheet, the same for the same number; of `long` work with something at its ends
    alone where that is asked."""

    def __init__(self, number: int, *, long: bool = False) -> None:
        self._r = random.Random(number)
        self._long, self._end, self._ends = long, 0.05, random.Random(number)
        r = self._r
        self.units: Any = r.choice(("mm", "mm", "inch"))
        x, y, z = (r.choice((8, 25, 60, 150, 400)) * r.uniform(0.5, 1.5) for _ in range(3))
        self.size = (x, y, z if r.random() < 0.4 else min(z, 12.0))
        if long:
            x, y = 300 * r.uniform(0.8, 1.5), 30 * r.uniform(0.5, 1.5)
            self.size = (x, y, 12.0)
        ox, oy = r.choice(((0, 0), (-x / 2, -y / 2), (-x, 20)))
        self.low = (ox, oy, -self.size[2])
        self.features = tuple(self._feature(n) for n in range(r.randint(0, 14)))
        self.setup = self._setup()
        self.problems = [self._problem() for _ in range(r.choice((0, 0, 0, 0, 1, 2, 5, 60)))]
        self.svg = self._drawn()

    def _name(self, n: int) -> str:
        return f"{' '.join(self._r.choices(WORDS, k=self._r.randint(1, 3)))} {n}"

    def _at(self, share: float = 0.1) -> tuple[float, float]:
        r = self._r
        along = r.uniform(share, 1 - share)
        if self._long:
            along = self._end + 0.05 * along
        return (
            self.low[0] + self.size[0] * along,
            self.low[1] + self.size[1] * r.uniform(share, 1 - share),
        )

    def _feature(self, n: int) -> Feature:
        r = self._r
        self._end = self._ends.choice((0.05, 0.85))
        through = r.random() < 0.4
        floor = self.low[2] if through else self.low[2] * r.uniform(0.1, 0.9)
        depth = Depth(top=0, floor=floor, through=through, cut_to=floor - 0.3 * through)
        base: Any = {"name": self._name(n), "place": Place("j.toml", n), "depth": depth,
                     "cutting": Cutting(), "copy_of": r.choice(("", "", "bore"))}  # fmt: skip
        least = min(self.size[:2])
        wide = least * r.uniform(0.03, 0.4)
        fit = Band(lower=0, upper=0.012, sizes=(wide,), fit=r.choice(("H7", "")))
        places = tuple(self._at() for _ in range(r.choice((1, 1, 2, 6))))
        square = Region.of(self._square(wide))
        kind = r.randrange(10)
        if kind < 3:
            mouth = Counterbore(diameter=2 * wide, floor=floor / 2) if r.random() < 0.3 else None
            band = fit if r.random() < 0.4 else None
            return Hole(places=places, diameter=wide, counterbore=mouth, band=band, **base)
        if kind == 3:
            return Bore(places=places, diameter=wide, **base)
        if kind == 4:
            return Pocket(outline=square, area=square, **base)
        if kind == 5:
            return Slot(
                path=Chain.of_points([self._at(), self._at()], closed=False), width=wide / 3, **base
            )
        if kind == 6:
            return Profile(outline=square, side=r.choice(("outside", "inside")), **base)
        if kind == 7:
            return Boss(kept=square, **base)
        if kind == 8:
            return r.choice((Face(**base), Edge(point=self._at(), away=(1.0, 0.0), **base)))
        return Sector(centre=self._at(), radius=wide, start=0, end=r.uniform(0.5, math.tau),
                      side="outside", **base)  # fmt: skip

    def _square(self, wide: float) -> Chain:
        x, y = self._at()
        k = self._r.uniform(0.3, 2.0)
        return Chain.of_points([(x, y), (x + wide, y), (x + wide, y + k * wide)], closed=True)

    def _hold(self) -> Hold:
        r, (x, y) = self._r, self._at()
        kind = r.randrange(5)
        if kind == 0:
            along, deep = r.choice((("x", "back"), ("y", "left"))), r.choice((5, 40))
            return Hold(
                vise=Vise(
                    grip=self.size[2] * 0.3, jaw_width=80, jaw_depth=deep, along=along[0],
                    fixed=along[1], centre=(x, y),
                )
            )  # fmt: skip
        if kind == 1:
            clamps = tuple(Clamp(at=self._at(), size=(10, 30), height=14) for _ in range(3))
            return Hold(board=12.0, clamps=clamps)
        return Hold(board=12.0) if kind == 2 else Hold()

    def _setup(self) -> Setup:
        r = self._r
        high = tuple(a + s for a, s in zip(self.low, self.size, strict=True))
        raw = RawStock(shape="block", low=self.low, high=high, plates=r.choice((1, 1, 3)))  # type: ignore[arg-type]  # three of them
        return Setup(
            name=r.choice(("Top", "Under side and the other half of the curve, very long " * 2)),
            place=Place("j.toml", 1), raw=raw, clearance=r.choice((0.0, 5.0, 40.0)),
            zero_text="x left + 12.5, y front + 10, z top " * r.choice((1, 4)), breakthrough=0.5,
            work_offset=1, hold=self._hold(), features=self.features,
        )  # fmt: skip

    def _problem(self) -> Problem:
        r = self._r
        where = (*self._at(-0.3), r.uniform(*sorted((self.low[2], 5.0))))
        return Problem(
            r.choice(("error", "warning")), r.choice((0, r.randint(1, 99999))), 0,
            where if r.random() < 0.8 else None,
            "gouge in rim: " + "cut 0.310 mm " * r.randint(1, 9),
        )  # fmt: skip

    def _program(self) -> tuple[str, list[str]]:
        r = self._r
        lines, said = ["G21 G90 G17"], []
        for tool in r.sample(range(1, 40), r.randint(0, 18)):
            self._end = self._ends.choice((0.05, 0.85))
            x, y = self._at(0.0)
            lines += [f"T{tool} M6", f"S{r.randint(50, 24000)} M3", f"G0 Z5 X{x:.3f} Y{y:.3f}"]
            for _ in range(r.randint(1, 6)):
                x, y = self._at(-0.05)
                z = self.low[2] * r.random()
                lines.append(f"G1 X{x:.3f} Y{y:.3f} Z{z:.3f} F{r.randint(10, 3000)}")
            wide = min(self.size) if self._long else self.size[0]
            lines.append(f"G2 X{x:.3f} Y{y:.3f} I{wide * 0.1:.3f} J0")
            lines.append("G0 Z5")
            u, v = self._at()
            said.append(f"cutter {tool}: touch the raw top at X{u:.1f} Y{v:.1f} and set Z to 0.000")
        return "\n".join([*lines, "M2", ""]), said

    def _rack(self) -> dict[int, Cutter]:
        r = self._r
        return {
            n: Cutter(number=n, name="cutter", kind=r.choice(CUTTER_KINDS),
                      diameter=r.choice((3, 6.35, 12.123)), flute_length=20, stickout=40, shank=6,
                      tip_angle=2.0)
            for n in range(1, 38)
        }  # fmt: skip

    def _drawn(self) -> str:
        r = self._r
        text, said = self._program()
        seconds = {n: r.uniform(0, 90000) for n in range(40)}
        facts = SheetFacts(
            stamp=r.choice(("PASS", "FAIL", "UNPROVEN", "DRY RUN")), material="free-cutting steel",
            machine="bench mill of the back room", date="2024-02-29", number=3, count=12,
            seconds=seconds,
        )  # fmt: skip
        return plan_view(
            read_program(text, "p.nc").moves, setup=self.setup, title="Plate " * r.randint(1, 20),
            units=self.units, cutters=self._rack(), problems=self.problems, facts=facts,
            messages=said, metal=r.random() < 0.9, file="1-flat-on-the-spoil-board.nc",
        ).text(r.choice(("", "Under side " * 9)))  # fmt: skip
