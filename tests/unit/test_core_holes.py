from __future__ import annotations

import numpy as np
import pytest
import shapely

from core_bodies import box, cup, sheet, sphere
from limbwright.core.holes import boundary_loops, fill_hole
from limbwright.core.intersections import self_intersections
from limbwright.core.mesh import Mesh, face_areas, face_normals, volume_mm3
from limbwright.core.topology import compact, edge_table, is_closed_manifold, manifold_errors


def without_faces(mesh: Mesh, middle_mm: list[float], radius_mm: float) -> Mesh:
    centre = mesh.vertices[mesh.faces].mean(axis=1)
    far = np.linalg.norm(centre - middle_mm, axis=1) > radius_mm
    return compact(Mesh(mesh.vertices, mesh.faces[far]))


def test_a_rim_is_walked_in_order_and_with_the_winding_of_its_faces() -> None:
    limb = cup()
    (loop,) = boundary_loops(limb)
    assert len(loop) == 96
    assert np.allclose(limb.vertices[loop, 2], 0.0)
    table = edge_table(limb.faces, len(limb.vertices))
    rim = np.flatnonzero(table.twin < 0)
    edges = set(
        zip(
            limb.faces[rim // 3, rim % 3].tolist(),
            limb.faces[rim // 3, (rim + 1) % 3].tolist(),
            strict=True,
        )
    )
    assert edges == set(zip(loop.tolist(), np.roll(loop, -1).tolist(), strict=True))


def test_loops_come_longest_first_and_a_closed_body_has_none() -> None:
    limb = without_faces(cup(), [50.0, 0.0, -100.0], 8.0)
    sizes = [len(loop) for loop in boundary_loops(limb)]
    assert len(sizes) == 2
    assert sizes == sorted(sizes, reverse=True)
    assert boundary_loops(sphere(fineness=2)) == []


def test_holes_that_touch_in_a_vertex_are_two_loops_and_close_to_a_whole() -> None:
    flat = sheet(8)
    centre = flat.vertices[flat.faces].mean(axis=1)[:, :2]
    first = (np.abs(centre - [2.0, 2.0]) < 1.0).all(axis=1)
    second = (np.abs(centre - [4.0, 4.0]) < 1.0).all(axis=1)
    pinched = Mesh(flat.vertices, flat.faces[~(first | second)])
    loops = boundary_loops(pinched)
    assert sorted(len(loop) for loop in loops) == [8, 8, 32]
    assert all(len(set(loop.tolist())) == len(loop) for loop in loops)
    for loop in loops[1:]:
        pinched = fill_hole(pinched, loop)
    assert manifold_errors(pinched).is_manifold
    assert face_areas(pinched).sum() == pytest.approx(64.0)


def test_surfaces_that_touch_in_a_vertex_keep_their_own_rims() -> None:
    points = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [-1, 0, 0], [0, -1, 0]], dtype=np.float64)
    bow_tie = Mesh(points, np.array([[0, 1, 2], [0, 3, 4]], dtype=np.int32))
    loops = boundary_loops(bow_tie)
    assert sorted(sorted(loop.tolist()) for loop in loops) == [[0, 1, 2], [0, 3, 4]]


def test_a_hole_in_a_ball_closes_to_a_ball_with_a_flat_spot() -> None:
    ball = without_faces(sphere(), [0.0, 0.0, 50.0], 12.0)
    (loop,) = boundary_loops(ball)
    closed = fill_hole(ball, loop)
    assert is_closed_manifold(closed)
    assert len(closed.vertices) == len(ball.vertices)
    assert len(closed.faces) == len(ball.faces) + len(loop) - 2
    cap_mm3 = np.pi * 1.5**2 * (3 * 50 - 1.5) / 3  # of a cap as high as the missing one
    lost = volume_mm3(sphere()) - volume_mm3(closed)
    assert 0 < lost < 1.5 * cap_mm3
    assert len(self_intersections(closed)) == 0


def star_shaped_hole(points: int = 40) -> Mesh:
    """A flat ring whose inner rim is a deep star and whose outer rim is a circle."""
    turn = 2 * np.pi * np.arange(points) / points
    reach = np.where(np.arange(points) % 2 == 0, 9.0, 2.0)
    inner = np.column_stack([reach * np.cos(turn), reach * np.sin(turn), 0 * turn])
    outer = np.column_stack([20 * np.cos(turn), 20 * np.sin(turn), 0 * turn])
    i = np.arange(points)
    j = np.roll(i, -1)
    faces = np.concatenate(
        [np.stack([i, points + i, points + j], 1), np.stack([i, points + j, j], 1)]
    )
    return Mesh(np.concatenate([inner, outer]), faces.astype(np.int32))


def test_a_flat_hole_with_a_jagged_outline_closes_without_overlap() -> None:
    ring = star_shaped_hole()
    loop = next(loop for loop in boundary_loops(ring) if 0 in loop)
    closed = fill_hole(ring, loop)
    patch = closed.faces[len(ring.faces) :]
    outline = shapely.Polygon(ring.vertices[loop][:, :2])
    parts = [shapely.Polygon(closed.vertices[face][:, :2]) for face in patch]
    assert sum(part.area for part in parts) == pytest.approx(outline.area, rel=1e-9)
    assert shapely.union_all(parts).symmetric_difference(outline).area < 1e-9
    assert (face_normals(Mesh(closed.vertices, patch))[:, 2] > 0.99).all()


def test_a_patch_uses_no_edge_that_the_mesh_already_has() -> None:
    # two opposite corners of the square rim are joined by a fin below it
    points = np.array(
        [[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0], [0.5, 0.5, -1], [0.2, 0.2, -2]],
        dtype=np.float64,
    )
    walls = [[1, 0, 4], [2, 1, 4], [3, 2, 4], [0, 3, 4]]
    fins = [[0, 2, 5]]
    cone = Mesh(points, np.array(walls + fins, dtype=np.int32))
    closed = fill_hole(cone, np.array([0, 3, 2, 1], dtype=np.int32))
    assert manifold_errors(closed).non_manifold_edges == 0
    assert {1, 3} <= set(closed.faces[len(cone.faces)].tolist())


def test_a_hole_that_no_chord_may_cross_gets_a_point_in_its_middle() -> None:
    points = np.array(
        [
            [0, 0, 0],
            [1, 0, 0],
            [1, 1, 0],
            [0, 1, 0],
            [0.5, 0.5, -1],
            [0.2, 0.2, -2],
            [0.8, 0.2, -3],
        ],
        dtype=np.float64,
    )
    walls = [[1, 0, 4], [2, 1, 4], [3, 2, 4], [0, 3, 4]]
    cone = Mesh(points, np.array([*walls, [0, 2, 5], [1, 3, 6]], dtype=np.int32))
    closed = fill_hole(cone, np.array([0, 3, 2, 1], dtype=np.int32))
    assert len(closed.vertices) == len(cone.vertices) + 1
    assert closed.vertices[-1].tolist() == [0.5, 0.5, 0.0]
    assert manifold_errors(closed).non_manifold_edges == 0


def test_a_loop_that_is_no_rim_is_refused() -> None:
    with pytest.raises(ValueError, match="at least three"):
        fill_hole(cup(), np.array([0, 1], dtype=np.int32))
    with pytest.raises(ValueError, match="does not follow a rim"):
        fill_hole(box(), np.array([0, 1, 2], dtype=np.int32))
    with pytest.raises(ValueError, match="does not follow a rim"):
        fill_hole(cup(), boundary_loops(cup())[0][::-1])
