"""A body as it is seen: lines by their kind and areas by their tone, on the picture at 1:1."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gcodekit.plot.part_view.dimetric import Dimetric
from gcodekit.plot.part_view.hidden_lines import Shown, Sight, seen_pieces
from gcodekit.plot.part_view.slopes import without_steps
from gcodekit.plot.part_view.surface_mesh import Array, Edges, Facets, SurfaceMesh
from gcodekit.plot.part_view.tones import GRID, toned_areas, tones
from gcodekit.plot.part_view.view_edges import view_edges

Bounds = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class BodyView:
    """Lines (n, 2, 2) and areas by their place in `TONES`, mm on the picture, up being positive.
    `rims`: outlines, behind which the body goes on or ends; `corners`: where two faces meet."""

    rims: Array
    corners: Array
    areas: dict[int, BaseGeometry]
    bounds: Bounds


# A surface is drawn as true as this share of the body's largest size, but no coarser than this,
# mm: a hair's breadth on A4.
_LOOSE_SHARE, _LOOSE = 3e-4, 0.012


def drawable(points: Array, triangles: NDArray[np.integer]) -> SurfaceMesh:
    """A body's surface made ready for any number of views: without what is too fine to be drawn,
    slopes that it has in small steps as slopes.

    Parameters
    ----------
    points : corners, (n, 3), mm
    triangles : of three corners each, (m, 3), counter-clockwise as seen from outside
    """
    mesh = SurfaceMesh.of(points, triangles)
    loose = min(_LOOSE_SHARE * float(np.max(mesh.high - mesh.low)), _LOOSE)
    return without_steps(mesh.simplified(loose)).simplified(loose)


def body_view(mesh: SurfaceMesh, view: Dimetric, *, shaded: bool = True) -> BodyView:
    """Look at a body. Without `shaded` it has no areas."""
    edges = Edges.of(mesh)
    facets = Facets.of(mesh, edges)
    shown = Shown.of(mesh, facets, view)
    sight = Sight(shown)
    tone = tones(facets, edges, view)
    kinds = view_edges(shown, edges, tone)
    rims, corners, shades = (
        seen_pieces(shown, sight, e, kinds.rims).lines
        for e in (kinds.rims, kinds.corners, kinds.shades)
    )
    every = np.concatenate([rims, corners, shades])
    areas = toned_areas(every, sight, tone) if shaded else {}
    low, high = shown.flat.min(axis=0), shown.flat.max(axis=0)
    return BodyView(rims, corners, areas, (*low.tolist(), *high.tolist()))


def strokes(lines: Array) -> BaseGeometry:
    """Lines (n, 2, 2) joined end to end into strokes as long as they go."""
    return shapely.line_merge(shapely.union_all(shapely.linestrings(lines), grid_size=GRID))
