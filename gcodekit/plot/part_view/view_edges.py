"""The edges of a body that a picture shows, by the line they are drawn in."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from gcodekit.plot.part_view.hidden_lines import Shown
from gcodekit.plot.part_view.surface_mesh import Array, Edges, Flags, Indices

# Faces that meet at less than this are one smooth surface: common practice, no source.
_SMOOTH = math.radians(20)
# So are chords of a small round wall, which meet at up to this, as long as they are no further
# than this from it, mm: the solid's chords and what simplifying adds.
_SMALL_ROUND, _SAG = math.radians(50), 0.015


@dataclass(frozen=True, slots=True)
class ViewEdges:
    """Edges that can be seen: `rims`, where the front ends before what lies behind; `corners`,
    where two faces meet; `shades`, where one tone of a smooth surface ends and the next begins."""

    rims: Edges
    corners: Edges
    shades: Edges


def view_edges(shown: Shown, edges: Edges, tones: Indices) -> ViewEdges:
    """Sort edges out; `tones`: of each facet (k,)."""
    facet = np.where(edges.sides >= 0, shown.facets.of_triangle[edges.sides], -1)
    front = shown.front[facet] & (facet >= 0)
    both = np.all(front, axis=1)
    rim = front[:, 0] != front[:, 1]
    corner = both & ~_smooth(shown, edges, facet)
    shade = both & ~corner & (tones[facet[:, 0]] != tones[facet[:, 1]])
    return ViewEdges(*(_chosen(edges, flags) for flags in (rim, corner, shade)))


def _smooth(shown: Shown, edges: Edges, facet: Indices) -> Flags:
    """Tell at which edges the two faces are one smooth surface."""
    normals, areas = shown.facets.normals, shown.facets.areas
    one, other = normals[facet[:, 0]], normals[facet[:, 1]]
    turn = 2 * np.arcsin(np.minimum(np.linalg.norm(one - other, axis=1) / 2, 1.0))
    ends = shown.mesh.points[edges.ends]
    length = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    wide: Array = np.max(areas[facet], axis=1) / np.maximum(length, 1e-12)
    sag = wide / 2 * np.tan(turn / 4)
    return np.asarray((turn < _SMOOTH) | ((turn < _SMALL_ROUND) & (sag < _SAG)))


def _chosen(edges: Edges, flags: Flags) -> Edges:
    return Edges(edges.ends[flags], edges.sides[flags])
