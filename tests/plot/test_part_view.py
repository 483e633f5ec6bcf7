"""The view of a body in space: closed forms, and every edge held against rays of its own."""

from __future__ import annotations

import math

import numpy as np
import pytest
from manifold3d import CrossSection, Manifold, Mesh64, OpType
from numpy.typing import NDArray

from gcodekit.plot.part_view.body_view import BodyView, body_view, drawable
from gcodekit.plot.part_view.dimetric import EDGE_ON, Dimetric, MainFace, main_face
from gcodekit.plot.part_view.hidden_lines import Shown, Sight, seen_pieces
from gcodekit.plot.part_view.slopes import without_steps
from gcodekit.plot.part_view.surface_mesh import Edges, Facets, SurfaceMesh
from gcodekit.plot.part_view.tones import TONES, tones
from gcodekit.plot.part_view.triangulation import delaunay
from gcodekit.plot.part_view.view_edges import ViewEdges, view_edges

TOP = Dimetric.of("top")
# The square to the paper is a third of each true axis' length away, and both are enlarged alike.
ENLARGED = 3 / (2 * math.sqrt(2))
VIEWS: tuple[MainFace, ...] = ("top", "front")


def mesh_of(body: Manifold) -> SurfaceMesh:
    mesh = body.to_mesh64()
    return SurfaceMesh.of(np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts))


def volume(mesh: SurfaceMesh) -> float:
    a, b, c = (mesh.points[mesh.triangles[:, i]] for i in range(3))
    return float(np.sum(a * np.cross(b, c)) / 6)


def lengths(lines: NDArray[np.float64]) -> float:
    return float(np.linalg.norm(lines[:, 1] - lines[:, 0], axis=1).sum())


def looked_at(body: Manifold, view: Dimetric = TOP) -> BodyView:
    return body_view(mesh_of(body), view)


def test_two_axes_are_true_and_the_third_is_half_at_the_angles_of_the_standard() -> None:
    """ISO 5456-3, dimetric: 1 to 1 to 1/2, axes at 7 and 42 degrees to the horizontal."""
    for main, half in (("top", 2), ("front", 1)):
        ends = Dimetric.of(main).flat(np.eye(3))  # type: ignore[arg-type]
        scales = np.linalg.norm(ends, axis=1)
        assert scales == pytest.approx([0.5 if i == half else 1.0 for i in range(3)])
        assert ends[2] == pytest.approx([0.0, scales[2]])  # z is upright
    x, y, _ = Dimetric.of("front").flat(np.eye(3))
    assert math.degrees(math.atan2(-x[1], x[0])) == pytest.approx(7, abs=0.5)
    assert math.degrees(math.atan2(y[1], y[0])) == pytest.approx(42, abs=0.7)


@pytest.mark.parametrize(("size", "main"), [((60, 40, 8), "top"), ((30, 20, 60), "front")])
def test_a_tall_body_is_seen_from_the_front(size: tuple[float, ...], main: str) -> None:
    assert main_face(np.array(size)) == main


@pytest.mark.parametrize("main", VIEWS)
def test_of_a_cube_nine_edges_of_twelve_are_seen(main: MainFace) -> None:
    view = Dimetric.of(main)
    seen = looked_at(Manifold.cube((10, 10, 10)), view)
    assert (len(seen.rims), len(seen.corners)) == (6, 3)
    near = view.flat(np.array([[10.0, 0.0, 10.0]]))[0]  # the corner towards the eye
    assert all(np.min(np.linalg.norm(line - near, axis=1)) < 1e-9 for line in seen.corners)
    far = view.flat(np.array([[0.0, 10.0, 0.0]]))[0]
    assert all(np.min(np.linalg.norm(line - far, axis=1)) > 1 for line in seen.rims)


@pytest.mark.parametrize("main", VIEWS)
def test_faces_of_a_box_have_their_projected_areas(main: MainFace) -> None:
    """A face's area times the cosine of its angle to the paper; each face has its tone."""
    x, y, z = 30.0, 20.0, 12.0
    view = Dimetric.of(main)
    seen = looked_at(Manifold.cube((x, y, z)), view)
    towards = np.abs(view.towards) * ENLARGED**2
    faces = sorted(np.array([y * z, x * z, x * y]) * towards)
    # lines meet on a grid of 0.0001 mm
    assert sorted(a.area for a in seen.areas.values()) == pytest.approx(faces, rel=1e-5)
    assert len(seen.areas) == 3


def test_walls_of_a_pocket_hide_what_a_ray_through_its_mouth_does_not_reach() -> None:
    """From the floor a ray towards the eye goes depth/√7 to the right and to the front."""
    w, d, deep = 30.0, 20.0, 15.0
    pocket = Manifold.cube((w, d, deep + 1)).translate((10, 10, 20 - deep))
    body = Manifold.cube((60, 40, 20)) - pocket
    view, mesh = TOP, mesh_of(Manifold.cube((60, 40, 20)) - pocket)
    away = deep / math.sqrt(7)
    seen = looked_at(body)
    kept = {}
    for name, a, b in (
        ("mouth, front", (10, 10, 20), (40, 10, 20)),
        ("mouth, right", (40, 10, 20), (40, 30, 20)),
        ("mouth, back", (10, 30, 20), (40, 30, 20)),
        ("mouth, left", (10, 10, 20), (10, 30, 20)),
        ("floor, front", (10, 10, 5), (40, 10, 5)),
        ("floor, right", (40, 10, 5), (40, 30, 5)),
        ("floor, back", (10, 30, 5), (40, 30, 5)),
        ("floor, left", (10, 10, 5), (10, 30, 5)),
        ("corner, back left", (10, 30, 5), (10, 30, 20)),
        ("corner, front left", (10, 10, 5), (10, 10, 20)),
        ("corner, back right", (40, 30, 5), (40, 30, 20)),
        ("corner, front right", (40, 10, 5), (40, 10, 20)),
    ):
        kept[name] = share_drawn(seen, view.flat(np.array([a, b], dtype=float)))
    hidden = {n for n, share in kept.items() if share == 0}
    assert hidden == {
        "floor, front", "floor, right",
        "corner, front left", "corner, back right", "corner, front right",
    }  # fmt: skip
    assert kept["floor, back"] == pytest.approx((w - away) / w, abs=1e-6)
    assert kept["floor, left"] == pytest.approx((d - away) / d, abs=1e-6)
    whole = {n for n, share in kept.items() if share == pytest.approx(1, abs=1e-6)}
    assert whole == {n for n in kept if n.startswith("mouth")} | {"corner, back left"}
    assert volume(mesh) == pytest.approx(60 * 40 * 20 - w * d * deep)


def share_drawn(seen: BodyView, edge: NDArray[np.float64]) -> float:
    """How much of an edge lies on drawn lines."""
    along = edge[1] - edge[0]
    length = float(np.linalg.norm(along))
    total = 0.0
    for line in np.concatenate([seen.rims, seen.corners]):
        off = line - edge[0]
        across = np.abs(off[:, 0] * along[1] - off[:, 1] * along[0]) / length
        if np.all(across < 1e-7):
            a, b = np.clip(np.sort(off @ along / length**2), 0, 1)
            total += float(b - a)
    return total


def test_a_standing_cylinder_shows_its_ends_as_ellipses_and_two_straight_lines() -> None:
    """Major axis: the diameter, enlarged; minor: that by the share of z towards the eye, √7/3."""
    radius, high = 10.0, 30.0
    seen = looked_at(Manifold.cylinder(high, radius, radius, 720))
    x0, y0, x1, y1 = seen.bounds
    half = radius * ENLARGED
    assert x1 - x0 == pytest.approx(2 * half, rel=1e-4)
    assert y1 - y0 == pytest.approx(2 * half * math.sqrt(7) / 3 + high / 2, rel=1e-4)
    sides = [line for line in seen.rims if abs(line[0, 0] - line[1, 0]) < 1e-9]
    assert len(sides) == 2
    for line in sides:
        assert lengths(line[None]) == pytest.approx(high / 2, abs=1e-9)
        assert abs(line[0, 0]) == pytest.approx(half, rel=1e-4)
    ellipse = math.pi * half**2 * math.sqrt(7) / 3
    shaded = sum(a.area for a in seen.areas.values())
    assert shaded == pytest.approx(ellipse + 2 * half * high / 2, rel=1e-4)
    # no line along its wall but those two, the top's rim whole and the bottom's nearer half
    total = lengths(seen.rims) + lengths(seen.corners)
    around = TOP.flat(ring_points(radius))
    around = float(np.linalg.norm(np.roll(around, -1, axis=0) - around, axis=1).sum())
    assert total == pytest.approx(1.5 * around + high, rel=2e-3)


def ring_points(radius: float, count: int = 720) -> NDArray[np.float64]:
    turns = np.arange(count) * math.tau / count
    return radius * np.column_stack([np.cos(turns), np.sin(turns), np.zeros(count)])


def random_body(seed: int) -> Manifold:
    """Blocks and bars put together and cut, at odd angles."""
    rng = np.random.default_rng(seed)

    def some() -> Manifold:
        a, b, c = rng.uniform(4, 30, 3)
        body = (
            Manifold.cube((a, b, c), True)
            if rng.random() < 0.6
            else Manifold.cylinder(a, b / 2, c / 2 if rng.random() < 0.3 else b / 2, 40, True)
        )
        turned = rng.uniform(-180, 180, 3) if rng.random() < 0.6 else rng.integers(0, 4, 3) * 90
        return body.rotate(tuple(turned)).translate(tuple(rng.uniform(-15, 15, 3)))

    body = Manifold.cube((40, 30, 15), True)
    for _ in range(6):
        body = body + some() if rng.random() < 0.5 else body - some()
    return body


def rays_stopped(
    points: NDArray[np.float64],
    mesh: SurfaceMesh,
    towards: NDArray[np.float64],
    margin: float,
    away: float,
) -> NDArray[np.bool_]:
    """Whether a ray from each point to the eye meets a triangle further than `away`, by Cramer's
    rule on each (Möller and Trumbore, 1997). `margin`: of its corners' weights that a hit must be
    inside, negative: may be outside."""
    a, b, c = (mesh.points[mesh.triangles[:, i]] for i in range(3))
    p = np.cross(towards, c - a)
    det = np.sum(p * (b - a), axis=1)
    # faces edge-on to the eye have no width
    usable = np.abs(det) > EDGE_ON * np.linalg.norm(np.cross(b - a, c - a), axis=1)
    a, b, c, p, det = a[usable], b[usable], c[usable], p[usable], det[usable]
    stopped = np.zeros(len(points), dtype=bool)
    for i, point in enumerate(points):
        t = point - a
        q = np.cross(t, b - a)
        u = np.sum(t * p, axis=1) / det
        v = q @ towards / det
        far = np.sum(q * (c - a), axis=1) / det
        inside = (u > margin) & (v > margin) & (u + v < 1 - margin)
        stopped[i] = np.any(inside & (far > away))
    return stopped


def parts_of(mesh: SurfaceMesh, view: Dimetric) -> tuple[Shown, Sight, ViewEdges, NDArray[np.intp]]:
    edges = Edges.of(mesh)
    facets = Facets.of(mesh, edges)
    shown = Shown.of(mesh, facets, view)
    tone = tones(facets, edges, view)
    return shown, Sight(shown), view_edges(shown, edges, tone), tone


@pytest.mark.parametrize("seed", range(40))
@pytest.mark.parametrize("main", VIEWS)
def test_no_drawn_edge_is_behind_a_face_and_none_before_all_faces_is_missing(
    seed: int, main: MainFace
) -> None:
    view, mesh = Dimetric.of(main), mesh_of(random_body(seed))
    shown, sight, kinds, _ = parts_of(mesh, view)
    checked = 0
    for edges in (kinds.rims, kinds.corners):
        found = seen_pieces(shown, sight, edges, kinds.rims)
        # where each piece lies along its edge in space
        flat = shown.flat[edges.ends[found.edge]]
        along = flat[:, 1] - flat[:, 0]
        shares = np.sum((found.lines - flat[:, :1]) * along[:, None], axis=2) / np.sum(
            along * along, axis=1, keepdims=True
        )
        ends = mesh.points[edges.ends[found.edge]]
        middle = ends[:, 0] + shares.mean(axis=1)[:, None] * (ends[:, 1] - ends[:, 0])
        assert not np.any(rays_stopped(middle, mesh, view.towards, 1e-6, 0.003))
        missing = undrawn(edges, found.edge, shares)
        number = np.array([e for e, _ in missing], dtype=int)
        at = np.array([s for _, s in missing])
        ends = mesh.points[edges.ends[number]]
        points = ends[:, 0] + at[:, None] * (ends[:, 1] - ends[:, 0])
        assert np.all(rays_stopped(points, mesh, view.towards, -1e-6, 0.001))
        checked += len(middle) + len(missing)
    assert checked > 40


def undrawn(
    edges: Edges, edge: NDArray[np.intp], shares: NDArray[np.float64]
) -> list[tuple[int, float]]:
    """The middles of what is left out of each edge, where that is more than a crumb."""
    found = []
    for number in range(len(edges.ends)):
        at = 0.0
        for a, b in [*sorted(map(sorted, shares[edge == number].tolist())), [1.0, 1.0]]:
            if a - at > 1e-3:
                found.append((number, (a + at) / 2))
            at = b
    return found


@pytest.mark.parametrize("seed", range(40))
def test_shaded_areas_fill_the_bodys_shadow(seed: int) -> None:
    """What manifold3d projects along the line of sight, enlarged."""
    body = random_body(seed)
    seen = looked_at(body)
    rows = np.stack([TOP.right, TOP.up, TOP.towards])
    shadow = body.transform(np.column_stack([rows, np.zeros(3)])).project().area()
    shaded = sum(a.area for a in seen.areas.values())
    assert shaded == pytest.approx(shadow * ENLARGED**2, rel=2e-4)


@pytest.mark.parametrize("seed", range(6))
def test_places_have_the_tone_of_the_nearest_face(seed: int) -> None:
    """Found by brute force: the nearest triangle at places all over the picture."""
    import shapely

    rng = np.random.default_rng(seed)
    mesh = mesh_of(random_body(seed))
    shown, _, _, tone = parts_of(mesh, TOP)
    seen = body_view(mesh, TOP)
    corners, near = shown.flat[mesh.triangles], TOP.nearness(mesh.points)[mesh.triangles]
    front = shown.front[shown.facets.of_triangle]
    x0, y0, x1, y1 = seen.bounds
    wrong = 0
    places = rng.uniform((x0, y0), (x1, y1), (150, 2))
    for place in places:
        a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
        whole = np.linalg.det(np.stack([b - a, c - a], axis=1))
        with np.errstate(divide="ignore", invalid="ignore"):
            u = np.linalg.det(np.stack([place - a, c - a], axis=1)) / whole
            v = np.linalg.det(np.stack([b - a, place - a], axis=1)) / whole
        inside = front & (u >= 0) & (v >= 0) & (u + v <= 1)
        height = near[:, 0] + u * (near[:, 1] - near[:, 0]) + v * (near[:, 2] - near[:, 0])
        drawn = [t for t, area in seen.areas.items() if shapely.intersects_xy(area, *place)]
        if not np.any(inside):
            wrong += bool(drawn)
            continue
        first = np.flatnonzero(inside)[np.argmax(height[inside])]
        wrong += drawn != [int(tone[shown.facets.of_triangle[first]])]
    assert wrong <= 1  # one may lie on a border


def test_the_tones_are_of_even_steps_in_grey() -> None:
    """Relative luminance by ITU-R BT.709; each step is plainly to be seen in print."""
    grey = [
        sum(w * int(t[i : i + 2], 16) for w, i in ((0.2126, 1), (0.7152, 3), (0.0722, 5)))
        for t in TONES
    ]
    steps = np.diff(grey)
    assert np.all(steps > 12)
    assert steps.max() < 1.6 * steps.min()


def test_chords_of_a_round_wall_are_no_edges_but_those_of_a_hexagon_are() -> None:
    ring = [(8 * math.cos(math.tau * i / 6), 8 * math.sin(math.tau * i / 6)) for i in range(6)]
    hexagon = Manifold.extrude(CrossSection([ring]), 10)
    for body, upright in ((Manifold.cylinder(10, 8, 8, 64), 2), (hexagon, 4)):
        seen = looked_at(body)
        lines = np.concatenate([seen.rims, seen.corners])
        assert sum(abs(a[0] - b[0]) < 1e-9 for a, b in lines) == upright


def test_chords_of_a_tiny_hole_are_no_edges() -> None:
    """At 0.3 mm radius chords of 0.005 mm sag turn by 21 degrees."""
    body = Manifold.cube((10, 10, 10)) - Manifold.cylinder(12, 0.3, 0.3, 17).translate((5, 5, -1))
    hole = TOP.flat(np.array([[5.0, 5.0, 10.0]]))[0]
    seen = looked_at(body)
    near = [c for c in seen.corners if np.all(np.linalg.norm(c - hole, axis=1) < 2)]
    assert near
    assert all(abs(a[0] - b[0]) > 1e-9 for a, b in near)


def test_a_slope_in_steps_is_drawn_as_a_slope() -> None:
    """A countersink of six steps: its volume as a frustum's, its rims the only lines."""
    block, steps = Manifold.cube((20, 20, 8), True).translate((0, 0, -4)), 6
    small, large, deep = 2.0, 3.5, 1.5
    cuts = [Manifold.cylinder(20, small, small, 96, True)]
    for k in range(steps):
        r, low = small + (large - small) * k / steps, -deep + deep * k / steps
        cuts.append(Manifold.cylinder(5, r, r, 96).translate((0, 0, low)))
    stepped = mesh_of(block - Manifold.batch_boolean(cuts, OpType.Add))
    smooth = drawable(stepped.points, stepped.triangles)
    cone = math.pi * deep / 3 * (large**2 + large * small + small**2)
    full = 20 * 20 * 8 - cone - math.pi * small**2 * (8 - deep)
    assert volume(stepped) - full > 3
    assert volume(smooth) == pytest.approx(full, abs=0.3)
    off = smooth.points[(smooth.points[:, 2] > -deep - 0.5) & (smooth.points[:, 2] < -0.02)]
    radii = np.linalg.norm(off[:, :2], axis=1)
    assert np.all(np.abs(radii - (large + off[:, 2])) < 0.02)
    seen = body_view(smooth, TOP)
    assert len(body_view(stepped, TOP).corners) + len(body_view(stepped, TOP).rims) > 2 * (
        len(seen.corners) + len(seen.rims)
    )


def test_one_small_step_stays_a_step() -> None:
    body = mesh_of(Manifold.cube((20, 20, 8)) - Manifold.cube((20, 0.5, 1)).translate((0, 0, 7.5)))
    assert np.array_equal(without_steps(body).points, body.points)


def test_new_triangles_keep_outline_and_area() -> None:
    rings = [ring_points(r, 80)[:, :2] for r in (10.0, 9.7)]
    plate = mesh_of(Manifold.extrude(CrossSection(rings[:1]) - CrossSection(rings[1:]), 1.0))
    edges = Edges.of(plate)
    face = Facets.of(plate, edges).of_triangle
    new = delaunay(plate, np.ones(len(plate.triangles), dtype=bool), face)
    assert volume(new) == pytest.approx(volume(plate), rel=1e-12)
    assert len(new.triangles) == len(plate.triangles)
    status = Manifold(Mesh64(new.points, new.triangles.astype(np.uint64)))
    assert status.volume() == pytest.approx(plate_volume(), rel=1e-7)
    top = new.triangles[np.all(new.points[new.triangles][:, :, 2] == 1.0, axis=1)]
    outer = np.linalg.norm(new.points[top][:, :, :2], axis=2) > 9.85
    assert not np.any(np.all(outer, axis=1))  # none cuts across a bend


def plate_volume() -> float:
    areas = [80 / 2 * r * r * math.sin(math.tau / 80) for r in (10.0, 9.7)]
    return areas[0] - areas[1]


def test_every_edge_of_a_closed_surface_has_two_sides() -> None:
    mesh = mesh_of(random_body(3))
    edges = Edges.of(mesh)
    assert len(edges.ends) == 3 * len(mesh.triangles) / 2
    assert np.all(edges.sides >= 0)


@pytest.mark.parametrize(
    ("points", "triangles"),
    [
        ([[0, 0, 0], [10, 0, 0], [0, 10, 0]], [[0, 1, 2]]),
        ([[0, 0, 0], [10, 0, 0], [0, 10, 0]], [[0, 2, 1]]),
        ([[0, 0, 0], [10, 0, 0], [0, 10, 0], [5, 5, 0]], [[0, 1, 2], [0, 1, 3], [1, 0, 2]]),
    ],
)
def test_a_surface_that_is_not_closed_is_drawn_as_far_as_it_goes(
    points: list[list[float]], triangles: list[list[int]]
) -> None:
    mesh = drawable(np.array(points, dtype=float), np.array(triangles))
    assert body_view(mesh, TOP).bounds == pytest.approx((0, -6.614, 14.142, 6.614), abs=8)


def test_the_same_body_is_the_same_picture() -> None:
    mesh = mesh_of(random_body(5))
    one, other = (body_view(drawable(mesh.points, mesh.triangles), TOP) for _ in range(2))
    assert np.array_equal(one.rims, other.rims)
    assert np.array_equal(one.corners, other.corners)
    assert {t: a.wkb for t, a in one.areas.items()} == {t: a.wkb for t, a in other.areas.items()}
