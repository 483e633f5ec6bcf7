"""Plane faces divided into triangles anew, none needlessly thin."""

from __future__ import annotations

import numpy as np

from gcodekit.plot.part_view.surface_mesh import Array, Edges, Flags, Indices, SurfaceMesh

# More rounds than this a face of some thousand triangles does not need.
_ROUNDS = 200
# Two angles add up to more than half a turn if the sum of their cotangents is below this.
_ROUNDING = -1e-9


def delaunay(mesh: SurfaceMesh, chosen: Flags, face: Indices) -> SurfaceMesh:
    """The chosen triangles (m,) with edges inside a face turned until, of any two triangles that
    share one, the angles across it make no more than half a turn (B. Delaunay's criterion); every
    outline stays."""
    here = np.flatnonzero(chosen)
    part, own = mesh.triangles[here].copy(), face[here]
    for _ in range(_ROUNDS):
        edges = Edges.of(SurfaceMesh(mesh.points, part))
        sides = edges.sides
        inside = (sides[:, 1] >= 0) & (own[sides[:, 0]] == own[sides[:, 1]])
        a, b, c, d, sides = _across(part, edges.ends[inside], sides[inside])
        turned = _apart(_cotangent(mesh.points, a, b, c) + _cotangent(mesh.points, a, b, d), sides)
        if not np.any(turned):
            break
        part[sides[turned, 0]] = np.stack([a, d, c], axis=1)[turned]
        part[sides[turned, 1]] = np.stack([d, b, c], axis=1)[turned]
    triangles = mesh.triangles.copy()
    triangles[here] = part
    return SurfaceMesh(mesh.points, triangles)


def _across(
    triangles: Indices, ends: Indices, sides: Indices
) -> tuple[Indices, Indices, Indices, Indices, Indices]:
    """Find each edge's ends a, b as the first triangle goes round them, that one's third corner,
    the other's, and both triangles."""
    first, second = triangles[sides[:, 0]], triangles[sides[:, 1]]
    third, fourth = (t.sum(axis=1) - ends.sum(axis=1) for t in (first, second))
    forward = np.any((first == ends[:, :1]) & (np.roll(first, -1, axis=1) == ends[:, 1:]), axis=1)
    a, b = np.where(forward, ends.T, ends.T[::-1])
    return a, b, third, fourth, sides


def _cotangent(points: Array, a: Indices, b: Indices, corner: Indices) -> Array:
    """The cotangent of the angle at a corner between a and b."""
    one, other = points[a] - points[corner], points[b] - points[corner]
    area = np.linalg.norm(np.cross(one, other), axis=1)
    return np.asarray(np.sum(one * other, axis=1) / np.maximum(area, 1e-12))


def _apart(total: Array, sides: Indices) -> Flags:
    """Choose the edges to turn: no two of one triangle at once."""
    wrong = np.flatnonzero(total < _ROUNDING)
    first = np.full(int(sides.max(initial=-1)) + 1, len(total))
    for side in (0, 1):
        np.minimum.at(first, sides[wrong, side], wrong)
    free = np.all(first[sides[wrong]] == wrong[:, None], axis=1)
    turned = np.zeros(len(total), dtype=bool)
    turned[wrong[free]] = True
    return turned
