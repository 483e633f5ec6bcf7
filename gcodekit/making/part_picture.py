"""The finished part's surface for the pictures, and the sheet that shows it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from gcodekit.job.model import Job
from gcodekit.job.stock.frames import Frame
from gcodekit.making.report import mass
from gcodekit.part.finished_part import SetupCut
from gcodekit.part.solid import SOLID_SAG, solid
from gcodekit.plot.part_view.body_view import drawable
from gcodekit.plot.part_view.part_sheet import PartFacts, part_sheet
from gcodekit.plot.part_view.surface_mesh import SurfaceMesh

if TYPE_CHECKING:
    from manifold3d import Manifold

    from gcodekit.job.raw_stock import Stock

PART_PICTURE = "part.svg"
# Cuts that meet in a wall leave a foil between their chords, as thick as both sag. For a picture
# each is so much wider all round, mm, that none is left.
_WIDER = SOLID_SAG + 0.001
# A side this near a floor or a side of the stock, mm, is one.
_SAME = 1e-4
# The plates of a stack are drawn so far apart, mm: their joint is one line.
_JOINT = 0.05
# A piece of less than this share of the largest is a crumb.
_CRUMB = 1e-3


@dataclass(frozen=True, slots=True)
class PartSurface:
    """The finished part: its surface in the stock's frame, ready to be drawn, its overall sizes,
    mm, and how many pieces it is in."""

    mesh: SurfaceMesh
    size: tuple[float, float, float]
    pieces: int


def part_surface(job: Job, cuts: Sequence[SetupCut]) -> PartSurface | None:
    """The part that set-ups leave; None where nothing is left."""
    body = _plates(solid(job.stock, [_widened(cut) for cut in cuts]), job.stock)
    if body.is_empty():
        return None
    mesh = body.to_mesh64()
    points, triangles = np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts)
    volumes = [float(p.volume()) for p in body.decompose()]
    pieces = sum(v > _CRUMB * max(volumes) for v in volumes)
    return PartSurface(drawable(points, triangles), _size(body, job.stock, cuts), pieces)


def part_picture(job: Job, part: PartSurface, volume: float) -> str:
    """The sheet of the finished part, as SVG text; `volume` in mm3, for its mass."""
    facts = PartFacts(
        name=job.name,
        material=job.material.name,
        mass=mass(job, volume),
        units=job.units,
        size=part.size,
        pieces=part.pieces,
        file=job.path.name,
    )
    return part_sheet(part.mesh, facts)


def _plates(body: Manifold, stock: Stock) -> Manifold:
    """The body with the joints of a stack."""
    thick = stock.size[2] / stock.plates
    for joint in (thick * k for k in range(1, stock.plates)):
        below = body.trim_by_plane((0, 0, -1), -(joint - _JOINT / 2))
        body = below + body.trim_by_plane((0, 0, 1), joint + _JOINT / 2)
    return body


def _widened(cut: SetupCut) -> SetupCut:
    gone = (
        replace(s, area=s.area.buffer(_WIDER, join_style="mitre", mitre_limit=2.0))
        for s in cut.gone
    )
    return replace(cut, gone=tuple(gone))


def _size(body: Manifold, stock: Stock, cuts: Sequence[SetupCut]) -> tuple[float, float, float]:
    """The overall sizes of a body that was cut a little wider all round: floors and what is left of
    the stock's sides are true, walls stand back."""
    box = body.bounding_box()
    size = []
    for axis in range(3):
        true = np.array(sorted(_true_sides(axis, stock, cuts)))
        low, high = box[axis], box[axis + 3]
        low -= 0.0 if np.any(np.abs(true - low) < _SAME) else _WIDER
        high += 0.0 if np.any(np.abs(true - high) < _SAME) else _WIDER
        size.append(high - low)
    return (size[0], size[1], size[2])


def _true_sides(axis: int, stock: Stock, cuts: Sequence[SetupCut]) -> Iterable[float]:
    """Along an axis of the stock's frame, its sides and the heights that set-ups cut to."""
    yield from (0.0, stock.size[axis])
    for cut in cuts:
        frame = Frame.of(cut.setup)
        along = frame.axes[2][axis]
        if along:
            yield from (frame.origin[axis] + along * z for s in cut.gone for z in (s.low, s.high))
