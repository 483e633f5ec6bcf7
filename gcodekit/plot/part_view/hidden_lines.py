"""Removal of hidden lines: each edge is parted where the rim of something nearer crosses it, and
each piece is seen or hidden as a whole. Exact but for rounding: no picture in dots is made."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from gcodekit.plot.part_view.dimetric import EDGE_ON, Dimetric
from gcodekit.plot.part_view.surface_mesh import Array, Edges, Facets, Flags, Indices, SurfaceMesh
from gcodekit.plot.part_view.united_areas import united

# What lies no further behind than this, mm, touches: it is not hidden.
BEHIND = 2e-3
# Facets of more triangles than this are looked up as one outline.
_FEW = 8
# A piece of an edge shorter than this on the picture, mm, is none; and so near a crossing it ends.
_SHORT = 1e-6
# Edges that turn by less than this (its sine) run along one another; an edge reaches this share of
# itself past its ends, so that none slips through between two.
_PARALLEL, _PAST = 1e-9, 1e-6
# A place this share of a triangle outside it is on its rim.
_ON_RIM = 1e-9


@dataclass(frozen=True, slots=True)
class Shown:
    """The side of a body that faces the eye: its front facets in space and as the picture has
    them. `front`: of every facet whether it faces the eye."""

    view: Dimetric
    mesh: SurfaceMesh
    facets: Facets
    front: Flags
    flat: Array
    slope: Array
    start: Array

    @staticmethod
    def of(mesh: SurfaceMesh, facets: Facets, view: Dimetric) -> Shown:
        """Project a body."""
        front = facets.normals @ view.towards > EDGE_ON
        safe = np.where(front[:, None], facets.normals, view.towards)
        slope, start = view.plane(safe, facets.places)
        return Shown(view, mesh, facets, front, view.flat(mesh.points), slope, start)


class Sight:
    """Finds the facet that is seen at places of the picture."""

    def __init__(self, shown: Shown) -> None:
        self._shown = shown
        facet = shown.facets.of_triangle
        seen = shown.front[facet]
        many = np.bincount(facet)[facet] > _FEW
        small = np.flatnonzero(seen & ~many)
        self._corners = shown.flat[shown.mesh.triangles[small]]
        whole = np.flatnonzero(seen & many)
        whole = whole[np.argsort(facet[whole], kind="stable")]
        large, starts = np.unique(facet[whole], return_index=True)
        triangles = np.array(shapely.polygons(shown.flat[shown.mesh.triangles[whole]]), ndmin=1)
        parts = np.split(triangles, starts[1:]) if len(large) else []
        self._outlines = [united(part) for part in parts]
        shapely.prepare(self._outlines)
        self._facet = np.concatenate([facet[small], large])
        low, high = self._corners.min(axis=1), self._corners.max(axis=1)
        boxes = np.array(shapely.box(*low.T, *high.T), ndmin=1)
        self._tree = shapely.STRtree([*boxes, *map(shapely.envelope, self._outlines)])

    def over(self, places: Array) -> tuple[Indices, Indices, Array]:
        """Every facet over or under each of the places (n, 2): indices of places, of facets, and
        how near the facet is there."""
        at, found = self._tree.query(shapely.points(places))
        few = len(self._corners)
        inside = np.zeros(len(at), dtype=bool)
        small = found < few
        inside[small] = _in_triangles(places[at[small]], self._corners[found[small]])
        for number, outline in enumerate(self._outlines):
            chosen = np.flatnonzero(found == few + number)
            x, y = places[at[chosen]].T
            inside[chosen] = shapely.intersects_xy(outline, x, y)
        at, facet = at[inside], self._facet[found[inside]]
        near = np.sum(self._shown.slope[facet] * places[at], axis=1) + self._shown.start[facet]
        return at, facet, near

    def nearest(self, places: Array) -> Indices:
        """The facet that is seen at each place (n, 2), -1 where there is none."""
        at, facet, near = self.over(places)
        order = np.lexsort((near, at))
        seen = np.full(len(places), -1, dtype=np.intp)
        seen[at[order]] = facet[order]  # the last of a place is its nearest
        return seen

    def hidden(self, places: Array, near: Array, own: Indices) -> Flags:
        """Tell at which places (n, 2) something is nearer than `near` (n,), other than their `own`
        facets (n, 2)."""
        at, facet, height = self.over(places)
        covers = (height > near[at] + BEHIND) & np.all(own[at] != facet[:, None], axis=1)
        return np.asarray(np.bincount(at[covers], minlength=len(places)) > 0)


def _in_triangles(places: Array, corners: Array) -> Flags:
    """Tell which places (n, 2) are in their triangles (n, 3, 2) or on the rim."""
    inside = np.ones(len(places), dtype=bool)
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    twice = _cross(b - a, c - a)
    for one, other in ((a, b), (b, c), (c, a)):
        inside &= _cross(other - one, places - one) * np.sign(twice) >= -_ON_RIM * np.abs(twice)
    return np.asarray(inside & (twice != 0))


def _cross(one: Array, other: Array) -> Array:
    return np.asarray(one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0])


@dataclass(frozen=True, slots=True)
class Pieces:
    """Straight pieces of edges on the picture, (n, 2, 2), and which edge each is of (n,)."""

    lines: Array
    edge: Indices


def seen_pieces(shown: Shown, sight: Sight, edges: Edges, rims: Edges) -> Pieces:
    """Return the pieces of edges that are seen. `rims`: all those where a front facet ends, which
    alone can begin to hide what lies behind."""
    edge, begin, end = _parted(shown, edges, rims)
    ends = shown.mesh.points[edges.ends[edge]]
    flat = shown.flat[edges.ends[edge]]
    middle = (begin + end)[:, None] / 2
    place = flat[:, 0] + middle * (flat[:, 1] - flat[:, 0])
    near = shown.view.nearness(ends[:, 0] + middle * (ends[:, 1] - ends[:, 0]))
    sides = edges.sides[edge]
    own = np.where(sides >= 0, shown.facets.of_triangle[sides], -1)
    seen = ~sight.hidden(place, near, own)
    step = (flat[:, 1] - flat[:, 0])[:, None, :]
    lines = flat[:, :1] + np.stack([begin, end], axis=1)[:, :, None] * step
    return Pieces(lines[seen], edge[seen])


def _parted(shown: Shown, edges: Edges, rims: Edges) -> tuple[Indices, Array, Array]:
    """Part edges where nearer rims cross them: the edge that each piece is of, and its two ends as
    shares of that."""
    flat = shown.flat[edges.ends]
    length = np.linalg.norm(flat[:, 1] - flat[:, 0], axis=1)
    number, share = _crossings(shown, edges, rims)
    free = np.minimum(share, 1 - share) * length[number] > _SHORT
    every = np.arange(len(flat))
    number = np.concatenate([every, number[free], every])
    share = np.concatenate([np.zeros(len(flat)), share[free], np.ones(len(flat))])
    order = np.lexsort((share, number))
    number, share = number[order], share[order]
    same = number[1:] == number[:-1]
    edge, begin, end = number[:-1][same], share[:-1][same], share[1:][same]
    long = (end - begin) * length[edge] > _SHORT
    return edge[long], begin[long], end[long]


def _crossings(shown: Shown, edges: Edges, rims: Edges) -> tuple[Indices, Array]:
    """Find where nearer rims cross edges, and where those that run along them begin and end:
    indices of edges, and the share of the edge."""
    mine, theirs = shown.flat[edges.ends], shown.flat[rims.ends]
    tree = shapely.STRtree(np.array(shapely.linestrings(theirs), ndmin=1))
    at, rim = tree.query(shapely.linestrings(mine))
    p, r = mine[at, 0], mine[at, 1] - mine[at, 0]
    q, s = theirs[rim, 0], theirs[rim, 1] - theirs[rim, 0]
    turn, size = _cross(r, s), np.linalg.norm(r, axis=1) * np.linalg.norm(s, axis=1)
    parallel = np.abs(turn) <= _PARALLEL * size
    along = parallel & (np.abs(_cross(q - p, r)) <= _SHORT * np.linalg.norm(r, axis=1))
    with np.errstate(divide="ignore", invalid="ignore"):
        share, other = _cross(q - p, s) / turn, _cross(q - p, r) / turn
        ends = [np.sum((e - p) * r, axis=1) / np.sum(r * r, axis=1) for e in (q, q + s)]
    near = shown.view.nearness(shown.mesh.points)
    here = near[edges.ends[at, 0]] + share * np.diff(near[edges.ends[at]], axis=1)[:, 0]
    there = near[rims.ends[rim, 0]] + other * np.diff(near[rims.ends[rim]], axis=1)[:, 0]
    meets = ~parallel & (share > 0) & (share < 1) & (other > -_PAST) & (other < 1 + _PAST)
    meets &= there > here
    found = [(at[meets], share[meets])]
    found += [(at[w], e[w]) for e in ends for w in [along & (e > 0) & (e < 1)]]
    return np.concatenate([f[0] for f in found]), np.concatenate([f[1] for f in found])
