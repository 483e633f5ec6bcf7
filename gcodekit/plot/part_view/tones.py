"""Shading: a few flat tones, each by how a face lies to the light."""

from __future__ import annotations

import math

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gcodekit.plot.part_view.dimetric import Dimetric
from gcodekit.plot.part_view.hidden_lines import Sight
from gcodekit.plot.part_view.surface_mesh import Array, Edges, Facets, Indices
from gcodekit.plot.part_view.united_areas import united

# From dark to light: even steps of grey in print, no darker than lines stay clear of.
TONES = ("#848e92", "#989fa0", "#abb0ae", "#bec1bc", "#d2d2ca", "#e5e3d9", "#f6f3e8")
# The light comes over the left shoulder, as on drawings (common practice, no source): to the
# right, up, and towards the eye.
_LIGHT = np.array([-0.45, 0.55, 0.70]) / np.linalg.norm([-0.45, 0.55, 0.70])
# How faces lie to it from the darkest that can be seen to the lightest.
_DARK, _BRIGHT = -0.45, 1.08
# Facets of which the normals differ by less than 20° (its cosine) are of one smooth surface, and
# so often each is evened out with its neighbours.
_ONE_SURFACE, _ROUNDS = math.cos(math.radians(20)), 3
# Lines meet where they are this near on the picture, mm.
GRID = 1e-4


def tones(facets: Facets, edges: Edges, view: Dimetric) -> Indices:
    """The tone of each facet, as a place in `TONES`."""
    light = _LIGHT @ np.stack([view.right, view.up, view.towards])
    share = (_smoothed(facets, edges) @ light - _DARK) / (_BRIGHT - _DARK)
    steps = np.clip(np.round(share * (len(TONES) - 1)), 0, len(TONES) - 1)
    return np.asarray(steps, dtype=np.intp)


def _smoothed(facets: Facets, edges: Edges) -> Array:
    """Normals (k, 3) of facets, those of curved walls evened out with their neighbours': chords
    do not follow a wall evenly."""
    one, other = facets.of_triangle[edges.sides[edges.sides[:, 1] >= 0]].T
    normals = facets.normals
    near = (one != other) & (np.sum(normals[one] * normals[other], axis=1) > _ONE_SURFACE)
    one, other = one[near], other[near]
    weight = np.minimum(facets.areas[one], facets.areas[other])[:, None]
    for _ in range(_ROUNDS):
        total = facets.areas[:, None] * normals
        np.add.at(total, one, weight * normals[other])
        np.add.at(total, other, weight * normals[one])
        normals = total / np.maximum(np.linalg.norm(total, axis=1), 1e-300)[:, None]
    return np.asarray(normals)


def toned_areas(lines: Array, sight: Sight, tone: Indices) -> dict[int, BaseGeometry]:
    """The areas of the picture by their tone: those between all that is seen of edges (n, 2, 2),
    by the facet that is seen in each."""
    noded = shapely.union_all(shapely.linestrings(lines), grid_size=GRID)
    areas = np.array(shapely.get_parts(shapely.polygonize(shapely.get_parts(noded))))
    if not len(areas):
        return {}
    places = shapely.get_coordinates(shapely.point_on_surface(areas))
    facet = sight.nearest(places)
    return {
        int(t): _joined(areas[(facet >= 0) & (tone[facet] == t)])
        for t in np.unique(tone[facet[facet >= 0]])
    }


def _joined(areas: NDArray[np.object_]) -> BaseGeometry:
    """Areas that meet in whole edges as one."""
    return united(areas)
