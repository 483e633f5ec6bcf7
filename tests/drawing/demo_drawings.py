"""The drawings beside the shipped jobs, of an equatorial mount; every size is invented.

    python tests/drawing/demo_drawings.py jobs

writes them anew. test_demo_drawings.py holds the files against what is drawn here.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import ezdxf
from ezdxf.document import Drawing

QUARTER = 0.41421356237309503  # tan(90 deg / 4), the bulge of a quarter of a circle


def saddle_bracket() -> Drawing:
    """A bracket with a round seat, and a slot in it to slide it along."""
    document, space = _sheet("RIM", "SLOT")
    rim = [
        (8, 0, 0), (82, 0, QUARTER), (90, 8, 0), (90, 41, QUARTER), (85, 46, 0),
        (63, 46, -1), (27, 46, 0), (5, 46, QUARTER), (0, 41, 0), (0, 8, QUARTER),
    ]  # fmt: skip
    space.add_lwpolyline(rim, format="xyb", close=True, dxfattribs={"layer": "RIM"})
    slot = {"layer": "SLOT"}
    space.add_line((32, 8), (58, 8), dxfattribs=slot)
    space.add_arc((58, 13), 5, -90, 90, dxfattribs=slot)
    space.add_line((58, 18), (32, 18), dxfattribs=slot)
    space.add_arc((32, 13), 5, 90, 270, dxfattribs=slot)
    space.add_text("saddle bracket, 2 off", dxfattribs={"layer": "TEXT"})
    return document


def declination_cheek() -> Drawing:
    """The left cheek of the declination head: a bent edge, and an oval window."""
    document, space = _sheet("RIM", "WINDOW")
    rim = {"layer": "RIM"}
    space.add_line((6, 0), (58, 0), dxfattribs=rim)
    space.add_arc((58, 6), 6, -90, 0, dxfattribs=rim)
    space.add_line((64, 6), (64, 30), dxfattribs=rim)
    space.add_spline(dxfattribs=rim).control_points = [(64, 30), (64, 48), (48, 62), (30, 62)]
    spline = space[-1]
    spline.dxf.degree, spline.knots = 3, [0, 0, 0, 0, 1, 1, 1, 1]
    space.add_line((30, 62), (6, 62), dxfattribs=rim)
    space.add_arc((6, 56), 6, 90, 180, dxfattribs=rim)
    space.add_line((0, 56), (0, 6), dxfattribs=rim)
    space.add_arc((6, 6), 6, 180, 270, dxfattribs=rim)
    space.add_ellipse((34, 26), (14, 0), 10 / 14, dxfattribs={"layer": "WINDOW"})
    return document


def _sheet(*layers: str) -> tuple[Drawing, Any]:
    """An empty drawing in mm, of the oldest version that has light polylines and splines."""
    document = ezdxf.new("R2000", units=4)
    for layer in layers:
        document.layers.add(layer)
    return document, document.modelspace()


DRAWINGS = {"saddle-bracket.dxf": saddle_bracket, "declination-cheek.dxf": declination_cheek}

if __name__ == "__main__":
    for name, draw in DRAWINGS.items():
        draw().saveas(Path(sys.argv[1], name))
