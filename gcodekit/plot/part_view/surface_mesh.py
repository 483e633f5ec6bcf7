"""A solid's surface as triangles, its edges, and its plane facets."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Indices = NDArray[np.intp]
Flags = NDArray[np.bool_]
# Corners nearer than this, mm, are one.
_WELD = 1e-6
# Triangles whose normals differ by less than this, radians, lie in one plane: what is left is the
# rounding of their corners.
_PLANE = 1e-5


@dataclass(frozen=True, slots=True)
class SurfaceMesh:
    """Corners (n, 3) in mm and triangles (m, 3), counter-clockwise as seen from outside."""

    points: Array
    triangles: Indices

    @staticmethod
    def of(points: Array, triangles: NDArray[np.integer]) -> SurfaceMesh:
        """Triangles that share the corners they have in common; those without an area left out."""
        points = np.asarray(points, dtype=np.float64).reshape(-1, 3)
        corners = np.asarray(triangles, dtype=np.intp).reshape(-1, 3)
        _, first, new = np.unique(
            np.round(points / _WELD), axis=0, return_index=True, return_inverse=True
        )
        corners = new.reshape(-1)[corners]
        kept = np.all(corners != np.roll(corners, 1, axis=1), axis=1)
        return SurfaceMesh(points[first], corners[kept])

    @property
    def low(self) -> Array:
        """The least x, y and z, mm."""
        return np.asarray(self.points.min(axis=0))

    @property
    def high(self) -> Array:
        """The greatest x, y and z, mm."""
        return np.asarray(self.points.max(axis=0))

    def simplified(self, loose: float) -> SurfaceMesh:
        """The same surface, off by so much at most, mm, without what is finer; itself where the
        triangles are no closed surface."""
        from manifold3d import Error, Manifold, Mesh64

        body = Manifold(Mesh64(self.points, self.triangles.astype(np.uint64)))
        if body.status() != Error.NoError or body.is_empty():
            return self
        mesh = body.simplify(loose).to_mesh64()
        found = SurfaceMesh.of(np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts))
        return found if len(found.triangles) else self


@dataclass(frozen=True, slots=True)
class Edges:
    """Edges by their two corners (n, 2), and the triangles on their two sides (n, 2), -1: none."""

    ends: Indices
    sides: Indices

    @staticmethod
    def of(mesh: SurfaceMesh) -> Edges:
        """Every edge once; where more than two triangles meet it is there several times."""
        corners = mesh.triangles
        ends = np.sort(np.concatenate([corners[:, [0, 1]], corners[:, [1, 2]], corners[:, [2, 0]]]))
        owner = np.tile(np.arange(len(corners)), 3)
        order = np.lexsort((owner, ends[:, 1], ends[:, 0]))
        ends, owner = ends[order], owner[order]
        same = np.all(ends[1:] == ends[:-1], axis=1)
        starts = np.flatnonzero(np.concatenate([[True], ~same]))
        rank = np.arange(len(ends)) - np.repeat(starts, np.diff(np.append(starts, len(ends))))
        first = np.flatnonzero(rank % 2 == 0)
        paired = np.append(same, False)[first]
        sides = np.full((len(first), 2), -1, dtype=np.intp)
        sides[:, 0] = owner[first]
        sides[paired, 1] = owner[first[paired] + 1]
        return Edges(ends[first], sides)


@dataclass(frozen=True, slots=True)
class Facets:
    """Plane pieces of a surface: of each triangle its facet (m,), and of each facet its normal
    (k, 3), a point in its plane (k, 3) and its area (k,), mm2."""

    of_triangle: Indices
    normals: Array
    places: Array
    areas: Array

    @staticmethod
    def of(mesh: SurfaceMesh, edges: Edges) -> Facets:
        """Triangles that meet in an edge and lie in one plane are one facet."""
        normals, area = triangle_normals(mesh)
        weight = np.maximum(area, 1e-300)
        inner = edges.sides[edges.sides[:, 1] >= 0]
        one, other = normals[inner[:, 0]], normals[inner[:, 1]]
        turned = np.linalg.norm(one - other, axis=1)
        facet = components(len(mesh.triangles), inner[turned < _PLANE])
        count = int(facet.max()) + 1
        total, place = np.zeros((count, 3)), np.zeros((count, 3))
        np.add.at(total, facet, area[:, None] * normals)
        middle = mesh.points[mesh.triangles].mean(axis=1)
        np.add.at(place, facet, weight[:, None] * middle)
        length = np.linalg.norm(total, axis=1)
        return Facets(
            facet,
            total / np.maximum(length, 1e-300)[:, None],
            place / np.bincount(facet, weight, count)[:, None],
            np.bincount(facet, area, count).astype(np.float64),
        )


def triangle_normals(mesh: SurfaceMesh) -> tuple[Array, Array]:
    """Unit normals (m, 3) of triangles and their areas (m,), mm2."""
    a, b, c = (mesh.points[mesh.triangles[:, i]] for i in range(3))
    twice = np.cross(b - a, c - a)
    length = np.linalg.norm(twice, axis=1)
    return twice / np.maximum(length, 1e-300)[:, None], length / 2


def components(count: int, pairs: Indices) -> Indices:
    """Numbers (count,) from 0 on, the same for all that pairs (n, 2) join."""
    label = np.arange(count)
    while True:
        least = np.minimum(label[pairs[:, 0]], label[pairs[:, 1]])
        new = label.copy()
        for side in (0, 1):
            np.minimum.at(new, label[pairs[:, side]], least)
            np.minimum.at(new, pairs[:, side], least)
        new = new[new]
        if np.array_equal(new, label):
            break
        label = new
    return np.asarray(np.unique(label, return_inverse=True)[1].reshape(-1))
