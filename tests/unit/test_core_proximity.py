from __future__ import annotations

import igl
import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray

from core_bodies import box, cup, moved, sheet, sphere, torus
from limbwright.core.mesh import Mesh, merged
from limbwright.core.proximity import DistanceTree


def cloud(count: int, spread_mm: float = 80.0, seed: int = 0) -> NDArray[np.float64]:
    return np.random.default_rng(seed).uniform(-spread_mm, spread_mm, (count, 3))


@pytest.mark.parametrize(
    "body", [torus(), box(60.0), sphere(50.0, 3)], ids=["torus", "box", "ball"]
)
def test_signed_distance_is_that_of_a_general_library(body: Mesh) -> None:
    points = cloud(3000)
    mine = DistanceTree(body).signed(points)
    theirs = igl.signed_distance(
        points, body.vertices, body.faces, sign_type=igl.SIGNED_DISTANCE_TYPE_PSEUDONORMAL
    )[0]
    assert mine == pytest.approx(theirs, abs=1e-9)


def test_closest_face_and_point_are_those_of_a_general_library() -> None:
    body = cup()
    points = cloud(2000, 150.0)
    distance, face, point = DistanceTree(body).closest(points)
    squared, _, theirs = igl.point_mesh_squared_distance(points, body.vertices, body.faces)
    assert distance == pytest.approx(np.sqrt(squared), abs=1e-9)
    assert point == pytest.approx(theirs, abs=1e-6)
    assert np.linalg.norm(points - point, axis=1) == pytest.approx(distance, abs=1e-9)
    # the point lies on the face that is named
    corner = body.vertices[body.faces[face]]
    normal = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    assert np.einsum("ij,ij->i", point - corner[:, 0], normal) == pytest.approx(0.0, abs=1e-9)


def test_distance_to_a_ball_is_the_radius_less_the_way_to_its_middle() -> None:
    points = cloud(500)
    expected = np.linalg.norm(points, axis=1) - 50.0
    assert DistanceTree(sphere(50.0, 6)).signed(points) == pytest.approx(expected, abs=5e-3)


@pytest.mark.parametrize(
    ("point", "side"),
    [
        ([5.5, 5.5, 5.5], 1),
        ([4.5, 4.5, 4.5], -1),
        ([5.5, 5.5, 0.0], 1),
        ([4.9, 4.9, 0.0], -1),
        ([0.0, 0.0, 5.5], 1),
        ([0.0, 0.0, 4.5], -1),
    ],
)
def test_the_side_is_right_at_faces_edges_and_corners(point: list[float], side: int) -> None:
    assert np.sign(DistanceTree(box(10.0)).signed(np.array([point]))) == [side]


def test_the_side_is_right_near_a_limb_open_at_the_top() -> None:
    body = cup(around=96)
    tree = DistanceTree(body)
    turn = np.linspace(0, 2 * np.pi, 40, endpoint=False)
    for level in (-0.5, -60.0, -190.0):
        radius = 60.0 + 20.0 * level / 200.0
        for gap in (-6.0, -1.0, 1.0, 6.0):
            ring = np.column_stack(
                [
                    (radius + gap) * np.cos(turn),
                    (radius + gap) * np.sin(turn),
                    np.full(40, level),
                ]
            )
            assert (np.sign(tree.signed(ring)) == np.sign(gap)).all()


def test_points_beyond_the_reach_are_told_apart() -> None:
    tree = DistanceTree(sphere())
    points = np.array([[0.0, 0.0, 60.0], [0.0, 0.0, 49.0], [0.0, 0.0, 90.0]])
    distance, face, point = tree.closest(points, max_distance_mm=15.0)
    assert distance[:2] == pytest.approx([10.0, 1.0], abs=0.1)
    assert (distance[2], face[2]) == (np.inf, -1)
    assert np.isnan(point[2]).all()
    assert tree.signed(points, max_distance_mm=15.0)[2] == np.inf


def test_a_point_on_the_surface_has_distance_zero() -> None:
    body = cup()
    assert DistanceTree(body).closest(body.vertices)[0].max() == 0.0


def test_many_points_get_the_same_answer_as_few() -> None:
    tree = DistanceTree(torus())
    points = cloud(20_000)
    together = tree.signed(points)
    assert (together[::500] == [tree.signed(point[None])[0] for point in points[::500]]).all()


def test_rays_hit_where_a_general_library_says() -> None:
    body = merged((sphere(30.0, 3), moved(box(20.0), [60, 0, 0])))
    rng = np.random.default_rng(3)
    origins = cloud(400, 100.0)
    rays = rng.normal(size=(400, 3)) * 7.0
    distance, face = DistanceTree(body).ray_hits(origins, rays)
    peer = trimesh.ray.ray_triangle.RayMeshIntersector(
        trimesh.Trimesh(body.vertices, body.faces, process=False)
    )
    where, ray, triangle = peer.intersects_location(origins, rays, multiple_hits=True)
    expected = np.full(400, np.inf)
    np.minimum.at(expected, ray, np.linalg.norm(where - origins[ray], axis=1))
    assert distance == pytest.approx(expected, abs=1e-7)
    assert ((face >= 0) == np.isfinite(expected)).all()
    assert set(
        zip(np.flatnonzero(face >= 0).tolist(), face[face >= 0].tolist(), strict=True)
    ) <= set(zip(ray.tolist(), triangle.tolist(), strict=True))


def test_no_ray_slips_through_between_two_faces() -> None:
    flat = sheet(10)
    x, y = np.meshgrid(np.linspace(0.5, 9.5, 37), np.linspace(0.5, 9.5, 37))
    above = np.column_stack([x.ravel(), y.ravel(), np.full(x.size, 5.0)])
    distance, _ = DistanceTree(flat).ray_hits(above, np.tile([0.0, 0.0, -2.0], (len(above), 1)))
    assert distance == pytest.approx(np.full(len(above), 5.0))
    back, _ = DistanceTree(flat).ray_hits(above, np.tile([0.0, 0.0, 1.0], (len(above), 1)))
    assert np.isinf(back).all()


def test_unusable_input_is_refused() -> None:
    nothing = Mesh(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int32))
    with pytest.raises(ValueError, match="without faces"):
        DistanceTree(nothing)
    with pytest.raises(ValueError, match="finite"):
        DistanceTree(Mesh(np.full((3, 3), np.inf), np.array([[0, 1, 2]], dtype=np.int32)))
    tree = DistanceTree(box())
    with pytest.raises(ValueError, match=r"\(n, 3\)"):
        tree.signed(np.zeros(3))
    with pytest.raises(ValueError, match="finite"):
        tree.closest(np.array([[0.0, np.nan, 0.0]]))
    with pytest.raises(ValueError, match="zero length"):
        tree.ray_hits(np.zeros((1, 3)), np.zeros((1, 3)))
    with pytest.raises(ValueError, match="one origin and one direction"):
        tree.ray_hits(np.zeros((2, 3)), np.ones((1, 3)))


def test_no_point_gives_no_answer() -> None:
    distance, face, point = DistanceTree(box()).closest(np.zeros((0, 3)))
    assert (len(distance), len(face), point.shape) == (0, 0, (0, 3))


def _from_segment(point: NDArray[np.float64], a: NDArray[np.float64], b: NDArray[np.float64]):
    along = b - a
    square = float(along @ along)
    share = 0.0 if square == 0.0 else float(np.clip((point - a) @ along / square, 0.0, 1.0))
    return float(np.linalg.norm(point - a - share * along))


@pytest.mark.parametrize("kind", ["a=b", "a=c", "b=c", "one point", "in line", "nearly in line"])
def test_a_triangle_without_area_is_as_far_as_its_sides(kind: str) -> None:
    generator = np.random.default_rng(7)
    for _ in range(20):
        a, b, c = generator.normal(size=(3, 3))
        height = {"in line": 0.0, "nearly in line": 1e-9}.get(kind)
        if height is not None:
            c = a + (b - a) * generator.uniform(-2.0, 3.0) + height * c
        b = a if kind in ("a=b", "one point") else b
        c = {"a=c": a, "b=c": b, "one point": a}.get(kind, c)
        tree = DistanceTree(Mesh(np.array([a, b, c]), np.array([[0, 1, 2]], dtype=np.int32)))
        points = generator.normal(size=(20, 3))
        sides = ((a, b), (b, c), (c, a))
        expected = [min(_from_segment(p, *side) for side in sides) for p in points]
        distance, _, foot = tree.closest(points)
        assert distance == pytest.approx(expected, abs=1e-8)
        assert np.linalg.norm(points - foot, axis=1) == pytest.approx(expected, abs=1e-8)
