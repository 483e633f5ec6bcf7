"""Slopes that a solid has in small steps, made into slopes again: bevels, countersinks, the points
of drills."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely

from gcodekit.plot.part_view.surface_mesh import (
    Array,
    Edges,
    Flags,
    Indices,
    SurfaceMesh,
    components,
    triangle_normals,
)
from gcodekit.plot.part_view.triangulation import delaunay

# A step of a slope is no wider and no higher than this, mm, and its faces stand square to one
# another: to within this cosine.
_STEP, _SQUARE = 0.8, 0.2
# A face is square to steps where its normal is along them, to within this cosine.
_ACROSS = 0.999
# Faces that turn by less than this (length of the difference of their normals) are one step's.
_ROUND = 0.35


@dataclass(frozen=True, slots=True)
class _Steps:
    """The steps of a mesh: of each corner whether it is an outer or an inner one of steps, or
    `fixed`, on a face that is none of a step's. `face`: of each triangle its face, curved ones
    whole; `narrow`: of each face whether it can be a step's; `curved`: whether it is no plane;
    `laid`: the two directions (k, 3, 2) in which it is laid out flat."""

    outer: Flags
    inner: Flags
    fixed: Flags
    face: Indices
    narrow: Flags
    curved: Flags
    laid: Array


@dataclass(frozen=True, slots=True)
class _Pairs:
    """Corners of steps (n,), both faces that meet there, and across each the nearest corner of the
    other kind; `ways` (n, 3): the way there, of which as much as is square to the other face."""

    corner: Indices
    faces: tuple[Indices, Indices]
    ends: tuple[Indices, Indices]
    ways: tuple[Array, Array]


def without_steps(mesh: SurfaceMesh) -> SurfaceMesh:
    """The mesh with two or more small steps that follow one another made into the slope that all
    their inner corners are on: outer corners are moved there, and at both ends of the slope those
    that lie on larger faces.

    A slope in steps is cut no deeper than the slope anywhere: its inner corners are the true ones.
    """
    steps = _steps(mesh, Edges.of(mesh))
    if not np.any(steps.outer) or not np.any(steps.inner):
        return mesh
    mesh = delaunay(mesh, (steps.narrow & ~steps.curved)[steps.face], steps.face)
    found = _pairs(mesh, steps)
    points = mesh.points.copy()
    outer = steps.outer[found.corner]
    points[found.corner[outer]] += (found.ways[0] + found.ways[1])[outer] / 2
    for first, second in ((0, 1), (1, 0)):
        last = ~outer & steps.fixed[found.ends[first]] & steps.outer[found.ends[second]]
        rows = found.faces[first][last], found.corner[last], -found.ways[second][last]
        for corners, shift in _ends(mesh, steps, *rows):
            points[corners] = mesh.points[corners] + shift
    return SurfaceMesh.of(points, mesh.triangles)


def _ends(
    mesh: SurfaceMesh, steps: _Steps, face: Indices, inner: Indices, shift: Array
) -> Iterator[tuple[Indices, Array]]:
    """Find the corners where a slope ends on a larger face, and how far each goes to where the
    slope leads. `face`, `inner`, `shift` (n, 3): the last step's face, the inner corners across
    it, and how far what lies across from each of those goes."""
    order = np.argsort(face, kind="stable")
    for rows in np.split(order, np.flatnonzero(np.diff(face[order])) + 1):
        if not len(rows):
            continue
        own = np.unique(mesh.triangles[steps.face == face[rows[0]]])
        own = own[steps.fixed[own]]
        plane = steps.laid[face[rows[0]]]
        at, end = _nearest(mesh.points, own, inner[rows], plane)
        yield own[at], shift[rows[end]]


def _pairs(mesh: SurfaceMesh, steps: _Steps) -> _Pairs:
    """Find the corners across both faces of each corner of steps; those that lack one are left
    out."""
    known, normals = _face_corners(mesh, steps)
    starts = np.append(0, np.flatnonzero(np.diff(known[:, 0])) + 1)
    parts = np.split(np.arange(len(known)), starts[1:])
    rows = [
        row
        for part, plane in zip(parts, steps.laid[known[starts, 0]], strict=True)
        for row in _across(mesh.points, known[part, 1], plane, steps, part)
    ]
    none = np.zeros(0, dtype=np.intp)
    place, end = (np.concatenate(r) for r in zip((none, none), *rows, strict=True))
    corner = known[place, 1]
    order = np.argsort(corner, kind="stable")
    order = order[np.bincount(corner, minlength=len(mesh.points))[corner[order]] == 2]
    one, other = order[::2], order[1::2]
    corner = corner[one]
    ways = tuple(
        _along(mesh.points[end[a]] - mesh.points[corner], normals[place[b]])
        for a, b in ((one, other), (other, one))
    )
    faces = known[place, 0]
    return _Pairs(corner, (faces[one], faces[other]), (end[one], end[other]), (ways[0], ways[1]))


def _face_corners(mesh: SurfaceMesh, steps: _Steps) -> tuple[Indices, Array]:
    """List the corners of each narrow face, in rows of face and corner (n, 2), and the face's unit
    normals (n, 3) there."""
    every = np.stack([np.repeat(steps.face, 3), mesh.triangles.reshape(-1)], axis=1)
    normals, areas = triangle_normals(mesh)
    narrow = steps.narrow[every[:, 0]]
    known, row = np.unique(every[narrow], axis=0, return_inverse=True)
    total = np.zeros((len(known), 3))
    np.add.at(total, row.reshape(-1), np.repeat(areas[:, None] * normals, 3, axis=0)[narrow])
    return known, total / np.maximum(np.linalg.norm(total, axis=1), 1e-300)[:, None]


def _along(ways: Array, normals: Array) -> Array:
    return np.asarray(np.sum(ways * normals, axis=1)[:, None] * normals)


def _across(
    points: Array, corners: Indices, plane: Array, steps: _Steps, places: Indices
) -> Iterator[tuple[Indices, Indices]]:
    """Find those of one face's corners that are of steps, by their `places` in a list of them all,
    and of each the nearest of the opposite kind, or on a larger face, no further away than a
    step is wide; `plane`: the directions (3, 2) in which the face is laid out flat."""
    for mine, theirs in ((steps.outer, steps.inner), (steps.inner, steps.outer)):
        near = np.flatnonzero(mine[corners])
        far = corners[(theirs | steps.fixed)[corners]]
        if len(near) and len(far):
            at, end = _nearest(points, corners[near], far, plane)
            yield places[near[at]], far[end]


def _nearest(
    points: Array, mine: Indices, theirs: Indices, plane: Array
) -> tuple[Indices, Indices]:
    """Find the corners that have another no further away than a step is wide, and the nearest:
    places in `mine` and in `theirs`."""
    tree = shapely.STRtree(np.array(shapely.points(points[theirs] @ plane), ndmin=1))
    at, end = tree.query_nearest(shapely.points(points[mine] @ plane), all_matches=False)
    close = np.linalg.norm(points[mine[at]] - points[theirs[end]], axis=1) < 1.5 * _STEP
    return at[close], end[close]


def _laid_flat(mesh: SurfaceMesh, face: Indices) -> tuple[Flags, Array]:
    """Tell which faces are curved, and find two directions (k, 3, 2): of a plane one those in it;
    of a curved one those square to the line that all of it runs along, so that what lies across
    it falls together."""
    normals, areas = triangle_normals(mesh)
    spread = np.zeros((int(face.max()) + 1, 3, 3))
    np.add.at(spread, face, areas[:, None, None] * normals[:, :, None] * normals[:, None, :])
    share, directions = np.linalg.eigh(spread)  # by how much of the normals is along them
    plane = share[:, 1] < 1e-3 * share[:, 2]
    laid = np.where(plane[:, None, None], directions[:, :, :2], directions[:, :, 1:])
    return ~plane, laid


def _steps(mesh: SurfaceMesh, edges: Edges) -> _Steps:
    normals = triangle_normals(mesh)[0]
    sides = edges.sides
    one, other = normals[sides[:, 0]], normals[sides[:, 1]]
    paired = sides[:, 1] >= 0
    smooth = paired & (np.linalg.norm(one - other, axis=1) < _ROUND)
    face = components(len(mesh.triangles), sides[smooth])
    narrow = _widths(mesh, edges, face, smooth) < _STEP
    square = np.abs(np.sum(one * other, axis=1)) < _SQUARE
    step = paired & ~smooth & square & np.all(narrow[face[sides]], axis=1)
    convex = _convex(mesh, edges, one)
    count = len(mesh.points)
    outer, inner = (_touched(edges.ends[flags], count) for flags in (step & convex, step & ~convex))
    fixed = _fixed(mesh, edges, step, ~smooth & ~step, narrow[face])
    return _Steps(
        outer & ~inner & ~fixed,
        inner & ~outer & ~fixed,
        fixed,
        face,
        narrow,
        *_laid_flat(mesh, face),
    )


def _fixed(mesh: SurfaceMesh, edges: Edges, step: Flags, other: Flags, narrow: Flags) -> Flags:
    """Tell which corners lie on faces that are no steps. A face across the end of steps is none of
    those: a corner moves square to its steps, and stays in it."""
    along = np.zeros((len(mesh.points), 3))
    ends, normals = edges.ends[step], triangle_normals(mesh)[0]
    ways = mesh.points[ends[:, 1]] - mesh.points[ends[:, 0]]
    ways /= np.maximum(np.linalg.norm(ways, axis=1), 1e-300)[:, None]
    along[ends[:, 0]], along[ends[:, 1]] = ways, ways
    first, last = edges.sides[other].T
    wide = normals[np.where(narrow[first] & (last >= 0), last, first)]
    found = np.zeros(len(mesh.points), dtype=bool)
    for corners in edges.ends[other].T:
        across = np.abs(np.sum(along[corners] * wide, axis=1)) > _ACROSS
        found[corners[~across]] = True
    return found


def _widths(mesh: SurfaceMesh, edges: Edges, face: Indices, smooth: Flags) -> Array:
    """The width of each face: a strip's area over half its rim, mm."""
    ends = mesh.points[edges.ends]
    length = np.where(smooth, 0.0, np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1))
    count = int(face.max()) + 1
    rim = np.bincount(face[edges.sides[:, 0]], length, count)
    paired = edges.sides[:, 1] >= 0
    rim += np.bincount(face[edges.sides[paired, 1]], length[paired], count)
    area = np.bincount(face, triangle_normals(mesh)[1], count)
    return np.asarray(np.where(rim > 0, 2 * area / np.maximum(rim, 1e-12), np.inf))


def _convex(mesh: SurfaceMesh, edges: Edges, normals: Array) -> Flags:
    """Tell at which edges the triangle on the second side lies below the plane of the first, whose
    normals are given."""
    middle = mesh.points[mesh.triangles[edges.sides[:, 1]]].mean(axis=1)
    start = mesh.points[edges.ends[:, 0]]
    return np.asarray(np.sum((middle - start) * normals, axis=1) < 0)


def _touched(ends: Indices, count: int) -> Flags:
    """Tell which of so many corners are ends of edges (n, 2)."""
    flags = np.zeros(count, dtype=bool)
    flags[ends.reshape(-1)] = True
    return flags
